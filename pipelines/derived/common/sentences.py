"""The days a review looks at, and how numbers, days and counts stand in a sentence."""

import datetime as dt

import polars as pl

from schemas.age import ADULT_YEARS
from schemas.knowledge.readiness import MINOR_CAUTION
from schemas.phrase import phrase
from schemas.settings import SquadSettings

ORDINALS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
SIDE_WORDS = {"l": "left ", "r": "right ", "both": ""}


def list_review_days(athlete: pl.DataFrame, *, settings: SquadSettings, as_of: dt.date) -> pl.DataFrame:
    """Return athlete_id and day_on for each day of the review window on which the athlete was with the squad.

    The window is the last ``settings.review_days`` up to and with ``as_of``. An unknown joining or leaving day
    shuts nobody out.
    """
    first = as_of - dt.timedelta(days=settings.review_days - 1)
    days = pl.DataFrame({"day_on": pl.date_range(first, as_of, "1d", eager=True)})
    here = (pl.col("joined_on").fill_null(pl.lit(first)) <= pl.col("day_on")) & (
        pl.col("left_on").fill_null(pl.lit(as_of)) >= pl.col("day_on")
    )
    return (
        athlete.select("athlete_id", "joined_on", "left_on")
        .join(days, how="cross")
        .filter(here)
        .select("athlete_id", "day_on")
        .sort("athlete_id", "day_on")
    )


def add_age(days: pl.DataFrame, athlete: pl.DataFrame) -> pl.DataFrame:
    """Add ``age_years`` (whole years on the day) and ``caution`` (for a minor); both null without a birth date."""
    born = pl.col("birth_date")
    had_birthday = born.dt.strftime("%m-%d") <= pl.col("day_on").dt.strftime("%m-%d")
    years = pl.col("day_on").dt.year() - born.dt.year() - (~had_birthday).cast(pl.Int32)
    return (
        days.join(athlete.select("athlete_id", "birth_date"), on="athlete_id", how="left", maintain_order="left")
        .with_columns(age_years=years.cast(pl.Int64))
        .with_columns(caution=pl.when(pl.col("age_years") < ADULT_YEARS).then(pl.lit(MINOR_CAUTION)))
        .drop("birth_date")
    )


def say_number(value: pl.Expr, decimals: int = 1) -> pl.Expr:
    """Write a number without needless decimals: 6, 5.5."""
    rounded = value.cast(pl.Float64).round(decimals)
    whole = rounded == rounded.round(0)
    return pl.when(whole).then(rounded.cast(pl.Int64).cast(pl.String)).otherwise(rounded.cast(pl.String))


def say_percent(share: pl.Expr) -> pl.Expr:
    """Write a share as whole percent, never 0 or 100: a probability from noise is never certain."""
    percent = (share * 100).round(0).cast(pl.Int64, strict=False)
    return (
        pl.when(percent >= 100)
        .then(pl.lit("over 99 %"))
        .when(percent <= 0)
        .then(pl.lit("under 1 %"))
        .otherwise(percent.cast(pl.String) + " %")
    )


def say_day(day: pl.Expr) -> pl.Expr:
    """Write a day as 3 Nov."""
    return day.dt.strftime("%-d %b")


def say_count(count: pl.Expr, one: str, many: str) -> pl.Expr:
    """Write a count with its noun: 1 day, 4 days."""
    return pl.when(count == 1).then(phrase("{} " + one, count)).otherwise(phrase("{} " + many, count))


def say_ordinal(count: pl.Expr) -> pl.Expr:
    """Write first, second, ... tenth, then 11th, 21st, 22nd, 23rd; null for null."""
    number = count.cast(pl.Int64)
    is_teen = (number % 100).is_between(11, 13)
    ending = (number % 10).replace_strict({1: "st", 2: "nd", 3: "rd"}, default="th", return_dtype=pl.String)
    written = number.cast(pl.String) + pl.when(is_teen).then(pl.lit("th")).otherwise(ending)
    words = dict(enumerate(ORDINALS))
    return number.replace_strict(words, default=None, return_dtype=pl.String).fill_null(written)
