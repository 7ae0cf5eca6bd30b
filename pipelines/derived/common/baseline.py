"""An athlete's own usual: a value set against the days before it, today left out."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.ordering import in_order_of, number_of

MAD_TO_SD = 1.4826  # no unit; MAD of a normal sample to its SD, source: "leys_2013"
IQR_TO_SD = 1.349  # no unit; IQR of a normal sample over its SD, textbook, from memory
ROWS_TOGETHER = 4000  # whose windows are laid out at once: they stay in the processor's cache

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.integer]


def compute_z(today: float, past: Sequence[float]) -> float | None:
    """Return the plain z: (today - mean) / SD(n - 1).

    Source: definition. No unit. Null with fewer than two values, or when all are equal: no spread is invented.
    """
    spread = float(np.std(past, ddof=1)) if len(past) > 1 else 0.0
    return (today - float(np.mean(past))) / spread if spread > 0 else None


def compute_prediction_t(today: float, past: Sequence[float]) -> float | None:
    """Return t of one further value: (today - mean) / (SD(n - 1) x sqrt(1 + 1/n)), with n - 1 degrees of freedom.

    Source: "prediction_interval". No unit. Null where the plain z is.
    """
    z = compute_z(today, past)
    return None if z is None else z / float(np.sqrt(1 + 1 / len(past)))


def compute_robust_z(today: float, past: Sequence[float]) -> float | None:
    """Return the robust z without the prediction factor: (today - median) / (1.4826 x MAD).

    Source: "leys_2013". No unit. Null when the MAD is 0 (more than half the values alike) or nothing is known.
    """
    if not past:
        return None
    median = float(np.median(past))
    spread = MAD_TO_SD * float(np.median(np.abs(np.asarray(past) - median)))
    return (today - median) / spread if spread > 0 else None


def add_baseline(answers: pl.DataFrame, *, days: int, least_days: int) -> pl.DataFrame:
    """Add each value's own baseline and its robust z in prediction form.

    Per athlete and item, from the values of the ``days`` days before ``day_on`` (today left out, nulls left out):

    - ``usual``: their median; ``baseline_days``: how many there are.
    - ``spread``: 1.4826 x MAD; where the MAD is 0, IQR / 1.349; never under half a step of the item's scale.
    - ``spread_kind``: which of them was used: "mad", "iqr" or "floor".
    - ``mean`` and ``sd`` (n - 1, never under half a step): what several values together are judged by.
    - ``z`` = (value - usual) / (spread x sqrt(1 + 1/n)).

    With a floor of half a step, one step on a scale that is always answered alike stays under 2 and two steps do not.

    A value whose ``left_out`` is true is judged, but is part of no later baseline.

    Source: "leys_2013" for median and MAD; the prediction factor is textbook ("prediction_interval").
    Deviations: the floor, and IQR where the MAD is 0; both are said in ``spread_kind``.
    Null (all but ``baseline_days``) with fewer than ``least_days`` values; ``z`` also when the value itself is null.

    Args:
        answers: athlete_id, item, day_on, value, step (one step of the item's scale), and left_out where some are; one
            row per athlete, item, day.
        days: Length of the window before the day, in days.
        least_days: Values needed before anything is said.
    """
    value, usual = pl.col("value"), pl.col("_usual")
    quartile = {q: usual.quantile(q, interpolation="linear") for q in (0.25, 0.75)}
    ordered = in_order_of(answers, ["athlete_id", "item", "day_on"])
    counted = pl.when(~pl.col("left_out")).then(value) if "left_out" in answers.columns else value
    place = place_in_line(
        number_of(ordered, ["athlete_id", "item"]).to_numpy(), ordered["day_on"].to_physical().to_numpy(), days
    )
    windows = (
        ordered.select(_place=pl.Series(place), _usual=counted.cast(pl.Float64))
        .rolling("_place", period=f"{days}i", closed="left")
        .agg(
            baseline_days=usual.count().cast(pl.Int64),
            _median=usual.median(),
            _mean=usual.mean(),
            _sd=usual.std(),
            _iqr=(quartile[0.75] - quartile[0.25]) / IQR_TO_SD,
        )
    )
    found = ordered.hstack(windows.drop("_place"))
    begin = np.searchsorted(place, place - days)
    held = found.select(counted.cast(pl.Float64)).to_series().to_numpy()
    is_known = (found["baseline_days"] >= least_days).to_numpy()
    mad = MAD_TO_SD * median_distance(held, found["_median"].to_numpy(), begin, is_known)
    enough = pl.col("baseline_days") >= least_days
    raw = pl.when(pl.col("_mad") > 0).then("_mad").otherwise("_iqr")
    kind = pl.when(pl.col("_mad") > 0).then(pl.lit("mad")).otherwise(pl.lit("iqr"))
    floor = pl.col("step") / 2
    factor = (1 + 1 / pl.col("baseline_days")).sqrt()
    return (
        found.with_columns(_mad=pl.Series(mad).fill_nan(None))
        .with_columns(
            usual=pl.when(enough).then("_median"),
            mean=pl.when(enough).then("_mean"),
            sd=pl.when(enough).then(pl.max_horizontal("_sd", floor)),
            spread=pl.when(enough).then(pl.max_horizontal(raw, floor)),
            spread_kind=pl.when(enough & (raw < floor)).then(pl.lit("floor")).when(enough).then(kind),
        )
        .with_columns(z=(value - pl.col("usual")) / (pl.col("spread") * factor))
        .drop("_median", "_mean", "_sd", "_mad", "_iqr")
    )


def place_in_line(series: Whole, day: Whole, days: int) -> Whole:
    """Return a place for each row, on one line on which series lie further apart than the ``days`` looked back on."""
    first = int(day.min(initial=0))
    apart = int(day.max(initial=0)) - first + days + 1
    return np.asarray(series.astype(np.int64) * apart + (day - first))


def begin_of_window(series: Whole, day: Whole, days: int) -> Whole:
    """Return the number of the first row of the ``days`` days before each row's day; rows are by series and day."""
    place = place_in_line(series, day, days)
    return np.searchsorted(place, place - days)


def median_distance(value: Floats, middle: Floats, begin: Whole, wanted: npt.NDArray[np.bool_]) -> Floats:
    """Return the median distance from ``middle`` of the values from ``begin`` up to each row, itself left out.

    NaN among the values is left out; NaN where the distance is not wanted. All windows of many rows are sorted at once:
    asked for window by window it takes ten times as long.
    """
    found = np.full(len(value), np.nan)
    every = np.flatnonzero(wanted)
    for start in range(0, len(every), ROWS_TOGETHER):
        rows = every[start : start + ROWS_TOGETHER]
        width = max(int((rows - begin[rows]).max()), 1)
        place = begin[rows, None] + np.arange(width)
        away = np.abs(value[np.minimum(place, len(value) - 1)] - middle[rows, None])
        away[place >= rows[:, None]] = np.nan
        away.sort(axis=1)
        last, line = np.isfinite(away).sum(axis=1) - 1, np.arange(len(rows))
        found[rows] = (away[line, last // 2] + away[line, (last + 1) // 2]) / 2
    return found
