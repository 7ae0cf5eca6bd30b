"""Typical error from repeats within a session, and what follows from it."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from pipelines.derived.common.day_noise import CAP, CAP_MEAN, MEDIAN_SQUARE
from schemas.normal import NORMAL_95

Array = npt.NDArray[np.float64]

LEAST_REPEATS = 5  # degrees of freedom below which no typical error is stated
MOST_ORDERS = 4  # first, second, third, and fourth or later run of a session get a common effect each
WIDEST = 4.0  # robust SDs to which one run counts in a typical error, source: "yohai_1987"
MOST_ROUNDS, SETTLED_SHARE = 60, 1e-4  # of the search for the robust fit
RANK_SHARE = 1e-9  # below it a direction of the order effects is none
MDC_FACTOR = NORMAL_95 * 2**0.5  # 95 % of a difference of two single values, sources: "weir_2005"


@dataclass(frozen=True)
class TypicalError:
    """Typical error, with the degrees of freedom it rests on."""

    value: float
    freedom: int


class _Repeats:
    """Repeats laid out by session: what is left of them once session and order are taken out."""

    def __init__(self, session: npt.NDArray[np.int64], order: npt.NDArray[np.int64], value: Array) -> None:
        groups, self.where, count = np.unique(session, return_inverse=True, return_counts=True)
        self.count, self.value = count.astype(np.float64), value
        design = np.eye(MOST_ORDERS)[np.minimum(order, MOST_ORDERS) - 1]
        design = self._within(design) if len(value) else design
        base, sizes, _ = np.linalg.svd(design, full_matrices=False)
        self.base = base[:, sizes > RANK_SHARE * max(sizes.max(initial=0.0), 1.0)]
        self.freedom = len(value) - len(groups) - self.base.shape[1]
        # Share of the error variance that a residual keeps: (1 - 1 / runs of its session), less what the orders take.
        loose = len(value) - len(groups)
        self.kept = (1.0 - 1.0 / self.count)[self.where] * (self.freedom / loose if loose else 0.0)

    def _within(self, columns: Array) -> Array:
        sums = [np.bincount(self.where, weights=column, minlength=len(self.count)) for column in columns.T]
        return np.asarray(columns - (np.stack(sums, axis=1) / self.count[:, None])[self.where])

    def left_of(self, value: Array) -> Array:
        """Return the residuals of least squares."""
        y = self._within(value[:, None])[:, 0]
        return np.asarray(y - self.base @ (self.base.T @ y))

    def from_medians(self) -> Array:
        """Return what lies between each run and the median of its session: a start that no wild run can pull far."""
        order = np.lexsort((self.value, self.where))
        count = self.count.astype(np.int64)
        first = np.cumsum(count) - count
        middle = (self.value[order[first + (count - 1) // 2]] + self.value[order[first + count // 2]]) / 2
        return np.asarray(self.value - middle[self.where])

    def pulled_in(self, rest: Array, width: Array) -> Array:
        """Return the residuals once no run pulls at the fit by more than ``width``: one step (winsorised residuals)."""
        fit = self.value - rest
        drawn = fit + np.clip(rest, -width, width)
        return np.asarray(self.value - drawn + self.left_of(drawn))


def typical_error(session: npt.NDArray[np.int64], order: npt.NDArray[np.int64], value: Array) -> TypicalError | None:
    """Typical error: the spread of repeats of one session, pooled, common order effects taken out.

    Each session has its own mean, each place in the order (first, second, ...) one effect shared by the squad; the rest
    has SD = typical error. With two runs a session it is SD(difference) / sqrt 2 exactly.

    No single run carries it: first a scale s from squares capped at four variances (Huber's proposal 2, efficiency 89
    %, breaks down at 23 % of wild runs), on a fit no run pulls by more than two s; then the sum of squares with each
    run counted, and pulling, to four s at most. Where no run lies beyond that, as in all but one of 16,000 normal
    ones, it is the plain value exactly (efficiency over 99.9 %); one run of any size adds at most 16 s^2 to the sum.

    Source: hopkins_2000; huber_1964, yohai_1987 (the second step on the first's scale). None with fewer than five
    degrees of freedom.
    """
    repeats = _Repeats(session, order, value)
    if repeats.freedom < LEAST_REPEATS:
        return None
    plain = repeats.left_of(value)
    several = repeats.kept > 0  # a run alone on its day says nothing of repeats
    scale, rest = _capped_scale(repeats, several)
    if not scale > 0:
        return TypicalError(float(np.sqrt(plain @ plain / repeats.freedom)), repeats.freedom)
    width = WIDEST * scale * np.sqrt(repeats.kept)
    for _ in range(MOST_ROUNDS):
        before, rest = rest, repeats.pulled_in(rest, width)
        if np.abs(rest - before).max() <= SETTLED_SHARE * scale:
            break
    rest = np.clip(rest, -width, width)
    return TypicalError(float(np.sqrt(rest @ rest / repeats.freedom)), repeats.freedom)


def _capped_scale(repeats: _Repeats, some: npt.NDArray[np.bool_]) -> tuple[float, Array]:
    """Return the SD of one run by Huber's proposal 2, and the residuals: scale and fit in turn, until neither moves."""
    rest = repeats.from_medians()
    spread = np.sqrt(repeats.kept)
    scale = float(np.median(np.abs(rest[some]) / spread[some])) / MEDIAN_SQUARE**0.5
    for _ in range(MOST_ROUNDS):
        if not scale > 0:
            return 0.0, rest
        width = CAP**0.5 * scale * spread
        rest = repeats.pulled_in(rest, width)
        squares = np.minimum(rest**2, width**2).sum() / (CAP_MEAN * repeats.freedom)
        before, scale = scale, float(np.sqrt(squares))
        if abs(scale - before) <= SETTLED_SHARE * before:
            break
    return scale, rest


def change_probabilities(change: Array, error: Array, smallest: Array) -> tuple[Array, Array, Array]:
    """P(true change < -smallest), P(within), P(> +smallest) for a change known with a normal error.

    P(below) = Phi((-smallest - change) / error), P(above) = 1 - Phi((smallest - change) / error). NaN in, NaN out.
    Source: hopkins_probability.
    """
    unknown = np.isnan(change + error + smallest)
    if unknown.all():  # as of a squad without runs, which need not wait until scipy.special is imported
        nothing = np.full(unknown.shape, np.nan)
        return nothing, nothing, nothing
    safe = np.where(error > 0, error, np.where(np.isnan(error), np.nan, np.finfo(float).tiny))
    below = scipy.special.ndtr((-smallest - change) / safe)
    above = scipy.special.ndtr((change - smallest) / safe)
    return below, 1 - below - above, above
