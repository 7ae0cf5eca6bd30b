"""Horizontal force, power and effectiveness of a run, from its speed ceiling, time constant, body mass and air.

Forward force F(t) = m a + k (v - w)|v - w| along the fitted curve; vertical force m g (its mean over a whole step).
The force-velocity line is drawn by one fixed convention, because the curve is slightly bent and F0 and V0 depend on
how the line is fitted: t from 0 to -tau ln 0.01 (99 % of V) in steps of 0.001 s, ordinary least squares of F on v.
RF = F/sqrt(F^2 + (m g)^2); RFmax is RF at 0.3 s, DRF the slope of RF on v from 0.3 s on.

Source: "samozino_2016", "morin_2019". Deviation: the sums over thousands of instants are replaced by Gauss-Legendre
quadrature with the same weight per second and the first Euler-Maclaurin end terms; F0, V0, RFmax and DRF agree with
the sums to better than 1e-5.

Limits: straight, level, unresisted running; step means, not contact forces; F0 and V0 are extrapolations; the block
push is not in the model; F_v = m g leaves out the rise of the body in the first steps; horizontal power is not the
runner's total power.
"""

from dataclasses import dataclass, fields

import numpy as np

from pipelines.derived.sprint.fit_core import quadratic_form
from pipelines.derived.sprint.motion import FloatArray

GRAVITY_MPS2 = 9.81  # m/s^2, as in the source's worked values, source: "samozino_2016"
GRID_S = 0.001  # s, spacing of instants in the convention
LAST_SHARE = 0.99  # of the speed ceiling: where the curve ends
FIRST_STEP_S = 0.3  # s, first instant of RF, source: "samozino_2016"
NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)
CHUNK_RUNS = 4000  # runs reckoned together: their arrays stay in the processor's cache
SLOPE_STEP = 1e-4  # relative step of the central differences for standard errors


@dataclass
class ForceVelocity:
    """The numbers of a force-velocity profile, one row a run; forces and powers per kg of body mass."""

    f0_n_per_kg: FloatArray
    v0_mps: FloatArray
    pmax_w_per_kg: FloatArray
    rf_max: FloatArray
    drf_s_per_m: FloatArray


def _line(x: FloatArray, y: FloatArray, weight: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return intercept and slope of y on x per row, by weighted least squares."""
    total = weight.sum(axis=1)
    mean_x, mean_y = np.einsum("ij,ij->i", weight, x) / total, np.einsum("ij,ij->i", weight, y) / total
    off_x = x - mean_x[:, None]
    weighted = weight * off_x
    slope = np.einsum("ij,ij->i", weighted, y - mean_y[:, None]) / np.einsum("ij,ij->i", weighted, off_x)
    return mean_y - slope * mean_x, slope


def _instants(first_s: float, last_s: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return times and weights that stand for a sum over a grid of 0.001 s from first to last."""
    half = 0.5 * (last_s - first_s)[:, None]
    inner = first_s + half * (1.0 + NODES)
    n = len(last_s)
    times = np.concatenate([np.full((n, 1), first_s), inner, last_s[:, None]], axis=1)
    ends = np.full((n, 1), 0.5)
    return times, np.concatenate([ends, half * WEIGHTS / GRID_S, ends], axis=1)


def profile_force(
    vmax_mps: FloatArray,
    tau_s: FloatArray,
    mass_kg: FloatArray,
    drag_kg_per_m: FloatArray,
    tailwind_mps: FloatArray,
) -> ForceVelocity:
    """Return F0 (N/kg), V0 (m/s), Pmax = F0 V0/4 (W/kg), RFmax and DRF (s/m) of every run.

    Give a tailwind of 0 where none was measured. NaN in any input gives NaN.
    """
    vmax, tau = vmax_mps[:, None], tau_s[:, None]
    drag = (drag_kg_per_m / mass_kg)[:, None]
    wind = tailwind_mps[:, None]

    def motion(times: FloatArray) -> tuple[FloatArray, FloatArray]:
        left = np.exp(-times / tau)
        speed = vmax * (1.0 - left)
        air = speed - wind
        return speed, vmax / tau * left + drag * air * np.abs(air)

    last = -tau_s * np.log(1.0 - LAST_SHARE)
    times, weights = _instants(0.0, last)
    f0, slope = _line(*motion(times), weights)
    times, weights = _instants(FIRST_STEP_S, np.maximum(last, FIRST_STEP_S + GRID_S))
    speed, force = motion(times)
    ratio = force / np.hypot(force, GRAVITY_MPS2)
    _, drf = _line(speed, ratio, weights)
    v0 = -f0 / slope
    return ForceVelocity(f0, v0, f0 * v0 / 4.0, ratio[:, 0], drf)


def profile_force_errors(
    vmax_mps: FloatArray,
    tau_s: FloatArray,
    covariance: FloatArray,
    mass_kg: FloatArray,
    drag_kg_per_m: FloatArray,
    tailwind_mps: FloatArray,
) -> tuple[ForceVelocity, ForceVelocity]:
    """Return the profile and its standard errors, by the delta method from the covariance of V and tau (n, 2, 2).

    Body mass, height and air are taken as exact: 1 kg on the scale moves F0 per kg by about 0.01 %.
    """
    given = (vmax_mps, tau_s, covariance, mass_kg, drag_kg_per_m, tailwind_mps)
    n = len(vmax_mps)
    parts = [
        _profile_with_errors(*(values[start : start + CHUNK_RUNS] for values in given))
        for start in range(0, max(n, 1), CHUNK_RUNS)
    ]
    return _join([centre for centre, _ in parts]), _join([errors for _, errors in parts])


def _join(parts: list[ForceVelocity]) -> ForceVelocity:
    return ForceVelocity(*(np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(ForceVelocity)))


def _profile_with_errors(
    vmax_mps: FloatArray,
    tau_s: FloatArray,
    covariance: FloatArray,
    mass_kg: FloatArray,
    drag_kg_per_m: FloatArray,
    tailwind_mps: FloatArray,
) -> tuple[ForceVelocity, ForceVelocity]:
    centre = profile_force(vmax_mps, tau_s, mass_kg, drag_kg_per_m, tailwind_mps)
    step_v, step_t = SLOPE_STEP * vmax_mps, SLOPE_STEP * tau_s
    air = (mass_kg, drag_kg_per_m, tailwind_mps)
    ends = (
        profile_force(vmax_mps + step_v, tau_s, *air), profile_force(vmax_mps - step_v, tau_s, *air),
        profile_force(vmax_mps, tau_s + step_t, *air), profile_force(vmax_mps, tau_s - step_t, *air),
    )  # fmt: skip
    errors = []
    for field in fields(ForceVelocity):
        up_v, down_v, up_t, down_t = (getattr(end, field.name) for end in ends)
        slope = np.stack([(up_v - down_v) / (2 * step_v), (up_t - down_t) / (2 * step_t)], axis=1)
        errors.append(np.sqrt(quadratic_form(slope, covariance)))
    return centre, ForceVelocity(*errors)
