"""Typed values of a file as the text a person would have written."""

import datetime as dt

import polars as pl


def as_text(column: pl.Series) -> pl.Series:
    """Return a column as text: yes and no, ISO dates and times, numbers with every digit they hold, null as nothing."""
    kind = column.dtype
    if kind == pl.Boolean:
        return pl.select(pl.when(column).then(pl.lit("yes")).when(~column).then(pl.lit("no"))).to_series()
    if kind == pl.Date:
        return column.dt.to_string("%Y-%m-%d")
    if isinstance(kind, pl.Datetime):
        plain = column.dt.replace_time_zone(None)
        at_midnight = bool((plain.drop_nulls().dt.time() == dt.time()).all())
        return plain.dt.to_string("%Y-%m-%d" if at_midnight else "%Y-%m-%dT%H:%M:%S%.f")
    if kind.is_float():
        whole = (column == column.round(0)) & (column.abs() < 1e15)
        text = column.cast(pl.Float64).cast(pl.String)
        return text.zip_with(~whole.fill_null(False), text.str.replace(r"\.0$", ""))
    return column.cast(pl.String)
