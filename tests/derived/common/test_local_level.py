"""The level-and-noise model, typical error and probabilities, against textbook, independent and simulated values."""

import numpy as np
import pytest
from scipy.stats import norm
from statsmodels.datasets import nile
from statsmodels.tsa.statespace.structural import UnobservedComponents

from pipelines.derived.common.local_level import run_filter, smooth
from pipelines.derived.common.typical_error import MDC_FACTOR, change_probabilities, typical_error


def one(values: list[float], r: float, days: list[float] | None = None):
    y = np.array([values], dtype=float)
    gaps = np.array([days if days else [0.0] + [1.0] * (len(values) - 1)])
    return y, np.full_like(y, r), gaps


# ---- the model -------------------------------------------------------------------------------------------------------


def test_filter_by_hand():
    # H 1, Q 0.25, y 7 6 7 5: P 1 + 0.25, K 1.25 / 2.25 = 0.555556, a = 7 - 0.555556 = 6.444444; on to 5.997732.
    level, variance, _ = run_filter(*one([7, 6, 7, 5], 1.0), 0.25)
    assert level[0] == pytest.approx([7, 6.444444, 6.692308, 5.997732], abs=1e-6)
    assert variance[0, -1] == pytest.approx(0.410431, abs=1e-6)


def test_a_missing_day_only_predicts():
    # y 7 6 - 5: after the missing day 6.444444 with P 0.555556 + 0.25 = 0.805556; last 5.702703, P 0.513514.
    level, variance, _ = run_filter(*one([7, 6, np.nan, 5], 1.0), 0.25)
    assert level[0, 2] == pytest.approx(6.444444, abs=1e-6)
    assert variance[0, 2] == pytest.approx(0.805556, abs=1e-6)
    assert (level[0, 3], variance[0, 3]) == (pytest.approx(5.702703, abs=1e-6), pytest.approx(0.513514, abs=1e-6))
    # The same with the missing day as a gap of two days.
    gap, gap_variance, _ = run_filter(*one([7, 6, 5], 1.0, [0, 1, 2]), 0.25)
    assert (gap[0, 2], gap_variance[0, 2]) == (pytest.approx(level[0, 3]), pytest.approx(variance[0, 3]))


def nile_flow() -> np.ndarray:
    return np.asarray(nile.load().data["volume"], float)


def test_the_nile_is_filtered_as_in_the_textbook():
    # Durbin & Koopman, Time Series Analysis by State Space Methods, ch. 2: H 15098.52, Q 1469.18 (values computed).
    y, r, days = one(list(nile_flow()), 15098.52)
    level, variance, total = run_filter(y, r, days, 1469.18)
    assert level[0, 1] == pytest.approx(1140.928, abs=0.01)
    assert level[0, 2] == pytest.approx(1072.798, abs=0.01)
    assert level[0, 99] == pytest.approx(798.367, abs=0.01)
    assert variance[0, 99] == pytest.approx(4032.17, abs=0.02)
    assert total == pytest.approx(-632.5456, abs=1e-3)


def test_levels_and_their_variances_agree_with_statsmodels():
    # Outside check: statsmodels UnobservedComponents, local level, exact diffuse start, with missing days.
    y = nile_flow()[:40].copy()
    y[[5, 6, 20, 33]] = np.nan
    model = UnobservedComponents(y, "llevel", use_exact_diffuse=True)
    theirs = model.smooth([15098.52, 1469.18])
    ours = smooth(*one(list(y), 15098.52), 1469.18)
    assert ours.filtered[0] == pytest.approx(theirs.filtered_state[0], rel=1e-8)
    assert ours.smoothed[0] == pytest.approx(theirs.smoothed_state[0], rel=1e-8)
    assert ours.smoothed_variance[0] == pytest.approx(theirs.smoothed_state_cov[0, 0], rel=1e-8)


def test_the_error_of_a_difference_agrees_with_statsmodels():
    # Outside check: a second state that copies the level of day 10 gives Var(level_39 - level_10) in the same smoother.
    y = nile_flow()[:40]
    h, q, then = 15098.52, 1469.18, 10
    ours = smooth(*one(list(y), h), q).difference_variance(np.array([then]), np.array([39]))[0]

    # Independent route: the Gaussian joint of all levels given all data, by brute force with a very wide prior.
    n = len(y)
    precision = np.zeros((n, n))
    for k in range(n - 1):
        precision[k : k + 2, k : k + 2] += np.array([[1, -1], [-1, 1]]) / q
    joint = np.linalg.inv(precision + np.eye(n) / h)
    assert ours == pytest.approx(joint[39, 39] + joint[then, then] - 2 * joint[39, then], rel=1e-8)

    model = UnobservedComponents(y, "llevel", use_exact_diffuse=True)
    draws = np.empty(4000)
    smoothed = model.smooth([h, q])
    simulator = model.simulation_smoother()
    rng = np.random.default_rng(5)
    for i in range(len(draws)):
        simulator.simulate(rng=rng)
        draws[i] = simulator.simulated_state[0, 39] - simulator.simulated_state[0, then]
    assert draws.mean() == pytest.approx(smoothed.smoothed_state[0, 39] - smoothed.smoothed_state[0, then], abs=8)
    assert draws.var() == pytest.approx(ours, rel=0.08)  # Monte Carlo: SD of a variance of 4000 draws is 2.2 %
    # Adding the two variances alone would claim more uncertainty than there is.
    assert ours < smoothed.smoothed_state_cov[0, 0, 39] + smoothed.smoothed_state_cov[0, 0, then]


