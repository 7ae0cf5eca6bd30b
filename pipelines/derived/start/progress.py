"""Is the start getting better? The last weeks against the weeks before, and what can be said (``start_progress``)."""

import datetime as dt
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.day_noise import draw_in
from pipelines.derived.common.local_level import smooth
from pipelines.derived.common.ordering import in_order_of
from pipelines.derived.common.typical_error import MDC_FACTOR, change_probabilities
from pipelines.derived.common.window_contrast import (
    BEFORE_WEEKS,
    LEAST_BEFORE,
    LEAST_NOW,
    NOW_DAYS,
    contrast,
    days_to_see,
    name_change,
)
from pipelines.derived.start.noise import Grid, placed
from pipelines.derived.start.progress_words import add_sentence
from schemas.derived.noise import NOISE_KEY
from schemas.derived.progress import SERIES_KEY, StartProgress
from schemas.normal import NORMAL_95
from schemas.settings import SquadSettings

DAY_SERIES = ["_on", *SERIES_KEY]  # one comparison: of a series, as it stood on a day
CLASS = [name for name in NOISE_KEY if name != "age_group"]
LEAST_SESSIONS = 3
LEAST_REFERENCE_DAYS = 14
READ_DAYS = 200  # days back that a comparison reads
NOISE_READ = (
    "age_group", "typical_error", "day_form_sd", "wave_sd", "wave_high_sd", "own_share", "drift_sd_per_day",
)  # fmt: skip
TREND_READ = (*SERIES_KEY, "session_date", "reps", "observed", "observed_se", *NOISE_READ)  # of ``start_trend``
MAIN_METRICS = ("t_10_s", "t_20_s", "t_30_s", "t_5_s")  # the first that is measured is the one to show

# Unit and better direction of each measure. A first contact has none: longer and shorter can both be right.
BETTER_IS: dict[str, tuple[str, str | None]] = {
    "t_10_s": ("s", "lower"),
    "t_5_s": ("s", "lower"),
    "t_20_s": ("s", "lower"),
    "t_30_s": ("s", "lower"),
    "vmax_mps": ("m/s", "higher"),
    "pmax_w_per_kg": ("W/kg", "higher"),
    "speed_after_3_mps": ("m/s", "higher"),
    "contact_1_s": ("s", None),
}

Array = npt.NDArray[np.float64]


