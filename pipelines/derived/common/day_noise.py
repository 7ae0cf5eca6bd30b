"""How far one day differs from the next while nothing changes: a squad's own noise, robust to those who do change.

Layout: matrices with a row a series and a column a day of it, in order of day, NaN to the right. Units: those of the
measure, variances squared, days in days.

Sources: von_neumann_1941 (noise from successive differences, which a slow change hardly enters), huber_1964 (squares
capped at four variances, so that neither one day nor one improver makes the noise), hampel_1974 (a day far from the
median of its neighbours is drawn in), slow_form.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pipelines.derived.common.slow_form import NEIGHBOUR_DAYS, slow_form

Array = npt.NDArray[np.float64]

CAP, CAP_MEAN = 4.0, 0.9205  # squares are capped at 4 variances; E min(z^2, 4) for a standard normal z
MEDIAN_SQUARE = 0.4549  # median of z^2, which a robust start value is divided by
PRIOR_PAIRS = 5.0  # pairs of days that what is usual counts as
OWN_PAIRS = 15.0  # pairs of days that the squad's noise counts as, against the athlete's own
PAIR_WORTH = 2 / 3  # independent values a neighbouring difference is worth, source: "von_neumann_1941"
LEAST_SHARE = 0.02  # of the noise between days that day form keeps, however far the runs of a day lie apart
COLUMNS_AT_ONCE = 32  # days looked at together, so that little memory holds what is around them; own choice
REACH = 2.0  # day SDs that one day may lie from the median of its five neighbours


@dataclass(frozen=True)
class DayNoise:
    """Variance of a day = own share x (form + error of the day's runs); a slow wave of form comes beside it."""

    neighbour: float  # variance of a day, runs included, from neighbouring days
    form: float  # of it, what one day differs from the next beyond its runs
    wave: float  # variance of slow form that comes and goes within a month
    wave_high: float  # what the days do not rule out of it
    pairs: int  # pairs of neighbouring days it rests on


def add_up(values: Array) -> Array:
    """Return the sum of each row, added from left to right: blank columns to the right leave its last bits alone.

    A plain sum adds in blocks by the width of the matrix, so a series' own number would hang on who is beside it.
    """
    return np.asarray(np.cumsum(values, axis=1)[:, -1])


def capped_mean(squares: Array) -> float:
    """Return a variance from squared differences, each capped at four variances (Huber's proposal 2); NaN for none."""
    squares = squares[np.isfinite(squares)]
    if not len(squares):
        return np.nan
    variance = max(float(np.median(squares)) / MEDIAN_SQUARE, 1e-18)
    for _ in range(20):
        variance = float(np.minimum(squares, CAP * variance).mean()) / CAP_MEAN
    return variance


def neighbour_squares(day: Array, mean: Array) -> Array:
    """Return half the squared difference of each day and the next, NaN where they are over three weeks apart."""
    gap, square = np.diff(day, axis=1), np.diff(mean, axis=1) ** 2 / 2
    with np.errstate(invalid="ignore"):
        return np.asarray(np.where(gap <= NEIGHBOUR_DAYS, square, np.nan))


def squad_noise(day: Array, mean: Array, run_variance: Array, usual_sd: float) -> DayNoise:
    """Estimate one squad's noise from its days so far.

    Neighbours: g1 = capped mean of (y2 - y1)^2 / 2, with five prior pairs at ``usual_sd``; form = g1 - mean variance
    of a day's runs. Slow form: ``slow_form``, from all days, drawn in to two SDs of the median around them.

    Args:
        day: Day of each value, NaN where there is none.
        mean: Mean of the day's runs.
        run_variance: Variance of that mean from the runs alone.
        usual_sd: SD of a day of a squad of which nothing is known.
    """
    near = neighbour_squares(day, mean)
    pairs = np.isfinite(near)
    known = PAIR_WORTH * float(pairs.sum())
    found = capped_mean(near) if known else 0.0
    g1 = (PRIOR_PAIRS * usual_sd**2 + known * found) / (PRIOR_PAIRS + known)
    shared = float(((run_variance[:, 1:] + run_variance[:, :-1]) / 2)[pairs].mean()) if known else 0.0
    form = max(g1 - shared, LEAST_SHARE * g1)
    share = own_share(day, mean, np.full(len(day), g1))
    drawn = draw_in(mean, share[:, None] * (run_variance + form))
    slow = slow_form(day, drawn, run_variance, share, g1, g1 - form, usual_sd)
    return DayNoise(g1, form, slow.middle, slow.high, int(pairs.sum()))


def own_share(day: Array, mean: Array, neighbour: Array) -> Array:
    """Return each series' noise as a share of the squad's, drawn towards 1: (15 + m u) / (15 + m).

    u = capped mean of the series' own neighbours over the squad's ``neighbour`` variance, m = 2/3 of their number.
    """
    near = neighbour_squares(day, mean)
    near = np.concatenate([near, np.full((len(near), 1), np.nan)], axis=1)  # also where a day stands alone
    pairs = np.isfinite(near).sum(axis=1)
    squad = neighbour[:, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        own = add_up(np.nan_to_num(np.minimum(near, CAP * squad))) / CAP_MEAN / neighbour / np.maximum(pairs, 1)
    count = PAIR_WORTH * pairs
    return np.asarray((OWN_PAIRS + count * np.where(pairs > 0, own, 1.0)) / (OWN_PAIRS + count))


def draw_in(mean: Array, variance: Array) -> Array:
    """Draw in days over two day SDs from the median of the five days around them, at either end of the nearest four.

    Four at an end: a median of the last five lags behind a level that moves, one of three lets bad days through.
    """
    count, width = np.isfinite(mean).sum(axis=1), mean.shape[1]
    middle = np.full(mean.shape, np.nan)
    for begin in range(0, int(count.max(initial=0)), COLUMNS_AT_ONCE):
        k = np.arange(begin, min(begin + COLUMNS_AT_ONCE, width))
        at_end = k >= (count - 2)[:, None]
        first = np.where(at_end, (count - 4)[:, None], np.maximum(k - 2, 0))
        many = np.where((k < 2) | at_end, 4, 5)
        # The five around are laid behind each other: looking them up one after the other leaves them side by side.
        around = []
        for place in range(5):
            column = first + place
            inside = (place < many) & (column >= 0) & (column < width)
            beside = np.take_along_axis(mean, np.clip(column, 0, width - 1), axis=1)
            around.append(np.where(inside, beside, np.nan))
        middle[:, k] = np.where(k < count[:, None], _middle_of(np.stack(around)), np.nan)
    reach = REACH * np.sqrt(variance)
    known = np.arange(width) < count.max(initial=0)
    return np.where(known, np.clip(mean, middle - reach, middle + reach), mean)


def _middle_of(values: Array) -> Array:
    """Return the median over the first axis, unknown values left out; NaN where all are."""
    count = np.isfinite(values).sum(axis=0)
    ordered = np.sort(values, axis=0)  # NaN comes last
    low, high = (
        np.take_along_axis(ordered, np.maximum(place, 0)[None], axis=0)[0] for place in ((count - 1) // 2, count // 2)
    )
    return np.asarray(np.where(count > 0, np.where(count % 2 == 1, low, (low + high) / 2), np.nan))
