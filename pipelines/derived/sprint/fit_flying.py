"""Fit of runs whose clock starts as the body passes a gate an unknown distance d >= 0 in front of it.

Model: T_i = t(x_i + d) - t(d), unknown V, tau and d. Linear in tau; log k (k = V tau) and s = sqrt(d) are searched by
damped Gauss-Newton steps with tau projected out. sqrt(d) keeps the slope finite at d = 0, where t(d) rises like a root.
Source: "flying_distance_2024" (the idea of fitting the distance); method as in ``fit_core``.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pipelines.derived.sprint.fit_core import LOG_K, Layout, refine, start_own
from pipelines.derived.sprint.motion import FloatArray, solve_scaled_time

TRIED_M = (0.0, 0.1, 0.25, 0.5, 0.8, 1.2, 2.0)  # m, start values of d
GREATEST_BEHIND_M = 3.0  # m, as in the record's range of gate_offset_m
LEAST_BEHIND_M = 1e-4  # m, below it d is at its bound of 0 and has no error of its own
MOST_STEPS = 80
STEP_TOLERANCE = 1e-7
LEAST_DAMPING, FIRST_DAMPING, GREATEST_DAMPING = 1e-12, 1e-4, 1e8


@dataclass(frozen=True)
class FlyingFit:
    """Optimum per run. ``unit_covariance`` (V, tau, d) is for a timing noise of 1 s."""

    vmax_mps: FloatArray
    tau_s: FloatArray
    behind_m: FloatArray
    rss: FloatArray
    unit_covariance: FloatArray
    at_bound: npt.NDArray[np.bool_]
    rested: npt.NDArray[np.bool_]


@dataclass
class _Point:
    tau: FloatArray
    residual: FloatArray
    rss: FloatArray
    g: FloatArray
    by_k: FloatArray
    by_root: FloatArray


def _stand(x: FloatArray, y: FloatArray, log_k: FloatArray, root: FloatArray) -> _Point:
    k, d = np.exp(log_k)[:, None], (root**2)[:, None]
    u, u_hidden = solve_scaled_time((x + d) / k), solve_scaled_time(d / k)
    slope = -1.0 / np.expm1(-u)
    moving = u_hidden > 0
    hidden_slope = np.where(moving, -1.0 / np.where(moving, np.expm1(-u_hidden), -1.0), 0.0)
    g = u - u_hidden
    by_k = -((x + d) * slope - d * hidden_slope) / k
    # d(g)/d(root) = 2 root (u'(x + d) - u'(d))/k; root u'(d)/k tends to 1/sqrt(2 k) as d falls to 0
    at_zero = np.where(moving, root[:, None] * hidden_slope / k, 1.0 / np.sqrt(2.0 * k))
    by_root = 2.0 * (root[:, None] * slope / k - at_zero)
    tau = (g * y).sum(axis=1) / (g * g).sum(axis=1)
    residual = y - tau[:, None] * g
    return _Point(tau, residual, (residual**2).sum(axis=1), g, by_k, by_root)


def _step(point: _Point, damping: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return damped Gauss-Newton steps of log k and sqrt(d), tau projected out."""
    gg = (point.g**2).sum(axis=1)[:, None]
    columns = []
    for column in (point.by_k, point.by_root):
        columns.append(point.tau[:, None] * (column - point.g * (point.g * column).sum(axis=1)[:, None] / gg))
    a, b = columns
    aa, ab, bb = (a * a).sum(axis=1), (a * b).sum(axis=1), (b * b).sum(axis=1)
    ar, br = (a * point.residual).sum(axis=1), (b * point.residual).sum(axis=1)
    aa, bb = aa * (1.0 + damping) + 1e-30, bb * (1.0 + damping) + 1e-30
    determinant = np.maximum(aa * bb - ab * ab, 1e-60)
    return (bb * ar - ab * br) / determinant, (aa * br - ab * ar) / determinant


def fit_flying(distance_m: FloatArray, elapsed_s: FloatArray) -> FlyingFit:
    """Return V, tau and d of each run, by least squares in time. All rows have equally many splits."""
    n = len(elapsed_s)
    log_k, root, least = np.zeros(n), np.zeros(n), np.full(n, np.inf)
    for tried in TRIED_M:
        layout = Layout(distance_m + tried, np.full((n, 1), tried), elapsed_s, np.zeros(n))
        start, _ = refine(layout, start_own(layout))
        better = start.rss < least
        log_k, root = np.where(better, start.log_k, log_k), np.where(better, np.sqrt(tried), root)
        least = np.where(better, start.rss, least)
    damping = np.full(n, FIRST_DAMPING)
    point = _stand(distance_m, elapsed_s, log_k, root)
    resting = np.zeros(n, dtype=bool)
    for _ in range(MOST_STEPS):
        step_k, step_root = _step(point, damping)
        next_k = np.clip(log_k + np.clip(step_k, -0.5, 0.5), *LOG_K)
        next_root = np.clip(root + np.clip(step_root, -0.3, 0.3), 0.0, np.sqrt(GREATEST_BEHIND_M))
        trial = _stand(distance_m, elapsed_s, next_k, next_root)
        better = ~resting & (trial.rss <= point.rss * (1.0 + 1e-12))  # rounding of the sum of squares
        moved = np.maximum(np.abs(next_k - log_k), np.abs(next_root - root))
        resting |= moved < STEP_TOLERANCE
        log_k, root = np.where(better, next_k, log_k), np.where(better, next_root, root)
        for name in point.__dataclass_fields__:
            mine, theirs = getattr(point, name), getattr(trial, name)
            setattr(point, name, np.where(better if mine.ndim == 1 else better[:, None], theirs, mine))
        damping = np.clip(np.where(better, damping / 8.0, damping * 6.0), LEAST_DAMPING, GREATEST_DAMPING)
        if resting.all():
            break
    behind = root**2
    at_bound = (behind < LEAST_BEHIND_M) | (behind >= GREATEST_BEHIND_M) | (log_k <= LOG_K[0]) | (log_k >= LOG_K[1])
    vmax = np.exp(log_k) / point.tau
    return FlyingFit(vmax, point.tau, behind, point.rss, _unit_covariance(point, vmax, root), at_bound, resting)


def _unit_covariance(point: _Point, vmax: FloatArray, root: FloatArray) -> FloatArray:
    """Return (J'J)^-1 carried over from (tau, log k, sqrt d) to (V, tau, d); NaN where it is singular."""
    tau = point.tau[:, None]
    jacobian = np.stack([point.g, tau * point.by_k, tau * point.by_root], axis=2)
    information = np.einsum("nij,nik->njk", jacobian, jacobian)
    covariance = np.full_like(information, np.nan)
    regular = np.linalg.cond(information) < 1e13
    covariance[regular] = np.linalg.inv(information[regular])
    carry = np.zeros_like(information)
    carry[:, 0, 0], carry[:, 0, 1] = -vmax / point.tau, vmax
    carry[:, 1, 0] = 1.0
    carry[:, 2, 2] = 2.0 * root
    return np.asarray(carry @ covariance @ carry.transpose(0, 2, 1))
