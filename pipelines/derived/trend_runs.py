"""Which runs make a trend, and what one day of them shows."""

import datetime as dt

import numpy as np
import polars as pl

from pipelines.derived.step_error import REP_KEY, is_free_run, method_class
from pipelines.derived.typical_error import typical_error
from schemas.derived.progress import NOT_STATED, SERIES_KEY, TREND_TIMINGS

LEAST_EFFORT_PERCENT = 95.0  # a run asked for at less says nothing about the best, common practice
CURVE_METRICS = ("t_10_s", "t_5_s", "t_30_s", "vmax_mps", "pmax_w_per_kg")
STEP_METRICS = ("speed_after_3_mps", "contact_1_s")
NOISE_KEY = ["metric", "timing_kind"]  # what the squad's noise is pooled over


def _long(frame: pl.DataFrame, metrics: tuple[str, ...]) -> pl.DataFrame:
    parts = [
        frame.select(
            *REP_KEY,
            "_method",
            metric=pl.lit(name),
            value=pl.col(name).cast(pl.Float64),
            se=pl.col(f"{name}_se").cast(pl.Float64),
        )
        for name in metrics
    ]
    return pl.concat(parts).filter(pl.col("value").is_not_null())


def trend_runs(
    sprint_profile: pl.DataFrame, start_phase: pl.DataFrame, rep: pl.DataFrame, as_of: dt.date
) -> pl.DataFrame:
    """Return one row per run and measure that may stand in a trend; the rule is in the ``StartTrend`` model."""
    counted = rep.filter(
        is_free_run()
        & (pl.col("session_date") <= as_of)
        & (pl.col("outcome").fill_null("completed") == "completed")
        & (pl.col("effort_percent").fill_null(100.0) >= LEAST_EFFORT_PERCENT)
        & pl.col("timing_kind").is_in(TREND_TIMINGS)
    ).select(
        *REP_KEY,
        "timing_kind",
        start_kind=pl.col("start_kind").fill_null(NOT_STATED),
        clock_start=pl.col("clock_start").fill_null(NOT_STATED),
    )
    curve = sprint_profile.filter(pl.col("trust").is_in(["good", "thin"])).with_columns(_method=pl.lit("curve"))
    steps = start_phase.with_columns(_method=method_class(pl.col("frame_rate_hz"), pl.col("timing_kind")))
    runs = pl.concat([_long(curve, CURVE_METRICS), _long(steps, STEP_METRICS)]).join(counted, on=REP_KEY, how="inner")
    # Video of two frame rates is two methods: keep the one the athlete has most runs of (the higher rate on a tie).
    most = (
        runs.group_by(*SERIES_KEY, "_method", maintain_order=True)
        .len()
        .sort("len", pl.col("_method").replace({"frames_high": "a", "frames_middle": "b"}), descending=[True, False])
        .unique(SERIES_KEY, keep="first", maintain_order=True)
        .drop("len")
    )
    return runs.join(most, on=[*SERIES_KEY, "_method"], how="semi").drop("_method").sort(*SERIES_KEY, *REP_KEY[1:])


def trend_days(runs: pl.DataFrame) -> pl.DataFrame:
    """Return one row per series and day: runs, weighted mean and its variance, with the squad's typical error.

    Per measure and timing kind: TE from repeats; the part of it that is not the error of the fits is what one run
    differs from the next, b^2 = max(TE^2 - median se^2, 0); a run then has variance b^2 + se^2 (TE^2 where its own
    error is not known), and the day's mean is weighted by the inverse. Counting TE and the fit's error in full would
    count the error of the fit twice.
    """
    day = [*SERIES_KEY, "session_date"]
    placed = runs.with_columns(
        _day=pl.struct(day).rank("dense").cast(pl.Int64),
        _order=pl.int_range(1, pl.len() + 1).over(day),
    )
    noise: list[dict[str, object]] = []
    for (metric, timing), group in placed.group_by(NOISE_KEY, maintain_order=True):
        found = typical_error(group["_day"].to_numpy(), group["_order"].to_numpy(), group["value"].to_numpy())
        noise.append(
            {
                "metric": metric,
                "timing_kind": timing,
                "typical_error": found.value if found else None,
                "typical_error_freedom": found.freedom if found else None,
                "_fit_variance": (group["se"] ** 2).median(),
            }
        )
    table = pl.DataFrame(
        noise,
        schema={
            "metric": pl.String,
            "timing_kind": pl.String,
            "typical_error": pl.Float64,
            "typical_error_freedom": pl.Int64,
            "_fit_variance": pl.Float64,
        },
    )
    fit = pl.col("_fit_variance").fill_null(0.0)
    between = pl.max_horizontal(pl.col("typical_error").fill_null(0.0) ** 2 - fit, pl.lit(0.0))
    tiny = float(np.finfo(float).eps)
    return (
        placed.join(table, on=NOISE_KEY, how="left", maintain_order="left")
        .with_columns(_variance=pl.max_horizontal(between + (pl.col("se") ** 2).fill_null(fit), pl.lit(tiny)))
        .group_by(day, maintain_order=True)
        .agg(
            pl.len().cast(pl.Int64).alias("reps"),
            ((pl.col("value") / pl.col("_variance")).sum() / (1 / pl.col("_variance")).sum()).alias("observed"),
            (1 / (1 / pl.col("_variance")).sum()).alias("_variance"),
            pl.col("typical_error", "typical_error_freedom").first(),
        )
        .sort(day)
    )
