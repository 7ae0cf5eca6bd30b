"""The squad's own noise in the start: repeats, days, slow form, and how far athletes lie apart (``start_noise``)."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.day_noise import squad_noise
from pipelines.derived.common.ordering import in_order_of, number_of
from pipelines.derived.common.some_athletes import in_turn
from pipelines.derived.start.noise_runs import RunsOfClass, start_noise_runs
from schemas.derived.noise import NOISE_KEY, StartNoise
from schemas.derived.progress import SERIES_KEY
from schemas.settings import SquadSettings

LEAST_SPREAD_FREEDOM = 4  # athletes beyond their group means from which the spread between athletes is taken
OWN_VARIATION_SHARE = 0.3  # of the typical error where there is no spread, sources: "hopkins_hewson_2001"
MOST_SERIES = 200  # series a noise is estimated from; more add time and no certainty worth it
LINE_DAYS = 42.0
TIMING = ["metric", "timing_kind"]
# Usual SD of one day, and SD the line may move in six weeks, as shares of the measure; source: "common_practice".
# 0.55 % of 1.8 s is 10 ms.
USUAL: dict[str, tuple[float, float]] = {
    "t_5_s": (0.0055, 0.0083),
    "t_10_s": (0.0055, 0.0083),
    "t_20_s": (0.0055, 0.0083),
    "t_30_s": (0.0055, 0.0083),
    "vmax_mps": (0.008, 0.008),
    "pmax_w_per_kg": (0.03, 0.025),
    "speed_after_3_mps": (0.02, 0.015),
    "contact_1_s": (0.06, 0.05),
}

Array = npt.NDArray[np.float64]


class Grid:
    """Series laid out as a matrix: one row a series, one column a day of it."""

    def __init__(self, points: pl.DataFrame, variance: str) -> None:
        """Lay out points that ``placed`` has numbered."""
        series, column = points["_series"].to_numpy(), points["_column"].to_numpy()
        shape = (int(series.max()) + 1, int(column.max()) + 1)
        self.where = (series, column)
        self.y, self.r, self.days = np.full(shape, np.nan), np.zeros(shape), np.zeros(shape)
        self.on = np.full(shape, np.nan)  # day of each point, counted from any fixed day
        self.y[self.where] = points["observed"].to_numpy()
        self.r[self.where] = points[variance].fill_null(0.0).to_numpy()
        self.days[self.where] = points["_gap"].to_numpy()
        self.on[self.where] = points["session_date"].to_physical().to_numpy()


def placed(points: pl.DataFrame, series: Sequence[str] = tuple(SERIES_KEY)) -> pl.DataFrame:
    """Sort points by series and day and number both; ``_gap`` is the days since the point before."""
    rows = in_order_of(points, [*series, "session_date"])
    number, place = number_of(rows, series).rle_id().cast(pl.Int64), pl.int_range(pl.len())
    begins = pl.col("_series").ne_missing(pl.col("_series").shift())
    return rows.with_columns(_series=number).with_columns(
        _column=place - pl.when(begins).then(place).forward_fill(),
        _gap=pl.when(begins).then(0.0).otherwise(pl.col("session_date").diff().dt.total_days().cast(pl.Float64)),
    )


def start_noise(
    sprint_profile_settled: pl.DataFrame,
    start_phase_settled: pl.DataFrame,
    rep_settled: pl.DataFrame,
    split_settled: pl.DataFrame,
    session_settled: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
) -> pl.DataFrame:
    """Estimate what a change of the start is held against, from the squad's runs before the running week.

    typical_error: SD of repeats within a day, order effects out (``hopkins_2000``), of such runs, or of all starts of
    the measure and timing where they leave under five degrees of freedom. neighbour_sd: from differences of days up
    to three weeks apart, each square capped at four variances, with five prior pairs at a usual SD (0.55 % of a time);
    day_form: that less the runs' part. wave: form that fades as exp(-days / 31), median of its posterior, beside own
    levels and lasting changes of the athletes (``slow_form``, restricted likelihood); wave_high: below which it lies in
    three of four, which the days do not rule out. drift^2 a day = (0.83 % of the time squared + wave^2) / 42: the
    picture's line, no rule.
    swc: share (a setting, 0.2) of the SD between the athletes' means within one sex and set-up, pooled
    (``hopkins_swc``): men and women of a squad differ by more than athletes do. With fewer than four degrees of
    freedom 0.3 of the typical error (``hopkins_hewson_2001``). Athletes under 18 are pooled apart.

    Units: those of the measure (s, m/s, W/kg). Null: typical error below five degrees of freedom of both kinds; swc
    where there is neither spread nor typical error.
    """
    parts = [
        start_noise_runs(profile, phase, rep, split, session, athlete)
        for rep, profile, phase, split, session in in_turn(
            rep_settled, sprint_profile_settled, start_phase_settled, split_settled, session_settled
        )
    ]
    return noise_from(parts, athlete=athlete, settings=settings)


def noise_from(parts: Sequence[pl.DataFrame], *, athlete: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Return ``start_noise`` from the runs of all athletes, as ``start_noise_runs`` gives them of some each time."""
    series = pl.concat(parts)
    rows: list[dict[str, object]] = []
    means: list[pl.DataFrame] = []
    for key, group in series.group_by(NOISE_KEY, maintain_order=True):
        named = dict(zip(NOISE_KEY, key, strict=True))
        runs = RunsOfClass(group)
        error, fit_error = _error_of(runs, named, series), runs.fit_error()
        days = runs.days(error["typical_error"], fit_error)  # type: ignore[arg-type]
        of_squad = {"athletes": group["athlete_id"].n_unique(), "days": days.height, "fit_error": fit_error}
        rows.append({**named, **of_squad, **error, **_day_noise(str(named["metric"]), days)})
        own = days.group_by("_line", maintain_order=True).agg(pl.col("observed").mean())
        means.append(
            group.select(*SERIES_KEY, "age_group").with_columns(
                own["observed"], typical_error=pl.lit(error["typical_error"], pl.Float64)
            )
        )
    shape = StartNoise.to_schema().types
    if not rows:
        return pl.DataFrame(schema=shape)
    change = _smallest_change(pl.concat(means), athlete, settings.swc_share)
    found = pl.DataFrame(rows, schema={name: kind for name, kind in shape.items() if name not in change.columns[6:]})
    return found.join(change, on=NOISE_KEY, how="left").select(list(shape)).sort(NOISE_KEY)


