"""Calendars: tests and when they are due, fast running day by day, and what the week still lacks."""

import datetime as dt

import polars as pl

from pipelines.derived.common.weeks import monday
from pipelines.derived.load.exposure import RUNNING_KINDS, SESSION, free_runs, judged_runs
from schemas.settings import SquadSettings

CALENDAR_WEEKS = 26  # weeks of days that are kept for drawing
WEEKS_KEPT = 8  # weeks before the running one whose completeness is kept
DAY = ["athlete_id", "day_on"]
WEEK = ["athlete_id", "week_of"]
FOR_CALLS = {
    "days": "training, load",
    "checkins": "training, hamstring",
    "effort": "training, load",
    "splits": "start, hamstring",
    "gym_sets": "hamstring",
    "tests": "hamstring, start",
    "plan": "hamstring",
}


def group_test_calendar(
    athlete: pl.DataFrame,
    force_test: pl.DataFrame,
    jump_test: pl.DataFrame,
    start_trend: pl.DataFrame,
    body_measure: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per athlete with the squad and test in use: last done, days since, overdue or never.

    days_since = ``as_of`` - last day of the test; overdue when days_since > ``settings.test_overdue_days`` (one for
    all tests; common practice, no source). Tests: force and jump tests; a timed start (a day that counts in the trend
    of the 10 m time); body mass. A test is in use when anybody of the squad has done it by ``as_of``.
    Null rule: never done leaves the day and the count null and says 'never'; an athlete who left has no row.
    """
    last = (
        _tests_done(force_test, jump_test, start_trend, body_measure, as_of)
        .group_by("athlete_id", "test", maintain_order=True)
        .max()
    )
    used = last.select("test").unique()
    since = (pl.lit(as_of, pl.Date) - pl.col("on")).dt.total_days()
    return (
        _with_squad(athlete, as_of)
        .join(used, how="cross")
        .join(last, on=["athlete_id", "test"], how="left")
        .select(
            "athlete_id",
            "test",
            last_on="on",
            days_since=since,
            due_on=pl.col("on") + pl.duration(days=settings.test_overdue_days),
            state=pl.when(pl.col("on").is_null())
            .then(pl.lit("never"))
            .when(since > settings.test_overdue_days)
            .then(pl.lit("overdue"))
            .otherwise(pl.lit("in_time")),
        )
        .sort("athlete_id", "test")
    )


def _tests_done(
    force_test: pl.DataFrame,
    jump_test: pl.DataFrame,
    start_trend: pl.DataFrame,
    body_measure: pl.DataFrame,
    as_of: dt.date,
) -> pl.DataFrame:
    """Return each day a test was done: athlete_id, test, on."""
    starts = start_trend.filter(pl.col("metric") == "t_10_s")
    masses = body_measure.filter(pl.col("body_mass_kg").is_not_null())
    done = pl.concat(
        [
            force_test.select("athlete_id", "test", on="tested_on"),
            jump_test.select("athlete_id", "test", on="tested_on"),
            starts.select("athlete_id", test=pl.lit("timed_start"), on="session_date"),
            masses.select("athlete_id", test=pl.lit("body_mass"), on="measured_on"),
        ]
    )
    return done.filter(pl.col("on") <= as_of).unique()


def _with_squad(athlete: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return the athletes who are with the squad on a day; an unknown joining or leaving day shuts nobody out."""
    here = (pl.col("joined_on") <= as_of).fill_null(True) & (pl.col("left_on") >= as_of).fill_null(True)
    return athlete.filter(here).select("athlete_id")


def exposure_calendar(
    split: pl.DataFrame, rep: pl.DataFrame, session: pl.DataFrame, day_log: pl.DataFrame, *, as_of: dt.date
) -> pl.DataFrame:
    """One row per athlete and day of the last 26 weeks, from the first day logged: fast and resisted running.

    Shares of own best, sections, timing and what counts as a free run are those of speed_exposure; the sums of seven
    days are its weeks. Resisted metres = sum of the distances of resisted runs.
    Null rule: a count is 0 only where the day is known to hold none: a session is logged or the day is marked
    complete, every session of a running (or unknown) kind has runs, and no run is left unjudged. With nothing logged
    it is null: an empty day is not a rest day. What was seen stays, as 'at least', and the reason says so.
    Source: definitions (see speed_exposure for the timing rule).
    """
    first = as_of - dt.timedelta(days=as_of.weekday() + 7 * (CALENDAR_WEEKS - 1))
    logged = pl.concat(
        [session.select("athlete_id", day_on="session_date"), rep.select("athlete_id", day_on="session_date")]
    )
    seen = pl.concat([logged, day_log.select("athlete_id", day_on="logged_on")]).filter(pl.col("day_on") <= as_of)
    days = (
        seen.group_by("athlete_id", maintain_order=True)
        .agg(first_on=pl.max_horizontal(pl.col("day_on").min(), pl.lit(first, pl.Date)))
        .select("athlete_id", day_on=pl.date_ranges("first_on", pl.lit(as_of, pl.Date), interval="1d"))
        .explode("day_on")
    )
    recent = pl.col("session_date").is_between(first, as_of)
    runs = judged_runs(split, rep, as_of, first).filter(recent)
    free = free_runs(rep).filter(recent)
    resisted = rep.filter(recent & (pl.col("outcome") != "false_start").fill_null(True)).join(
        free, on=[*SESSION, "rep_no"], how="anti"
    )
    fast = runs.group_by("athlete_id", day_on="session_date", maintain_order=True).agg(
        runs_90=pl.col("is_90").sum().cast(pl.Int64),
        runs_95=pl.col("is_95").sum().cast(pl.Int64),
        run_90_metres=pl.col("metres_90").sum(),
        run_95_metres=pl.col("metres_95").sum(),
    )
    missed = free.join(runs, on=[*SESSION, "rep_no"], how="anti")
    pulled = resisted.group_by("athlete_id", day_on="session_date", maintain_order=True).agg(
        resisted_runs=pl.len().cast(pl.Int64), pulled_m=_sum_if_all("distance_m")
    )
    table = (
        days.join(_known_days(rep, session, day_log, as_of), on=DAY, how="left")
        .join(fast, on=DAY, how="left")
        .join(
            missed.group_by("athlete_id", day_on="session_date", maintain_order=True).agg(
                unclassified_runs=pl.len().cast(pl.Int64)
            ),
            on=DAY,
            how="left",
        )
        .join(pulled, on=DAY, how="left")
        .with_columns(
            pl.col("unclassified_runs").fill_null(0),
            pl.col("resisted_runs").fill_null(0),
            pl.col("is_logged").fill_null(False),
            pl.col("runs_known").fill_null(False),
        )
    )
    is_none = pl.col("runs_90").is_null() & pl.col("runs_known") & (pl.col("unclassified_runs") == 0)
    counts = ("runs_90", "runs_95", "run_90_metres", "run_95_metres")
    reason = (
        pl.when(~pl.col("is_logged"))
        .then(pl.lit("day_not_logged"))
        .when(~pl.col("runs_known"))
        .then(pl.lit("runs_not_logged"))
        .when(pl.col("unclassified_runs") > 0)
        .then(pl.lit("runs_not_judged"))
        .when((pl.col("resisted_runs") > 0) & pl.col("pulled_m").is_null())
        .then(pl.lit("resisted_length_unknown"))
    )
    return table.select(
        *DAY,
        *(pl.when(is_none).then(pl.lit(0).cast(table.schema[n])).otherwise(pl.col(n)).alias(n) for n in counts),
        "unclassified_runs",
        "resisted_runs",
        resisted_metres=pl.when(pl.col("resisted_runs") > 0).then("pulled_m").when("runs_known").then(pl.lit(0.0)),
        is_logged="is_logged",
        reason=reason,
    ).sort(DAY)


def _sum_if_all(name: str) -> pl.Expr:
    return pl.when(pl.col(name).is_not_null().all()).then(pl.col(name).sum())


def _known_days(rep: pl.DataFrame, session: pl.DataFrame, day_log: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return per logged day whether its running is known: each session that may hold runs has them.

    A day marked not complete is logged, but its running is not known.
    """
    with_runs = rep.select(SESSION).unique().with_columns(has_runs=pl.lit(True))
    done = (
        session.filter(pl.col("session_date") <= as_of)
        .join(with_runs, on=SESSION, how="full", coalesce=True)
        .filter(pl.col("session_date") <= as_of)
        .group_by("athlete_id", day_on="session_date", maintain_order=True)
        .agg(is_missing=(may_hold_runs() & pl.col("has_runs").is_null()).any())
    )
    marks = day_log.filter(pl.col("logged_on") <= as_of).select("athlete_id", "is_complete", day_on="logged_on")
    missing = pl.col("is_missing").fill_null(False)
    return (
        done.join(marks, on=DAY, how="full", coalesce=True)
        .select(*DAY, is_logged=pl.lit(True), runs_known=~missing & pl.col("is_complete").fill_null(True))
        .unique(DAY)
    )


def may_hold_runs() -> pl.Expr:
    """Whether a session may hold fast runs by its kind: a running or unknown kind, and not 0 minutes."""
    kind = pl.col("kind").is_in(RUNNING_KINDS).fill_null(False) | pl.col("kind").is_null()
    return kind & (pl.col("duration_min") != 0).fill_null(True)


def completeness_week(
    athlete: pl.DataFrame,
    checkin: pl.DataFrame,
    session: pl.DataFrame,
    split: pl.DataFrame,
    lift_set: pl.DataFrame,
    load_day: pl.DataFrame,
    plan: pl.DataFrame,
    force_test: pl.DataFrame,
    jump_test: pl.DataFrame,
    start_trend: pl.DataFrame,
    body_measure: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per athlete with the squad, week (the running one and eight before) and item: expected, there, missing.

    days: days of the week so far; there = days with a session logged or marked complete. checkins: days so far; there
    = days with a check-in. effort: sessions of more than 0 minutes (or without minutes); there = those with minutes
    and effort. splits: sessions that may hold fast runs; there = those with a split. gym_sets: strength sessions;
    there = those with a set. tests: tests in use; there = those done within ``settings.test_overdue_days`` before the
    week's end. plan: one; there if anything is planned for the week after. missing = expected - there.
    Source: definitions. Limits: a session nobody logged asks for nothing; 'days' shows it.
    """
    this = as_of - dt.timedelta(days=as_of.weekday())
    weeks = pl.DataFrame({"week_of": [this - dt.timedelta(weeks=back) for back in range(WEEKS_KEPT + 1)]})
    until = pl.min_horizontal(pl.col("week_of") + pl.duration(days=6), pl.lit(as_of, pl.Date))
    grid = _with_squad(athlete, as_of).join(weeks, how="cross").with_columns(until=until)
    so_far = (pl.col("until") - pl.col("week_of")).dt.total_days() + 1
    first = weeks["week_of"].min()

    def in_weeks(frame: pl.DataFrame, day: str) -> pl.DataFrame:
        return frame.filter(pl.col(day).is_between(first, as_of)).with_columns(week_of=monday(day))

    told = in_weeks(load_day, "day_on").filter(~pl.col("reason").is_in(["day_not_logged"]).fill_null(False))
    days = told.group_by(WEEK, maintain_order=True).agg(have=pl.col("day_on").n_unique())
    checkins = (
        in_weeks(checkin, "checked_on").group_by(WEEK, maintain_order=True).agg(have=pl.col("checked_on").n_unique())
    )
    ahead = (
        plan.with_columns(week_of=monday("planned_on").dt.offset_by("-1w"))
        .group_by(WEEK, maintain_order=True)
        .agg(have=pl.lit(1).max())
    )
    sessions = in_weeks(session, "session_date")
    real = sessions.filter((pl.col("duration_min") != 0).fill_null(True))
    has_effort = pl.col("duration_min").is_not_null() & pl.col("effort_0_10").is_not_null()
    with_splits = split.select(SESSION).unique().with_columns(is_there=pl.lit(True))
    with_sets = lift_set.select(SESSION).unique().with_columns(is_there=pl.lit(True))
    is_there = pl.col("is_there").fill_null(False)
    parts = {
        "days": (so_far, days),
        "checkins": (so_far, checkins),
        "effort": (None, _asked(real, has_effort)),
        "splits": (None, _asked(real.filter(may_hold_runs()).join(with_splits, on=SESSION, how="left"), is_there)),
        "gym_sets": (
            None,
            _asked(real.filter(pl.col("kind") == "strength").join(with_sets, on=SESSION, how="left"), is_there),
        ),
        "tests": (None, _tests_in_time(grid, force_test, jump_test, start_trend, body_measure, settings, as_of)),
        "plan": (pl.lit(1), ahead),
    }
    made = []
    for item, (expected, counted) in parts.items():
        rows = grid.join(counted, on=WEEK, how="left").with_columns(
            expected=(pl.col("expected").fill_null(0) if expected is None else expected).cast(pl.Int64),
            have=pl.col("have").fill_null(0).cast(pl.Int64),
        )
        made.append(
            rows.select(
                *WEEK,
                item=pl.lit(item),
                for_calls=pl.lit(FOR_CALLS[item]),
                expected="expected",
                have="have",
                lacking=(pl.col("expected") - pl.col("have")).clip(lower_bound=0),
            )
        )
    return pl.concat(made).sort(*WEEK, "item")


def _asked(sessions: pl.DataFrame, is_there: pl.Expr) -> pl.DataFrame:
    """Count sessions by week and those that have what is asked."""
    return sessions.group_by(WEEK, maintain_order=True).agg(
        expected=pl.len().cast(pl.Int64), have=is_there.sum().cast(pl.Int64)
    )


def _tests_in_time(
    grid: pl.DataFrame,
    force_test: pl.DataFrame,
    jump_test: pl.DataFrame,
    start_trend: pl.DataFrame,
    body_measure: pl.DataFrame,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Count, per athlete and week, the tests in use by its end and those done in time before it."""
    done = _tests_done(force_test, jump_test, start_trend, body_measure, as_of)
    begun = done.group_by("test", maintain_order=True).agg(begun_on=pl.col("on").min())
    asked = grid.join(begun, how="cross").filter(pl.col("begun_on") <= pl.col("until"))
    oldest = grid["until"].min()
    if not isinstance(oldest, dt.date):  # nobody is with the squad
        return grid.select(WEEK).with_columns(expected=pl.lit(0, pl.Int64), have=pl.lit(0, pl.Int64))
    in_reach = done.filter(pl.col("on") >= oldest - dt.timedelta(days=settings.test_overdue_days))
    in_time = (
        grid.join(in_reach, on="athlete_id", how="inner")
        .filter(
            (pl.col("on") <= pl.col("until"))
            & ((pl.col("until") - pl.col("on")).dt.total_days() <= settings.test_overdue_days)
        )
        .select(*WEEK, "test")
        .unique()
        .with_columns(is_there=pl.lit(True))
    )
    return (
        asked.join(in_time, on=[*WEEK, "test"], how="left")
        .group_by(WEEK, maintain_order=True)
        .agg(expected=pl.len().cast(pl.Int64), have=pl.col("is_there").fill_null(False).sum().cast(pl.Int64))
    )
