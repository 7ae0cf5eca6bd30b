"""Has a level really changed? The days of the last four weeks against those that ended six weeks ago.

The weeks between are left out, so that a change which takes a block of training to grow is not averaged into both
sides. Who ran on fewer than four days in the last four weeks is judged by the last four days of six weeks: two days
say too little. A word needs |change| beyond 2.95 standard errors and not 1.96, because weekly looks give chance many
tries; who runs on few days gives it fewer, as then many looks see the same days, so 2.5 do at three days in five
weeks. For words the error counts the slow form that the squad's days do not rule out, for intervals the likely one.
With this at most ten of a hundred who stay as they are, or whose form comes and goes within a month, get any word in
24 weekly looks (tests/bench/bench_seeing.py).

Layout as in ``day_noise``. Sources: gauss_markov (weights), day_noise; windows and thresholds are chosen by the bench.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from pipelines.derived.common.day_noise import add_up
from pipelines.derived.common.slow_form import WAVE_DAYS

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

NOW_DAYS = 28  # "now": the last four weeks
TAKEN_DAYS, TAKEN_WITHIN = 4, 42  # ... or the last so many days with runs, of so many days
BEFORE_WEEKS = 22  # "before": so many weeks, up to the reference (six weeks ago)
PLAN_BEFORE_WEEKS = 14  # ... of them that a plan counts on: with the six after them twenty weeks
SURE, SURE_SELDOM = 2.95, 2.5  # standard errors from which a change is called real: run weekly, and seldom
WEEKLY, SELDOM = 0.85, 0.60  # days a week from which the first holds, and up to which the second; between in a line
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
    told_error: Array  # with the slow form that is not ruled out: what words are held against
    days_now: npt.NDArray[np.int64]
    days_before: npt.NDArray[np.int64]
    sure: Array  # standard errors from which it is called real

    @property
    def detectable(self) -> Array:
        """A lasting change below this would not be seen (four times of five)."""
        return np.asarray((self.sure + POWER) * self.told_error)


def sure_from(days_a_week: Array | float) -> Array:
    """Return how many standard errors a change must have: 2.95 for weekly runs, 2.5 up to three days in five weeks."""
    seldom = np.clip((WEEKLY - np.asarray(days_a_week, dtype=np.float64)) / (WEEKLY - SELDOM), 0.0, 1.0)
    return np.asarray(SURE - (SURE - SURE_SELDOM) * seldom)


def contrast(
    age: Array, value: Array, variance: Array, wave: Array, before: tuple[Array, Array], wave_high: Array | None = None
) -> Contrast:
    """Compare the two windows of each series.

    Now is the last 28 days, or the last four days with runs of the last 42. Within a window days count by 1 / variance.
    error^2 = sum a^2 variance + wave sum_ij a_i a_j exp(-|age_i - age_j| /
    31), a = weights of now less weights of before; the double sum runs along the days once, as the kernel is
    exponential. told_error: the same with ``wave_high``.

    Args:
        age: Days since each value, falling along a row, NaN where there is none.
        value: The day's value.
        variance: Its variance.
        wave: Variance of slow form, per series.
        before: Least and greatest age of the window before, per series.
        wave_high: Variance of slow form that the squad's days do not rule out; ``wave`` where it is not given.
    """
    known = np.isfinite(age) & np.isfinite(value)
    with np.errstate(invalid="ignore"):
        newest = known.sum(axis=1)[:, None] - np.cumsum(known, axis=1)  # 0 for the last day with runs
        nearest = np.minimum(before[0], TAKEN_WITHIN)[:, None]
        now = known & ((age < NOW_DAYS) | ((newest < TAKEN_DAYS) & (age < nearest)))
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
    days_alone, slow = add_up(a**2 * np.where(known, variance, 0.0)), np.maximum(slow, 0.0)
    error, told = (np.sqrt(days_alone + w * slow) for w in (wave, wave if wave_high is None else wave_high))
    change = add_up(a * np.where(known, value, 0.0))
    oldest = np.max(np.where(known, age, 0.0), axis=1)
    sure = sure_from(known.sum(axis=1) / (oldest / 7.0 + 1.0))
    change, error, told = (np.where(enough, part, np.nan) for part in (change, error, told))
    return Contrast(change, error, told, days_now, days_before, sure)


def name_change(seen: Contrast, line: Array, line_error: Array, worthwhile: Array) -> npt.NDArray[np.str_]:
    """Return rising, falling, holding or not_clear for each series.

    Falling or rising: |change| >= sure told errors, and the line of the last weeks goes the same way with P >= 0.75
    (else the change is older than that). Holding: the line stays within the worthwhile change with P >= 0.85, and
    either P(|change| < worthwhile) >= 0.95 with a detectable change below the worthwhile one, or a change that has
    come and stands (|change| >= sure told errors). Else not clear. Unknown in, not clear out.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        down = scipy.special.ndtr(-line / np.maximum(line_error, 1e-12))
        still = _within(line, line_error, worthwhile) >= HOLDS_LINE
        lower, higher = seen.change <= -seen.sure * seen.told_error, seen.change >= seen.sure * seen.told_error
        flat = (_within(seen.change, seen.told_error, worthwhile) >= HOLDS) & (seen.detectable < worthwhile)
    return np.select(
        [lower & (down >= MOVES), higher & (1 - down >= MOVES), (flat | lower | higher) & still],
        ["falling", "rising", "holding"],
        "not_clear",
    )


def _within(change: Array, error: Array, worthwhile: Array) -> Array:
    error = np.maximum(error, 1e-12)
    return np.asarray(
        scipy.special.ndtr((worthwhile - change) / error) - scipy.special.ndtr((-worthwhile - change) / error)
    )


def days_to_see(size: float, day_variance: Array, wave: Array) -> Array:
    """Return the days a week at which a change of ``size`` would be seen; NaN where no number of days would do it.

    size = (2.95 + 0.84) sqrt(day_variance (1 / days now + 1 / days before) + 0.9 wave), four weeks now and fourteen
    before. At 2.95 errors, as for weekly runs: fewer days are not advised by the lower threshold that they have.
    """
    spread = 1.0 / (NOW_DAYS / 7.0) + 1.0 / PLAN_BEFORE_WEEKS
    left = (size / (SURE + POWER)) ** 2 - WAVE_LEFT * wave
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(left > 0, day_variance * spread / left, np.nan))
