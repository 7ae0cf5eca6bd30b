"""What speaks of exposure to fast running: a week above plan and own growth; a long gap, then a maximal session."""

import datetime as dt

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.sentences import say_count, say_day, say_number
from pipelines.derived.hamstring.signs import DAY, Signs, after, days_since, join_last_before, make_signs
from schemas.knowledge.attention import hamstring_thresholds
from schemas.knowledge.hamstring import MAXIMAL_KINDS, PLAN_AHEAD_DAYS
from schemas.phrase import phrase
from schemas.settings import SquadSettings


@kept
def list_exposure(
    days: pl.DataFrame,
    speed_exposure: pl.DataFrame,
    plan: pl.DataFrame,
    settings: SquadSettings,
    as_of: dt.date,
) -> Signs:
    """Exposure: fast metres of a week above what was to be expected, or a long gap and then a maximal session.

    A week counts once it is over (the running one as far as it is known) and for the seven days after its Sunday. It
    speaks when above_z (against the plan and own growth, see ``add_growth``) reaches the threshold that keeps the squad
    within ``settings.attention_athletes`` (knowledge, clean rates): a week as planned never does.
    Long gap: at least ``settings.exposure_gap_days`` since the last run at 95 % of own best and none at 90 % since,
    longer than any such gap of the athlete's own in the half year before, where that is known. It speaks with a maximal
    session planned within a week (fast metres planned, or a top-speed session or race without a figure), or when fast
    metres followed it, counted from the Monday of their week, so at least that long. A gap alone is no sign. Nor is one
    over a week in which fast running is logged and was not timed by gate or film: nobody knows that it is a gap.
    """
    seen = speed_exposure.select(
        "athlete_id", "week_of", "metres_95", "metres_90", "first_95_on", "last_95_on", "first_90_on", "last_90_on",
        "expected_metres_90", "above_z", "longest_gap_95_days", untimed=_is_untimed(),
    ).sort("athlete_id", "week_of")  # fmt: skip
    so_far = pl.col("untimed").cum_sum().over("athlete_id")
    seen = seen.with_columns(untimed_to=so_far, untimed_before=so_far - pl.col("untimed"))
    seen = seen.with_columns(  # untimed weeks before that of the last run at 95 %
        untimed_at_last=pl.when(pl.col("last_95_on") >= pl.col("week_of"))
        .then("untimed_before")
        .forward_fill()
        .over("athlete_id")
    )
    is_same = pl.col("athlete_id") == pl.col("athlete_id").shift(1)  # weeks of an athlete stand together

    def week_before(name: str) -> pl.Expr:
        return pl.when(is_same).then(pl.col(name).shift(1))

    seen = seen.with_columns(
        untimed_since=week_before("untimed_to") - week_before("untimed_at_last"),
        counted_on=pl.min_horizontal(after("week_of", 6), pl.lit(as_of, pl.Date)),
        before_on=week_before("last_95_on"),
        fast_before_on=week_before("last_90_on"),
        longest_before=week_before("longest_gap_95_days"),
    )
    first = days["day_on"].min()
    recent = seen if first is None else seen.filter(pl.col("week_of") >= pl.lit(first) - pl.duration(days=20))
    standing_weeks = days.select(DAY).join(recent, on="athlete_id").filter(
        pl.col("day_on").is_between(pl.col("counted_on"), after("week_of", 13))
    )  # fmt: skip
    evidence = ("speed_exposure", "week_of")
    metres = say_number(pl.col("metres_95"), 0)
    monday = say_day(pl.col("week_of"))
    expected = say_number(pl.col("expected_metres_90"), 0)
    far_above = hamstring_thresholds(settings).metres_z
    done_90 = say_number(pl.col("metres_90"), 0)
    spike = make_signs(
        standing_weeks.filter(pl.col("above_z") >= far_above).sort(*DAY, "week_of"),
        0,
        phrase("{} m at ≥ 90 % in the week of {}, about {} to be expected", done_90, monday, expected),
        evidence,
        ("duhig_2016", "published_weak"),
        after("week_of", 14),
    )
    without = (pl.col("week_of") - pl.col("before_on")).dt.total_days()
    without_90 = (pl.col("week_of") - pl.col("fast_before_on")).dt.total_days()
    resumed_after = _is_long(without, without_90, pl.col("longest_before"), settings) & (
        pl.col("untimed_since").fill_null(0) == 0
    )
    resumed = make_signs(
        standing_weeks.filter((pl.col("metres_95") > 0) & resumed_after),
        2,
        phrase("at least {} days without ≥ 95 %, then {} m in the week of {}", without, metres, monday),
        evidence,
        ("colby_2018", "published_weak"),
        after("week_of", 14),
    )
    ahead = list_maximal_ahead(days, plan)
    longest = seen.select("athlete_id", "last_95_on", "longest_gap_95_days").drop_nulls("last_95_on").unique()
    weeks = seen.select("athlete_id", "counted_on", "metres_95", "metres_90", "expected_metres_90", "untimed_to")
    before_run = _list_days(seen, "first_95_on", "last_95_on", "ran_on", "untimed_before")
    grid = join_last_before(days.select(DAY), weeks, "counted_on")
    grid = join_last_before(grid, _list_days(seen, "first_90_on", "last_90_on", "fast_on"), "fast_on")
    grid = join_last_before(grid, before_run, "ran_on")
    grid = (
        grid.join(longest.rename({"last_95_on": "ran_on"}), on=["athlete_id", "ran_on"], how="left")
        .join(ahead, on=DAY, how="left")
        .with_columns(gap=days_since("ran_on"))
    )
    long_ago = _is_long(pl.col("gap"), days_since("fast_on"), pl.col("longest_gap_95_days"), settings)
    is_open = (pl.col("untimed_to") > pl.col("untimed_before")).fill_null(value=False)
    is_long = long_ago & ~is_open
    due = make_signs(
        grid.filter(is_long & pl.col("maximal_on").is_not_null()),
        1,
        phrase("{} days since ≥ 95 %, maximal session planned {}", "gap", say_day(pl.col("maximal_on"))),
        ("speed_exposure", "ran_on"),
        ("colby_2018", "published_weak"),
        after("last_maximal_on", 1),
    )
    missing = (
        pl.when(pl.col("ran_on").is_null())
        .then(pl.lit("no_judged_speed"))
        .when(long_ago & is_open)
        .then(pl.lit("runs_not_timed"))
        .when(is_long & pl.col("planned").is_null())
        .then(pl.lit("no_plan"))
        .when(pl.col("metres_95").is_null())
        .then(pl.lit("exposure_week_unknown"))
        .when(pl.col("expected_metres_90").is_null())
        .then(pl.lit("own_exposure_unknown"))
    )
    since = say_count(pl.col("gap"), "day", "days")
    words = (
        pl.when(pl.col("ran_on").is_null())
        .then(pl.lit("no run timed well enough to be set against own best"))
        .when(long_ago & is_open)
        .then(phrase("last timed at ≥ 95 % {} ago; fast sessions since then have no times, so no gap is known", since))
        .when(is_long & pl.col("planned").is_null())
        .then(phrase("{} since ≥ 95 %; no plan entered for the coming week", since))
        .when(pl.col("metres_95").is_null())
        .then(phrase("metres at ≥ 90 % of the last week not known; {} since ≥ 95 %", since))
        .when(pl.col("expected_metres_90").is_null())
        .then(phrase("{} m at ≥ 90 % in the last week, own usual not known yet; {} since ≥ 95 %", done_90, since))
        .otherwise(
            phrase("{} m at ≥ 90 % in the last week, about {} expected; {} since ≥ 95 %", done_90, expected, since)
        )
    )
    standing = grid.with_columns(missing=missing, quiet=words).select(
        *DAY, cannot=pl.col("missing").is_not_null(), quiet="quiet", missing="missing"
    )
    return pl.concat([spike, due, resumed]), standing


