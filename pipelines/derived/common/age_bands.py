"""In which broad band of ages somebody is on a day."""

import polars as pl

from schemas.shared.tables import AGE_BANDS


def age_band_from(day: pl.Expr) -> pl.Expr:
    """Return the first year of the band somebody is in on a day, by ``birth_date``; null without a birth date."""
    born = pl.col("birth_date")
    had_birthday = day.dt.strftime("%m%d") >= born.dt.strftime("%m%d")
    age = day.dt.year() - born.dt.year() - (~had_birthday).cast(pl.Int32)
    first = pl.lit(None, pl.Int64)
    for least in AGE_BANDS:
        first = pl.when(age >= least).then(pl.lit(least, pl.Int64)).otherwise(first)
    return first
