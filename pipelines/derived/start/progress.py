"""Progress in the start: the level of each measure over time, and whether its change is more than noise."""

import datetime as dt
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.local_level import smooth
from pipelines.derived.common.typical_error import MDC_FACTOR, change_probabilities
from pipelines.derived.start.noise import Grid, placed
from pipelines.derived.start.progress_words import add_sentence
from pipelines.derived.start.trend_runs import trend_days, trend_runs
from schemas.derived.noise import KIND_KEY, NOISE_KEY
from schemas.derived.progress import SERIES_KEY, StartProgress, StartTrend
from schemas.settings import SquadSettings

DAY_SERIES = ["_on", *SERIES_KEY]  # one comparison: of a series, as it stood on a day
LEAST_SESSIONS = 3
LEAST_REFERENCE_DAYS = 14
MAIN_METRIC = "t_10_s"
NORMAL_95 = 1.96

# Unit and better direction of each measure. A first contact has none: longer and shorter can both be right.
BETTER_IS: dict[str, tuple[str, str | None]] = {
    "t_10_s": ("s", "lower"),
    "t_5_s": ("s", "lower"),
    "t_30_s": ("s", "lower"),
    "vmax_mps": ("m/s", "higher"),
    "pmax_w_per_kg": ("W/kg", "higher"),
    "speed_after_3_mps": ("m/s", "higher"),
    "contact_1_s": ("s", None),
}

Array = npt.NDArray[np.float64]


