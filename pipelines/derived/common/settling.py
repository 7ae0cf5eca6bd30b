"""The last digits of a search: Newton's method on the slope of a cost that is only known by its values.

A search that compares values ends anywhere within the square root of the last digit of its lowest point, and where
exactly hangs on the processor. The slope by differences passes through nought at one place, which every processor
finds to ten digits or so; that it lies DIFFERENCE squared beside the lowest point is the same everywhere.
"""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

DIFFERENCE = 1e-3  # of a parameter of size 1, for slope and curvature
LONGEST_STEP = 1.0
LAST_STEP = 1e-6  # after it the error is far smaller: near the end each step squares it
MOST_STEPS = 60
FLATTEST = 1e-7  # curvature, of the steepest direction's, below which a direction is taken as that steep
SLACK = 1e-12  # of the cost, within which two values are the same but for rounding


def settle(cost: Callable[[Array], float], start: Array, low: Array, high: Array) -> Array:
    """Return the lowest point near a start.

    Args:
        cost: A smooth function of parameters of size 1 or so.
        start: Where a coarser search ended, (n,).
        low: Least values.
        high: Greatest values; a parameter that wants beyond a bound ends on it exactly.
    """
    at = np.clip(start, low, high)
    now = cost(at)
    for _ in range(MOST_STEPS):
        slope, curvature = _differences(cost, np.clip(at, low + DIFFERENCE, high - DIFFERENCE))
        free = ~(((at <= low) & (slope > 0)) | ((at >= high) & (slope < 0)))
        if not free.any():
            break
        step = np.zeros_like(at)
        step[free] = _downhill(slope[free], curvature[np.ix_(free, free)])
        step *= min(1.0, LONGEST_STEP / max(float(np.abs(step).max()), 1e-300))
        trial = cost(np.clip(at + step, low, high))
        # A step as short as the difference is taken as it is: where the slope is nought lies beside the lowest value.
        while trial > now + SLACK * max(1.0, abs(now)) and np.abs(step).max() > DIFFERENCE:
            step = step / 4
            trial = cost(np.clip(at + step, low, high))
        at, now = np.clip(at + step, low, high), trial
        if np.abs(step).max() < LAST_STEP:
            break
    return at


def _downhill(slope: Array, curvature: Array) -> Array:
    """Return Newton's step, turned downhill where the cost bends the other way."""
    bends, axes = np.linalg.eigh(curvature)
    sizes = np.maximum(np.abs(bends), FLATTEST * max(float(np.abs(bends).max()), 1e-300))
    return -axes @ ((axes.T @ slope) / sizes)


def _differences(cost: Callable[[Array], float], at: Array) -> tuple[Array, Array]:
    """Return slope and curvature at a point, from the values DIFFERENCE away."""
    count, moves = len(at), DIFFERENCE * np.eye(len(at))
    now = cost(at)
    up, down = (np.array([cost(at + sign * move) for move in moves]) for sign in (1.0, -1.0))
    curvature = np.diag((up + down - 2 * now) / DIFFERENCE**2)
    for one in range(count):
        for other in range(one):
            both = cost(at + moves[one] + moves[other]) + cost(at - moves[one] - moves[other])
            alone = up[one] + down[one] + up[other] + down[other]
            curvature[one, other] = curvature[other, one] = (both + 2 * now - alone) / (2 * DIFFERENCE**2)
    return (up - down) / (2 * DIFFERENCE), curvature
