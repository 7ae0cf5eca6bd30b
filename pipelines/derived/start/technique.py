"""What was looked for in starts and seen, free and under the sled (``technique_seen``)."""

import datetime as dt

import polars as pl

from pipelines.derived.common.resistance import free_runs, was_run
from schemas.derived.technique import TechniqueSeen

LOOK_BACK_DAYS = 90
REP = ["athlete_id", "session_date", "session_no", "rep_no"]


def technique_seen(technique_note: pl.DataFrame, rep: pl.DataFrame, *, as_of: dt.date) -> pl.DataFrame:
    """Count for each athlete and thing looked for in the last 90 days in how many starts it was seen.

    A run counts as free as everywhere (``common.resistance``), and so does one that is not on record.
    Looked = notes that say yes or no; seen = those that say yes.
    Source: definitions. Limits: counts of what was written down; nobody looks for everything in every run, and a
    thing is looked for because it was seen before, so a share of these is no rate of the athlete.
    Null: the day last seen where it was not seen.
    """
    notes = technique_note.filter(
        (pl.col("session_date") <= as_of) & (pl.col("session_date") > as_of - dt.timedelta(days=LOOK_BACK_DAYS))
    )
    # False starts are no loaded runs: only what has a load is.
    run = rep.filter(was_run()).select(REP)
    loaded = run.join(free_runs(rep).select(REP), on=REP, how="anti").with_columns(is_loaded=pl.lit(True))
    is_loaded, seen = pl.col("is_loaded"), pl.col("seen")
    return (
        notes.join(loaded, on=REP, how="left")
        .with_columns(is_loaded=is_loaded.fill_null(False))
        .group_by("athlete_id", "item", maintain_order=True)
        .agg(
            free_looked=(~is_loaded).sum().cast(pl.Int64),
            free_seen=(~is_loaded & seen).sum().cast(pl.Int64),
            sled_looked=is_loaded.sum().cast(pl.Int64),
            sled_seen=(is_loaded & seen).sum().cast(pl.Int64),
            last_seen_on=pl.col("session_date").filter(seen).max(),
        )
        .select(list(TechniqueSeen.to_schema().columns))
        .sort("athlete_id", "item")
    )
