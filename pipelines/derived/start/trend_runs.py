"""Which runs make a trend, what each of them measured, and what one day of them shows."""

import datetime as dt

import numpy as np
import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.ordering import in_order_of, number_of
from pipelines.derived.common.resistance import is_free_run
from pipelines.derived.common.step_error import REP_KEY, method_class
from pipelines.derived.sprint.time_zero import REACTION_USUAL_S
from pipelines.derived.sprint.wind import still_air_time
from pipelines.derived.start.lone_runs import add_lone
from pipelines.derived.start.series import add_set_up, age_group
from schemas.derived.noise import NOISE_KEY
from schemas.derived.progress import NOT_STATED, SERIES_KEY, TREND_TIMINGS

LEAST_EFFORT_PERCENT = 95.0  # a run asked for at less says nothing about the best, common practice
GATES_M = {"t_5_s": 5.0, "t_10_s": 10.0, "t_20_s": 20.0, "t_30_s": 30.0}
SAME_PLACE_M = 0.05  # m, a gate so near the distance stands at it, source: "common_practice"
CURVE_METRICS = (*GATES_M, "vmax_mps", "pmax_w_per_kg")
STEP_METRICS = ("speed_after_3_mps", "contact_1_s")
# All that is read here of two wide tables of runs.
PROFILE_READ = (*REP_KEY, "trust", *(name for metric in CURVE_METRICS for name in (metric, f"{metric}_se")))
PHASE_READ = (
    *REP_KEY, "frame_rate_hz", "timing_kind", *(name for metric in STEP_METRICS for name in (metric, f"{metric}_se")),
)  # fmt: skip
KEPT = [*REP_KEY, "metric", "measured_by", "value", "se"]
RUN_ONLY = ["gate_offset_m", "reaction_s", "wind_ms"]  # what a run has beside what its series is
NOT_KEPT = {*KEPT, *RUN_ONLY, "_run"}
MEASURED = ["_run", "metric", "measured_by", "value", "se", "_method"]  # of a run by its number


def counted_runs(rep: pl.DataFrame, session: pl.DataFrame, athlete: pl.DataFrame) -> pl.DataFrame:
    """Return the runs that may stand in a trend, with start, clock, timing, age group and set-up."""
    counted = rep.filter(
        is_free_run()
        & (pl.col("outcome").fill_null("completed") == "completed")
        & (pl.col("effort_percent").fill_null(100.0) >= LEAST_EFFORT_PERCENT)
        & pl.col("timing_kind").is_in(TREND_TIMINGS)
    ).select(
        *REP_KEY,
        "timing_kind",
        "gate_offset_m",
        "reaction_s",
        "wind_ms",
        start_kind=pl.col("start_kind").fill_null(NOT_STATED),
        clock_start=pl.col("clock_start").fill_null(NOT_STATED),
    )
    return add_set_up(age_group(counted, athlete), session)


@kept
def numbered_runs(rep: pl.DataFrame, session: pl.DataFrame, athlete: pl.DataFrame) -> pl.DataFrame:
    """Return the runs that may stand in a trend, each with its number, ``_run``."""
    return counted_runs(rep, session, athlete).with_row_index("_run")


@kept
def gate_times(counted: pl.DataFrame, split: pl.DataFrame) -> pl.DataFrame:
    """Return the times that a gate at the distance itself measured, one row a run and distance, with what the run was.

    value = clock time at the gate, in still air (``still_air_time``); from a gun with the reaction time known, less the
    reaction. A rolling start has no start to time.
    """
    gate = pl.col("distance_m")
    metric = pl.coalesce(pl.when((gate - at).abs() <= SAME_PLACE_M).then(pl.lit(name)) for name, at in GATES_M.items())
    near = (
        split.select(*REP_KEY, "distance_m", "elapsed_s")
        .drop_nulls(["distance_m", "elapsed_s"])
        .with_columns(metric=metric)
        .drop_nulls("metric")
        .join(counted.filter(pl.col("start_kind") != "rolling"), on=REP_KEY, how="inner")
        .with_columns(_gate_m=pl.col("metric").replace_strict(GATES_M, return_dtype=pl.Float64))
    )
    once = [*REP_KEY, "metric"]
    if near.select(once).hash_rows().n_unique() < near.height:  # seldom: two gates at one place, the nearer counts
        near = near.sort(*once, (gate - pl.col("_gate_m")).abs()).unique(once, keep="first", maintain_order=True)
    known = (pl.col("clock_start") == "gun") & pl.col("reaction_s").is_not_null()
    likely = pl.col("reaction_s").is_between(*REACTION_USUAL_S)
    return (
        near.filter(~known | likely)
        .with_columns(
            value=still_air_time("elapsed_s", "_gate_m", "wind_ms") - pl.when(known).then("reaction_s").otherwise(0.0),
            se=pl.lit(None, dtype=pl.Float64),
            measured_by=pl.when(known).then(pl.lit("gate_less_reaction")).otherwise(pl.lit("gate")),
        )
        .drop("distance_m", "elapsed_s", "_gate_m")
    )


def _long(frame: pl.DataFrame, metrics: tuple[str, ...], measured_by: str) -> pl.DataFrame:
    parts = [
        frame.select(
            "_run",
            "_method",
            metric=pl.lit(name),
            measured_by=pl.lit(measured_by),
            value=pl.col(name).cast(pl.Float64),
            se=pl.col(f"{name}_se").cast(pl.Float64),
        ).drop_nulls("value")
        for name in metrics
        if name in frame.columns
    ]
    return pl.concat(parts)


