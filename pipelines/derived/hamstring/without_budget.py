"""The flag as it was before it had a budget: every sign speaks for itself. Kept to be looked back on beside it.

It is in force nowhere. What it says of a day is a yes or no for each family; history is the same under both rules.
"""

import datetime as dt

import polars as pl

from pipelines.derived.hamstring.capacity import TEST
from pipelines.derived.hamstring.exposure import list_maximal_ahead
from pipelines.derived.hamstring.signs import DAY, after, days_since, join_last_before
from pipelines.derived.readiness.checkin_answers import join_fresh_checkin
from pipelines.derived.readiness.tightness import ITEMS, has_hamstring_pain
from schemas.settings import SquadSettings

UNUSUAL_Z = 2.0  # robust z from which an answer spoke
DROP_SURE = 0.80  # how sure a drop below own best had to be, if nothing else were known
NOT_AT_HAMSTRING = ("soreness", "fatigue")  # answers that spoke although they name no place


def list_without_budget(
    days: pl.DataFrame,
    checkin: pl.DataFrame,
    checkin_answer: pl.DataFrame,
    strength_state: pl.DataFrame,
    speed_exposure: pl.DataFrame,
    work_week: pl.DataFrame,
    plan: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Return athlete_id, day_on and family of what would have spoken: capacity, exposure and state.

    Capacity: a drop below own best 80 % sure, or the same side weaker three tests running, while the test was not
    overdue; 28 days (setting) without eccentric work. Exposure: a week of fast metres above own range, or a long gap
    before a maximal session or before fast metres. State: one morning of unusual tightness, soreness or freshness
    (z from 2), or pain told at the hamstring.
    """
    fresh = join_fresh_checkin(days, checkin, settings=settings)
    spoke = {
        "capacity": _capacity(days, strength_state, work_week, settings),
        "exposure": _exposure(days, speed_exposure, plan, settings, as_of),
        "state": _state(fresh, checkin, checkin_answer, settings),
    }
    return pl.concat([found.select(DAY).unique().with_columns(family=pl.lit(name)) for name, found in spoke.items()])


def _capacity(days: pl.DataFrame, tests: pl.DataFrame, work: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    beyond = pl.col("difference_percent").abs() > pl.col("difference_noise_percent")
    speaks = ((pl.col("side") != "both") & (pl.col("p_drop") >= DROP_SURE)) | (
        (pl.col("side") == "both") & pl.col("persistent_side").is_not_null() & beyond
    )
    judged = (
        tests.filter((pl.col("kind") == "force") & (pl.col("item") == TEST))
        .group_by("athlete_id", "measured_on", maintain_order=True)
        .agg(spoke=speaks.fill_null(value=False).any())
    )
    tested = join_last_before(days.select(DAY), judged, "measured_on").filter(
        pl.col("spoke") & (days_since("measured_on") <= settings.test_overdue_days)
    )
    worked = work.select("athlete_id", "last_eccentric_on").drop_nulls().unique()
    left_out = join_last_before(days.select(DAY), worked, "last_eccentric_on").filter(
        days_since("last_eccentric_on") >= settings.eccentric_flag_days
    )
    return pl.concat([tested.select(DAY), left_out.select(DAY)])


def _exposure(
    days: pl.DataFrame, exposure: pl.DataFrame, plan: pl.DataFrame, settings: SquadSettings, as_of: dt.date
) -> pl.DataFrame:
    seen = exposure.sort("athlete_id", "week_of").with_columns(
        counted_on=pl.min_horizontal(after("week_of", 6), pl.lit(as_of, pl.Date)),
        before_on=pl.col("last_95_on").shift(1).over("athlete_id"),
    )
    without = (pl.col("week_of") - pl.col("before_on")).dt.total_days()
    resumed = (pl.col("metres_95") > 0) & (without >= settings.exposure_gap_days)
    weeks = seen.filter(
        (pl.col("metres_95") > pl.col("usual_metres_95_high")).fill_null(value=False) | resumed.fill_null(value=False)
    )
    standing = days.select(DAY).join(weeks.select("athlete_id", "week_of", "counted_on"), on="athlete_id").filter(
        pl.col("day_on").is_between(pl.col("counted_on"), after("week_of", 13))
    )  # fmt: skip
    runs = seen.select("athlete_id", "last_95_on").drop_nulls().unique()
    due = (
        join_last_before(days.select(DAY), runs, "last_95_on")
        .join(list_maximal_ahead(days, plan), on=DAY, how="inner")
        .filter((days_since("last_95_on") >= settings.exposure_gap_days) & pl.col("maximal_on").is_not_null())
    )
    return pl.concat([standing.select(DAY), due.select(DAY)])


def _state(fresh: pl.DataFrame, checkin: pl.DataFrame, answers: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    is_tight = pl.col("item").is_in(list(ITEMS.values()))
    spoke = answers.filter(
        (is_tight & (pl.col("value") >= settings.tight_talk_level))
        | (is_tight & (pl.col("z") >= UNUSUAL_Z) & (pl.col("value") >= settings.tight_adapt_level))
        | (pl.col("item").is_in(NOT_AT_HAMSTRING) & (pl.col("z") <= -UNUSUAL_Z))
    )
    told = pl.concat(
        [rows.select("athlete_id", fresh_on="checked_on") for rows in (spoke, checkin.filter(has_hamstring_pain()))]
    ).unique()
    return fresh.join(told, on=["athlete_id", "fresh_on"], how="semi").select(DAY)
