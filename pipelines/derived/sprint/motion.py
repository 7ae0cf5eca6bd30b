"""The mono-exponential sprint model: speed that rises towards a ceiling with one time constant.

    v(t) = V (1 - e^(-t/tau))        x(t) = V [t - tau (1 - e^(-t/tau))]        a(t) = (V/tau) e^(-t/tau)

V is the speed the run tends to (m/s), tau the time constant (s), t the time since the first forward force (s), x the
distance the centre of mass has moved since then (m). With u = t/tau and xi = x/(V tau): u + e^(-u) - 1 = xi, which
makes u = 1 + xi + W0(-e^(-1-xi)) on the principal branch of Lambert's W. u is found here by two Halley steps on real
numbers, which is faster than the complex W and keeps its digits at the branch point.

Valid while the athlete accelerates (to about 60 m for the fastest men, 30 to 40 m in team sport). It cannot slow
down, and knows nothing of block push, single steps or fatigue.

Sources: "furusawa_1927", "henry_1951", "volkov_1979", "samozino_2016".
"""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

FloatArray: TypeAlias = npt.NDArray[np.float64]
Real: TypeAlias = float | FloatArray

SMALL_XI = 1e-8  # below it the series of t(x) is used: the closed form cancels at its branch point
SERIES_UP_TO_XI = 1.6  # start value of the Halley steps: series below, far asymptote above
PLAIN_XI = 1e-3  # above it e^(-u) - 1 may be formed by subtraction


def solve_scaled_time(xi: Real) -> FloatArray:
    """Return u = t/tau for scaled distance xi = x/(V tau): the root of u + e^(-u) - 1 = xi.

    Dimensionless. Series u = s + s^2/6 + s^3/36, s = sqrt(2 xi), where xi < 1e-8. Null (NaN) in, NaN out; a negative
    xi gives NaN.
    """
    xi = np.asarray(xi, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        root = np.sqrt(2.0 * xi)
    series = root * (1.0 + root * (1.0 / 6.0 + root * (1.0 / 36.0 - root / 270.0)))
    u = np.where(xi < SERIES_UP_TO_XI, series, 1.0 + xi - np.exp(-1.0 - xi))
    cancels = xi < PLAIN_XI  # each value takes its own way, so that no answer depends on the others asked with it
    if not cancels.any():
        return step_scaled_time(step_scaled_time(u, xi), xi)
    small = xi < SMALL_XI
    u = np.where(small, 1.0, u)  # a harmless value for the steps; the series replaces it below
    plain = step_scaled_time(step_scaled_time(u, xi), xi)
    for _ in range(2):
        fall = np.expm1(-u)  # e^(-u) - 1 without its cancellation
        miss = u + fall - xi
        u = u + 2.0 * miss * fall / (2.0 * fall * fall - miss * (1.0 + fall))
    careful = np.where(small, root * (1.0 + root / 6.0 + root * root / 36.0), u)
    return np.asarray(np.where(cancels, careful, plain))


def step_scaled_time(u: FloatArray, xi: FloatArray) -> FloatArray:
    """Return u after one Halley step towards the root of u + e^(-u) - 1 = xi, for xi not near 0."""
    left = np.exp(-u)
    fall = left - 1.0
    miss = u + fall - xi
    return np.asarray(u + 2.0 * miss * fall / (2.0 * fall * fall - miss * left))


def distance_at(time_s: Real, vmax_mps: Real, tau_s: Real) -> FloatArray:
    """Return x(t) in metres: V [t - tau (1 - e^(-t/tau))]. Source: "samozino_2016"."""
    u = np.asarray(time_s, dtype=np.float64) / tau_s
    series = u * u * (0.5 - u * (1.0 / 6.0 - u / 24.0))  # u + e^(-u) - 1 cancels for small u
    return np.asarray(vmax_mps * tau_s * np.where(np.abs(u) < 1e-4, series, u + np.expm1(-u)))


def time_at(distance_m: Real, vmax_mps: Real, tau_s: Real) -> FloatArray:
    """Return t(x) in seconds since the first forward force: tau u(x/(V tau)). Source: "samozino_2016"."""
    xi = np.asarray(distance_m, dtype=np.float64) / (np.asarray(vmax_mps) * tau_s)
    return np.asarray(tau_s * solve_scaled_time(xi))


def speed_at(time_s: Real, vmax_mps: Real, tau_s: Real) -> FloatArray:
    """Return v(t) in m/s: V (1 - e^(-t/tau)). Source: "samozino_2016"."""
    return np.asarray(-vmax_mps * np.expm1(-np.asarray(time_s, dtype=np.float64) / tau_s))


def acceleration_at(time_s: Real, vmax_mps: Real, tau_s: Real) -> FloatArray:
    """Return a(t) in m/s^2: (V/tau) e^(-t/tau). Source: "samozino_2016"."""
    return np.asarray(vmax_mps / tau_s * np.exp(-np.asarray(time_s, dtype=np.float64) / tau_s))


def time_to_share(share: Real, tau_s: Real) -> FloatArray:
    """Return the time in seconds to reach a share p of the speed ceiling: -tau ln(1 - p). Source: "definition"."""
    return np.asarray(-np.asarray(tau_s) * np.log1p(-np.asarray(share, dtype=np.float64)))


def time_slopes(time_s: FloatArray, vmax_mps: Real, tau_s: Real) -> tuple[FloatArray, FloatArray]:
    """Return (dt/dV, dt/dtau) of t(x) at a fixed distance, for t > 0.

    dt/dV = -(x/V)/v and dt/dtau = V [(1 - e^(-t/tau)) - (t/tau) e^(-t/tau)] / v. At t = 0 both are 0.
    """
    u = np.asarray(time_s, dtype=np.float64) / tau_s
    rise = -np.expm1(-u)
    safe = np.where(rise > 0, rise, 1.0)
    by_vmax = np.where(rise > 0, -(tau_s * (u - rise)) / (vmax_mps * safe), 0.0)
    by_tau = np.where(rise > 0, (rise - u * (1.0 - rise)) / safe, 0.0)
    return np.asarray(by_vmax), np.asarray(by_tau)


def net_impulse(mass_kg: Real, from_s: Real, to_s: Real, vmax_mps: Real, tau_s: Real) -> FloatArray:
    """Return the net forward impulse in N s between two times: m [v(t2) - v(t1)]. Source: "definition"."""
    return np.asarray(mass_kg * (speed_at(to_s, vmax_mps, tau_s) - speed_at(from_s, vmax_mps, tau_s)))


def drag_impulse(drag_kg_per_m: Real, to_s: Real, vmax_mps: Real, tau_s: Real) -> FloatArray:
    """Return the impulse in N s that still air takes from the start to time T.

    Integral of k v^2: k V^2 [T - 2 tau (1 - e^(-T/tau)) + (tau/2)(1 - e^(-2T/tau))]. Source: "definition".
    """
    time = np.asarray(to_s, dtype=np.float64)
    once, twice = -np.expm1(-time / tau_s), -np.expm1(-2.0 * time / tau_s)
    return np.asarray(drag_kg_per_m * np.asarray(vmax_mps) ** 2 * (time - 2.0 * tau_s * once + 0.5 * tau_s * twice))


def peak_power_per_kg(vmax_mps: Real, tau_s: Real) -> FloatArray:
    """Return the greatest net power per kg of the model, W/kg: V^2/(4 tau), at t = tau ln 2. Source: "definition"."""
    return np.asarray(np.asarray(vmax_mps) ** 2 / (4.0 * np.asarray(tau_s)))
