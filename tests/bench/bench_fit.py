"""How much faster the batched fit is than a loop of scipy's curve_fit, per run, in one process.

Run it:  python -m tests.bench.bench_fit     or     python -m pytest tests/bench/bench_fit.py -s

100,000 runs of six splits (5 to 50 m, noise 0.01 s, unknown clock offset), three unknowns each, standard errors
included. The loops fit a sample of the same runs: the Lambert-W model from a good start, and the same with bounds.
"""

import time
from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import curve_fit
from scipy.special import lambertw

from pipelines.derived.sprint.fit import VMAX, Runs, fit_runs
from pipelines.derived.sprint.motion import time_at

RUNS = 100_000
SAMPLE, BOUNDED_SAMPLE = 300, 100
GATES = np.array([5.0, 10.0, 20.0, 30.0, 40.0, 50.0])
LEAST_RATIO, LEAST_BOUNDED_RATIO = 30.0, 150.0
SAME_OPTIMUM = 1e-5
BOUNDS = ([3.0, 0.2, -1.0], [16.0, 4.0, 1.0])


@dataclass(frozen=True)
class Outcome:
    """Seconds per run of each way, and how far the optima lie apart."""

    batched_s: float
    loop_s: float
    bounded_s: float
    apart: float
    error_apart: float
    statuses: dict[str, int]


def model(x, vmax, tau, offset):
    """Return the times of the Lambert-W model."""
    xi = x / (vmax * tau)
    return offset + tau * (1.0 + xi + lambertw(-np.exp(-1.0 - xi)).real)


def measure() -> Outcome:
    """Fit the same runs three ways."""
    rng = np.random.default_rng(2026)
    vmax, tau = rng.uniform(7.5, 11.5, RUNS), rng.uniform(0.9, 1.5, RUNS)
    times = time_at(GATES[None, :], vmax[:, None], tau[:, None])
    times = times + rng.normal(0.15, 0.02, RUNS)[:, None] + rng.normal(0.0, 0.01, times.shape)
    runs = Runs.of(GATES, times, offset_sd_s=np.inf)
    batched = []
    for _ in range(3):
        start = time.perf_counter()
        fitted = fit_runs(runs, noise="estimated")
        batched.append((time.perf_counter() - start) / RUNS)
    start = time.perf_counter()
    loop = [curve_fit(model, GATES, times[run], p0=[9.0, 1.2, 0.1]) for run in range(SAMPLE)]
    loop_s = (time.perf_counter() - start) / SAMPLE
    start = time.perf_counter()
    for run in range(BOUNDED_SAMPLE):
        curve_fit(model, GATES, times[run], p0=[9.0, 1.2, 0.1], bounds=BOUNDS)
    bounded_s = (time.perf_counter() - start) / BOUNDED_SAMPLE
    found = np.stack([fitted.vmax_mps, fitted.tau_s, fitted.offset_s], axis=1)[:SAMPLE]
    apart = float(np.abs(found - np.array([best for best, _ in loop])).max())
    errors = np.sqrt([covariance[0, 0] for _, covariance in loop])
    error_apart = float(np.abs(fitted.standard_error(VMAX)[:SAMPLE] / errors - 1.0).max())
    words, counts = np.unique(fitted.status.astype(str), return_counts=True)
    return Outcome(
        min(batched), loop_s, bounded_s, apart, error_apart, dict(zip(words.tolist(), counts.tolist(), strict=True))
    )


def describe(outcome: Outcome) -> str:
    """Return the outcome in words."""
    by_bounded = outcome.bounded_s / outcome.batched_s
    return "\n".join([
        f"batched              {outcome.batched_s * 1e6:8.2f} us per run ({RUNS} runs, standard errors included)",
        f"curve_fit            {outcome.loop_s * 1e6:8.0f} us per run: {outcome.loop_s / outcome.batched_s:.0f} times",
        f"curve_fit, bounded   {outcome.bounded_s * 1e6:8.0f} us per run: {by_bounded:.0f} times",
        f"optima apart at most {outcome.apart:.1e}, standard errors of vmax {outcome.error_apart:.1e} (relative)",
        f"statuses             {outcome.statuses}",
    ])  # fmt: skip


@pytest.mark.bench
def test_the_batched_fit_is_as_much_faster_as_wanted_and_finds_the_same():
    outcome = measure()
    print("\n" + describe(outcome))
    assert outcome.loop_s / outcome.batched_s >= LEAST_RATIO
    assert outcome.bounded_s / outcome.batched_s >= LEAST_BOUNDED_RATIO
    assert outcome.apart <= SAME_OPTIMUM
    assert sum(outcome.statuses.values()) == RUNS


if __name__ == "__main__":
    print(describe(measure()))
