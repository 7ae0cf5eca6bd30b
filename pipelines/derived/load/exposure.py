"""Exposure to fast running: sections near the athlete's own best speed, by week."""

import datetime as dt

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.resistance import free_runs
from pipelines.derived.common.weeks import LAST_DAY, OWN_WEEKS, looked_from, monday, week_grid
from pipelines.derived.load.amounts import plan_week
from pipelines.derived.load.growth import METRES_FLOOR, METRES_SCATTER, add_growth
from pipelines.derived.load.top_speed import find_bests, find_tops
from schemas.settings import SquadSettings

REP = ["athlete_id", "session_date", "session_no", "rep_no"]
SESSION = ["athlete_id", "session_date", "session_no"]
WEEK = ["athlete_id", "week_of"]
JUDGED_TIMING = ["electronic", "video"]  # a hand time (0.1 s class) cannot tell 90 % from 100 %
RUNNING_KINDS = ["acceleration", "top_speed", "speed_endurance", "race"]  # sessions that hold fast runs by their kind
LEAST_SECTION_M = 5.0  # m, in a shorter section 0.01 s moves the speed by more than 2 %, source: "speed_timing_error"
BEST_DAYS = 365
TOP_SPEED_FROM_M = 40.0  # m from a standing start before which top speed is seldom reached, source: "common_practice"
SETTLED_DAYS = 3  # timed days before the own best is called settled, source: "common_practice"
GAP_WEEKS = 26  # weeks back in which the own longest gap is looked for, own rule
LEAST_GAP_WEEKS = 8  # weeks of days at 95 % before an own longest gap is known, own rule
ROUNDING = 1e-9  # share: 9.18 / 10.20 must count as 90 %


def speed_exposure(
    split: pl.DataFrame,
    rep: pl.DataFrame,
    session: pl.DataFrame,
    day_log: pl.DataFrame,
    plan: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per athlete and week: runs and metres near own best speed, and days since the last of them.

    Formula: section speed v = distance between two consecutive gates / time between them (for a rolling start timed
    from the first gate also start to first gate); share = v / own best v. Own best = the fastest run's top by the same
    timing kind in the 365 days up to and including that day, so the day itself counts; a run's top = its fastest mean
    speed over at least 20 m of up to four sections, or over the longest there is. As the largest of many it is drawn
    in (``find_bests``), so that it does not hang on where the gates stand. efforts_90 / efforts_95 = runs whose top has
    share >= 0.90 / 0.95, one run once; metres = sum of the section lengths at that share; gap =
    days from the last such run to the week's Sunday, or to ``as_of`` in the running week; usual range = the quantiles
    of the settings over metres_95 of the athlete's earlier weeks with judged running (52 weeks back, at least
    ``settings.percentile_least_weeks`` of them); expected = metres_90 by the plan's fast metres as the athlete usually
    carries them out, or by own growth, and above_z = how far the week lies above it in own scatters (``add_growth``);
    longest gap = the longest between two days at 95 % that had ended by the last of them, in the 26 weeks before it.
    Source: definitions; the timing rule from the size of the timing error (see knowledge key speed_timing_error).
    One timing kind per athlete: electronic or video, whichever more of the athlete's judged runs have (electronic on a
    tie). Runs by the other, by hand or by unknown timing, and runs without a section of 5 m or more, count as
    unclassified. A run with no word on resistance is read as free: a sled can only hide a fast run, never make one.
    Resisted runs and false starts are out; a stopped run counts for what it did. Wind is not corrected for.
    Limits: where every section of the year lies within 40 m of a start, own best is below the true top speed and the
    counts read high (reason best_from_start); own best grows with the record (reason best_not_settled at first).
    Null rule: counts are what the record shows. With no judged run in the week they are 0 only if the week is known to
    hold none: sessions are logged or all its days so far are marked complete, and every session of a running kind (or
    of unknown kind) has its runs logged. Otherwise null. A gap is null if such a run was never seen, never a large
    number.
    """
    runs = judged_runs(split, rep, as_of)
    seen = pl.concat(
        [session.select("athlete_id", day_on="session_date"), rep.select("athlete_id", day_on="session_date")]
    )
    weeks = (
        week_grid(pl.concat([seen, day_log.select("athlete_id", day_on="logged_on")]), as_of)
        .join(_own_timing(runs), on="athlete_id", how="left")
        .join(_week_counts(runs), on=WEEK, how="left")
        .join(_unclassified(rep, runs, as_of), on=WEEK, how="left")
        .join(known_running(rep, session, day_log, as_of), on=WEEK, how="left")
        .sort(WEEK)
    )
    weeks = _add_best(_add_gaps(weeks, as_of), runs)
    is_zero = pl.col("judged").is_null() & pl.col("is_running_known") & (pl.col("unclassified").fill_null(0) == 0)
    counts = ("efforts_90", "efforts_95", "metres_90", "metres_95")
    weeks = weeks.with_columns(
        pl.when(is_zero).then(pl.lit(0).cast(weeks.schema[name])).otherwise(pl.col(name)).alias(name) for name in counts
    )
    weeks = _add_longest_gap(_add_expected(_add_usual(weeks, settings), plan), runs)
    is_over = pl.col("week_of") + LAST_DAY <= as_of
    reason = (
        pl.when(~pl.col("is_logged").fill_null(False))
        .then(pl.lit("no_session_logged"))
        .when(pl.col("timing_kind").is_null() & (pl.col("unclassified") > 0))
        .then(pl.lit("no_judged_speed"))
        .when(~pl.col("is_running_known").fill_null(False))
        .then(pl.lit("runs_not_timed"))
        .when(pl.col("is_start_only"))
        .then(pl.lit("best_from_start"))
        .when(pl.col("unclassified") > 0)
        .then(pl.lit("speed_unclassified"))
        .when(pl.col("judged").is_not_null() & (pl.col("timed_days") < SETTLED_DAYS))
        .then(pl.lit("best_not_settled"))
    )
    return weeks.select(
        *WEEK,
        "timing_kind",
        "best_speed_mps",
        *counts,
        change_metres_95=pl.when(is_over).then(pl.col("metres_95") - pl.col("metres_95").shift(1).over("athlete_id")),
        unclassified_efforts=pl.col("unclassified").fill_null(0),
        fastest_share="fastest_share",
        first_90_on="first_90_on",
        first_95_on="first_95_on",
        last_90_on="last_90_on",
        last_95_on="last_95_on",
        gap_90_days="gap_90_days",
        gap_95_days="gap_95_days",
        usual_metres_95_low="usual_metres_95_low",
        usual_metres_95_high="usual_metres_95_high",
        expected_metres_90="expected_metres_90",
        above_z="above_z",
        longest_gap_95_days="longest_gap_95_days",
        reason=reason,
    )


def known_running(rep: pl.DataFrame, session: pl.DataFrame, day_log: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return per athlete and week whether anything is logged (is_logged) and whether all its running is.

    is_running_known: sessions are logged, or every day so far is marked complete, and each session of a running kind
    or of unknown kind (0 minutes: none) has its runs in the record. Source: our own rule.
    """
    return _known_running(rep.select(SESSION).unique(maintain_order=True), session, day_log, as_of)


