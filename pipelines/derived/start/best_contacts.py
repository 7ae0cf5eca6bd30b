"""The first three contacts of an athlete's own best starts (``start_best_contact``)."""

import polars as pl

from schemas.derived.best_contacts import StartBestContact
from schemas.records.keys import REP_KEY

BEST_STARTS = 5
FIRST_STEPS = 3
SERIES = ["athlete_id", "start_kind", "clock_start", "timing_kind"]


def start_best_contact(
    start_steps: pl.DataFrame, start_phase: pl.DataFrame, sprint_profile: pl.DataFrame
) -> pl.DataFrame:
    """Range of each of the first three contacts (s) over the five best starts of an athlete and kind of start.

    low_s = min, high_s = max of contact_s over the five runs with the lowest t_10_s among those with marked steps or a
    set position, free of resistance; of equal times the earlier run. It is a range of few runs
    and no interval: a picture of what the athlete did when it went fast, nothing to be reached.

    Source: definition. Null: none; a run without a time to 10 m, or whose start, clock or timing is not stated, is not
    among the best, and a step without a contact does not count.
    """
    best = (
        sprint_profile.filter("is_free", pl.col("t_10_s") > 0)
        .drop_nulls(SERIES)
        .join(start_phase.filter("is_free"), on=REP_KEY, how="semi")
        .sort("t_10_s", *REP_KEY)
        .group_by(SERIES, maintain_order=True)
        .head(BEST_STARTS)
        .select(*REP_KEY, *SERIES[1:])
    )
    contacts = start_steps.filter(pl.col("step_no") <= FIRST_STEPS).drop_nulls("contact_s")
    ranges = (
        contacts.join(best, on=REP_KEY)
        .group_by(*SERIES, "step_no")
        .agg(starts=pl.len().cast(pl.Int64), low_s=pl.col("contact_s").min(), high_s=pl.col("contact_s").max())
    )
    return ranges.select(list(StartBestContact.to_schema().columns)).sort(*SERIES, "step_no")
