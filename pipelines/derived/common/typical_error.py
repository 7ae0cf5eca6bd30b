"""Typical error from repeats within a session, and what follows from it."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from schemas.normal import NORMAL_95

Array = npt.NDArray[np.float64]

LEAST_REPEATS = 5  # degrees of freedom below which no typical error is stated
MOST_ORDERS = 4  # first, second, third, and fourth or later run of a session get a common effect each
MDC_FACTOR = NORMAL_95 * 2**0.5  # 95 % of a difference of two single values, sources: "weir_2005"


@dataclass(frozen=True)
class TypicalError:
    """Typical error, with the degrees of freedom it rests on."""

    value: float
    freedom: int


def typical_error(session: npt.NDArray[np.int64], order: npt.NDArray[np.int64], value: Array) -> TypicalError | None:
    """Typical error: the spread of repeats of one session, pooled, common order effects taken out.

    Each session has its own mean, each place in the order (first, second, ...) one effect shared by the squad; the rest
    has SD = typical error. With two runs a session it is SD(difference) / sqrt 2 exactly.
    Source: hopkins_2000. None with fewer than five degrees of freedom.
    """
    groups, where, count = np.unique(session, return_inverse=True, return_counts=True)
    place = np.minimum(order, MOST_ORDERS) - 1
    design = np.eye(MOST_ORDERS)[place]

    def within(columns: Array) -> Array:
        sums = [np.bincount(where, weights=column, minlength=len(groups)) for column in columns.T]
        return columns - (np.stack(sums, axis=1) / count[:, None])[where]

    y = within(value[:, None])[:, 0] if len(value) else value
    x = within(design) if len(value) else design
    rank = int(np.linalg.matrix_rank(x)) if len(value) else 0
    freedom = len(value) - len(groups) - rank
    if freedom < LEAST_REPEATS:
        return None
    rest = y - x @ np.linalg.lstsq(x, y, rcond=None)[0]
    return TypicalError(float(np.sqrt(rest @ rest / freedom)), freedom)


def change_probabilities(change: Array, error: Array, smallest: Array) -> tuple[Array, Array, Array]:
    """P(true change < -smallest), P(within), P(> +smallest) for a change known with a normal error.

    P(below) = Phi((-smallest - change) / error), P(above) = 1 - Phi((smallest - change) / error). NaN in, NaN out.
    Source: hopkins_probability.
    """
    safe = np.where(error > 0, error, np.where(np.isnan(error), np.nan, np.finfo(float).tiny))
    below = scipy.special.ndtr((-smallest - change) / safe)
    above = scipy.special.ndtr((change - smallest) / safe)
    return below, 1 - below - above, above
