"""What speaks of exposure to fast running: a week above own usual, or a long gap and then a maximal session."""

import datetime as dt

import polars as pl

from pipelines.derived.common.sentences import say_count, say_day, say_number
from pipelines.derived.hamstring.signs import DAY, Signs, after, days_since, join_last_before, make_signs
from schemas.knowledge.hamstring import MAXIMAL_KINDS, PLAN_AHEAD_DAYS
from schemas.phrase import phrase
from schemas.settings import SquadSettings


def list_exposure(
    days: pl.DataFrame,
    speed_exposure: pl.DataFrame,
    plan: pl.DataFrame,
    settings: SquadSettings,
    as_of: dt.date,
) -> Signs:
    """Exposure: fast metres of a week above own usual range, or a long gap and then a maximal session.

    A week counts once it is over (the running one as far as it is known) and for the seven days after its Sunday.
    Long gap: at least ``settings.exposure_gap_days`` since the last run at 95 % of own best. It speaks with a maximal
    session planned within a week (fast metres planned, or a top-speed session or race without a figure), or when fast
    metres followed it, counted from the Monday of their week, so at least that long. A gap alone is no sign.
    """
    seen = speed_exposure.select(
        "athlete_id", "week_of", "metres_95", "last_95_on", "usual_metres_95_low", "usual_metres_95_high"
    ).sort("athlete_id", "week_of")
    seen = seen.with_columns(
        counted_on=pl.min_horizontal(after("week_of", 6), pl.lit(as_of, pl.Date)),
        before_on=pl.col("last_95_on").shift(1).over("athlete_id"),
    )
    first = days["day_on"].min()
    recent = seen if first is None else seen.filter(pl.col("week_of") >= pl.lit(first) - pl.duration(days=20))
    standing_weeks = days.select(DAY).join(recent, on="athlete_id").filter(
        pl.col("day_on").is_between(pl.col("counted_on"), after("week_of", 13))
    )  # fmt: skip
    evidence = ("speed_exposure", "week_of")
    metres = say_number(pl.col("metres_95"), 0)
    monday = say_day(pl.col("week_of"))
    high = say_number(pl.col("usual_metres_95_high"), 0)
    spike = make_signs(
        standing_weeks.filter(pl.col("metres_95") > pl.col("usual_metres_95_high")).sort(*DAY, "week_of"),
        0,
        phrase("{} m at ≥ 95 % in the week of {}, own usual up to {}", metres, monday, high),
        evidence,
        ("duhig_2016", "published_weak"),
        after("week_of", 14),
    )
    without = (pl.col("week_of") - pl.col("before_on")).dt.total_days()
    resumed = make_signs(
        standing_weeks.filter((pl.col("metres_95") > 0) & (without >= settings.exposure_gap_days)),
        2,
        phrase("at least {} days without ≥ 95 %, then {} m in the week of {}", without, metres, monday),
        evidence,
        ("colby_2018", "published_weak"),
        after("week_of", 14),
    )
    is_maximal = (pl.col("fast_metres") > 0) | (pl.col("fast_metres").is_null() & pl.col("kind").is_in(MAXIMAL_KINDS))
    ahead = (
        days.select(DAY)
        .join(plan.select("athlete_id", "planned_on", is_maximal=is_maximal.fill_null(value=False)), on="athlete_id")
        .filter((-days_since("planned_on")).is_between(0, PLAN_AHEAD_DAYS))
        .group_by(DAY, maintain_order=True)
        .agg(
            planned=pl.len(),
            maximal_on=pl.col("planned_on").filter("is_maximal").min(),
            last_maximal_on=pl.col("planned_on").filter("is_maximal").max(),
        )
    )
    runs = seen.select("athlete_id", "last_95_on").drop_nulls().unique()
    weeks = seen.select("athlete_id", "counted_on", "metres_95", "usual_metres_95_low", "usual_metres_95_high")
    grid = (
        join_last_before(join_last_before(days.select(DAY), weeks, "counted_on"), runs, "last_95_on")
        .join(ahead, on=DAY, how="left")
        .with_columns(gap=days_since("last_95_on"))
    )
    is_long = pl.col("gap") >= settings.exposure_gap_days
    due = make_signs(
        grid.filter(is_long & pl.col("maximal_on").is_not_null()),
        1,
        phrase("{} days since ≥ 95 %, maximal session planned {}", "gap", say_day(pl.col("maximal_on"))),
        ("speed_exposure", "last_95_on"),
        ("colby_2018", "published_weak"),
        after("last_maximal_on", 1),
    )
    missing = (
        pl.when(pl.col("last_95_on").is_null())
        .then(pl.lit("no_judged_speed"))
        .when(is_long & pl.col("planned").is_null())
        .then(pl.lit("no_plan"))
        .when(pl.col("metres_95").is_null())
        .then(pl.lit("exposure_week_unknown"))
        .when(pl.col("usual_metres_95_high").is_null())
        .then(pl.lit("own_exposure_unknown"))
    )
    since = say_count(pl.col("gap"), "day", "days")
    low = say_number(pl.col("usual_metres_95_low"), 0)
    words = (
        pl.when(pl.col("last_95_on").is_null())
        .then(pl.lit("no run timed well enough to be set against own best"))
        .when(is_long & pl.col("planned").is_null())
        .then(phrase("{} since ≥ 95 %; no plan entered for the coming week", since))
        .when(pl.col("metres_95").is_null())
        .then(phrase("fast metres of the last week not known; {} since ≥ 95 %", since))
        .when(pl.col("usual_metres_95_high").is_null())
        .then(phrase("{} m at ≥ 95 % in the last week, own range not known yet; {} since then", metres, since))
        .otherwise(
            phrase("{} m at ≥ 95 % in the last week, own usual {} to {}; {} since ≥ 95 %", metres, low, high, since)
        )
    )
    standing = grid.with_columns(missing=missing, quiet=words).select(
        *DAY, cannot=pl.col("missing").is_not_null(), quiet="quiet", missing="missing"
    )
    return pl.concat([spike, due, resumed]), standing
