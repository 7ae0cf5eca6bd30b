"""The level of each measure of the start over time (``start_trend``)."""

import datetime as dt

import numpy as np
import polars as pl

from pipelines.derived.common.day_noise import draw_in, own_share
from pipelines.derived.common.local_level import smooth
from pipelines.derived.common.ordering import in_order_of
from pipelines.derived.start.noise import Grid, placed
from pipelines.derived.start.trend_runs import trend_days, trend_runs
from schemas.derived.noise import NOISE_KEY
from schemas.derived.progress import StartTrend
from schemas.normal import NORMAL_95

NUMBERS = ("own_share", "level", "level_se")


def start_trend(
    sprint_profile: pl.DataFrame,
    start_phase: pl.DataFrame,
    rep: pl.DataFrame,
    split: pl.DataFrame,
    session: pl.DataFrame,
    athlete: pl.DataFrame,
    start_noise: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Follow each measure of the start over time, per athlete and kind of start, clock, timing, measuring and set-up.

    observed = mean of the day's runs, weighted by 1 / variance; its variance = own share x (variance of that mean from
    the runs + day form^2). own share = (15 + m u) / (15 + m): the athlete's own neighbouring days against the squad's,
    m of them. level: local-level model, a_k = a_(k-1) + N(0, q days), observed_k = a_k + N(0, observed_se_k^2), diffuse
    start, fixed-interval smoother; days over two SDs from the median of the five around them are drawn in to that.
    lower_95 and upper_95 = level -+ 1.96 level_se. Typical error, day form, slow form and q from ``start_noise``.

    Units: those of the measure (s, m/s, W/kg). Source: durbin_koopman, rauch_1965, hopkins_2000, von_neumann_1941,
    hampel_1974. The line is a picture: words rest on the windows of ``start_progress``. Null: level and errors where
    the squad's noise is not known yet. Days after ``as_of`` are not read.
    """
    noise = start_noise.unique(NOISE_KEY, keep="first", maintain_order=True)
    days = trend_days(trend_runs(sprint_profile, start_phase, rep, split, session, athlete, as_of), noise)
    days = days.join(
        noise.select(*NOISE_KEY, "neighbour_sd", "day_form_sd", "wave_sd", "wave_high_sd", "drift_sd_per_day"),
        on=NOISE_KEY,
        how="left",
        maintain_order="left",
    )
    known = pl.col("drift_sd_per_day").is_not_null()
    whole = known.all().over("_line")  # a series whose noise is known on all its days
    frame = pl.concat([_levelled(days.filter(whole)), days.filter(~whole)], how="diagonal").with_columns(
        observed_se=pl.when(pl.col("own_share").is_not_null())
        .then((pl.col("own_share") * (pl.col("_variance") + pl.col("day_form_sd") ** 2)).sqrt())
        .otherwise(pl.col("typical_error") / pl.col("reps").sqrt()),
        lower_95=pl.col("level") - NORMAL_95 * pl.col("level_se"),
        upper_95=pl.col("level") + NORMAL_95 * pl.col("level_se"),
    )
    return in_order_of(frame, ["_line", "session_date"]).select(list(StartTrend.to_schema().columns))


def _levelled(days: pl.DataFrame) -> pl.DataFrame:
    """Add own share, level and its error to days whose noise is known."""
    if not days.height:
        return days.with_columns(pl.lit(None, dtype=pl.Float64).alias(name) for name in NUMBERS)
    points = placed(days.with_columns(_spread=pl.col("_variance") + pl.col("day_form_sd") ** 2), ["_line"])
    grid = Grid(points, "_spread")
    heads = points.unique("_series", keep="last", maintain_order=True).sort("_series")
    share = own_share(grid.on, grid.y, heads["neighbour_sd"].to_numpy() ** 2)
    variance = share[:, None] * grid.r
    levels = smooth(draw_in(grid.y, variance), variance, grid.days, heads["drift_sd_per_day"].to_numpy() ** 2)
    return points.with_columns(
        own_share=pl.Series(share[grid.where[0]]),
        level=pl.Series(levels.smoothed[grid.where]),
        level_se=pl.Series(np.sqrt(levels.smoothed_variance[grid.where])),
    )
