"""The local-level model for many series at once: filter, smoother and joint of two days.

    y_k = a_k + e_k,  e_k ~ N(0, r_k)             what a session showed, r_k known
    a_k = a_(k-1) + n_k,  n_k ~ N(0, q * days)    the athlete's level, drifting with variance q a day

Days without a session only predict, so sessions can be taken one after the other with the days between them. Diffuse
start: a_1 = y_1 with variance r_1 (exact; the first value adds nothing to the likelihood).
Source: durbin_koopman, rauch_1965.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Levels:
    """Filtered and smoothed levels, one row a series, one column a day of it."""

    filtered: Array
    filtered_variance: Array
    smoothed: Array
    smoothed_variance: Array
    pull: Array  # J_k = P_k / (P_k + q * days to the next): how the smoother hands back what came later
    log_likelihood: float

    def difference_variance(self, then: npt.NDArray[np.int64], now: npt.NDArray[np.int64]) -> Array:
        """Variance of level(now) - level(then) given all data, per series; columns ``then`` <= ``now``.

        Given the data, a_k = m_k + J_k (a_(k+1) - ...) + independent rest, so Cov(a_then, a_now) =
        J_then J_(then+1) ... J_(now-1) Var(a_now), and Var(now - then) = V_now + V_then - 2 Cov. Summing the two
        variances alone would overstate it: the two levels share most of their error.
        """
        rows = np.arange(len(self.smoothed))
        columns = np.arange(self.smoothed.shape[1])
        between = (columns >= then[:, None]) & (columns < now[:, None])
        product = np.where(between, self.pull, 1.0).prod(axis=1)
        v_now, v_then = self.smoothed_variance[rows, now], self.smoothed_variance[rows, then]
        return np.maximum(v_now + v_then - 2 * product * v_now, 0.0)


def run_filter(y: Array, r: Array, days: Array, q: Array | float) -> tuple[Array, Array, float]:
    """Filter all series: level and variance after each column, and the diffuse log-likelihood of all together.

    ``y`` and ``r`` are (series, columns), NaN in ``y`` where nothing was measured; the first column is always measured.
    ``days`` holds the days since the column before (0 in the first, and in columns after a series has ended).
    """
    level, variance = y[:, 0].copy(), r[:, 0].copy()
    levels, variances = np.empty_like(y), np.empty_like(y)
    levels[:, 0], variances[:, 0] = level, variance
    total = 0.0
    for k in range(1, y.shape[1]):
        predicted = variance + q * days[:, k]
        seen = np.isfinite(y[:, k])
        spread = np.where(seen, predicted + r[:, k], 1.0)
        spread = np.where(spread > 0, spread, np.finfo(float).tiny)
        surprise = np.where(seen, y[:, k] - level, 0.0)
        gain = np.where(seen, predicted / spread, 0.0)
        level = level + gain * surprise
        variance = predicted * (1 - gain)
        levels[:, k], variances[:, k] = level, variance
        total -= 0.5 * float(np.sum(np.where(seen, np.log(2 * np.pi * spread) + surprise**2 / spread, 0.0)))
    return levels, variances, total


def smooth(y: Array, r: Array, days: Array, q: Array | float) -> Levels:
    """Filter, then smooth backwards (fixed interval): every level with all data of its series, earlier and later."""
    filtered, variance, total = run_filter(y, r, days, q)
    level, smoothed_variance = filtered.copy(), variance.copy()
    pull = np.ones_like(filtered)
    for k in range(y.shape[1] - 2, -1, -1):
        predicted = variance[:, k] + q * days[:, k + 1]
        j = np.where(predicted > 0, variance[:, k] / np.where(predicted > 0, predicted, 1.0), 1.0)
        level[:, k] = filtered[:, k] + j * (level[:, k + 1] - filtered[:, k])
        smoothed_variance[:, k] = variance[:, k] + j**2 * (smoothed_variance[:, k + 1] - predicted)
        pull[:, k] = j
    return Levels(filtered, variance, level, np.maximum(smoothed_variance, 0.0), pull, total)
