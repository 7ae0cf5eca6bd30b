"""The sum over days: its run lengths against a published table, and against an approximation in closed form."""

import numpy as np
import pytest

from pipelines.derived.readiness.tightness import SLACK


def run_length(shift: float, threshold: float, slack: float, runs: int = 4000, most: int = 4000) -> float:
    """Mean days until the one-sided sum of normal values reaches the threshold."""
    rng = np.random.default_rng(5)
    total, found = np.zeros(runs), np.full(runs, most)
    for day in range(most):
        total = np.maximum(0.0, total + rng.normal(shift, 1.0, runs) - slack)
        found = np.where((total >= threshold) & (found == most), day + 1, found)
    return float(found.mean())


@pytest.mark.parametrize(("shift", "published"), [(1.0, 8.38), (2.0, 3.34)])
def test_run_lengths_of_a_cumulative_sum_are_those_published(shift: float, published: float):
    # Slack 0.5, threshold 4: average run lengths of the two-sided scheme printed by Lucas & Crosier 1982
    # (Technometrics 24:199-205) and Montgomery's textbook, from memory; so far out the other side plays no part.
    assert run_length(shift, 4.0, 0.5, most=400) == pytest.approx(published, rel=0.04)


def test_without_a_shift_it_is_rare_by_siegmunds_approximation():
    # Siegmund 1985, from memory: with b = h + 1.166 and slack k, (exp(2 k b) - 2 k b - 1) / (2 k^2); here slack 1, h 2
    b = 2.0 + 1.166
    expected = (np.exp(2 * SLACK * b) - 2 * SLACK * b - 1) / (2 * SLACK**2)
    assert run_length(0.0, 2.0, SLACK) == pytest.approx(expected, rel=0.10)
