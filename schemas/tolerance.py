"""When two tables say the same, made on machines of different kinds.

On one machine the same rows give the same tables to the last bit. With another number of threads, or on another kind of
processor, sums are added up in another order and have other last digits, which a fit carries on: over the whole demo,
with and without the newer instructions of one processor, by 4e-9 at most in a slope near nought and by 6e-10 elsewhere
(``tests/bench/bench_machines.py``). No page shows more than four digits.
"""

import polars as pl

ALIKE_SHARE = 1e-8  # of the greater of two numbers; a fit is driven to ten digits, own choice
ALIKE_OF_COLUMN = 1e-11  # of a column's greatest number, for what is nought but for rounding, own choice


def are_alike(one: pl.DataFrame, other: pl.DataFrame) -> bool:
    """Return whether two tables have the same columns and rows in the same order, numbers within the tolerance."""
    same_shape = one.schema == other.schema and one.height == other.height
    return same_shape and all(_column_alike(one[name], other[name]) for name in one.columns)


def _column_alike(one: pl.Series, other: pl.Series) -> bool:
    if one.equals(other, null_equal=True):
        return True
    if isinstance(one.dtype, pl.List):
        lengths = one.list.len().equals(other.list.len(), null_equal=True)
        return lengths and _column_alike(one.explode(), other.explode())
    if not one.dtype.is_float():
        return False
    plain = pl.col("one").is_finite() & pl.col("other").is_finite()
    greater = pl.max_horizontal(pl.col("one").abs(), pl.col("other").abs())
    greatest = greater.filter(plain).max().fill_null(0.0)
    near = (pl.col("one") - pl.col("other")).abs() <= ALIKE_SHARE * greater + ALIKE_OF_COLUMN * greatest
    same = pl.when(plain).then(near).otherwise(pl.col("one").eq_missing(pl.col("other")))
    return bool(pl.DataFrame({"one": one, "other": other}).select(same.all()).item())