def start_trend(
    sprint_profile: pl.DataFrame,
    start_phase: pl.DataFrame,
    rep: pl.DataFrame,
    start_noise: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Follow each measure of the start over time, per athlete, start kind, clock and timing kind.

    observed = mean of the day's runs, weighted by 1 / variance; variance of the day = spread between runs and error of
    each fit (over the runs of the day) + day form. level: local-level model, a_k = a_(k-1) + N(0, q days), observed_k =
    a_k + N(0, observed_se_k^2), diffuse start, fixed-interval smoother, with its standard error; lower_95 and
    upper_95 = level -+ 1.96 level_se. Typical error, day form and q are the squad's own, from ``start_noise``.

    Units: those of the measure (s, m/s, W/kg). Source: durbin_koopman, rauch_1965, hopkins_2000, chung_2013. Deviation:
    the error of q itself is not carried into the interval. Null: level and errors where the squad's noise is not known
    yet. Days after ``as_of`` are not read.
    """
    noise = start_noise.unique(NOISE_KEY, keep="first", maintain_order=True)
    days = trend_days(trend_runs(sprint_profile, start_phase, rep, as_of), noise)
    days = days.join(
        noise.select(*NOISE_KEY, "day_form_sd", "drift_sd_per_day"), on=NOISE_KEY, how="left", maintain_order="left"
    )
    known = pl.col("drift_sd_per_day").is_not_null()
    frame = pl.concat([_levelled(days.filter(known)), days.filter(~known)], how="diagonal").with_columns(
        observed_se=pl.when(known)
        .then((pl.col("_variance") + pl.col("day_form_sd") ** 2).sqrt())
        .otherwise(pl.col("typical_error") / pl.col("reps").sqrt()),
        lower_95=pl.col("level") - NORMAL_95 * pl.col("level_se"),
        upper_95=pl.col("level") + NORMAL_95 * pl.col("level_se"),
    )
    columns = list(StartTrend.to_schema().columns)
    return frame.select(columns).sort([*SERIES_KEY, "session_date"])


def _levelled(days: pl.DataFrame) -> pl.DataFrame:
    """Add level and its error to days whose noise is known."""
    if not days.height:
        return days.with_columns(level=pl.lit(None, dtype=pl.Float64), level_se=pl.lit(None, dtype=pl.Float64))
    points = placed(days.with_columns(_spread=pl.col("_variance") + pl.col("day_form_sd") ** 2))
    grid = Grid(points, "_spread")
    drift = points.unique("_series", keep="first", maintain_order=True)["drift_sd_per_day"].to_numpy() ** 2
    levels = smooth(grid.y, grid.r, grid.days, drift)
    return points.with_columns(
        level=pl.Series(levels.smoothed[grid.where]),
        level_se=pl.Series(np.sqrt(levels.smoothed_variance[grid.where])),
    )


def _levels_on_two_days(trend: pl.DataFrame, series: pl.DataFrame) -> pl.DataFrame:
    """Add to each comparison the level on its reference day and on its own, and the error of their difference."""
    known = series.filter(pl.col("drift_sd_per_day").is_not_null())
    names = ["level_then", "level_then_se", "level_now", "level_now_se", "change", "change_se"]
    if not known.height:
        return series.with_columns(pl.lit(None, dtype=pl.Float64).alias(name) for name in names)
    extra = pl.concat([known.select(*DAY_SERIES, session_date=day) for day in ("reference_on", "_on")])
    measured = trend.join(known, on=DAY_SERIES, how="semi").select(
        *DAY_SERIES, "session_date", "observed", _variance=pl.col("observed_se") ** 2
    )
    unmeasured = extra.join(measured, on=[*DAY_SERIES, "session_date"], how="anti").unique()
    points = placed(pl.concat([measured, unmeasured], how="diagonal"), DAY_SERIES).join(
        known.select(*DAY_SERIES, "reference_on", "drift_sd_per_day"), on=DAY_SERIES, how="left", maintain_order="left"
    )
    grid = Grid(points, "_variance")
    heads = points.unique("_series", keep="first", maintain_order=True)
    drift = heads["drift_sd_per_day"].to_numpy() ** 2
    levels = smooth(grid.y, grid.r, grid.days, drift)

    def column_of(day: str) -> npt.NDArray[np.int64]:
        return points.filter(pl.col("session_date") == pl.col(day)).sort("_series")["_column"].to_numpy()

    then, now = column_of("reference_on"), column_of("_on")
    rows = np.arange(heads.height)
    values: dict[str, Array] = {
        "level_then": levels.smoothed[rows, then],
        "level_then_se": np.sqrt(levels.smoothed_variance[rows, then]),
        "level_now": levels.smoothed[rows, now],
        "level_now_se": np.sqrt(levels.smoothed_variance[rows, now]),
        "change": levels.smoothed[rows, now] - levels.smoothed[rows, then],
        "change_se": np.sqrt(levels.difference_variance(then, now)),
    }
    found = heads.select(DAY_SERIES).with_columns(pl.Series(name, value) for name, value in values.items())
    return series.join(found, on=DAY_SERIES, how="left", maintain_order="left")


def start_progress(
    start_trend: pl.DataFrame, start_noise: pl.DataFrame, *, settings: SquadSettings, as_of: dt.date
) -> pl.DataFrame:
    """Compare each measure's level today with the reference day and say what can be said.

    change = level today - level on the reference day, both smoothed; change_se^2 = V_now + V_then - 2 (J_then ...
    J_(now - 1)) V_now, the joint of the two levels. swc: the smallest worthwhile change of ``start_noise``; mdc = 1.96
    sqrt 2 typical error. P(below) = Phi((-swc - change) / change_se), P(above) = Phi((change - swc) / change_se). Word:
    improving or slipping from the set probability (0.80) on, holding when P(within swc) reaches it, else not_clear.

    Reference: ``settings.progress_weeks`` before ``as_of``, or the first day of the series if later. Sources:
    durbin_koopman, rauch_1965, hopkins_swc, weir_2005, hopkins_probability. Null: levels and change where the noise is
    not known, the series has one day, its last day is not after the reference, or the reference is under 14 days back.
    Main series of an athlete: the 10 m time with most days in the window; then most days in all, electronic before
    video, the later last day.
    """
    return progress_on([as_of], start_trend, start_noise, settings).drop("_on").sort(SERIES_KEY)


def progress_on(
    days: Sequence[dt.date], start_trend: pl.DataFrame, start_noise: pl.DataFrame, settings: SquadSettings
) -> pl.DataFrame:
    """Return ``start_progress`` as it stood on each of some days, ``_on``: from the days of a series up to then."""
    trend = start_trend.join(pl.DataFrame({"_on": days}, schema={"_on": pl.Date}), how="cross").filter(
        pl.col("session_date") <= pl.col("_on")
    )
    frame = _levels_on_two_days(trend, _series(trend, start_noise, settings)).with_columns(_limit=_limit())
    shown = (pl.col("sessions") >= 2) & ~pl.col("_limit").is_in(["reference_too_near", "no_recent_session"]).fill_null(
        False
    )
    frame = frame.with_columns(pl.when(shown).then(pl.col(name)).alias(name) for name in ("change", "change_se"))
    frame = _add_word(_add_probabilities(frame), settings.progress_probability)
    main = (
        frame.filter(pl.col("metric") == MAIN_METRIC)
        .sort(
            "recent_sessions",
            "sessions",
            "timing_kind",
            "last_on",
            "start_kind",
            "clock_start",
            descending=[True, True, False, True, False, False],
        )
        .unique(["_on", "athlete_id"], keep="first", maintain_order=True)
        .select(*DAY_SERIES, is_main=pl.lit(True))
    )
    frame = frame.join(main, on=DAY_SERIES, how="left", maintain_order="left").with_columns(
        pl.col("is_main").fill_null(False)
    )
    frame = add_sentence(frame, weeks=settings.progress_weeks, window_start=pl.col("_window_start"))
    return frame.select("_on", *StartProgress.to_schema().columns)


def _series(trend: pl.DataFrame, start_noise: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Return one row a comparison: how much there is of the series, its reference day and its noise."""
    window_start = pl.col("_on") - pl.duration(weeks=settings.progress_weeks)
    return (
        trend.with_columns(_window_start=window_start)
        .group_by(DAY_SERIES, maintain_order=True)
        .agg(
            pl.col("_window_start").first(),
            first_on=pl.col("session_date").min(),
            last_on=pl.col("session_date").max(),
            reps=pl.col("reps").sum(),
            sessions=pl.len().cast(pl.Int64),
            recent_sessions=(pl.col("session_date") > pl.col("_window_start")).sum().cast(pl.Int64),
            typical_error=pl.col("typical_error").first(),
            drift_sd_per_day=pl.col("drift_sd_per_day").first(),
        )
        .with_columns(reference_on=pl.max_horizontal("first_on", "_window_start"))
        .join(
            start_noise.select(*KIND_KEY, "swc", "swc_basis", "swc_reason"),
            on=KIND_KEY,
            how="left",
            maintain_order="left",
        )
        .with_columns(
            pl.col("swc_reason").fill_null(pl.when(pl.col("swc").is_null()).then(pl.lit("no_smallest_change"))),
            mdc=MDC_FACTOR * pl.col("typical_error"),
            unit=pl.col("metric").replace_strict({k: v[0] for k, v in BETTER_IS.items()}, return_dtype=pl.String),
            better_is=pl.col("metric").replace_strict({k: v[1] for k, v in BETTER_IS.items()}, return_dtype=pl.String),
        )
    )


def _limit() -> pl.Expr:
    """Return the code of what keeps a comparison from being made, the first that holds; null where nothing does."""
    return (
        pl.when(pl.col("sessions") < LEAST_SESSIONS)
        .then(pl.lit("too_few_reps"))
        .when(pl.col("_on") - pl.col("reference_on") < dt.timedelta(days=LEAST_REFERENCE_DAYS))
        .then(pl.lit("reference_too_near"))
        .when(pl.col("last_on") <= pl.col("reference_on"))
        .then(pl.lit("no_recent_session"))
        .when(pl.col("drift_sd_per_day").is_null())
        .then(pl.lit("no_noise_estimate"))
        .when(pl.col("swc").is_null())
        .then(pl.lit("no_smallest_change"))
    )


def _add_probabilities(frame: pl.DataFrame) -> pl.DataFrame:
    """Add the probability of a change for the better, for the worse, and within the smallest one that counts."""
    below, within, above = change_probabilities(
        *(frame[name].cast(pl.Float64).fill_null(np.nan).to_numpy() for name in ("change", "change_se", "swc"))
    )
    frame = frame.with_columns(
        _below=pl.Series(below, dtype=pl.Float64).fill_nan(None),
        _above=pl.Series(above, dtype=pl.Float64).fill_nan(None),
        p_within=pl.Series(within, dtype=pl.Float64).fill_nan(None),
    )
    lower = pl.col("better_is") == "lower"
    return frame.with_columns(
        p_better=pl.when(lower).then("_below").when(pl.col("better_is") == "higher").then("_above"),
        p_worse=pl.when(lower).then("_above").when(pl.col("better_is") == "higher").then("_below"),
    )


def _add_word(frame: pl.DataFrame, sure: float) -> pl.DataFrame:
    """Add what can be said, and why it is not more."""
    return frame.with_columns(
        word=pl.when(pl.col("_limit").is_not_null())
        .then(pl.lit("not_clear"))
        .when(pl.col("p_better") >= sure)
        .then(pl.lit("improving"))
        .when(pl.col("p_worse") >= sure)
        .then(pl.lit("slipping"))
        .when(pl.col("p_within") >= sure)
        .then(pl.lit("holding"))
        .otherwise(pl.lit("not_clear"))
    ).with_columns(
        reason=pl.when(pl.col("_limit").is_not_null())
        .then(pl.col("_limit"))
        .when(pl.col("better_is").is_null())
        .then(pl.lit("no_better_direction"))
        .when(pl.col("word") == "not_clear")
        .then(pl.lit("not_sure_enough"))
    )