def _error_of(runs: RunsOfClass, named: dict[str, object], series: pl.DataFrame) -> dict[str, object]:
    """Return typical error of a class and its degrees of freedom, and what they are of."""
    error, basis = runs.error(), "such_runs"
    if error["typical_error"] is None:
        error, basis = RunsOfClass(series.filter(**{name: named[name] for name in TIMING})).error(), "all_starts"
    return {**error, "typical_error_of": basis if error["typical_error"] is not None else None}


def _day_noise(metric: str, days: pl.DataFrame) -> dict[str, float]:
    day_share, line_share = USUAL[metric]
    middle = float(np.median(days["observed"].to_numpy()))
    first = days.filter(pl.col("_line").rle_id() < MOST_SERIES)  # series stand one after the other
    grid = Grid(placed(first, ["_line"]), "_variance")
    found = squad_noise(grid.on, grid.y, grid.r, day_share * middle)
    drift = ((line_share * middle) ** 2 + found.wave) / LINE_DAYS
    return {
        "neighbour_sd": found.neighbour**0.5,
        "day_form_sd": found.form**0.5,
        "wave_sd": found.wave**0.5,
        "wave_high_sd": found.wave_high**0.5,
        "drift_sd_per_day": drift**0.5,
    }


def _smallest_change(days: pl.DataFrame, athlete: pl.DataFrame, share: float) -> pl.DataFrame:
    sex = athlete.select("athlete_id", sex=pl.col("sex").fill_null("x"))
    alike = [*NOISE_KEY, "sex", "set_up"]
    within = (
        days.group_by([*SERIES_KEY, "age_group"], maintain_order=True)
        .agg(_own=pl.col("observed").mean(), typical_error=pl.col("typical_error").first())
        .join(sex, on="athlete_id", how="left", maintain_order="left")
        .with_columns(pl.col("sex").fill_null("x"))
        .with_columns(_square=(pl.col("_own") - pl.col("_own").mean().over(alike)) ** 2)
        .group_by(NOISE_KEY, maintain_order=True)
        .agg(
            _freedom=pl.len().cast(pl.Int64) - pl.struct("sex", "set_up").n_unique().cast(pl.Int64),
            _squares=pl.col("_square").sum(),
            typical_error=pl.col("typical_error").first(),
        )
    )
    enough = pl.col("_freedom") >= LEAST_SPREAD_FREEDOM
    own = pl.col("typical_error").is_not_null()
    return within.select(
        *NOISE_KEY,
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
