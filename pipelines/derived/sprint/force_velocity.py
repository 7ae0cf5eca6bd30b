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
LAST = -np.log(1.0 - LAST_SHARE)  # time constants: where the curve ends
# The instants of the line: shares of V, and weights, of which those inside grow with the time constant.
SPEEDS = np.concatenate([[0.0], -np.expm1(-0.5 * LAST * (1.0 + NODES)), [LAST_SHARE]])
_END_WEIGHT = np.concatenate([[0.5], np.zeros(len(NODES)), [0.5]])
_INNER_WEIGHT = np.concatenate([[0.0], 0.5 * LAST * WEIGHTS / GRID_S, [0.0]])
_AT_ENDS, _INSIDE = ([float(weight @ SPEEDS**k) for k in range(4)] for weight in (_END_WEIGHT, _INNER_WEIGHT))
CHUNK_RUNS = 1000  # runs reckoned together: their arrays stay in the processor's cache
SLOPE_STEP = 1e-4  # relative step of the central differences for standard errors


@dataclass
class ForceVelocity:
    """The numbers of a force-velocity profile, one row a run; forces and powers per kg of body mass."""

    f0_n_per_kg: FloatArray
    v0_mps: FloatArray
    pmax_w_per_kg: FloatArray
    rf_max: FloatArray
    drf_s_per_m: FloatArray


class _Shape:
    """What line and ratio need of a time constant alone: the same for every ceiling, mass and air.

    With s = v/V the weighted sums of s^0 .. s^3 over the instants of the line hang on tau by the weights alone. Of the
    ratio: e^(-t/tau) at its instants (``left``), and the weights times how far s lies off its mean (``pull``).
    """

    def __init__(self, tau_s: FloatArray) -> None:
        """Lay out the instants of each run: a column an instant."""
        self.tau = tau_s
        sums = [_AT_ENDS[k] + tau_s * _INSIDE[k] for k in range(4)]
        self.mean, self.square, cube = (sums[k] / sums[0] for k in (1, 2, 3))
        self.variance = self.square - self.mean**2
        self.tilt = (cube - self.mean * self.square) / self.variance  # of s^2 on s
        self.weight = 1.0 / sums[0]

        end = np.maximum(LAST * tau_s, FIRST_STEP_S + GRID_S)
        half = 0.5 * (end - FIRST_STEP_S)
        n, inner = len(tau_s), slice(1, -1)
        left, weight = np.empty((n, len(NODES) + 2)), np.full((n, len(NODES) + 2), 0.5)
        left[:, 0], left[:, -1] = FIRST_STEP_S, end
        left[:, inner] = FIRST_STEP_S + half[:, None] * (1.0 + NODES)
        np.exp(np.divide(left, -tau_s[:, None], out=left), out=left)
        weight[:, inner] = half[:, None] * (WEIGHTS / GRID_S)
        off = np.einsum("ij,ij->i", weight, left) / weight.sum(axis=1)
        self.left, self.pull = left, off[:, None] - left
        self.pull *= weight
        self.spread = -np.einsum("ij,ij->i", self.pull, left)


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
    return _profile(_Shape(tau_s), vmax_mps, drag_kg_per_m / mass_kg, tailwind_mps)


def _profile(shape: _Shape, vmax: FloatArray, drag: FloatArray, wind: FloatArray) -> ForceVelocity:
    """Return the numbers of runs. The line: a = (V - v)/tau is straight already, so only the air bends and turns it.

    With drag q, q = (v - w)|v - w| per kg, F0 = V/tau + drag (mean q - m R) and slope = -1/tau + drag R / V, where m is
    the mean of s and R the slope of q on s. Without wind from behind q is the square of v - w, known by its sums.
    """
    mean_q = vmax * (vmax * shape.square - 2.0 * wind * shape.mean) + wind**2
    tilt_q = vmax * (vmax * shape.tilt - 2.0 * wind)
    behind = np.flatnonzero(wind > 0.0)
    if len(behind):  # while slower than the wind the air pushes: its square counts the other way
        speed = vmax[behind, None] * SPEEDS
        more = -2.0 * np.where(speed < wind[behind, None], (speed - wind[behind, None]) ** 2, 0.0)
        more *= _END_WEIGHT + shape.tau[behind, None] * _INNER_WEIGHT
        more *= shape.weight[behind, None]
        mean_q[behind] += more.sum(axis=1)
        tilt_q[behind] += (more * (SPEEDS - shape.mean[behind, None])).sum(axis=1) / shape.variance[behind]
    f0 = vmax / shape.tau + drag * (mean_q - shape.mean * tilt_q)
    slope = drag * tilt_q / vmax - 1.0 / shape.tau

    air = vmax[:, None] * (1.0 - shape.left)
    air -= wind[:, None]
    ratio = drag[:, None] * air
    ratio *= np.abs(air, out=air)
    ratio += (vmax / shape.tau)[:, None] * shape.left  # the force
    np.multiply(ratio, ratio, out=air)
    air += GRAVITY_MPS2**2
    ratio /= np.sqrt(air, out=air)
    drf = np.einsum("ij,ij->i", shape.pull, ratio) / (vmax * shape.spread)
    v0 = -f0 / slope
    return ForceVelocity(f0, v0, f0 * v0 / 4.0, ratio[:, 0].copy(), drf)


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
    step_v, step_t = SLOPE_STEP * vmax_mps, SLOPE_STEP * tau_s
    own, air = _Shape(tau_s), (drag_kg_per_m / mass_kg, tailwind_mps)
    centre = _profile(own, vmax_mps, *air)
    ends = (
        _profile(own, vmax_mps + step_v, *air), _profile(own, vmax_mps - step_v, *air),
        _profile(_Shape(tau_s + step_t), vmax_mps, *air), _profile(_Shape(tau_s - step_t), vmax_mps, *air),
    )  # fmt: skip
    errors = []
    for field in fields(ForceVelocity):
        up_v, down_v, up_t, down_t = (getattr(end, field.name) for end in ends)
        slope = np.stack([(up_v - down_v) / (2 * step_v), (up_t - down_t) / (2 * step_t)], axis=1)
        errors.append(np.sqrt(quadratic_form(slope, covariance)))
    return centre, ForceVelocity(*errors)
