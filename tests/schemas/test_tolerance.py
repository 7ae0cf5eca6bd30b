"""Two tables are alike within the stated tolerance, and not beyond it."""

import polars as pl
import pytest

from schemas.tolerance import are_alike

TABLE = pl.DataFrame(
    {"who": ["a", "b", "c"], "n": [1, 2, 3], "x": [10.0, None, float("nan")], "points": [[1.0, 2.0], None, []]},
    schema_overrides={"points": pl.List(pl.Float64)},
)


def test_last_digits_do_not_count_and_nothing_else_is_let_through():
    # by hand: 1e-8 of 10 is 1e-7
    assert are_alike(TABLE, TABLE.with_columns(x=pl.col("x") + 0.9e-7, points=pl.col("points") * (1 + 1e-9)))
    assert not are_alike(TABLE, TABLE.with_columns(x=pl.col("x") + 1.2e-7))


@pytest.mark.parametrize(
    "other",
    [
        TABLE.with_columns(x=pl.col("x").fill_null(0.0)),
        TABLE.with_columns(x=pl.col("x").fill_nan(None)),
        TABLE.with_columns(x=pl.lit(float("inf"))),
        TABLE.with_columns(n=pl.col("n") + 1),
        TABLE.with_columns(who=pl.lit("a")),
        TABLE.with_columns(points=pl.lit([1.0, 2.1])),
        TABLE.with_columns(points=pl.lit([1.0])),
        TABLE.reverse(),
        TABLE.head(2),
        TABLE.rename({"x": "y"}),
        TABLE.with_columns(pl.col("n").cast(pl.Int32)),
    ],
)
def test_another_table_is_not_alike(other: pl.DataFrame):
    assert not are_alike(TABLE, other)
    assert not are_alike(other, TABLE)


def test_what_is_nought_but_for_rounding_is_alike():
    one, other = (pl.DataFrame({"x": [1.0, tiny]}) for tiny in (1e-14, -3e-13))
    assert are_alike(one, other)
    assert not are_alike(one, pl.DataFrame({"x": [1.0, 1e-9]}))
