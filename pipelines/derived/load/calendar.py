"""Calendars: tests and when they are due, fast running day by day, and what the week still lacks."""

import datetime as dt

import polars as pl

from pipelines.derived.common.weeks import monday
from pipelines.derived.load.exposure import SESSION
from pipelines.derived.load.exposure_calendar import may_hold_runs
from schemas.settings import SquadSettings

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
    starts = start_trend.select("athlete_id", "metric", "session_date").filter(pl.col("metric") == "t_10_s")
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
    with_splits, with_sets = (
        rows.select(SESSION)
        .filter(pl.col("session_date").is_between(first, as_of))
        .unique()
        .with_columns(is_there=pl.lit(True))
        for rows in (split, lift_set)
    )
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