@kept  # asked for by two tables, and one more run of a session changes nothing of it
def _known_running(
    run_sessions: pl.DataFrame, session: pl.DataFrame, day_log: pl.DataFrame, as_of: dt.date
) -> pl.DataFrame:
    with_runs = run_sessions.with_columns(has_runs=pl.lit(True))
    may_run = (pl.col("kind").is_in(RUNNING_KINDS) | pl.col("kind").is_null()) & (
        pl.col("duration_min") != 0
    ).fill_null(True)
    logged = (
        session.filter(pl.col("session_date") <= as_of)
        .join(with_runs, on=SESSION, how="left")
        .group_by("athlete_id", week_of=monday("session_date"), maintain_order=True)
        .agg(is_missing=(may_run & pl.col("has_runs").is_null()).any())
    )
    closed = (
        day_log.filter((pl.col("logged_on") <= as_of) & pl.col("is_complete"))
        .with_columns(week_of=monday("logged_on"))
        .group_by("athlete_id", "week_of", maintain_order=True)
        .agg(days=pl.len().cast(pl.Int64))
        .filter(pl.col("days") == (looked_from(as_of) - pl.col("week_of")).dt.total_days() + 1)
        .select(WEEK)
    )
    return pl.concat([logged, closed.join(logged, on=WEEK, how="anti").with_columns(is_missing=pl.lit(False))]).select(
        *WEEK, is_logged=pl.lit(True), is_running_known=~pl.col("is_missing")
    )


