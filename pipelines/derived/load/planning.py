"""The plan of a week: its effect before it is saved, and what was done of it afterwards."""

import datetime as dt

import polars as pl

from pipelines.derived.common.sentences import say_count, say_day, say_number
from pipelines.derived.common.weeks import monday
from pipelines.derived.load.amounts import add_own_range, plan_week
from schemas.derived.planning import PlanEffect
from schemas.knowledge.hamstring import MAXIMAL_KINDS
from schemas.phrase import phrase
from schemas.settings import SquadSettings

WEEK = ["athlete_id", "week_of"]
PLAN_KEY = ["athlete_id", "planned_on", "plan_no"]
SAID = ("kind", "fast_metres", "planned_min", "planned_effort_0_10")
REACH_WEEKS = 2  # weeks back in which the last whole week is looked for
DAYS_OF_WEEK = 7


def merged_plan(plan: pl.DataFrame, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the plan as it would be once rows are entered: an empty cell erases nothing, as in the record."""
    columns = [*PLAN_KEY, *SAID]
    both = pl.concat([plan.select(columns), rows.select(columns)], how="vertical_relaxed")
    return both.group_by(PLAN_KEY, maintain_order=True).agg(pl.col(name).drop_nulls().last() for name in SAID)


def plan_effect(
    rows: pl.DataFrame,
    plan: pl.DataFrame,
    load_week: pl.DataFrame,
    speed_exposure: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Say what a planned week would mean, one row per athlete and week of ``rows``, before anything is saved.

    planned_au = sum of planned minutes x planned effort over the plan as it would then be; monotony = mean / SD (n - 1)
    of the seven planned days; change against the last whole week before, at most two weeks back; own range and
    percentile as in load_week, over the athlete's own whole, uninjured weeks of the 52 before the planned one; usual
    fast metres = those of the latest week in speed_exposure; gap = days from the last run at 95 % to the first maximal
    session planned from ``as_of`` on (fast metres planned, or a top-speed session or race without a figure).
    speaks_on_exposure: the gap ends in this week and is at least ``settings.exposure_gap_days``, or the fast metres are
    above usual: the rules by which the exposure family of the hamstring flags would speak.
    Sources: foster_1998, foster_2001, midrank_percentile; definitions. Limits: facts against the athlete's own past;
    neither a load nor a number of fast metres is called safe, and a taper or a comeback is a change like any other.
    Null rule: a planned session without minutes or effort leaves the load null; without own weeks there is no range.
    """
    future = merged_plan(plan, rows).with_columns(week_of=monday("planned_on"))
    asked = rows.select("athlete_id", week_of=monday("planned_on")).unique()
    sums = plan_week(future.drop("week_of"))
    weeks = (
        asked.join(sums, on=WEEK, how="left")
        .join(_days_of(future), on=WEEK, how="left")
        .join(_own_range(asked.join(sums, on=WEEK, how="left"), load_week, settings), on=WEEK, how="left")
        .join(_last_whole(asked, load_week), on=WEEK, how="left")
        .join(_fast_past(speed_exposure, as_of), on="athlete_id", how="left")
        .join(_next_maximal(future, as_of), on="athlete_id", how="left")
    )
    load, low, high = pl.col("planned_au"), pl.col("own_low_au"), pl.col("own_high_au")
    fast, usual = pl.col("planned_fast_metres"), (pl.col("usual_low_metres"), pl.col("usual_high_metres"))
    gap = (pl.col("maximal_on") - pl.col("last_95_on")).dt.total_days()
    # A gap that ends in a week planned before this one speaks there, not here.
    is_long = (pl.col("gap_days") >= settings.exposure_gap_days) & (monday("maximal_on") == pl.col("week_of"))
    weeks = weeks.with_columns(
        change_au=load - pl.col("last_au"),
        load_place=_place(load, low, high),
        fast_place=_place(fast, *usual),
        gap_days=pl.when(gap >= 0).then(gap),
    ).with_columns(
        change_percent=pl.when(pl.col("last_au") > 0).then(100 * pl.col("change_au") / pl.col("last_au")),
        speaks_on_exposure=(is_long | (pl.col("fast_place") == "above")).fill_null(False),
        reason=pl.when(load.is_null())
        .then(pl.lit("plan_incomplete"))
        .when(low.is_null())
        .then(pl.lit("own_weeks_too_few"))
        .when(fast.is_null())
        .then(pl.lit("fast_metres_unplanned"))
        .when(pl.col("last_95_on").is_null())
        .then(pl.lit("no_judged_speed")),
    )  # fmt: skip
    weeks = weeks.with_columns(load_words=_load_words(), fast_words=_fast_words())
    return weeks.select(list(PlanEffect.to_schema().columns)).sort(WEEK)


def _place(value: pl.Expr, low: pl.Expr, high: pl.Expr) -> pl.Expr:
    """Return below, within or above; null where one is unknown."""
    return (
        pl.when(value < low)
        .then(pl.lit("below"))
        .when(value > high)
        .then(pl.lit("above"))
        .when((value >= low) & (value <= high))
        .then(pl.lit("within"))
    )


def _days_of(future: pl.DataFrame) -> pl.DataFrame:
    """Return sessions and monotony of each planned week; a day without a session counts as 0."""
    minutes = pl.col("planned_min")
    load = pl.when(minutes == 0).then(0.0).otherwise(minutes * pl.col("planned_effort_0_10"))
    days = future.with_columns(load=load).group_by(*WEEK, "planned_on", maintain_order=True).agg(
        sessions=(minutes != 0).fill_null(True).sum(),
        day_au=pl.when(pl.col("load").is_not_null().all()).then(pl.col("load").sum()),
    )  # fmt: skip
    day, count = pl.col("day_au"), pl.len()
    total, squares = day.sum(), (day**2).sum()
    least = pl.when(count < DAYS_OF_WEEK).then(0.0).otherwise(day.min())
    sd = ((squares - total**2 / DAYS_OF_WEEK) / (DAYS_OF_WEEK - 1)).sqrt()
    is_told = day.is_not_null().all() & (day.max() > least)
    return days.group_by(WEEK, maintain_order=True).agg(
        sessions=pl.col("sessions").sum().cast(pl.Int64),
        monotony=pl.when(is_told).then(total / DAYS_OF_WEEK / sd),
    )


def _own_range(asked: pl.DataFrame, load_week: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Return own range and percentile of the planned week among the weeks before it.

    Who may not read which weeks were injury weeks gets the range as it stood in the last week before, and no place.
    """
    planned = asked.select(*WEEK, load_au="planned_au", injury_week=pl.lit(False), is_asked=pl.lit(True))
    before = load_week.join(asked.select("athlete_id", planned_for="week_of"), on="athlete_id", how="inner").filter(
        pl.col("week_of") < pl.col("planned_for")
    )
    weeks = pl.concat(
        [before.select(*WEEK, "load_au", "injury_week", is_asked=pl.lit(False)).unique(WEEK), planned]
    ).sort(WEEK)
    told = (
        before.sort("athlete_id", "planned_for", "week_of")
        .group_by("athlete_id", "planned_for", maintain_order=True)
        .agg(
            last_low=pl.col("own_low_au").last(),
            last_high=pl.col("own_high_au").last(),
            is_hidden=pl.col("injury_week").is_null().all(),
        )
        .rename({"planned_for": "week_of"})
    )
    hidden = pl.col("is_hidden").fill_null(False)
    return (
        add_own_range(weeks, settings)
        .filter("is_asked")
        .join(told, on=WEEK, how="left")
        .select(
            *WEEK,
            own_low_au=pl.when(hidden).then("last_low").otherwise("own_low_au"),
            own_high_au=pl.when(hidden).then("last_high").otherwise("own_high_au"),
            percentile=pl.when(~hidden).then("percentile"),
        )
    )


def _last_whole(asked: pl.DataFrame, load_week: pl.DataFrame) -> pl.DataFrame:
    """Return the last whole week before the planned one, at most two weeks back."""
    whole = load_week.filter(pl.col("load_au").is_not_null()).select("athlete_id", last_on="week_of", last_au="load_au")
    back = (pl.col("week_of") - pl.col("last_on")).dt.total_days()
    return (
        asked.join(whole, on="athlete_id", how="inner")
        .filter(back.is_between(1, REACH_WEEKS * DAYS_OF_WEEK))
        .sort(*WEEK, "last_on")
        .unique(WEEK, keep="last", maintain_order=True)
    )


def _fast_past(speed_exposure: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return the last run at 95 % and own usual fast metres, as they stand in the latest week."""
    return (
        speed_exposure.filter(pl.col("week_of") <= as_of)
        .sort(WEEK)
        .unique("athlete_id", keep="last", maintain_order=True)
        .select(
            "athlete_id",
            "last_95_on",
            usual_low_metres="usual_metres_95_low",
            usual_high_metres="usual_metres_95_high",
        )
    )


def _next_maximal(future: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return the first maximal session planned from a day on."""
    is_maximal = (pl.col("fast_metres") > 0) | (
        pl.col("fast_metres").is_null()
        & pl.col("kind").is_in(MAXIMAL_KINDS)
        & (pl.col("planned_min") != 0).fill_null(True)
    )
    return (
        future.filter((pl.col("planned_on") >= as_of) & is_maximal.fill_null(False))
        .group_by("athlete_id", maintain_order=True)
        .agg(maximal_on=pl.col("planned_on").min())
    )


def _range_words(place: str, low: str, high: str, what: str) -> pl.Expr:
    spoken = pl.col(place).replace_strict(
        {"below": "below", "within": "within", "above": "above"}, default=None, return_dtype=pl.String
    )
    return phrase(
        ", {} own " + what + " {} to {}", spoken, say_number(pl.col(low), 0), say_number(pl.col(high), 0)
    ).fill_null(pl.lit(f", own {what} not known yet"))


def _load_words() -> pl.Expr:
    """Say the planned load against last week and own range."""
    load, last = say_number(pl.col("planned_au"), 0), say_number(pl.col("last_au"), 0)
    percent = pl.col("change_percent")
    size = say_number(percent.abs(), 0)
    against = (
        pl.when(percent.abs().round(0) == 0)
        .then(phrase(", as in the week of {}", say_day(pl.col("last_on"))))
        .when(percent > 0)
        .then(phrase(", {} % more than the {} of the week of {}", size, last, say_day(pl.col("last_on"))))
        .when(percent < 0)
        .then(phrase(", {} % less than the {} of the week of {}", size, last, say_day(pl.col("last_on"))))
        .otherwise(pl.lit(", no whole week just before to compare with"))
    )
    told = pl.concat_str(
        phrase("{} AU planned", load), against, _range_words("load_place", "own_low_au", "own_high_au", "range")
    )
    return pl.coalesce(told, pl.lit("a planned session lacks minutes or effort, so the load has no value"))


def _fast_words() -> pl.Expr:
    """Say the planned fast metres against usual, and the gap to the next maximal run."""
    fast = say_number(pl.col("planned_fast_metres"), 0)
    first = pl.coalesce(
        pl.concat_str(
            phrase("{} fast metres planned", fast),
            _range_words("fast_place", "usual_low_metres", "usual_high_metres", "usual"),
        ),
        pl.lit("a planned running session does not say its fast metres"),
    )
    gap = phrase(
        "; {} from the last run at ≥ 95 % to the maximal one planned on {}",
        say_count(pl.col("gap_days"), "day", "days"),
        say_day(pl.col("maximal_on")),
    )
    rest = (
        pl.when(pl.col("maximal_on").is_null())
        .then(pl.lit("; no maximal run planned"))
        .when(pl.col("last_95_on").is_null())
        .then(pl.lit("; no run at ≥ 95 % on record to count a gap from"))
        .otherwise(gap)
    )
    return pl.concat_str(first, rest.fill_null(pl.lit("")))
