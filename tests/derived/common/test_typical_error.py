"""The spread of repeats is that of least squares with a mean for each day and an effect for each place in the order."""

import numpy as np
import pytest
import statsmodels.api as sm

from pipelines.derived.common.typical_error import change_probabilities, typical_error


def of_least_squares(session: np.ndarray, order: np.ndarray, value: np.ndarray) -> tuple[float, int]:
    """Return the residual SD and its degrees of freedom by an ordinary regression on days and places (statsmodels)."""
    days = (session[:, None] == np.unique(session)).astype(float)
    places = (np.minimum(order, 3)[:, None] == np.arange(1, 4)).astype(float)
    fit = sm.OLS(value, np.hstack([days, places[:, places.any(axis=0)]])).fit()
    return float(fit.mse_resid**0.5), int(fit.df_resid)


@pytest.mark.parametrize("seed", range(4))
def test_without_a_wild_run_it_is_the_residual_spread_of_least_squares(seed):
    rng = np.random.default_rng(seed)
    session, order = np.repeat(np.arange(12), 3), np.tile(np.arange(1, 4), 12)
    value = 1.9 + 0.02 * rng.uniform(-1, 1, 36) + 0.05 * session  # uniform: none lies beyond four spreads
    found = typical_error(session, order, value)
    assert found is not None
    assert (found.value, found.freedom) == pytest.approx(of_least_squares(session, order, value), rel=1e-6)


def test_repeats_that_are_mostly_equal_still_have_the_spread_of_the_others():
    # of ten days with two runs one differs: the middle difference is nought, the spread is not
    session, order = np.repeat(np.arange(10), 2), np.tile(np.arange(1, 3), 10)
    value = np.full(20, 2.0)
    value[0] = 2.1
    found = typical_error(session, order, value)
    assert found is not None
    assert (found.value, found.freedom) == pytest.approx(of_least_squares(session, order, value), rel=1e-6)
    assert typical_error(session[:10], order[:10], value[:10]) is None  # five days of two: four degrees of freedom


def test_the_probabilities_of_a_change_are_those_of_the_normal_curve_and_sum_to_one():
    # by hand: change 2, error 1, smallest 1: P(under -1) = Phi(-3) = 0.00135, P(over 1) = Phi(1) = 0.84134
    below, within, above = change_probabilities(np.array([2.0]), np.array([1.0]), np.array([1.0]))
    assert (below[0], above[0]) == pytest.approx((0.0013499, 0.8413447), abs=1e-7)
    assert below[0] + within[0] + above[0] == pytest.approx(1.0)
    sure = change_probabilities(np.array([2.0, 0.5]), np.array([0.0, 0.0]), np.array([1.0, 1.0]))
    assert [one.tolist() for one in sure] == [[0.0, 0.0], [0.0, 1.0], [1.0, 0.0]]
    assert all(np.isnan(one).all() for one in change_probabilities(np.array([np.nan]), np.array([1.0]), np.ones(1)))
    beside = change_probabilities(np.array([np.nan, 2.0]), np.ones(2), np.ones(2))
    assert all(np.isnan(one[0]) for one in beside)
    assert [one[1] for one in beside] == [below[0], within[0], above[0]]
