"""The ladder of return to running: what was done, what was felt, who signed, and how fast was run since."""

import datetime as dt

import polars as pl

from pipelines.derived.load.exposure import judged_runs
from pipelines.derived.readiness.injuries import list_injuries_on_days
from schemas.derived.returning import ReturnLadder
from schemas.settings import SquadSettings

INJURY = ["athlete_id", "onset_on", "site", "side"]
BEST_DAYS = 365  # days up to the onset in which own best before it is looked for


def return_ladder(
    injury: pl.DataFrame,
    return_step: pl.DataFrame,
    split: pl.DataFrame,
    rep: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """One row per injury begun by ``as_of``, and per ladder whose injury is not on record.

    rungs_done = different rungs with a day noted; highest_rung = the highest one that was not stopped by symptoms
    (nothing said counts as not stopped, and last_symptoms stays null); signed_rung = the highest with a signature;
    fastest_share = fastest run's top after the onset day / fastest run's top of the 365 days up to and
    including the onset day; sections, timing and which runs count as in speed_exposure. Own best is that of before the
    injury, so that the first run back is not its own yardstick. Runs of the onset day count for the best only: the run
    that hurt may be among them.
    is_current = open, or back for at most ``settings.return_marked_weeks``.
    Source: definitions; the ladder itself is common practice, no source. Deviations: none.
    Limits: a best from starts alone is below true top speed, and the share then reads high. A share says how fast was
    run, not that running so fast was right.
    Null rule: no judged run since the onset (no_judged_run_since_onset), or no judged run in the year before it
    (no_best_before_onset), leaves fastest_share null, never 0. A
    return day before the onset is read as open (return_before_onset). Steps of an injury that is not on record are
    shown with reason step_without_injury and is_open true, as nothing says otherwise.
    """
    if injury.is_empty() and return_step.is_empty():
        return ReturnLadder.no_rows()
    who = pl.concat([injury.select("athlete_id"), return_step.select("athlete_id")]).unique()
    days = who.with_columns(day_on=pl.lit(as_of, pl.Date))
    stood = list_injuries_on_days(days, injury).select(*INJURY, "is_open", "back_on", "weeks_since", "dates_contradict")
    steps = return_step.filter((pl.col("done_on") <= as_of) & (pl.col("onset_on") <= as_of))
    orphans = (
        steps.select(INJURY)
        .unique()
        .join(stood, on=INJURY, how="anti")
        .with_columns(
            is_open=pl.lit(True),
            back_on=pl.lit(None, pl.Date),
            weeks_since=pl.lit(None, pl.Int64),
            dates_contradict=pl.lit(False),
            is_orphan=pl.lit(True),
        )
    )
    rows = (
        pl.concat([stood.with_columns(is_orphan=pl.lit(False)), orphans], how="diagonal_relaxed")
        .join(_ladder(steps), on=INJURY, how="left")
        .join(_fastest(stood, orphans, split, rep, as_of), on=INJURY, how="left")
    )
    weeks = pl.col("weeks_since").cast(pl.Int64)
    reason = (
        pl.when("is_orphan")
        .then(pl.lit("step_without_injury"))
        .when("dates_contradict")
        .then(pl.lit("return_before_onset"))
        .when(pl.col("fastest_mps").is_null())
        .then(pl.lit("no_judged_run_since_onset"))
        .when(pl.col("best_before_mps").is_null())
        .then(pl.lit("no_best_before_onset"))
    )
    return rows.select(
        *INJURY,
        days_since_onset=(pl.lit(as_of, pl.Date) - pl.col("onset_on")).dt.total_days(),
        is_open="is_open",
        returned_on="back_on",
        weeks_since_return=weeks,
        is_current=pl.col("is_open") | (weeks < settings.return_marked_weeks).fill_null(False),
        rungs_done=pl.col("rungs_done").fill_null(0),
        highest_rung="highest_rung",
        last_rung="last_rung",
        last_done_on="last_done_on",
        last_symptoms="last_symptoms",
        days_with_symptoms=pl.col("days_with_symptoms").fill_null(0),
        signed_rung="signed_rung",
        signed_by="signed_by",
        judged_runs=pl.col("judged_runs").fill_null(0),
        best_before_mps="best_before_mps",
        fastest_mps="fastest_mps",
        fastest_share=pl.col("fastest_mps") / pl.col("best_before_mps"),
        fastest_on="fastest_on",
        reason=reason,
    ).sort(INJURY)


def _ladder(steps: pl.DataFrame) -> pl.DataFrame:
    """Sum the steps of each injury; the last one is the latest day's highest rung."""
    rung, felt = pl.col("rung_no"), pl.col("symptoms")
    signed = rung.filter(pl.col("signed_by").is_not_null())
    return (
        steps.sort(*INJURY, "done_on", "rung_no")
        .group_by(INJURY, maintain_order=True)
        .agg(
            rungs_done=rung.n_unique().cast(pl.Int64),
            highest_rung=rung.filter((felt != "stopped").fill_null(True)).max(),
            last_rung=rung.last(),
            last_done_on=pl.col("done_on").last(),
            last_symptoms=felt.last(),
            days_with_symptoms=pl.col("done_on")
            .filter(felt.is_in(["slight", "stopped"]).fill_null(False))
            .n_unique()
            .cast(pl.Int64),
            signed_rung=signed.max(),
            signed_by=pl.col("signed_by").filter(pl.col("signed_by").is_not_null() & (rung == signed.max())).last(),
        )
    )


def _fastest(
    stood: pl.DataFrame, orphans: pl.DataFrame, split: pl.DataFrame, rep: pl.DataFrame, as_of: dt.date
) -> pl.DataFrame:
    """Return per injury the fastest run after the onset day, its day, the runs judged, and own best before."""
    hurt = pl.concat([stood.select(INJURY), orphans.select(INJURY)])
    theirs = pl.col("athlete_id").is_in(hurt["athlete_id"].unique().implode())
    runs = judged_runs(split.filter(theirs), rep.filter(theirs), as_of)
    speed, after = pl.col("speed_mps"), pl.col("session_date") > pl.col("onset_on")
    is_fastest = after & (speed == speed.filter(after).max())
    year_before = ~after & (pl.col("session_date") > pl.col("onset_on") - pl.duration(days=BEST_DAYS))
    return (
        hurt.join(runs.select("athlete_id", "session_date", "speed_mps"), on="athlete_id", how="inner")
        .group_by(INJURY)
        .agg(
            judged_runs=after.sum().cast(pl.Int64),
            best_before_mps=speed.filter(year_before).max(),
            fastest_mps=speed.filter(after).max(),
            fastest_on=pl.col("session_date").filter(is_fastest).max(),
        )
        .sort(INJURY)
    )
