"""Fast running day by day, for a calendar (``exposure_calendar``)."""

import datetime as dt

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.resistance import free_runs, was_run
from pipelines.derived.load.exposure import RUNNING_KINDS, SESSION, judged_runs

CALENDAR_WEEKS = 26  # weeks of days that are kept for drawing
DAY = ["athlete_id", "day_on"]


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
    resisted = rep.filter(recent & was_run()).join(free, on=[*SESSION, "rep_no"], how="anti")
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
    return _days_of(rep.select(SESSION).unique(maintain_order=True), session, day_log, as_of)


@kept
def _days_of(run_sessions: pl.DataFrame, session: pl.DataFrame, day_log: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    with_runs = run_sessions.with_columns(has_runs=pl.lit(True))
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
        .unique(DAY, maintain_order=True)
    )


def may_hold_runs() -> pl.Expr:
    """Whether a session may hold fast runs by its kind: a running or unknown kind, and not 0 minutes."""
    kind = pl.col("kind").is_in(RUNNING_KINDS).fill_null(False) | pl.col("kind").is_null()
    return kind & (pl.col("duration_min") != 0).fill_null(True)