def test_several_series_together_are_as_each_alone():
    rng = np.random.default_rng(1)
    y = rng.normal(2.0, 0.02, (3, 12))
    y[1, 8:] = np.nan  # a shorter series: no days, no values behind its end
    r, days = np.full_like(y, 0.0001), np.tile(np.r_[0.0, np.full(11, 3.0)], (3, 1))
    days[1, 8:] = 0.0
    together = smooth(y, r, days, 1e-6)
    for i in range(3):
        n = 8 if i == 1 else 12
        alone = smooth(y[i : i + 1, :n], r[i : i + 1, :n], days[i : i + 1, :n], 1e-6)
        assert together.smoothed[i, :n] == pytest.approx(alone.smoothed[0], rel=1e-12)
        assert together.smoothed_variance[i, :n] == pytest.approx(alone.smoothed_variance[0], rel=1e-12)


def test_typical_error_of_paired_times():
    # Differences 0.02 -0.01 0.03 -0.02 0 0.01 -0.03 0.02 s: TE = SD / sqrt 2 = 0.0150, MDC95 = 1.96 sqrt 2 TE = 0.0416.
    difference = np.array([0.02, -0.01, 0.03, -0.02, 0, 0.01, -0.03, 0.02])
    n = len(difference)
    found = typical_error(np.r_[:n, :n], np.repeat([1, 2], n), np.r_[np.full(n, 1.9), 1.9 + difference])
    assert found is not None
    assert found.value == pytest.approx(0.0150, abs=1e-4)
    assert MDC_FACTOR * found.value == pytest.approx(0.0416, abs=1e-4)


def test_typical_error_of_six_athletes():
    # Hopkins 2000 (concept), computed: mean difference 0.2 taken out, TE 0.641872, MDC95 (Weir 2005) 1.779179.
    first, second = [38.2, 41.0, 35.5, 44.1, 39.8, 36.9], [38.9, 40.1, 36.4, 44.6, 38.8, 37.9]
    found = typical_error(np.r_[:6, :6], np.repeat([1, 2], 6), np.array(first + second))
    assert found is not None
    assert (found.value, found.freedom) == (pytest.approx(0.641872, abs=1e-5), 5)
    assert MDC_FACTOR * found.value == pytest.approx(1.779179, abs=1e-5)


def test_typical_error_needs_five_degrees_of_freedom():
    assert typical_error(np.r_[:5, :5], np.repeat([1, 2], 5), np.arange(10.0)) is None  # 10 - 5 - 1 = 4


@pytest.mark.parametrize(
    ("change", "error", "smallest", "below", "above"),
    [
        (-3.0, 1.5 * 2**0.5, 1.0, 0.827111, 0.029673),  # single against single
        (-3.0, 1.5 * (1 / 6 + 1 / 3) ** 0.5, 1.0, 0.970327, None),  # six before, three after
        (-0.04, 0.02 * 2**0.5, 0.01, 0.855578, None),  # 30 m
        (-0.02, 0.02 * 2**0.5, 0.01, 0.638163, None),
        (-1.411765, 1.455214, 1.0, 0.611396, None),  # with a prior N(0, 2^2) on change: regression to the mean
    ],
)
def test_probability_that_a_change_counts(change, error, smallest, below, above):
    # Hopkins, Sportscience 2004 (formula from memory, values computed).
    got = change_probabilities(np.array([change]), np.array([error]), np.array([smallest]))
    assert got[0][0] == pytest.approx(below, abs=1e-5)
    if above is not None:
        assert got[2][0] == pytest.approx(above, abs=1e-5)
    assert sum(part[0] for part in got) == pytest.approx(1.0)


def test_the_filter_alone_covers_exactly_where_its_noise_is_known():
    rng = np.random.default_rng(2)
    n, t, q, r = 4000, 30, 0.3, 1.0
    truth = np.cumsum(q**0.5 * rng.standard_normal((n, t)), axis=1)
    days = np.ones((n, t))
    days[:, 0] = 0.0
    levels = smooth(truth + rng.standard_normal((n, t)), np.full((n, t), r), days, q)
    then, now = np.full(n, 12), np.full(n, 29)
    error = (levels.smoothed[:, 29] - levels.smoothed[:, 12]) - (truth[:, 29] - truth[:, 12])
    z = error / np.sqrt(levels.difference_variance(then, now))
    # 4000 series: Monte Carlo SD of the coverage 0.34 %, of the SD of z 1.1 %.
    assert np.mean(np.abs(z) < norm.ppf(0.975)) == pytest.approx(0.95, abs=0.012)
    assert z.std() == pytest.approx(1.0, abs=0.035)
