"""How many notes chance alone would make of the squad's check-ins: each own day held against all the others."""

import datetime as dt

import polars as pl

from pipelines.derived.common.ordering import in_order_of
from pipelines.derived.common.sentences import list_review_days
from pipelines.derived.readiness.checkin_answers import add_worse_z, unusual_from
from pipelines.derived.readiness.tightness import ITEMS as TIGHT_ITEMS
from pipelines.derived.readiness.tightness import SLACK, has_hamstring_pain
from schemas.knowledge.attention import hamstring_thresholds
from schemas.knowledge.readiness import CHECKIN_ITEMS
from schemas.settings import SquadSettings

TIGHT_RULES = ("tight_high", "tight_running", "tight_unusual")
MOST_RUN = 7  # answers that a sum of tightness is followed back over
KEY = ["athlete_id", "checked_on"]


def readiness_noise(
    readiness_reason: pl.DataFrame,
    checkin: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Say how many athletes chance alone marks on a day under the rule in force, beside how many were marked.

    By chance: every check-in of the ``settings.baseline_days`` before is held, item by item, against all the other
    days of the same athlete (mean and SD without the day itself), by the thresholds of the rule; the days on which an
    item would be marked, over all athletes, per day of the window. Days on which somebody said they were ill, or told
    pain at ``settings.pain_talk_level`` or at a hamstring, are complaints and are left out. Only athletes of the day
    looked from with more than ``settings.baseline_least_days`` answers in an item. Each athlete's own rate, so nobody
    is taken to answer as the normal curve does. A complaint that was not told stays in: then it is too high.

    Seen: athletes with an unusual answer on the day of its check-in, per day of the review window.
    Source: "leave_one_out". Always one row; no athletes give 0 notes.
    """
    here = list_review_days(athlete, settings=settings, as_of=as_of).filter(pl.col("day_on") == as_of)
    first = as_of - dt.timedelta(days=settings.baseline_days)
    told = pl.col("ill").fill_null(value=False) | (pl.col("pain") >= settings.pain_talk_level).fill_null(value=False)
    window = (
        checkin.filter(pl.col("checked_on").is_between(first, as_of, closed="left"))
        .filter(~told & ~has_hamstring_pain())
        .join(here, on="athlete_id", how="semi")
    )
    judged = _hold_against_others(window, settings)
    marked, held = (rows.select(KEY).unique().height for rows in (judged.filter("marked"), judged))
    athletes = judged["athlete_id"].n_unique()
    expected = marked / settings.baseline_days
    unusual = [item.item for item in CHECKIN_ITEMS if item.item not in TIGHT_ITEMS.values()] + list(TIGHT_RULES)
    seen = readiness_reason.filter(
        pl.col("item").is_in(unusual) & (pl.col("evidence_on") == pl.col("day_on")) & pl.col("z").is_not_null()
    )
    return pl.DataFrame(
        {
            "day_on": [as_of],
            "items": [len(CHECKIN_ITEMS)],
            "athletes": [athletes],
            "expected_false_notes_per_day": [expected],
            "seen_notes_per_day": [seen.select("athlete_id", "day_on").unique().height / settings.review_days],
            "formula": [
                f"of {held} check-ins, each held against the athlete's own others, {marked} "
                f"would be marked in {settings.baseline_days} days = {expected:.1f} a day"
            ],
        },
        schema_overrides={"items": pl.Int64, "athletes": pl.Int64},
    )


def _hold_against_others(window: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Return athlete_id, checked_on, item and marked of each answer with enough others to hold it against.

    With n answers, sum S and sum of squares Q: mean of the others (S - x) / (n - 1), and their variance
    (Q - x^2 - (n - 1) mean^2) / (n - 2).
    """
    by = ["athlete_id", "item"]
    worse = {item.item: 1.0 if item.worse == "high" else -1.0 for item in CHECKIN_ITEMS}
    steps = {item.item: item.step for item in CHECKIN_ITEMS}
    value, n = pl.col("value"), pl.len().over("_series")
    others = (value.sum().over("_series") - value) / (n - 1)
    variance = ((value**2).sum().over("_series") - value**2 - (n - 1) * others**2) / (n - 2)
    floor = pl.col("item").replace_strict(steps, return_dtype=pl.Float64) / 2
    sd = pl.max_horizontal(variance.clip(0.0).sqrt(), floor)
    toward = pl.col("item").replace_strict(worse, return_dtype=pl.Float64)
    given = (
        window.select(*KEY, *(pl.col(item).cast(pl.Float64) for item in worse))
        .unpivot(index=KEY, variable_name="item", value_name="value")
        .drop_nulls("value")
    )
    begins = pl.any_horizontal(pl.col(name).ne_missing(pl.col(name).shift()) for name in by)
    answers = (
        in_order_of(given, [*by, "checked_on"])  # an athlete's answers to one item stand together from here on
        .with_columns(_series=begins.cum_sum())
        .filter(pl.len().over("_series") > max(settings.baseline_least_days, 2))
        .with_columns(towards_worse=toward * (value - others) / (sd * (1 + 1 / (n - 1)).sqrt()))
    )
    is_tight = pl.col("item").is_in(list(TIGHT_ITEMS.values()))
    over = pl.col("towards_worse") - SLACK
    back_in_run = [
        pl.when(pl.col("_series") == pl.col("_series").shift(back)).then(over.shift(back)) if back else over
        for back in range(MOST_RUN)
    ]
    runs = [pl.sum_horizontal(*back_in_run[:length]) for length in range(1, MOST_RUN + 1)]
    added = pl.max_horizontal(*runs) >= hamstring_thresholds(settings).tightness_sum
    tight = added & (value >= settings.tight_adapt_level)
    unusual = (pl.col("worse_z") >= unusual_from(settings)) & (pl.col("towards_worse") > 0)
    return add_worse_z(answers, settings).select(
        *KEY, "item", marked=pl.when(is_tight).then(tight).otherwise(unusual).fill_null(value=False)
    )