def _sections(split: pl.DataFrame, rep: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return the timed sections of free runs: rep key, timing_kind, length_m, speed_mps."""
    free = free_runs(rep).filter(pl.col("session_date") <= as_of)
    is_flying = (pl.col("start_kind") == "rolling") & (pl.col("clock_start") == "first_gate").fill_null(True)
    gates = split.join(free.select(*REP, "timing_kind", is_flying=is_flying.fill_null(False)), on=REP, how="inner")
    # Only a flying run has a start that is a gate; from any other start the first section holds the reaction too.
    start = pl.when("is_flying").then(0.0)
    is_first = _is_first_of_run()

    def since_last(name: str) -> pl.Expr:
        return pl.col(name) - pl.when(is_first).then(start).otherwise(pl.col(name).shift(1))

    return (
        gates.sort(*REP, "distance_m")
        .with_columns(length_m=since_last("distance_m"), time_s=since_last("elapsed_s"))
        .filter((pl.col("length_m") >= LEAST_SECTION_M) & (pl.col("time_s") > 0))
        .select(
            *REP,
            "timing_kind",
            "length_m",
            "time_s",
            "distance_m",
            speed_mps=pl.col("length_m") / pl.col("time_s"),
            is_far=pl.col("is_flying") | (pl.col("distance_m") >= TOP_SPEED_FROM_M),
        )
    )


def _is_first_of_run() -> pl.Expr:
    """Return whether a row begins a run; those of a run stand together."""
    return pl.any_horizontal(pl.col(name).ne_missing(pl.col(name).shift(1)) for name in REP)


def judged_runs(split: pl.DataFrame, rep: pl.DataFrame, as_of: dt.date, since: dt.date | None = None) -> pl.DataFrame:
    """Return one row per judged run: its fastest share of own best and the metres at 90 and 95 %.

    With ``since`` only the runs from that day on are judged, against the bests of the year before it.
    """
    sections = _sections(split, rep, as_of).filter(pl.col("timing_kind").is_in(JUDGED_TIMING))
    runs_by_kind = sections.filter(_is_first_of_run()).group_by("athlete_id", "timing_kind", maintain_order=True)
    kinds = runs_by_kind.len("runs")
    # 'electronic' sorts before 'video', so a tie goes to it.
    own = kinds.sort("athlete_id", "runs", "timing_kind", descending=[False, True, False]).unique(
        "athlete_id", keep="first", maintain_order=True
    )
    own_kind = own.select("athlete_id", "timing_kind")
    sections = sections.join(own_kind, on=["athlete_id", "timing_kind"], how="inner", maintain_order="left")
    if since is not None:
        sections = sections.filter(pl.col("session_date") > since - dt.timedelta(days=BEST_DAYS))
    # Runs are joined and told apart by their number: by four names it takes several times as long.
    sections = sections.with_columns(_run=(_is_first_of_run().cum_sum() - 1).cast(pl.UInt32))
    tops = find_tops(sections).with_row_index("_run")
    runs = tops.join(find_bests(tops), on=["athlete_id", "session_date"], how="inner", maintain_order="left")
    share, top = pl.col("speed_mps") / pl.col("best"), pl.col("top_mps") / pl.col("best")
    at = {percent: share >= percent / 100 - ROUNDING for percent in (90, 95)}
    judged = sections if since is None else sections.filter(pl.col("session_date") >= since)
    return (
        judged.select("_run", "timing_kind", "length_m", "speed_mps")
        .join(runs, on="_run", how="inner", maintain_order="left")
        .group_by("_run", maintain_order=True)
        .agg(
            pl.col(*REP, "timing_kind", "timed_days", "is_start_only", "best").first(),
            share=top.first().clip(upper_bound=1.0),  # best is drawn in: its own run lies a little above it
            speed_mps=pl.col("top_mps").first(),
            metres_90=pl.col("length_m").filter(at[90]).sum(),
            metres_95=pl.col("length_m").filter(at[95]).sum(),
        )
        .drop("_run")
        .with_columns(
            is_90=pl.col("share") >= 0.90 - ROUNDING,
            is_95=pl.col("share") >= 0.95 - ROUNDING,
            week_of=monday("session_date"),
        )
    )


def _own_timing(runs: pl.DataFrame) -> pl.DataFrame:
    return runs.select("athlete_id", "timing_kind").unique()


def _week_counts(runs: pl.DataFrame) -> pl.DataFrame:
    """Sum the judged runs of each week."""
    return runs.group_by(WEEK, maintain_order=True).agg(
        judged=pl.len().cast(pl.Int64),
        efforts_90=pl.col("is_90").sum().cast(pl.Int64),
        efforts_95=pl.col("is_95").sum().cast(pl.Int64),
        metres_90=pl.col("metres_90").sum(),
        metres_95=pl.col("metres_95").sum(),
        fastest_share=pl.col("share").max(),
        timed_days=pl.col("timed_days").max(),
        is_start_only=pl.col("is_start_only").any(),
        first_90_on=pl.col("session_date").filter("is_90").min(),
        first_95_on=pl.col("session_date").filter("is_95").min(),
        seen_90_on=pl.col("session_date").filter("is_90").max(),
        seen_95_on=pl.col("session_date").filter("is_95").max(),
    )


def _unclassified(rep: pl.DataFrame, runs: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Count the free runs of each week that were not judged."""
    free = free_runs(rep).filter(pl.col("session_date") <= as_of)
    missed = free.join(runs, on=REP, how="anti")
    return missed.group_by("athlete_id", week_of=monday("session_date"), maintain_order=True).agg(
        unclassified=pl.len().cast(pl.Int64)
    )


def _add_gaps(weeks: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Add the day of the last run at 90 and 95 % and the days since then; weeks are dense and sorted."""
    weeks = weeks.with_columns(
        pl.col(f"seen_{percent}_on").forward_fill().over("athlete_id").alias(f"last_{percent}_on")
        for percent in (90, 95)
    )
    return weeks.with_columns(
        (looked_from(as_of) - pl.col(f"last_{percent}_on")).dt.total_days().alias(f"gap_{percent}_days")
        for percent in (90, 95)
    )


def _add_best(weeks: pl.DataFrame, runs: pl.DataFrame) -> pl.DataFrame:
    """Add own best speed as it stood on the last judged day of a year; shares rest on the best of their day."""
    bests = (
        runs.sort(*WEEK, "session_date")
        .group_by(WEEK, maintain_order=True)
        .agg(best_speed_mps=pl.col("best").last(), _last=pl.col("session_date").last())
    )
    known = weeks.join(bests, on=WEEK, how="left", maintain_order="left").with_columns(
        pl.col("best_speed_mps", "_last").forward_fill().over("athlete_id", order_by="week_of")
    )
    stale = (pl.col("week_of") + LAST_DAY - pl.col("_last")).dt.total_days() >= BEST_DAYS
    return known.with_columns(best_speed_mps=pl.when(~stale.fill_null(value=False)).then("best_speed_mps")).drop(
        "_last"
    )


def _add_usual(weeks: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Add the usual range of metres at 95 % over the earlier weeks with judged running."""
    own = pl.col("own").head(pl.len() - 1)  # all but the week itself
    usual = (
        weeks.with_columns(own=pl.when(pl.col("judged").is_not_null()).then(pl.col("metres_95")))
        .rolling(index_column="week_of", period=f"{OWN_WEEKS * 7 + 1}d", closed="right", group_by="athlete_id")
        .agg(
            weeks=own.count().cast(pl.Int64),
            low=own.quantile(settings.own_range_low, "linear"),
            high=own.quantile(settings.own_range_high, "linear"),
        )
    )
    is_enough = pl.col("weeks") >= max(settings.percentile_least_weeks, 1)
    return weeks.join(usual, on=WEEK, how="left", maintain_order="left").with_columns(
        usual_metres_95_low=pl.when(is_enough).then(pl.col("low")),
        usual_metres_95_high=pl.when(is_enough).then(pl.col("high")),
    )


def _add_expected(weeks: pl.DataFrame, plan: pl.DataFrame) -> pl.DataFrame:
    """Add what was to be expected of each week; of the running one what it holds so far is a least."""
    planned = plan_week(plan).select(*WEEK, "planned_fast_metres")
    known = weeks.join(planned, on=WEEK, how="left", maintain_order="left")
    grown = add_growth(known, "metres_90", "planned_fast_metres", floor=METRES_FLOOR, scatter=METRES_SCATTER)
    return grown.rename({"expected": "expected_metres_90"}).drop("planned_fast_metres")


def _add_longest_gap(weeks: pl.DataFrame, runs: pl.DataFrame) -> pl.DataFrame:
    """Add the longest gap between days at 95 % that had ended by the last of them; null with under eight weeks.

    A gap over a week whose fast metres are unknown (timed by hand, not logged) is no known gap and does not count:
    otherwise a week that nobody measured would excuse every later one.
    """
    is_unknown = pl.col("metres_95").is_null().cast(pl.Int64)
    so_far = weeks.sort(WEEK).select(
        *WEEK, unknown_weeks=is_unknown.cum_sum().over("athlete_id"), is_unknown=is_unknown
    )  # fmt: skip
    days = (
        runs.filter("is_95")
        .select("athlete_id", "session_date")
        .unique()
        .with_columns(week_of=monday("session_date"))
        .join(so_far, on=WEEK, how="left")
        .sort("athlete_id", "session_date")
        .with_columns(
            unknown_between=pl.col("unknown_weeks")
            - (pl.col("unknown_weeks") - pl.col("is_unknown")).shift(1).over("athlete_id")
        )
        .with_columns(
            gap=pl.when(pl.col("unknown_between") == 0).then(
                pl.col("session_date").diff().dt.total_days().over("athlete_id")
            ),
            known_days=(pl.col("session_date") - pl.col("session_date").min().over("athlete_id")).dt.total_days(),
        )
    )
    longest = (
        days.rolling("session_date", period=f"{GAP_WEEKS * 7}d", group_by="athlete_id")
        .agg(longest=pl.col("gap").max(), known_days=pl.col("known_days").last())
        .select(
            "athlete_id",
            last_95_on="session_date",
            longest_gap_95_days=pl.when(pl.col("known_days") >= LEAST_GAP_WEEKS * 7).then("longest"),
        )
    )
    return weeks.join(longest, on=["athlete_id", "last_95_on"], how="left", maintain_order="left")
