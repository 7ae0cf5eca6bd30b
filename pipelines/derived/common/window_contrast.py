"""Has a level really changed? The days of the last four weeks against those that ended six weeks ago.

The weeks between are left out, so that a change which takes a block of training to grow is not averaged into both
sides. A word needs |change| beyond 2.9 standard errors and not 1.96, because weekly looks give chance many tries:
with 2.9 at most ten of a hundred who stay as they are get any word in 24 weekly looks (tests/bench/bench_seeing.py).

Layout as in ``day_noise``. Sources: gauss_markov (weights), day_noise; the windows and 2.9 are chosen by the bench.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from pipelines.derived.common.day_noise import WAVE_DAYS, add_up

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

NOW_DAYS = 28  # "now": the last four weeks
BEFORE_WEEKS = 14  # "before": so many weeks, up to the reference (six weeks ago)
SURE = 2.9  # standard errors from which a change is called real
POWER = 0.84  # normal quantile of 80 %: the detectable change is seen in four of five athletes who made it
LEAST_NOW, LEAST_BEFORE = 2, 4  # days with runs in each window
MOVES = 0.75  # P that the line of the last weeks goes the same way, for improving and slipping
HOLDS, HOLDS_LINE = 0.95, 0.85  # P(within the worthwhile change) for holding: of the windows, of the line
WAVE_LEFT = 0.9  # share of a wave's variance that the two windows leave in their difference


@dataclass(frozen=True)
class Contrast:
    """Now less before, per series; NaN where a window has too few days."""

    change: Array
    error: Array
    days_now: npt.NDArray[np.int64]
    days_before: npt.NDArray[np.int64]

    @property
    def detectable(self) -> Array:
        """A lasting change below this would not be seen (four times of five)."""
        return np.asarray((SURE + POWER) * self.error)


def contrast(age: Array, value: Array, variance: Array, wave: Array, before: tuple[Array, Array]) -> Contrast:
    """Compare the two windows of each series.

    Within a window days count by 1 / variance. error^2 = sum a^2 variance + wave sum_ij a_i a_j exp(-|age_i - age_j| /
    31), a = weights of now less weights of before; the double sum runs along the days once, as the kernel is
    exponential.

    Args:
        age: Days since each value, falling along a row, NaN where there is none.
        value: The day's value.
        variance: Its variance.
        wave: Variance of slow form, per series.
        before: Least and greatest age of the window before, per series.
    """
    known = np.isfinite(age) & np.isfinite(value)
    with np.errstate(invalid="ignore"):
        now = known & (age < NOW_DAYS)
        then = known & (age >= before[0][:, None]) & (age <= before[1][:, None])
    weight = np.where(known, 1.0 / np.where(known, variance, 1.0), 0.0)

    def share(chosen: Flags) -> Array:
        part = np.where(chosen, weight, 0.0)
        return np.asarray(part / np.maximum(add_up(part)[:, None], 1e-300))

    a = share(now) - share(then)
    slow, carried, last = np.zeros(len(a)), np.zeros(len(a)), np.full(len(a), np.nan)
    for k in range(a.shape[1]):
        seen = known[:, k]
        with np.errstate(invalid="ignore"):
            fade = np.where(np.isfinite(last), np.exp(-np.abs(last - age[:, k]) / WAVE_DAYS), 0.0)
        arrived = np.where(seen, carried * fade, carried)
        slow += np.where(seen, a[:, k] ** 2 + 2.0 * a[:, k] * arrived, 0.0)
        carried = np.where(seen, arrived + a[:, k], carried)
        last = np.where(seen, age[:, k], last)
    days_now, days_before = now.sum(axis=1), then.sum(axis=1)
    enough = (days_now >= LEAST_NOW) & (days_before >= LEAST_BEFORE)
    error = np.sqrt(add_up(a**2 * np.where(known, variance, 0.0)) + wave * np.maximum(slow, 0.0))
    change = add_up(a * np.where(known, value, 0.0))
    return Contrast(np.where(enough, change, np.nan), np.where(enough, error, np.nan), days_now, days_before)


def name_change(seen: Contrast, line: Array, line_error: Array, worthwhile: Array) -> npt.NDArray[np.str_]:
    """Return rising, falling, holding or not_clear for each series.

    Falling or rising: |change| >= 2.9 errors, and the line of the last weeks goes the same way with P >= 0.75 (else
    the change is older than that). Holding: the line stays within the worthwhile change with P >= 0.85, and either
    P(|change| < worthwhile) >= 0.95 with a detectable change below the worthwhile one, or a change that has come and
    stands (|change| >= 2.9 errors). Else not clear. Unknown in, not clear out.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        down = ndtr(-line / np.maximum(line_error, 1e-12))
        still = _within(line, line_error, worthwhile) >= HOLDS_LINE
        lower, higher = seen.change <= -SURE * seen.error, seen.change >= SURE * seen.error
        flat = (_within(seen.change, seen.error, worthwhile) >= HOLDS) & (seen.detectable < worthwhile)
    return np.select(
        [lower & (down >= MOVES), higher & (1 - down >= MOVES), (flat | lower | higher) & still],
        ["falling", "rising", "holding"],
        "not_clear",
    )


def _within(change: Array, error: Array, worthwhile: Array) -> Array:
    error = np.maximum(error, 1e-12)
    return np.asarray(ndtr((worthwhile - change) / error) - ndtr((-worthwhile - change) / error))


def detectable_with(day_variance: Array, wave: Array, days_a_week: Array | float) -> Array:
    """Return the change that would be seen with so many days a week kept through both windows.

    (2.9 + 0.84) sqrt(day_variance (1 / days now + 1 / days before) + 0.9 wave), 4 weeks now and 14 before.
    """
    days = np.maximum(np.asarray(days_a_week, dtype=np.float64), 1e-9)
    spread = 1.0 / (NOW_DAYS / 7.0 * days) + 1.0 / (BEFORE_WEEKS * days)
    return np.asarray((SURE + POWER) * np.sqrt(day_variance * spread + WAVE_LEFT * wave))


def days_to_see(size: float, day_variance: Array, wave: Array) -> Array:
    """Return the days a week at which a change of ``size`` would be seen; NaN where no number of days would do it."""
    spread = 1.0 / (NOW_DAYS / 7.0) + 1.0 / BEFORE_WEEKS
    left = (size / (SURE + POWER)) ** 2 - WAVE_LEFT * wave
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(left > 0, day_variance * spread / left, np.nan))