def start_progress(
    start_trend: pl.DataFrame,
    start_noise: pl.DataFrame,
    start_shift: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Compare the last four weeks of each measure with those that ended six weeks ago, and say what is seen.

    change = mean of the days of the last 28 days (of the last four with runs of 42, where there are fewer) less mean
    of the days 42 to 196 days back, days weighted by 1 / variance and drawn in to two SDs of the median of the five
    around them. change_se^2 = sum a^2 variance + wave^2 sum_ij a_i a_j exp(-|days apart| / 31), a the weights. Real:
    |change| >= sure told_se and the line of the six weeks goes the same way (P >= 0.75); sure = 2.95, falling in a
    line from 0.85 days a week to 2.5 at 0.6. Improving or slipping: real. Holding: the line's six weeks lie within the
    smallest worthwhile change (P >= 0.85), and either P(|change| < swc) >= 0.95 with detectable < swc, or a real
    change has come and stands. Else not_clear ('cannot tell yet'). detectable = (sure + 0.84) told_se;
    told_se is change_se with wave_high in the place of wave.
    P(below) = Phi((-swc - change) / change_se), P(above) = Phi((change - swc) / change_se): whether a change is
    worthwhile, beside whether it is real. mdc = 1.96 sqrt 2 typical error.
    days_to_see: days a week at which the change of the settings (20 ms) would be seen, from own noise, the likely slow
    form (which more days make known) and runs a day.

    Source: definition of the windows and of sure by what they see (tests/bench/bench_seeing.py, table on Methods);
    von_neumann_1941, huber_1964, hampel_1974, patterson_thompson_1971, dempster_1977 (noise), durbin_koopman,
    rauch_1965 (line), hopkins_swc, weir_2005, hopkins_probability. Limits: a change within the last four weeks is
    still diluted; a month-long wave of one athlete alone is not told from a change. Days before a step in everybody's
    time (``start_shift``) are not read.
    Null: change where a window has too few days (two and four) or the squad's noise is not known.
    Main series of an athlete: 10 m (else 20, 30, 5 m); one whose windows are filled before one whose are not, a
    gate's before the curve's; then most days in the last weeks, in all, electronic before video, the later last day.
    """
    return progress_on([as_of], start_trend, start_noise, start_shift, settings).drop("_on").sort(SERIES_KEY)


def progress_on(
    days: Sequence[dt.date],
    start_trend: pl.DataFrame,
    start_noise: pl.DataFrame,
    start_shift: pl.DataFrame,
    settings: SquadSettings,
) -> pl.DataFrame:
    """Return ``start_progress`` as it stood on each of some days, ``_on``: from the days of a series up to then."""
    ordered = in_order_of(start_trend, [*SERIES_KEY, "session_date"])
    trend = pl.concat([_as_it_stood(ordered, None), *(_as_it_stood(ordered, day) for day in sorted(days))])
    series = _add_shift(_series(trend, start_noise, settings), start_shift)
    frame = _compared(trend, series, settings).with_columns(_limit=_limit())
    frame = frame.with_columns(
        pl.when(pl.col("_limit").is_null()).then(pl.col(name)).alias(name)
        for name in ("change", "change_se", "real_from", "detectable")
    )
    frame = _add_word(_add_probabilities(frame), settings.progress_probability)
    frame = _add_plan(frame, settings)
    frame = frame.join(_main(frame), on=DAY_SERIES, how="left", maintain_order="left").with_columns(
        pl.col("is_main").fill_null(False),
        change_low=pl.col("change") - NORMAL_95 * pl.col("change_se"),
        change_high=pl.col("change") + NORMAL_95 * pl.col("change_se"),
    )
    frame = add_sentence(frame, see_s=settings.see_change_ms / 1000.0)
    return frame.select("_on", *StartProgress.to_schema().columns)


def _as_it_stood(trend: pl.DataFrame, day: dt.date | None) -> pl.DataFrame:
    """Return the days of the series up to one, which is told in ``_on``; none where it is not known."""
    return trend.filter(pl.col("session_date") <= pl.lit(day, pl.Date)).select(
        pl.lit(day, pl.Date).alias("_on"), pl.all()
    )


def _main(frame: pl.DataFrame) -> pl.DataFrame:
    order = {metric: place for place, metric in enumerate(MAIN_METRICS)}
    return (
        frame.filter(pl.col("metric").is_in(MAIN_METRICS))
        .with_columns(
            _place=pl.col("metric").replace_strict(order, return_dtype=pl.Int64),
            _told=pl.col("change").is_not_null(),
            _gate=pl.col("measured_by") != "curve",
            _lately=pl.col("recent_sessions") > 0,
        )
        .sort(
            "_lately", "_place", "_told", "_gate", "recent_sessions", "sessions", "timing_kind", "last_on",
            *SERIES_KEY[2:],
            descending=[True, False, True, True, True, True, False, True, *[False] * len(SERIES_KEY[2:])],
        )
        .unique(["_on", "athlete_id"], keep="first", maintain_order=True)
        .select(*DAY_SERIES, is_main=pl.lit(True))
    )  # fmt: skip


def _series(trend: pl.DataFrame, start_noise: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Return one row a comparison: how much there is of the series, its reference day and its noise."""
    window_start = pl.col("_on") - pl.duration(weeks=settings.progress_weeks)
    now = pl.col("session_date") > pl.col("_on") - pl.duration(days=NOW_DAYS)
    return (
        trend.with_columns(_window_start=window_start)  # in the order of day, series and date
        .group_by(DAY_SERIES, maintain_order=True)
        .agg(
            pl.col("_window_start").first(),
            first_on=pl.col("session_date").min(),
            last_on=pl.col("session_date").max(),
            reps=pl.col("reps").sum(),
            sessions=pl.len().cast(pl.Int64),
            recent_sessions=(pl.col("session_date") > pl.col("_window_start")).sum().cast(pl.Int64),
            days_a_week=now.sum() / (NOW_DAYS / 7.0),
            runs_a_day=pl.col("reps").filter(now).mean(),
            **{name: pl.col(name).last() for name in NOISE_READ},
        )
        .with_columns(reference_on=pl.max_horizontal("first_on", "_window_start"))
        .join(
            start_noise.select(*NOISE_KEY, "swc", "swc_basis", "swc_reason"),
            on=NOISE_KEY,
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


def _add_shift(series: pl.DataFrame, start_shift: pl.DataFrame) -> pl.DataFrame:
    """Add the last step in everybody's time that lies within what a comparison reads, and its sentence."""
    steps = start_shift.select(*CLASS, "shift_on", _shift_says="sentence").sort("shift_on")
    found = (
        series.select(*DAY_SERIES, "first_on")
        .join(steps, on=CLASS, how="inner")
        .filter(
            (pl.col("shift_on") <= pl.col("_on"))
            & (pl.col("shift_on") > pl.col("first_on"))
            & (pl.col("_on") - pl.col("shift_on") <= dt.timedelta(days=READ_DAYS))
        )
        .sort(*DAY_SERIES, "shift_on")
        .unique(DAY_SERIES, keep="last", maintain_order=True)
        .drop("first_on")
    )
    return series.join(found, on=DAY_SERIES, how="left", maintain_order="left")


def _compared(trend: pl.DataFrame, series: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Add to each comparison the change between the windows, that of the line, and the word for both."""
    names = [
        "change", "change_se", "detectable", "real_from", "line_change", "line_change_se",
        "level_now", "level_now_se", "level_then", "level_then_se",
    ]  # fmt: skip
    known = series.filter(pl.col("own_share").is_not_null())
    read = trend.filter(pl.col("session_date") > pl.col("_on") - pl.duration(days=READ_DAYS)).join(
        known, on=DAY_SERIES, how="semi"
    )
    columns = [pl.lit(None, dtype=pl.Float64).alias(name) for name in names]
    empty = series.with_columns(
        *columns,
        _moved=pl.lit(None, dtype=pl.String),
        days_now=pl.lit(0, dtype=pl.Int64),
        days_before=pl.lit(0, dtype=pl.Int64),
    )
    if not read.height:
        return empty
    points = placed(
        read.select(*DAY_SERIES, "session_date", "observed", _variance=pl.col("observed_se") ** 2), DAY_SERIES
    )
    grid = Grid(points, "_variance")
    heads = points.unique("_series", keep="first", maintain_order=True).select(DAY_SERIES)
    heads = heads.join(known, on=DAY_SERIES, how="left", maintain_order="left")
    drawn = draw_in(grid.y, grid.r)
    age = heads["_on"].to_physical().to_numpy()[:, None] - grid.on
    since = (heads["_on"] - heads["shift_on"]).dt.total_days().fill_null(READ_DAYS).to_numpy()
    from_days = 7.0 * settings.progress_weeks
    before = (np.full(len(age), from_days), np.minimum(from_days + 7.0 * BEFORE_WEEKS, since))
    wave, wave_high = (heads[name].to_numpy() ** 2 for name in ("wave_sd", "wave_high_sd"))
    seen = contrast(age, drawn, grid.r, wave, before, wave_high)
    heads = heads.with_columns(
        change=pl.Series(seen.change).fill_nan(None),
        change_se=pl.Series(seen.error).fill_nan(None),
        detectable=pl.Series(seen.detectable).fill_nan(None),
        real_from=pl.Series(seen.sure * seen.told_error).fill_nan(None),
        days_now=pl.Series(seen.days_now, dtype=pl.Int64),
        days_before=pl.Series(seen.days_before, dtype=pl.Int64),
    )
    points = points.with_columns(observed=pl.Series(drawn[grid.where]))
    heads = heads.join(_line(points, heads), on=DAY_SERIES, how="left", maintain_order="left")
    line, line_se, swc = (
        heads[name].cast(pl.Float64).fill_null(np.nan).to_numpy() for name in ("line_change", "line_change_se", "swc")
    )
    heads = heads.with_columns(_moved=pl.Series(name_change(seen, line, line_se, swc)))
    rest = empty.join(heads, on=DAY_SERIES, how="anti")
    return pl.concat([heads, rest.select(heads.columns)], how="vertical_relaxed")


def _line(points: pl.DataFrame, heads: pl.DataFrame) -> pl.DataFrame:
    """Return per comparison the line's level on its reference day and on its own, and the error of their difference."""
    extra = pl.concat([heads.select(*DAY_SERIES, session_date=day) for day in ("reference_on", "_on")])
    measured = points.select(*DAY_SERIES, "session_date", "observed", "_variance")
    unmeasured = extra.join(measured, on=[*DAY_SERIES, "session_date"], how="anti").unique()
    both = placed(pl.concat([measured, unmeasured], how="diagonal"), DAY_SERIES).join(
        heads.select(*DAY_SERIES, "reference_on", "drift_sd_per_day"),
        on=DAY_SERIES,
        how="left",
        maintain_order="left",
    )
    # A series begins with a day that was measured: the smoother starts from it.
    both = both.filter(
        pl.col("session_date") >= pl.col("session_date").filter(pl.col("observed").is_not_null()).min().over("_series")
    )
    both = placed(both.drop("_series", "_column", "_gap"), DAY_SERIES)
    grid = Grid(both, "_variance")
    first = both.unique("_series", keep="first", maintain_order=True)
    levels = smooth(grid.y, grid.r, grid.days, first["drift_sd_per_day"].to_numpy() ** 2)

    def column_of(day: str) -> npt.NDArray[np.int64]:
        """Return the column of the day, or the first where the day lies before what is read."""
        at = both.filter(pl.col("session_date") <= pl.col(day)).group_by("_series").agg(pl.col("_column").max())
        return (
            first.select("_series").join(at, on="_series", how="left", maintain_order="left")["_column"].fill_null(0)
        ).to_numpy()

    then, now = column_of("reference_on"), column_of("_on")
    rows = np.arange(first.height)
    values: dict[str, Array] = {
        "level_then": levels.smoothed[rows, then],
        "level_then_se": np.sqrt(levels.smoothed_variance[rows, then]),
        "level_now": levels.smoothed[rows, now],
        "level_now_se": np.sqrt(levels.smoothed_variance[rows, now]),
        "line_change": levels.smoothed[rows, now] - levels.smoothed[rows, then],
        "line_change_se": np.sqrt(levels.difference_variance(then, now)),
    }
    return first.select(DAY_SERIES).with_columns(pl.Series(name, value) for name, value in values.items())


def _limit() -> pl.Expr:
    """Return the code of what keeps a comparison from being made, the first that holds; null where nothing does."""
    return (
        pl.when(pl.col("sessions") < LEAST_SESSIONS)
        .then(pl.lit("too_few_reps"))
        .when(pl.col("own_share").is_null())
        .then(pl.lit("no_noise_estimate"))
        .when(pl.col("days_now") == 0)
        .then(pl.lit("no_recent_session"))
        .when(pl.col("shift_on").is_not_null() & (pl.col("days_before") < LEAST_BEFORE))
        .then(pl.lit("shared_step"))
        .when(pl.col("_on") - pl.col("first_on") < dt.timedelta(days=LEAST_REFERENCE_DAYS))
        .then(pl.lit("reference_too_near"))
        .when(pl.col("days_now") < LEAST_NOW)
        .then(pl.lit("too_few_days_now"))
        .when(pl.col("days_before") < LEAST_BEFORE)
        .then(pl.lit("too_few_days_before"))
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
    """Add what can be said, whether it is worthwhile, and why it is not more."""
    better = pl.when(pl.col("better_is") == "lower").then(pl.lit("falling")).otherwise(pl.lit("rising"))
    moved = pl.col("_moved").is_in(["falling", "rising"])
    return (
        frame.with_columns(
            word=pl.when(pl.col("_limit").is_not_null() | pl.col("_moved").is_null())
            .then(pl.lit("not_clear"))
            .when(pl.col("_moved") == "holding")
            .then(pl.lit("holding"))
            .when(~moved | pl.col("better_is").is_null())
            .then(pl.lit("not_clear"))
            .when(pl.col("_moved") == better)
            .then(pl.lit("improving"))
            .otherwise(pl.lit("slipping"))
        )
        .with_columns(
            is_worthwhile=pl.when(pl.col("word").is_in(["improving", "slipping"]) & pl.col("swc").is_not_null()).then(
                pl.max_horizontal("p_better", "p_worse") >= sure
            )
        )
        .with_columns(
            reason=pl.when(pl.col("_limit").is_not_null())
            .then(pl.col("_limit"))
            .when(pl.col("better_is").is_null())
            .then(pl.lit("no_better_direction"))
            .when(pl.col("word") == "not_clear")
            .then(pl.lit("not_sure_enough"))
        )
    )


def _add_plan(frame: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Add the days a week, with as many runs a day as now, at which the change of the settings would be seen."""
    runs = pl.col("runs_a_day").fill_null(1.0)
    day = pl.col("own_share") * (pl.col("day_form_sd") ** 2 + pl.col("typical_error").fill_null(0.0) ** 2 / runs)
    found = frame.select(_day=day, _wave=pl.col("wave_sd") ** 2).cast(pl.Float64).fill_null(np.nan)
    wanted = days_to_see(settings.see_change_ms / 1000.0, found["_day"].to_numpy(), found["_wave"].to_numpy())
    is_time = pl.col("metric").is_in(MAIN_METRICS)
    return frame.with_columns(days_to_see=pl.when(is_time).then(pl.Series(wanted).fill_nan(None)))
