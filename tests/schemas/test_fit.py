"""Whether a frame fits its model is asked by one query; it says what Pandera says of the same model."""

import datetime as dt
from typing import Any

import pandera.errors
import pandera.polars as pa
import polars as pl
import pytest

from schemas.base import Column, Schema, Table, _broken
from schemas.derived.registry import DERIVED
from schemas.records import RECORDS

MODELS = {**RECORDS, **DERIVED}
PLAIN: dict[Any, Any] = {
    pl.String: "a", pl.Int64: 1, pl.Float64: 1.0, pl.Boolean: True, pl.Date: dt.date(2026, 1, 5),
    pl.Datetime("us"): dt.datetime(2026, 1, 5, 8), pl.List(pl.Float64): [1.0],
}  # fmt: skip
TEXTS = ("a", "a-b", "", "A b", "x" * 80, "#123456", "1a", "2026-01-05", "é")
NUMBERS = (-1e9, -1.0, -0.5, 0.0, 0.5, 1.0, 2.0, 7.0, 10.0, 100.0, 1e9)


def pandera_takes(model: type[Table], frame: pl.DataFrame) -> bool:
    try:
        model.as_pandera().validate(frame, lazy=True)
    except (pandera.errors.SchemaErrors, pandera.errors.SchemaError):
        return False
    return True


def candidates(column: Column) -> list[Any]:
    """Return values within and outside what a column allows: its words, both sides of its limits, unknown, NaN."""
    kind, tried = column.dtype.type, [PLAIN[column.dtype.type], None]
    if kind == pl.String:
        words = [word for check in column.checks if check.name == "isin" for word in check.statistics["allowed_values"]]
        return [*tried, *TEXTS, *words]
    if kind in (pl.Int64, pl.Float64):
        limits = [float(v) for c in column.checks for v in c.statistics.values()]
        near = [*NUMBERS, *(limit + step for limit in limits for step in (-1.0, 0.0, 1.0))]
        whole = [int(value) for value in near]
        return [*tried, *(whole if kind == pl.Int64 else [*near, float("nan"), float("inf")])]
    return tried


def kinds() -> dict[str, Column]:
    """Return a column of each kind: type, whether it may be unknown, and limits."""
    found = {}
    for model in MODELS.values():
        for one in model.to_schema().columns.values():
            found.setdefault(repr((str(one.dtype), one.nullable, one.checks)), one)
    return found


@pytest.mark.parametrize("column", kinds().values(), ids=lambda one: one.name)
def test_one_query_and_pandera_say_the_same_of_every_value(column: Column):
    schema = Schema({column.name: column}, _broken(column))
    tried = pl.DataFrame({column.name: candidates(column)}, schema={column.name: column.dtype.type}, strict=False)
    checks = [getattr(pa.Check, check.name)(**check.statistics) for check in column.checks]
    told = pa.DataFrameSchema({column.name: pa.Column(column.dtype.type, checks, nullable=column.nullable)})
    wrong = set()
    try:
        told.validate(tried, lazy=True)
    except pandera.errors.SchemaErrors as trouble:
        wrong = set(pl.DataFrame(trouble.failure_cases)["index"].cast(pl.Int64))
    assert {row for row in range(tried.height) if not schema.is_met_by(tried[row : row + 1])} == wrong


@pytest.mark.parametrize("name", ["sprint_profile", "week_sheet", "checkin"])
def test_a_missing_column_one_too_many_and_one_of_another_type_do_not_fit(name: str):
    model = MODELS[name]
    empty = pl.DataFrame(schema=model.to_schema().types)
    first = next(iter(empty.columns))
    assert model.to_schema().is_met_by(empty)
    assert pandera_takes(model, empty)
    for other in (
        empty.drop(first), empty.with_columns(stray=pl.lit(1)), empty.with_columns(pl.lit(1, pl.Int8).alias(first))
    ):  # fmt: skip
        assert not model.to_schema().is_met_by(other)
        assert not pandera_takes(model, other)


def test_what_does_not_fit_is_told_by_pandera():
    frame = pl.DataFrame(schema=MODELS["checkin"].to_schema().types).clear(1).with_columns(mood=pl.lit(99, pl.Int64))
    with pytest.raises(pandera.errors.SchemaErrors) as trouble:
        MODELS["checkin"].validate(frame)
    assert {"athlete_id", "mood"} <= set(trouble.value.failure_cases["column"])
