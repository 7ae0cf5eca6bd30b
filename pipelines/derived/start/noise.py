"""The squad's own noise in the start: repeats, days, drift, and how far athletes lie apart (``start_noise``)."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.local_level import pooled_noise
from pipelines.derived.common.typical_error import typical_error
from pipelines.derived.start.trend_runs import trend_days, trend_runs
from schemas.derived.noise import KIND_KEY, NOISE_KEY, StartNoise
from schemas.derived.progress import SERIES_KEY
from schemas.settings import SquadSettings

LEAST_SPREAD_FREEDOM = 4  # athletes beyond their group means from which the spread between athletes is taken
OWN_VARIATION_SHARE = 0.3  # of the typical error where there is no spread, sources: "hopkins_hewson_2001"

Array = npt.NDArray[np.float64]


class Grid:
    """Series laid out as a matrix: one row a series, one column a day of it."""

    def __init__(self, points: pl.DataFrame, variance: str) -> None:
        """Lay out points that ``placed`` has numbered."""
        series, column = points["_series"].to_numpy(), points["_column"].to_numpy()
        shape = (int(series.max()) + 1, int(column.max()) + 1)
        self.where = (series, column)
        self.y, self.r, self.days = np.full(shape, np.nan), np.zeros(shape), np.zeros(shape)
        self.y[self.where] = points["observed"].to_numpy()
        self.r[self.where] = points[variance].fill_null(0.0).to_numpy()
        self.days[self.where] = points["_gap"].to_numpy()


def placed(points: pl.DataFrame, series: Sequence[str] = tuple(SERIES_KEY)) -> pl.DataFrame:
    """Sort points by series and day and number both; ``_gap`` is the days since the point before."""
    return points.sort([*series, "session_date"]).with_columns(
        _series=pl.struct(series).rle_id().cast(pl.Int64),
        _column=pl.int_range(pl.len()).over(series),
        _gap=pl.col("session_date").diff().over(series).dt.total_days().fill_null(0).cast(pl.Float64),
    )


def start_noise(
    sprint_profile_settled: pl.DataFrame,
    start_phase_settled: pl.DataFrame,
    rep_settled: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
) -> pl.DataFrame:
    """Estimate what a change of the start is held against, from the squad's runs before the running week.

    typical_error: SD of repeats within a day, order effects out, pooled per measure and timing kind (``hopkins_2000``).
    day_form and drift: maximum likelihood of the local-level model over all series of a measure and timing kind, with
    a weak penalty that keeps the drift off zero (``durbin_koopman``, ``chung_2013``). swc: share (a setting, 0.2) of
    the SD between the athletes' means of their days within one sex, pooled, per measure, start, clock and timing kind
    (``hopkins_swc``): men and women of a squad differ by more than athletes do. With fewer than four degrees of
    freedom 0.3 of the typical error (``hopkins_hewson_2001``).

    Units: those of the measure (s, m/s, W/kg). Null: typical error below five degrees of freedom; day form and drift
    with fewer than five values after a first one; swc where there is neither spread nor typical error.
    """
    runs = trend_runs(sprint_profile_settled, start_phase_settled, rep_settled)
    days = trend_days(runs, _repeats(runs))
    noise = [
        {**dict(zip(NOISE_KEY, key, strict=True)), **_day_noise(group)}
        for key, group in days.group_by(NOISE_KEY, maintain_order=True)
    ]
    known = pl.DataFrame(
        noise, schema={**dict.fromkeys(NOISE_KEY, pl.String), "day_form_sd": pl.Float64, "drift_sd_per_day": pl.Float64}
    )
    frame = (
        days.group_by(KIND_KEY, maintain_order=True)
        .agg(
            athletes=pl.col("athlete_id").n_unique().cast(pl.Int64),
            days=pl.len().cast(pl.Int64),
            typical_error=pl.col("typical_error").first(),
            typical_error_freedom=pl.col("typical_error_freedom").first(),
            fit_error=pl.col("fit_error").first(),
        )
        .join(known, on=NOISE_KEY, how="left")
        .join(_smallest_change(days, athlete, settings.swc_share), on=KIND_KEY, how="left")
    )
    return frame.select(list(StartNoise.to_schema().columns)).sort(KIND_KEY)


def _repeats(runs: pl.DataFrame) -> pl.DataFrame:
    """Return typical error, its degrees of freedom and the middle error of a fit, per measure and timing kind."""
    day = [*SERIES_KEY, "session_date"]
    numbered = runs.with_columns(
        _day=pl.struct(day).rank("dense").cast(pl.Int64),
        _order=pl.int_range(1, pl.len() + 1).over(day),
    )
    rows: list[dict[str, object]] = []
    for key, group in numbered.group_by(NOISE_KEY, maintain_order=True):
        found = typical_error(group["_day"].to_numpy(), group["_order"].to_numpy(), group["value"].to_numpy())
        rows.append(
            {
                **dict(zip(NOISE_KEY, key, strict=True)),
                "typical_error": found.value if found else None,
                "typical_error_freedom": found.freedom if found else None,
                "fit_error": group["se"].median(),
            }
        )
    numbers = {"typical_error": pl.Float64, "typical_error_freedom": pl.Int64, "fit_error": pl.Float64}
    return pl.DataFrame(rows, schema={**dict.fromkeys(NOISE_KEY, pl.String), **numbers})


def _day_noise(days: pl.DataFrame) -> dict[str, float | None]:
    grid = Grid(placed(days), "_variance")
    found = pooled_noise(grid.y, grid.r, grid.days)
    if found is None:
        return {"day_form_sd": None, "drift_sd_per_day": None}
    drift, form = found
    return {"day_form_sd": form**0.5, "drift_sd_per_day": drift**0.5}


def _smallest_change(days: pl.DataFrame, athlete: pl.DataFrame, share: float) -> pl.DataFrame:
    sex = athlete.select("athlete_id", sex=pl.col("sex").fill_null("x"))
    within = (
        days.group_by(SERIES_KEY, maintain_order=True)
        .agg(_own=pl.col("observed").mean(), typical_error=pl.col("typical_error").first())
        .join(sex, on="athlete_id", how="left")
        .with_columns(pl.col("sex").fill_null("x"))
        .with_columns(_square=(pl.col("_own") - pl.col("_own").mean().over(*KIND_KEY, "sex")) ** 2)
        .group_by(KIND_KEY, maintain_order=True)
        .agg(
            _freedom=pl.len().cast(pl.Int64) - pl.col("sex").n_unique().cast(pl.Int64),
            _squares=pl.col("_square").sum(),
            typical_error=pl.col("typical_error").first(),
        )
    )
    enough = pl.col("_freedom") >= LEAST_SPREAD_FREEDOM
    own = pl.col("typical_error").is_not_null()
    return within.select(
        *KIND_KEY,
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
