"""What was planned and what was done, week by week (``plan_done``)."""

import datetime as dt

import polars as pl

from pipelines.derived.common.weeks import monday
from pipelines.derived.load.amounts import plan_week

WEEK = ["athlete_id", "week_of"]


def plan_done(
    plan: pl.DataFrame,
    session: pl.DataFrame,
    load_week: pl.DataFrame,
    speed_exposure: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per athlete and week, up to the running one, with a plan or a session: planned against done.

    difference = done - planned, in AU and as 100 x difference / planned; fast metres done = metres at 95 % of own best
    or more (speed_exposure), planned = the plan's fast metres. Planned sums as in load_week.
    Source: definitions; load after Foster 2001.
    Null rule: a difference is null unless both sides are known whole (reason says which is not); the percentage is
    null where the plan is 0. The running week is null until its days are in.
    """
    planned = plan.with_columns(week_of=monday("planned_on"))
    done = session.filter(pl.col("session_date") <= as_of).with_columns(week_of=monday("session_date"))
    weeks = pl.concat([planned.select(WEEK), done.select(WEEK)]).unique().filter(pl.col("week_of") <= as_of)

    def count(minutes: str, name: str) -> pl.Expr:
        return (pl.col(minutes) != 0).fill_null(True).sum().cast(pl.Int64).alias(name)

    rows = (
        weeks.join(
            planned.group_by(WEEK, maintain_order=True).agg(count("planned_min", "sessions_planned")),
            on=WEEK,
            how="left",
        )
        .join(done.group_by(WEEK, maintain_order=True).agg(count("duration_min", "sessions_done")), on=WEEK, how="left")
        .join(plan_week(plan), on=WEEK, how="left")
        .join(load_week.select(*WEEK, "load_au"), on=WEEK, how="left")
        .join(speed_exposure.select(*WEEK, done_fast_metres="metres_95"), on=WEEK, how="left")
        .with_columns(has_plan=pl.col("sessions_planned").is_not_null())
    )
    difference = pl.col("load_au") - pl.col("planned_au")
    reason = (
        pl.when(~pl.col("has_plan"))
        .then(pl.lit("no_plan_week"))
        .when(pl.col("planned_au").is_null())
        .then(pl.lit("plan_incomplete"))
        .when(pl.col("load_au").is_null())
        .then(pl.lit("work_unknown"))
        .when(pl.col("planned_fast_metres").is_null())
        .then(pl.lit("fast_metres_unplanned"))
        .when(pl.col("done_fast_metres").is_null())
        .then(pl.lit("fast_metres_unknown"))
    )
    return rows.select(
        *WEEK,
        sessions_planned=pl.col("sessions_planned").fill_null(0),
        sessions_done=pl.col("sessions_done").fill_null(0),
        planned_au="planned_au",
        load_au="load_au",
        difference_au=difference,
        difference_percent=pl.when(pl.col("planned_au") > 0).then(100 * difference / pl.col("planned_au")),
        planned_fast_metres="planned_fast_metres",
        done_fast_metres="done_fast_metres",
        difference_metres=pl.col("done_fast_metres") - pl.col("planned_fast_metres"),
        reason=reason,
    ).sort(WEEK)
