"""Progress in the start: the level of each measure over time, and whether its change is more than noise."""

import datetime as dt

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.local_level import pooled_noise, smooth
from pipelines.derived.progress_words import add_sentence
from pipelines.derived.trend_runs import NOISE_KEY, trend_days, trend_runs
from pipelines.derived.typical_error import MDC_FACTOR, change_probabilities
from schemas.derived.progress import SERIES_KEY, StartProgress, StartTrend
from schemas.settings import SquadSettings

LEAST_SESSIONS = 3
LEAST_REFERENCE_DAYS = 14
LEAST_SPREAD_FREEDOM = 4  # athletes beyond their group means from which the spread between athletes is taken
OWN_VARIATION_SHARE = 0.3  # of the typical error where there is no spread, sources: "hopkins_hewson_2001"
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


class _Grid:
    """Series laid out as a matrix: one row a series, one column a day of it."""

    def __init__(self, points: pl.DataFrame, variance: str) -> None:
        """Lay out points sorted by series and day, with columns _series, _column, session_date, observed."""
        series, column = points["_series"].to_numpy(), points["_column"].to_numpy()
        shape = (int(series.max()) + 1, int(column.max()) + 1)
        self.where = (series, column)
        self.y, self.r, self.days = np.full(shape, np.nan), np.zeros(shape), np.zeros(shape)
        self.y[self.where] = points["observed"].to_numpy()
        self.r[self.where] = points[variance].fill_null(0.0).to_numpy()
        self.days[self.where] = points["_gap"].to_numpy()


def _placed(points: pl.DataFrame) -> pl.DataFrame:
    return points.sort([*SERIES_KEY, "session_date"]).with_columns(
        _series=pl.struct(SERIES_KEY).rle_id().cast(pl.Int64),
        _column=pl.int_range(pl.len()).over(SERIES_KEY),
        _gap=pl.col("session_date").diff().over(SERIES_KEY).dt.total_days().fill_null(0).cast(pl.Float64),
    )


