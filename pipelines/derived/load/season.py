"""The weeks of the season: phase, plan and next race (``season_week``)."""

import datetime as dt

import polars as pl

from pipelines.derived.common.weeks import monday
from schemas.derived.season import SeasonWeek

WEEK = ["athlete_id", "week_of"]
BACK_WEEKS, AHEAD_WEEKS = 8, 26
DAYS_OF_WEEK = 7


def season_week(plan: pl.DataFrame, season_phase: pl.DataFrame, *, as_of: dt.date) -> pl.DataFrame:
    """One row per athlete and week, from eight weeks before ``as_of`` to the last planned or in a phase, 26 at most.

    phase = of the phases set and not dropped, the one that began last on or before the week's Sunday and has not ended
    before its Monday; phase_week = whole weeks from the Monday of its first day + 1; phase_weeks likewise to its last
    day, which is at the latest the day before the next phase begins. Race = a planned session of the kind 'race' that
    is not of 0 minutes; the next one is the first on or after the Monday, in the running week on or after ``as_of``;
    weeks_to_race = whole weeks between the Mondays. Planned minutes and fast metres are summed over the week.
    Source: definitions; the names of the phases are common practice. Limits: a race nobody has planned is not known of,
    and a result of the past is no race to come. Null rule: no phase set, no race planned: null, never guessed; a
    planned session without minutes leaves the minutes null, one without fast metres these.
    """
    this = as_of - dt.timedelta(days=as_of.weekday())
    first, last = this - dt.timedelta(weeks=BACK_WEEKS), this + dt.timedelta(weeks=AHEAD_WEEKS)
    told = plan.with_columns(week_of=monday("planned_on")).filter(pl.col("week_of").is_between(first, last))
    phases = _phases(season_phase)
    weeks = _weeks(told, phases, first, last)
    rows = (
        weeks.join(_sums(told), on=WEEK, how="left")
        .join(_phase_of(weeks, phases), on=WEEK, how="left")
        .join(_next_race(weeks, told, as_of), on=WEEK, how="left")
    )
    return (
        rows.with_columns(sessions=pl.col("sessions").fill_null(0))
        .select(list(SeasonWeek.to_schema().columns))
        .sort(WEEK)
    )


def _phases(season_phase: pl.DataFrame) -> pl.DataFrame:
    """Return the phases that count, each with the day on which it ends at the latest."""
    kept = season_phase.filter(pl.col("phase").is_not_null(), ~pl.col("is_dropped").fill_null(value=False))
    following = pl.col("from_on").shift(-1).over("athlete_id").dt.offset_by("-1d")
    return kept.sort("athlete_id", "from_on").with_columns(ends_on=pl.min_horizontal("until_on", following))


def _weeks(told: pl.DataFrame, phases: pl.DataFrame, first: dt.date, last: dt.date) -> pl.DataFrame:
    """Return every week from the first to the last of each athlete, without gaps."""
    days = pl.concat(
        [
            told.select("athlete_id", "week_of"),
            phases.select("athlete_id", week_of=monday("from_on")),
            phases.select("athlete_id", week_of=monday("ends_on")).drop_nulls(),
        ]
    ).with_columns(pl.col("week_of").clip(first, last))
    ends = days.group_by("athlete_id", maintain_order=True).agg(until=pl.col("week_of").max())
    return (
        ends.with_columns(week_of=pl.date_ranges(pl.lit(first), pl.col("until"), interval="1w"))
        .explode("week_of")
        .drop("until")
        .drop_nulls("week_of")
    )


def _sums(told: pl.DataFrame) -> pl.DataFrame:
    is_on = (pl.col("planned_min") != 0).fill_null(value=True)

    def total(name: str) -> pl.Expr:
        return pl.when(pl.col(name).is_null().any().not_()).then(pl.col(name).sum()).alias(name)

    return told.group_by(WEEK, maintain_order=True).agg(
        is_on.sum().cast(pl.Int64).alias("sessions"), total("planned_min"), total("fast_metres")
    )


def _phase_of(weeks: pl.DataFrame, phases: pl.DataFrame) -> pl.DataFrame:
    began = monday("from_on")
    sunday = pl.col("week_of").dt.offset_by("6d")
    return (
        weeks.join(phases, on="athlete_id")
        .filter(pl.col("from_on") <= sunday, (pl.col("ends_on") >= pl.col("week_of")).fill_null(value=True))
        .sort(*WEEK, "from_on")
        .unique(WEEK, keep="last", maintain_order=True)
        .select(
            *WEEK,
            "phase",
            "aim",
            phase_week=(pl.col("week_of") - began).dt.total_days() // DAYS_OF_WEEK + 1,
            phase_weeks=(monday("ends_on") - began).dt.total_days() // DAYS_OF_WEEK + 1,
        )
    )


def _next_race(weeks: pl.DataFrame, told: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    races = told.filter((pl.col("kind") == "race").fill_null(value=False), (pl.col("planned_min") != 0).fill_null(True))
    this = as_of - dt.timedelta(days=as_of.weekday())
    from_on = pl.when(pl.col("week_of") == this).then(pl.lit(as_of)).otherwise(pl.col("week_of"))
    return (
        weeks.join(races.select("athlete_id", "plan_no", "note", race_on="planned_on"), on="athlete_id")
        .filter(pl.col("race_on") >= from_on)
        .sort(*WEEK, "race_on", "plan_no")
        .unique(WEEK, keep="first", maintain_order=True)
        .select(
            *WEEK,
            "race_on",
            race_words="note",
            weeks_to_race=(monday("race_on") - pl.col("week_of")).dt.total_days() // DAYS_OF_WEEK,
        )
    )
