"""Keys: rows of a table by whole numbers that are quick to sort and compare; running numbers a file does not give."""

import polars as pl


def key_code(frame: pl.DataFrame, columns: list[str]) -> pl.Series:
    """Return a whole number for each row, equal where the columns are equal."""
    code: pl.Series | None = None
    span = 1
    for name in columns:
        part, size = _dense(frame[name])
        if span * size >= 2**62:
            return frame.select(pl.struct(columns).rank("dense").cast(pl.Int64).alias("code")).to_series()
        code = part if code is None else code * size + part
        span *= size
    return (code if code is not None else pl.Series([0] * frame.height, dtype=pl.Int64)).alias("code")


def all_differ(code: pl.Series) -> bool:
    """Return whether no whole number stands twice. Rows mostly stand in the order of their keys, quick to see."""
    return bool((code.diff().drop_nulls() > 0).all()) or not code.is_duplicated().any()


def _dense(column: pl.Series) -> tuple[pl.Series, int]:
    """Return a column as whole numbers from 0 (null) on, and a bound for them."""
    if column.dtype == pl.String:
        column = column.cast(pl.Categorical)
    if column.dtype.is_integer() or column.dtype in (pl.Date, pl.Categorical):
        whole = column.to_physical().cast(pl.Int64)
        least, most = whole.min(), whole.max()
        if isinstance(least, int) and isinstance(most, int):
            return (whole - (least - 1)).fill_null(0), most - least + 2
        return pl.Series([0] * len(column), dtype=pl.Int64), 1
    different = column.drop_nulls().unique().sort()
    if len(different) == 0:
        return pl.Series([0] * len(column), dtype=pl.Int64), 1
    places = pl.Series(range(1, len(different) + 1), dtype=pl.Int64)
    return column.replace_strict(different, places, default=0, return_dtype=pl.Int64), len(different) + 1


def number_in_order(frame: pl.DataFrame, columns: list[str]) -> pl.Series:
    """Return 1, 2, 3 ... for the rows of each key, in the order in which they stand."""
    code = key_code(frame, columns)
    return pl.DataFrame({"code": code}).select(pl.int_range(1, pl.len() + 1, dtype=pl.Int64).over("code")).to_series()


def number_runs(frame: pl.DataFrame, columns: list[str], rising: str) -> pl.Series:
    """Return the number of the run each row of a long table belongs to, where the file gives none.

    Within a key, all distances (or steps) different: one run. Else a new run begins where the value does not rise.
    """
    table = pl.DataFrame({"code": key_code(frame, columns), "value": frame[rising]})
    fall = (pl.col("value") <= pl.col("value").shift(1)).fill_null(False).cast(pl.Int64).cum_sum().over("code") + 1
    again = pl.col("value").is_duplicated().any() if table.height == 0 else pl.struct("code", "value").is_duplicated()
    return table.select(pl.when(again.any().over("code")).then(fall).otherwise(1).cast(pl.Int64)).to_series()
