"""When rows became known: the day they were entered, or their own day where a whole past was entered in one go."""

import polars as pl

from schemas.knowledge.hamstring import PLAN_AHEAD_DAYS

IN_ONE_GO_DAYS = 28  # past days that, entered on one day, make it a past entered in one go; own rule
KEY = ["table_name", "athlete_id", "day_on"]
OF_CALLS_ALONE = ["jump_test"]  # no flag rests on them


def add_known(entry_day: pl.DataFrame) -> pl.DataFrame:
    """Add ``known_on`` and ``entered`` (at_the_time, late, in_one_go) to the days that rows were entered on.

    A row is known from the day it was entered, never before its own day (a plan: from its entry on, as it lies ahead).
    A day on which rows of at least 28 past days of an athlete were entered is a past entered in one go: what was known
    at the time cannot be told, so those rows count as known on their own day, a plan a week ahead. It is counted
    athlete by athlete, so that nobody's look back hangs on whose rows came with theirs. Any other row entered after the
    Sunday of its own week is late: until it was entered, it is missing.

    Columns of ``entry_day``: table_name, athlete_id, day_on, entered_on, load_no; tables that no flag rests on are
    left out. Our own rule, common practice.
    """
    entry_day = entry_day.filter(~pl.col("table_name").is_in(OF_CALLS_ALONE))
    is_plan = pl.col("table_name") == "plan"
    is_behind = pl.col("entered_on") > pl.col("day_on")
    past_days = pl.col("day_on").filter(is_behind).n_unique().over("athlete_id", "entered_on")
    in_one_go = is_behind & (past_days >= IN_ONE_GO_DAYS)
    own_day = pl.when(is_plan).then(pl.col("day_on") - pl.duration(days=PLAN_AHEAD_DAYS)).otherwise("day_on")
    known = (
        pl.when(in_one_go)
        .then(own_day)
        .when(is_plan)
        .then("entered_on")
        .otherwise(pl.max_horizontal("entered_on", "day_on"))
    )
    sunday = pl.col("day_on").dt.truncate("1w") + pl.duration(days=6)
    entered = (
        pl.when(in_one_go)
        .then(pl.lit("in_one_go"))
        .when(pl.col("entered_on") > sunday)
        .then(pl.lit("late"))
        .otherwise(pl.lit("at_the_time"))
    )
    return entry_day.with_columns(known_on=known.cast(pl.Date), entered=entered)


def known_from(known: pl.DataFrame, tables: list[str], day: str) -> pl.DataFrame:
    """Return athlete_id, ``day`` and known_on: the day from which all that these tables hold of a day was known."""
    return (
        known.filter(pl.col("table_name").is_in(tables))
        .group_by("athlete_id", pl.col("day_on").alias(day), maintain_order=True)
        .agg(pl.col("known_on").max())
    )
