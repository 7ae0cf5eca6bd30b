"""Who has not answered yet (``answer_due``): a list to copy, from which nothing is sent."""

import datetime as dt

import polars as pl

SESSION_DAYS = 2  # days before today whose sessions are asked for: later, memory of an effort is a guess
COLUMNS = ("athlete_id", "day_on", "kind", "days_late")


def answer_due(
    athlete: pl.DataFrame,
    consent: pl.DataFrame,
    checkin: pl.DataFrame,
    plan: pl.DataFrame,
    session: pl.DataFrame,
    day_log: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per athlete and answer waited for: today's check-in, minutes and effort of the last two days' sessions.

    checkin: an athlete with the squad on ``as_of`` without a check-in of that day, unless the last word on consent to
    health data is that it is withdrawn. session: a day of the two before ``as_of`` with a session of more than 0
    minutes (or without minutes) that lacks minutes or effort; or with a session planned, nothing logged and the day
    not marked complete. days_late = ``as_of`` - day.
    Source: definition; two days is common practice, no source. Limits: a session that was neither planned nor logged
    is not known of. Null rule: an unknown joining or leaving day shuts nobody out.
    """
    here = (pl.col("joined_on") <= as_of).fill_null(value=True) & (pl.col("left_on") >= as_of).fill_null(value=True)
    squad = athlete.filter(here).select("athlete_id")
    answered = checkin.filter(pl.col("checked_on") == as_of).select("athlete_id")
    waited = (
        squad.join(answered, on="athlete_id", how="anti")
        .join(_withdrawn(consent, as_of), on="athlete_id", how="anti")
        .with_columns(day_on=pl.lit(as_of, pl.Date), kind=pl.lit("checkin"))
    )
    days = pl.col("day_on").is_between(as_of - dt.timedelta(days=SESSION_DAYS), as_of - dt.timedelta(days=1))
    logged = session.with_columns(day_on=pl.col("session_date"))
    told = pl.col("duration_min").is_not_null() & pl.col("effort_0_10").is_not_null()
    open_ones = logged.filter(~told & (pl.col("duration_min") != 0).fill_null(value=True))
    settled = day_log.filter(pl.col("is_complete").fill_null(value=False)).select("athlete_id", day_on="logged_on")
    unlogged = (
        plan.filter(
            (pl.col("planned_min") != 0).fill_null(value=True) & (pl.col("kind") != "rest").fill_null(value=True)
        )
        .select("athlete_id", day_on="planned_on")
        .join(logged, on=["athlete_id", "day_on"], how="anti")
        .join(settled, on=["athlete_id", "day_on"], how="anti")
    )
    efforts = (
        pl.concat([open_ones.select("athlete_id", "day_on"), unlogged])
        .unique()
        .filter(days)
        .join(squad, on="athlete_id", how="semi")
        .with_columns(kind=pl.lit("session"))
    )
    late = (pl.lit(as_of, pl.Date) - pl.col("day_on")).dt.total_days()
    return (
        pl.concat([waited, efforts]).with_columns(days_late=late).select(*COLUMNS).sort("athlete_id", "day_on", "kind")
    )


def _withdrawn(consent: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return the athletes of whom every consent to health data has ended by a day."""
    ended = (pl.col("withdrawn_on") <= as_of).fill_null(value=False)
    return (
        consent.filter((pl.col("topic") == "health") & (pl.col("given_on") <= as_of))
        .group_by("athlete_id")
        .agg(over=ended.all())
        .filter("over")
        .select("athlete_id")
    )
