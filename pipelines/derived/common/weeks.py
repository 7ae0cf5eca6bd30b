"""Calendar weeks, Monday to Sunday, shared by the tables of work done."""

import datetime as dt

import polars as pl

LAST_DAY = pl.duration(days=6)  # from the Monday to the Sunday
OWN_WEEKS = 52  # weeks back that count as an athlete's own recent past


def monday(day: str) -> pl.Expr:
    """Return the Monday of the week a day lies in."""
    return pl.col(day).dt.truncate("1w")


def week_grid(seen: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return every week per athlete from the first day seen to the week of ``as_of``, none left out.

    ``seen`` has athlete_id and day_on. Days after ``as_of`` are not seen yet. Sorted by athlete and week.
    """
    first = (
        seen.filter(pl.col("day_on") <= as_of).group_by("athlete_id", maintain_order=True).agg(pl.col("day_on").min())
    )
    weeks = pl.date_ranges(monday("day_on"), pl.lit(as_of, dtype=pl.Date), interval="1w")
    return first.select("athlete_id", week_of=weeks).explode("week_of").sort("athlete_id", "week_of")


def looked_from(as_of: dt.date) -> pl.Expr:
    """Return the day a week is looked at from: its Sunday, or ``as_of`` while the week runs."""
    return pl.min_horizontal(pl.col("week_of") + LAST_DAY, pl.lit(as_of, dtype=pl.Date))
