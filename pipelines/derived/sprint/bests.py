"""Raw own bests by gate (``gate_best``)."""

import datetime as dt

import polars as pl

from pipelines.derived.common.ordering import number_of
from pipelines.derived.common.resistance import is_free_run
from pipelines.derived.common.step_error import REP_KEY
from schemas.derived.gate_best import GateBest

WAYS = ["start_kind", "clock_start", "timing_kind"]
KEY = ["athlete_id", "distance_m", *WAYS, "run_in"]
NO_RUN_IN, UNKNOWN = "none", "unknown"


def gate_best(rep: pl.DataFrame, split: pl.DataFrame, *, as_of: dt.date) -> pl.DataFrame:
    """Give the fastest time of each gate as it was timed, by start, clock and way of timing, and that of the last day.

    best_s = least elapsed_s of free runs that were not stopped and no false start; no model, no wind or air correction,
    no smoothing. A resisted run is no free run; where nobody said whether a run was resisted, it counts as free, as in
    the fits. What nobody said of start, clock or timing is 'unknown', a way of its own. A flying run also has its
    run-in, in whole metres: with a longer one the same athlete is faster.

    Source: definition. Units: s, m. No row without a time; never filled in.
    """
    runs = (
        rep.filter(
            (pl.col("session_date") <= as_of)
            & is_free_run()
            & ~pl.col("outcome").is_in(["false_start", "stopped"]).fill_null(value=False)
        )
        .select(*REP_KEY, *(pl.col(name).fill_null(UNKNOWN) for name in WAYS), _run_in(), "wind_ms")
    )  # fmt: skip
    timed = split.drop_nulls(["distance_m", "elapsed_s"]).join(runs, on=REP_KEY, how="inner")
    timed = timed.with_columns(_way=number_of(timed, KEY), _run=number_of(timed, REP_KEY[1:]))
    fastest = (  # the first of those equally fast
        timed.filter(pl.col("elapsed_s") == pl.col("elapsed_s").min().over("_way"))
        .sort("_way", "_run")
        .unique("_way", keep="first", maintain_order=True)
        .select("_way", *KEY, best_s="elapsed_s", best_on="session_date", best_wind_ms="wind_ms")
    )
    best = fastest.join(
        timed.group_by("_way").agg(
            last_s=pl.col("elapsed_s").filter(pl.col("session_date") == pl.col("session_date").max()).min(),
            last_on=pl.col("session_date").max(),
            days=pl.col("session_date").n_unique().cast(pl.Int64),
            runs=pl.len().cast(pl.Int64),
        ),
        on="_way",
    )
    return best.select(list(GateBest.to_schema().columns)).sort(KEY)


def _run_in() -> pl.Expr:
    """Say the run-in of a flying run: '30 m', or that nobody said it; other starts have none."""
    metres = pl.concat_str(pl.col("run_in_m").round(0).cast(pl.Int64).cast(pl.String), pl.lit(" m"))
    return (
        pl.when(pl.col("start_kind") == "rolling")
        .then(metres.fill_null(UNKNOWN))
        .otherwise(pl.lit(NO_RUN_IN))
        .alias("run_in")
    )