def _is_untimed() -> pl.Expr:
    """Return 1 for a week that holds sessions that may hold fast runs, and no time to know it by; else 0.

    A week of which nothing is logged is none: nothing says that anybody ran.
    """
    by_hand = pl.col("metres_95").is_null() & pl.col("reason").is_in(["no_judged_speed", "speed_unclassified"])
    return (by_hand | (pl.col("reason") == "runs_not_timed")).fill_null(value=False).cast(pl.Int64)


def _list_days(seen: pl.DataFrame, first: str, last: str, name: str, *more: str) -> pl.DataFrame:
    """Return the days of such runs that the weeks tell of, the first and the last of each, and more of their week."""
    # The last day is carried on from week to week, and is the first in a week of one: looked up once, not each time.
    before = pl.all_horizontal(pl.col(column).eq_missing(pl.col(column).shift()) for column in ("athlete_id", last))
    told = (seen, seen.filter(~before & pl.col(last).ne_missing(pl.col(first))))
    days = [
        rows.select("athlete_id", pl.col(day).alias(name), *more) for rows, day in zip(told, (first, last), strict=True)
    ]
    return pl.concat(days).drop_nulls(name).unique(["athlete_id", name], keep="first")


def list_maximal_ahead(days: pl.DataFrame, plan: pl.DataFrame) -> pl.DataFrame:
    """Return what is planned within a week of each day: planned (sessions), maximal_on and last_maximal_on.

    Only days with a plan. Maximal: fast metres planned, or a top-speed session or race without a figure.
    """
    # Days of each are held against each other, so only the plan of those days is: of three years it is a twentieth.
    near = pl.col("planned_on").is_between(
        days["day_on"].min(), pl.lit(days["day_on"].max(), pl.Date) + pl.duration(days=PLAN_AHEAD_DAYS)
    )
    is_maximal = (pl.col("fast_metres") > 0) | (pl.col("fast_metres").is_null() & pl.col("kind").is_in(MAXIMAL_KINDS))
    return (
        days.select(DAY)
        .join(
            plan.filter(near).select("athlete_id", "planned_on", is_maximal=is_maximal.fill_null(value=False)),
            on="athlete_id",
        )
        .filter((-days_since("planned_on")).is_between(0, PLAN_AHEAD_DAYS))
        .group_by(DAY, maintain_order=True)
        .agg(
            planned=pl.len(),
            maximal_on=pl.col("planned_on").filter("is_maximal").min(),
            last_maximal_on=pl.col("planned_on").filter("is_maximal").max(),
        )
    )


def _is_long(gap: pl.Expr, gap_90: pl.Expr, longest: pl.Expr, settings: SquadSettings) -> pl.Expr:
    """Return whether a gap is long: by the setting, for this athlete, and without runs just under the line.

    A timed section is known to about 1 %, so 94 % and 95 % cannot be told apart: who ran at 90 % meanwhile has no gap.
    What is not known (own longest gap, runs at 90 %) excuses nobody.
    """
    days = settings.exposure_gap_days
    return (gap >= days) & (gap > longest).fill_null(value=True) & (gap_90 >= days).fill_null(value=True)