def trend_runs(
    sprint_profile: pl.DataFrame,
    start_phase: pl.DataFrame,
    rep: pl.DataFrame,
    split: pl.DataFrame,
    session: pl.DataFrame,
    athlete: pl.DataFrame,
    up_to: dt.date | None = None,
) -> pl.DataFrame:
    """Return one row per run and measure that may stand in a trend, up to a day if one is given.

    The rule is in the ``StartTrend`` model. Raw before model: where a gate stands at the distance, its time counts and
    the curve's does not. A run that stands alone (``add_lone``) counts in none: neither trend nor noise. ``_series``
    numbers the series; rows are in its order and that of runs.
    """
    # Joined by number from here: by four names it takes several times as long.
    counted = numbered_runs(rep.filter(pl.col("session_date") <= (up_to or dt.date.max)), session, athlete)
    number = counted.select(*REP_KEY, "_run")
    gates = gate_times(counted, split).with_columns(_method=pl.lit("gate"))

    def numbered(frame: pl.DataFrame, metrics: tuple[str, ...], *more: str) -> pl.DataFrame:
        wanted = [name for metric in metrics for name in (metric, f"{metric}_se") if name in frame.columns]
        return frame.select(*REP_KEY, *more, *wanted).join(number, on=REP_KEY, how="inner", maintain_order="left")

    curve = numbered(sprint_profile.filter(pl.col("trust").is_in(["good", "thin"])), CURVE_METRICS).with_columns(
        _method=pl.lit("curve")
    )
    steps = numbered(start_phase, STEP_METRICS, "frame_rate_hz", "timing_kind").with_columns(
        _method=method_class(pl.col("frame_rate_hz"), pl.col("timing_kind"))
    )
    modelled = _long(curve, CURVE_METRICS, "curve").join(gates, on=["_run", "metric"], how="anti")
    measured = pl.concat([frame.select(MEASURED) for frame in (gates, modelled, _long(steps, STEP_METRICS, "film"))])
    runs = measured.join(counted.drop(RUN_ONLY), on="_run", how="inner")
    # Sorted and told apart by one number: by seven words it takes several times as long.
    runs = runs.with_columns(_series=number_of(runs, SERIES_KEY))
    series = runs.group_by("_series", "_method", maintain_order=True).len()
    if series["_series"].is_duplicated().any():
        # Video of two frame rates is two methods: keep the one the athlete has most runs of (the higher rate on a tie).
        rate = pl.col("_method").replace({"frames_high": "a", "frames_middle": "b"})
        most = series.sort("len", rate, descending=[True, False]).unique("_series", keep="first", maintain_order=True)
        runs = runs.join(most, on=["_series", "_method"], how="semi")
    columns = [*KEPT, *(name for name in counted.columns if name not in NOT_KEPT), "_series"]
    return add_lone(in_order_of(runs, ["_series", "_run"]).select(columns)).filter(~pl.col("is_alone")).select(columns)


def trend_days(runs: pl.DataFrame, noise: pl.DataFrame) -> pl.DataFrame:
    """Return one row per series and day: runs, weighted mean and its variance, with the squad's typical error.

    ``runs`` as ``trend_runs`` gives them; ``_line`` numbers the series.

    ``noise``: typical_error, typical_error_freedom and fit_error per class of noise. The part of TE that is not the
    error of the fits is what one run differs from the next, b^2 = max(TE^2 - fit_error^2, 0); a run then has variance
    b^2 + se^2 (TE^2 where its own error is not known), and the day's mean is weighted by the inverse. Counting TE and
    the fit's error in full would count the error of the fit twice.
    """
    day = [*SERIES_KEY, "age_group", "session_date"]
    place = number_of(runs, ["_series", "session_date"]).rle_id()
    first = np.flatnonzero(np.diff(place.to_numpy(), prepend=-1))  # run of each day
    days = runs.select(*day, _line="_series")[first]
    known = noise.select(*NOISE_KEY, "typical_error", "typical_error_freedom", "fit_error")
    days = days.join(known, on=NOISE_KEY, how="left", maintain_order="left").select(days.columns + known.columns[-3:])
    return add_means(days, place, runs["value"], runs["se"])


def add_means(days: pl.DataFrame, place: pl.Series, value: pl.Series, se: pl.Series) -> pl.DataFrame:
    """Add reps, observed and _variance to days, from their runs: ``place`` is the row of each run's day, rising."""
    fit = pl.col("fit_error").fill_null(0.0) ** 2
    between = pl.max_horizontal(pl.col("typical_error").fill_null(0.0) ** 2 - fit, pl.lit(0.0))
    of_day = days.select(_fit=fit, _between=between)[place]
    tiny = float(np.finfo(float).eps)
    means = (
        of_day.with_columns(pl.Series("_day", place.to_numpy()), value.alias("value"), se.alias("se"))
        .with_columns(
            _variance=pl.max_horizontal(pl.col("_between") + (pl.col("se") ** 2).fill_null(pl.col("_fit")), tiny)
        )
        .with_columns(_weight=1 / pl.col("_variance"), _weighted=pl.col("value") / pl.col("_variance"))
        .group_by("_day", maintain_order=True)
        .agg(
            pl.len().cast(pl.Int64).alias("reps"),
            (pl.col("_weighted").sum() / pl.col("_weight").sum()).alias("observed"),
            (1 / pl.col("_weight").sum()).alias("_variance"),
        )
    )
    return days.hstack(means.drop("_day"))
