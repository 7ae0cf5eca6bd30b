"""Runs that no trend of the start counts, and why (``start_left_out``)."""

import datetime as dt

import polars as pl

from pipelines.derived.common.resistance import is_free_run
from pipelines.derived.common.sentences import say_day, say_number
from pipelines.derived.common.step_error import REP_KEY
from pipelines.derived.sprint.time_zero import REACTION_USUAL_S
from pipelines.derived.start.lone_runs import add_lone
from pipelines.derived.start.trend_runs import (
    GATES_M,
    LEAST_EFFORT_PERCENT,
    gate_times,
    numbered_runs,
)
from schemas.derived.left_out import StartLeftOut
from schemas.derived.progress import SERIES_KEY, TREND_TIMINGS
from schemas.phrase import phrase

SHOWN_DAYS = 84
WORDS = {
    "resisted": "run against a load",
    "false_start": "a false start",
    "stopped_early": "not finished",
    "submaximal_effort": "asked for at less than 95 % effort",
    "rolling_start": "a rolling start, which has no start to time",
    "hand_timed": "timed by hand, which is too coarse for a trend",
    "timing_unknown": "not said whether timed by gate, film or hand",
    "reaction_doubtful": "a reaction time that is probably a slip (under 0.08 or over 0.50 s)",
    "stands_alone": "stands alone: far from the runs around it, so probably a slip; neither trend nor noise counts it",
    "no_splits": "no time taken",
    "no_gate_and_no_curve": "no gate at 5, 10, 20 or 30 m and too few or unfit times for a curve",
}


def start_left_out(
    sprint_profile: pl.DataFrame,
    rep: pl.DataFrame,
    split: pl.DataFrame,
    session: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Count the runs of the last twelve weeks that stand in no trend of a time, by the first reason that holds.

    A run of which one time stands alone (``add_lone``) is told as well, though its other times may count; the sentence
    names the last of them, its time and what the runs around it took.

    Units: runs. Source: definition of ``start_trend``. No row where every run counts.
    """
    recent = rep.filter(
        (pl.col("session_date") <= as_of) & (pl.col("session_date") > as_of - dt.timedelta(days=SHOWN_DAYS))
    )
    every = numbered_runs(rep.filter(pl.col("session_date") <= as_of), session, athlete)  # also around a lone one
    gates = gate_times(every, split)
    counted = every.filter(pl.col("session_date") > as_of - dt.timedelta(days=SHOWN_DAYS))
    read = sprint_profile.filter(
        pl.col("trust").is_in(["good", "thin"]) & pl.any_horizontal(pl.col(list(GATES_M)).is_not_null())
    )
    used = pl.concat([gates.select(REP_KEY), read.join(counted, on=REP_KEY, how="semi").select(REP_KEY)])
    since = split.filter(pl.col("session_date") > as_of - dt.timedelta(days=SHOWN_DAYS))
    timed = since.drop_nulls(["distance_m", "elapsed_s"]).select(*REP_KEY, _timed=pl.lit(value=True)).unique()
    odd = (pl.col("clock_start") == "gun") & ~pl.col("reaction_s").is_between(*REACTION_USUAL_S)
    rows = (
        recent.join(used, on=REP_KEY, how="anti")
        .join(timed, on=REP_KEY, how="left", maintain_order="left")
        .with_columns(
            reason=pl.when(~is_free_run())
            .then(pl.lit("resisted"))
            .when(pl.col("outcome") == "false_start")
            .then(pl.lit("false_start"))
            .when(pl.col("outcome") == "stopped")
            .then(pl.lit("stopped_early"))
            .when(pl.col("effort_percent") < LEAST_EFFORT_PERCENT)
            .then(pl.lit("submaximal_effort"))
            .when(pl.col("start_kind") == "rolling")
            .then(pl.lit("rolling_start"))
            .when(pl.col("timing_kind") == "hand")
            .then(pl.lit("hand_timed"))
            .when(~pl.col("timing_kind").is_in(TREND_TIMINGS).fill_null(value=False))
            .then(pl.lit("timing_unknown"))
            .when(pl.col("_timed").is_null())
            .then(pl.lit("no_splits"))
            .when(odd.fill_null(value=False))
            .then(pl.lit("reaction_doubtful"))
            .otherwise(pl.lit("no_gate_and_no_curve"))
        )
        .group_by("athlete_id", "reason", maintain_order=True)
        .agg(runs=pl.len().cast(pl.Int64), last_on=pl.col("session_date").max())
    )
    alone = _alone(gates, as_of - dt.timedelta(days=SHOWN_DAYS))
    rows = pl.concat([rows.with_columns(_which=pl.lit("")), alone])
    many = pl.when(pl.col("runs") == 1).then(pl.lit("1 run")).otherwise(phrase("{} runs", "runs"))
    said = phrase(
        "{} of the last twelve weeks not in the trend (last on {}): {}{}",
        many,
        say_day(pl.col("last_on")),
        pl.col("reason").replace_strict(WORDS, return_dtype=pl.String),
        pl.col("_which"),
    )
    return rows.with_columns(sentence=said).select(list(StartLeftOut.to_schema().columns)).sort("athlete_id", "reason")


def _alone(gates: pl.DataFrame, after: dt.date) -> pl.DataFrame:
    """Return one row per athlete with runs of which a gate's time stands alone, and which time the last of them is."""
    lone = add_lone(gates.select(*SERIES_KEY, *REP_KEY[1:], "value")).filter(
        pl.col("is_alone") & (pl.col("session_date") > after)
    )
    said = phrase(
        " ({} s at {} m in run {} of that day; {} s around it)",
        say_number(pl.col("value"), 2),
        say_number(pl.col("metric").replace_strict(GATES_M, return_dtype=pl.Float64), 0),
        pl.col("rep_no").cast(pl.String),
        say_number(pl.col("around"), 2),
    )
    return (
        lone.with_columns(_which=said)
        .sort(*REP_KEY, "metric")
        .unique(REP_KEY, keep="first", maintain_order=True)
        .group_by("athlete_id", maintain_order=True)
        .agg(
            reason=pl.lit("stands_alone"),
            runs=pl.len().cast(pl.Int64),
            last_on=pl.col("session_date").last(),
            _which=pl.col("_which").last(),
        )
    )