def start_trend(
    sprint_profile: pl.DataFrame,
    start_phase: pl.DataFrame,
    rep: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Follow each measure of the start over time, per athlete, start kind, clock and timing kind.

    observed = mean of the day's runs, weighted by 1 / variance; variance of the day = spread between runs and error of
    each fit (over the runs of the day) + day form. level: local-level model, a_k = a_(k-1) + N(0, q days), observed_k =
    a_k + N(0, observed_se_k^2), diffuse start, fixed-interval smoother, with its standard error; lower_95 and
    upper_95 = level -+ 1.96 level_se. Typical error from repeats within a day, pooled over the squad; q and day form
    by maximum likelihood over the squad, per measure and timing kind, with a weak penalty that keeps q off zero.

    Units: those of the measure (s, m/s, W/kg). Source: durbin_koopman, rauch_1965, hopkins_2000, chung_2013. Deviation:
    the error of q itself is not carried into the interval. Null: level and errors where the squad has fewer than five
    values after a first one; typical_error below five degrees of freedom. Days after ``as_of`` are not read.
    """
    days = trend_days(trend_runs(sprint_profile, start_phase, rep, as_of))
    blank = {name: pl.lit(None, dtype=pl.Float64) for name in ("level", "level_se", "day_form_sd", "drift_sd_per_day")}
    parts = []
    for _, group in days.group_by(NOISE_KEY, maintain_order=True):
        points = _placed(group)
        grid = _Grid(points, "_variance")
        noise = pooled_noise(grid.y, grid.r, grid.days)
        if noise is None:
            parts.append(points.with_columns(**blank, observed_se=pl.col("typical_error") / pl.col("reps").sqrt()))
            continue
        drift, form = noise
        levels = smooth(grid.y, grid.r + form, grid.days, drift)
        parts.append(
            points.with_columns(
                observed_se=(pl.col("_variance") + form).sqrt(),
                level=pl.Series(levels.smoothed[grid.where]),
                level_se=pl.Series(np.sqrt(levels.smoothed_variance[grid.where])),
                day_form_sd=pl.lit(form**0.5),
                drift_sd_per_day=pl.lit(drift**0.5),
            )
        )
    frame = pl.concat(parts) if parts else days.with_columns(**blank, observed_se=pl.lit(None, dtype=pl.Float64))
    frame = frame.with_columns(
        lower_95=pl.col("level") - NORMAL_95 * pl.col("level_se"),
        upper_95=pl.col("level") + NORMAL_95 * pl.col("level_se"),
    )
    columns = list(StartTrend.to_schema().columns)
    return StartTrend.validate(frame.select(columns).sort([*SERIES_KEY, "session_date"]))


def _smallest_change(trend: pl.DataFrame, athlete: pl.DataFrame, share: float) -> pl.DataFrame:
    """Smallest worthwhile change per measure, start, clock and timing: share * spread between athletes of one sex.

    The spread is the SD of the athletes' own typical values (means of their levels) within a sex, pooled: men and women
    of a squad differ by more than athletes do. With fewer than four degrees of freedom: 0.3 of the typical error.
    """
    kind = SERIES_KEY[1:]
    sex = athlete.select("athlete_id", sex=pl.col("sex").fill_null("x"))
    within = (
        trend.group_by(SERIES_KEY, maintain_order=True)
        .agg(
            _own=pl.coalesce(pl.col("level"), pl.col("observed")).mean(),
            typical_error=pl.col("typical_error").first(),
        )
        .join(sex, on="athlete_id", how="left")
        .with_columns(pl.col("sex").fill_null("x"))
        .with_columns(_square=(pl.col("_own") - pl.col("_own").mean().over(*kind, "sex")) ** 2)
        .group_by(kind, maintain_order=True)
        .agg(
            _freedom=pl.len().cast(pl.Int64) - pl.col("sex").n_unique().cast(pl.Int64),
            _squares=pl.col("_square").sum(),
            typical_error=pl.col("typical_error").first(),
        )
    )
    enough = pl.col("_freedom") >= LEAST_SPREAD_FREEDOM
    own = pl.col("typical_error").is_not_null()
    return within.select(
        *kind,
        swc=pl.when(enough)
        .then(share * (pl.col("_squares") / pl.col("_freedom")).sqrt())
        .otherwise(OWN_VARIATION_SHARE * pl.col("typical_error")),
        swc_basis=pl.when(enough).then(pl.lit("hopkins_swc")).when(own).then(pl.lit("hopkins_hewson_2001")),
        swc_reason=pl.when(enough)
        .then(None)
        .when(own)
        .then(pl.lit("swc_from_own_variation"))
        .otherwise(pl.lit("no_smallest_change")),
    )


def _levels_on_two_days(trend: pl.DataFrame, series: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Add to each series the level on the reference day and on ``as_of``, and the error of their difference."""
    known = series.filter(pl.col("drift_sd_per_day").is_not_null())
    names = ["level_then", "level_then_se", "level_now", "level_now_se", "change", "change_se"]
    if not known.height:
        return series.with_columns(pl.lit(None, dtype=pl.Float64).alias(name) for name in names)
    extra = pl.concat(
        [
            known.select(*SERIES_KEY, session_date="reference_on"),
            known.select(*SERIES_KEY, session_date=pl.lit(as_of)),
        ]
    )
    measured = trend.join(known, on=SERIES_KEY, how="semi").select(
        *SERIES_KEY, "session_date", "observed", _variance=pl.col("observed_se") ** 2
    )
    points = _placed(
        pl.concat(
            [measured, extra.join(measured, on=[*SERIES_KEY, "session_date"], how="anti").unique()], how="diagonal"
        )
    ).join(
        known.select(*SERIES_KEY, "reference_on", "drift_sd_per_day"), on=SERIES_KEY, how="left", maintain_order="left"
    )
    grid = _Grid(points, "_variance")
    heads = points.unique("_series", keep="first", maintain_order=True)
    drift = heads["drift_sd_per_day"].to_numpy() ** 2
    levels = smooth(grid.y, grid.r, grid.days, drift)

    def column_of(condition: pl.Expr) -> npt.NDArray[np.int64]:
        return points.filter(condition).sort("_series")["_column"].to_numpy()

    then = column_of(pl.col("session_date") == pl.col("reference_on"))
    now = column_of(pl.col("session_date") == as_of)
    rows = np.arange(heads.height)
    values: dict[str, Array] = {
        "level_then": levels.smoothed[rows, then],
        "level_then_se": np.sqrt(levels.smoothed_variance[rows, then]),
        "level_now": levels.smoothed[rows, now],
        "level_now_se": np.sqrt(levels.smoothed_variance[rows, now]),
        "change": levels.smoothed[rows, now] - levels.smoothed[rows, then],
        "change_se": np.sqrt(levels.difference_variance(then, now)),
    }
    found = heads.select(SERIES_KEY).with_columns(pl.Series(name, value) for name, value in values.items())
    return series.join(found, on=SERIES_KEY, how="left", maintain_order="left")


def start_progress(
    start_trend: pl.DataFrame, athlete: pl.DataFrame, *, settings: SquadSettings, as_of: dt.date
) -> pl.DataFrame:
    """Compare each measure's level today with the reference day and say what can be said.

    change = level today - level on the reference day, both smoothed; change_se^2 = V_now + V_then - 2 (J_then ...
    J_(now - 1)) V_now, the joint of the two levels. swc = share (a setting, 0.2) * spread between athletes of one
    sex; mdc = 1.96 sqrt 2 typical error. P(below) = Phi((-swc - change) / change_se), P(above) = Phi((change - swc)
    / change_se). Word: improving or slipping from the set probability (0.80) on, holding when P(within swc) reaches
    it, else not_clear.

    Reference: ``settings.progress_weeks`` before ``as_of``, or the first day of the series if later. Sources:
    durbin_koopman, rauch_1965, hopkins_swc, weir_2005, hopkins_probability. Null: levels and change where the noise is
    not known, the series has one day, its last day is not after the reference, or the reference is under 14 days back.
    Main series of an athlete: the 10 m time with most days in the window; then most days in all, electronic before
    video, the later last day.
    """
    window_start = as_of - dt.timedelta(weeks=settings.progress_weeks)
    trend = start_trend.filter(pl.col("session_date") <= as_of)
    series = (
        trend.group_by(SERIES_KEY, maintain_order=True)
        .agg(
            first_on=pl.col("session_date").min(),
            last_on=pl.col("session_date").max(),
            reps=pl.col("reps").sum(),
            sessions=pl.len().cast(pl.Int64),
            recent_sessions=(pl.col("session_date") > window_start).sum().cast(pl.Int64),
            typical_error=pl.col("typical_error").first(),
            drift_sd_per_day=pl.col("drift_sd_per_day").first(),
        )
        .with_columns(reference_on=pl.max_horizontal("first_on", pl.lit(window_start)))
        .join(
            _smallest_change(trend, athlete, settings.swc_share), on=SERIES_KEY[1:], how="left", maintain_order="left"
        )
        .with_columns(
            mdc=MDC_FACTOR * pl.col("typical_error"),
            unit=pl.col("metric").replace_strict({k: v[0] for k, v in BETTER_IS.items()}, return_dtype=pl.String),
            better_is=pl.col("metric").replace_strict({k: v[1] for k, v in BETTER_IS.items()}, return_dtype=pl.String),
        )
    )
    limit = (
        pl.when(pl.col("sessions") < LEAST_SESSIONS)
        .then(pl.lit("too_few_reps"))
        .when(pl.lit(as_of) - pl.col("reference_on") < dt.timedelta(days=LEAST_REFERENCE_DAYS))
        .then(pl.lit("reference_too_near"))
        .when(pl.col("last_on") <= pl.col("reference_on"))
        .then(pl.lit("no_recent_session"))
        .when(pl.col("drift_sd_per_day").is_null())
        .then(pl.lit("no_noise_estimate"))
        .when(pl.col("swc").is_null())
        .then(pl.lit("no_smallest_change"))
    )
    shown = (pl.col("sessions") >= 2) & ~pl.col("_limit").is_in(["reference_too_near", "no_recent_session"]).fill_null(
        False
    )
    frame = _levels_on_two_days(trend, series, as_of).with_columns(_limit=limit)
    frame = frame.with_columns(pl.when(shown).then(pl.col(name)).alias(name) for name in ("change", "change_se"))
    below, within, above = change_probabilities(
        *(frame[name].cast(pl.Float64).fill_null(np.nan).to_numpy() for name in ("change", "change_se", "swc"))
    )
    frame = frame.with_columns(
        _below=pl.Series(below, dtype=pl.Float64).fill_nan(None),
        _above=pl.Series(above, dtype=pl.Float64).fill_nan(None),
        p_within=pl.Series(within, dtype=pl.Float64).fill_nan(None),
    )
    lower = pl.col("better_is") == "lower"
    frame = frame.with_columns(
        p_better=pl.when(lower).then("_below").when(pl.col("better_is") == "higher").then("_above"),
        p_worse=pl.when(lower).then("_above").when(pl.col("better_is") == "higher").then("_below"),
    )
    sure = settings.progress_probability
    frame = frame.with_columns(
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
        .unique("athlete_id", keep="first", maintain_order=True)
        .select(*SERIES_KEY, is_main=pl.lit(True))
    )
    frame = frame.join(main, on=SERIES_KEY, how="left", maintain_order="left").with_columns(
        pl.col("is_main").fill_null(False)
    )
    frame = add_sentence(frame, weeks=settings.progress_weeks, window_start=window_start)
    return StartProgress.validate(frame.select(list(StartProgress.to_schema().columns)).sort(SERIES_KEY))
