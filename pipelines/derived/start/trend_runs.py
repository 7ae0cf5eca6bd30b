"""Which runs make a trend, and what one day of them shows."""

import datetime as dt

import numpy as np
import polars as pl

from pipelines.derived.common.step_error import REP_KEY, is_free_run, method_class
from schemas.derived.noise import NOISE_KEY
from schemas.derived.progress import NOT_STATED, SERIES_KEY, TREND_TIMINGS

LEAST_EFFORT_PERCENT = 95.0  # a run asked for at less says nothing about the best, common practice
CURVE_METRICS = ("t_10_s", "t_5_s", "t_30_s", "vmax_mps", "pmax_w_per_kg")
STEP_METRICS = ("speed_after_3_mps", "contact_1_s")


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
    sprint_profile: pl.DataFrame, start_phase: pl.DataFrame, rep: pl.DataFrame, up_to: dt.date | None = None
) -> pl.DataFrame:
    """Return one row per run and measure that may stand in a trend, up to a day if one is given.

    The rule is in the ``StartTrend`` model.
    """
    counted = rep.filter(
        is_free_run()
        & (pl.col("session_date") <= (up_to or dt.date.max))
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


def trend_days(runs: pl.DataFrame, noise: pl.DataFrame) -> pl.DataFrame:
    """Return one row per series and day: runs, weighted mean and its variance, with the squad's typical error.

    ``noise``: typical_error, typical_error_freedom and fit_error per measure and timing kind. The part of TE that is
    not the error of the fits is what one run differs from the next, b^2 = max(TE^2 - fit_error^2, 0); a run then has
    variance b^2 + se^2 (TE^2 where its own error is not known), and the day's mean is weighted by the inverse. Counting
    TE and the fit's error in full would count the error of the fit twice.
    """
    fit = pl.col("fit_error").fill_null(0.0) ** 2
    between = pl.max_horizontal(pl.col("typical_error").fill_null(0.0) ** 2 - fit, pl.lit(0.0))
    tiny = float(np.finfo(float).eps)
    day = [*SERIES_KEY, "session_date"]
    known = ["typical_error", "typical_error_freedom", "fit_error"]
    return (
        runs.join(noise.select(*NOISE_KEY, *known), on=NOISE_KEY, how="left", maintain_order="left")
        .with_columns(_variance=pl.max_horizontal(between + (pl.col("se") ** 2).fill_null(fit), pl.lit(tiny)))
        .group_by(day, maintain_order=True)
        .agg(
            pl.len().cast(pl.Int64).alias("reps"),
            ((pl.col("value") / pl.col("_variance")).sum() / (1 / pl.col("_variance")).sum()).alias("observed"),
            (1 / (1 / pl.col("_variance")).sum()).alias("_variance"),
            pl.col(known).first(),
        )
        .sort(day)
    )
