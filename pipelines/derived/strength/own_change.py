"""A test against the athlete's own tests before it: the change shrunk towards none, and how sure it is."""

import numpy as np
import polars as pl
import scipy
from numpy.typing import NDArray

from pipelines.derived.common.change import BEST_DAYS, REPEAT_DAYS
from schemas.knowledge.attention import hamstring_thresholds
from schemas.settings import SquadSettings

PRIOR_SD = 0.10  # log units (10 %): how far an athlete's true force may move within a year, own rule
SURE = 0.95  # least probability at which a change is called real, whatever the budget
RESULTS = ("own_usual", "own_change", "p_lower", "p_higher")

Floats = NDArray[np.float64]


def add_own_change(
    rows: pl.DataFrame, series: list[str], day: str, value: str, settings: SquadSettings
) -> pl.DataFrame:
    """Add how each test stands against the athlete's own tests of the 365 days before.

    own_usual = mean of ln(value) over the earlier tests that had not fallen themselves, so that it does not sink with
    a loss. With TE the squad's test-to-test error, k earlier tests and d = ln(value) - own_usual: error variance
    v = TE^2 (1 + 1/k), prior N(0, 0.10^2), weight w = 0.01 / (0.01 + v); the true change is then normal with mean w d
    and SD sqrt(w v). p_lower = P(change < -SWC), p_higher = P(change > SWC), with Student's distribution on the error's
    degrees of freedom. The same is asked of this test and the one before it (at most 90 days earlier) together,
    v = TE^2 (1/2 + 1/k), where both lie to the same side; the surer of the two counts, and own_change is its w d.

    Source: "normal_shrinkage", "hopkins_probability". Adds own_usual, own_change (log units), p_lower and
    p_higher. Null without an earlier test, the squad's error, or the smallest change that matters.

    Args:
        rows: One row a test, with ``test_error``, ``test_error_df`` and ``smallest_change`` on the log scale.
        series: Columns that name a series of like tests.
        day: Column of the day of the test.
        value: Column of what was measured, above 0.
        settings: For the threshold from which a test counts as fallen.
    """
    rows = rows.sort(*series, day)
    if rows.is_empty():
        return rows.with_columns(pl.lit(None, pl.Float64).alias(name) for name in RESULTS)
    place = rows.select(
        group=pl.struct(series).rank("dense").cast(pl.Int64) - 1, turn=pl.int_range(pl.len()).over(series)
    )
    group, turn = place["group"].to_numpy(), place["turn"].to_numpy()
    shape = (int(group.max()) + 1, int(turn.max()) + 1)

    def spread_out(values: pl.Series) -> Floats:
        laid = np.full(shape, np.nan)
        laid[group, turn] = values.cast(pl.Float64).fill_null(np.nan).to_numpy()
        return laid

    found = _walk(
        np.log(spread_out(rows[value])),
        spread_out(rows[day].cast(pl.Int32)),
        *(spread_out(rows[name]) for name in ("test_error", "test_error_df", "smallest_change")),
        fallen_from=max(SURE, hamstring_thresholds(settings).force_p),
    )
    return rows.with_columns(
        pl.Series(name, laid[group, turn], dtype=pl.Float64).fill_nan(None)
        for name, laid in zip(RESULTS, found, strict=True)
    )


def _walk(
    level: Floats, day: Floats, error: Floats, freedom: Floats, smallest: Floats, *, fallen_from: float
) -> tuple[Floats, ...]:
    """Judge the tests of all series in turn; series x tests, NaN where there is none."""
    out = tuple(np.full(level.shape, np.nan) for _ in RESULTS)
    counts = np.isfinite(level)  # those that make an own usual
    for turn in range(1, level.shape[1]):
        recent = counts[:, :turn] & (day[:, [turn]] - day[:, :turn] <= BEST_DAYS)
        te, df, swc = error[:, turn], freedom[:, turn], smallest[:, turn]
        usual, number = _mean(level[:, :turn], recent)
        alone = _judge(level[:, turn] - usual, te**2 * (1 + 1 / number), df, swc)
        recent[:, -1] = False
        before, more = _mean(level[:, :turn], recent)
        last = np.where(day[:, turn] - day[:, turn - 1] <= REPEAT_DAYS, level[:, turn - 1], np.nan)
        same_way = np.sign(level[:, turn] - before) == np.sign(last - before)
        both = np.where(same_way, (level[:, turn] + last) / 2, np.nan)
        together = _judge(both - before, te**2 * (1 / 2 + 1 / more), df, swc)
        is_surer = np.fmax(together[1], together[2]) > np.fmax(alone[1], alone[2])
        change = np.where(is_surer, together[0], alone[0])
        lower, higher = (np.fmax(alone[n], together[n]) for n in (1, 2))
        with np.errstate(invalid="ignore"):
            counts[:, turn] &= ~(lower >= fallen_from)
        for laid, column in zip(out, (usual, change, lower, higher), strict=True):
            laid[:, turn] = column
    return out


def _mean(level: Floats, counted: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Return the mean of the tests counted and their number, both NaN where there is none."""
    number = counted.sum(axis=1).astype(float)
    number[number == 0] = np.nan
    return np.where(counted, level, 0.0).sum(axis=1) / number, number


def _judge(change: Floats, variance: Floats, freedom: Floats, smallest: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the shrunk change, and the probabilities that the true one lies below and above the smallest."""
    weight = PRIOR_SD**2 / (PRIOR_SD**2 + variance)
    mean, sd = weight * change, np.sqrt(weight * variance)
    with np.errstate(invalid="ignore", divide="ignore"):
        return (
            mean,
            scipy.special.stdtr(freedom, (-smallest - mean) / sd),
            scipy.special.stdtr(freedom, (mean - smallest) / sd),
        )
