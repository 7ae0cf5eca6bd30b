"""The last digits of a search: found from wherever a coarser search ended."""

import numpy as np
import pytest
from scipy.optimize import rosen

from pipelines.derived.common.settling import settle

FREE = np.full(2, np.inf)


@pytest.mark.parametrize("start", [(0.9, 0.8), (1.1, 1.3), (-1.2, 1.0)])
def test_the_lowest_point_of_a_bent_valley(start):
    # Rosenbrock's valley (1960) has its lowest point at (1, 1); differences of 1e-3 see it 2e-4 beside that.
    found = settle(rosen, np.array(start), -FREE, FREE)
    assert found == pytest.approx([1.0, 1.0], abs=5e-4)
    assert found == pytest.approx(settle(rosen, np.array([0.99, 0.99]), -FREE, FREE), abs=1e-10)


def test_a_slope_that_never_ends_ends_on_the_bound_exactly():
    def cost(at):
        return np.exp(at[0]) + (at[1] - 3.0) ** 2

    assert settle(cost, np.array([-2.0, 0.0]), np.array([-14.0, -5.0]), np.array([7.0, 5.0])).tolist()[0] == -14.0
    found = settle(cost, np.array([-2.0, 0.0]), np.array([-14.0, -5.0]), np.array([7.0, 2.0]))
    assert found.tolist() == [-14.0, 2.0]


def test_a_cost_that_is_only_known_to_some_digits_is_settled_alike_from_either_side():
    # The search that compares values ends within 1e-8 of anywhere; here each value is wrong in its thirteenth digit.
    def cost(at, seed):
        wrong = 1 + 1e-16 * np.sin(1e9 * float(at.sum()) + seed)
        return float((100.0 + np.sum((at - 0.3) ** 2) + np.sum((at - 0.3) ** 4)) * wrong)

    one, other = (
        settle(lambda at, seed=seed: cost(at, seed), np.array([begin, 0.1]), -FREE, FREE)
        for seed, begin in ((0.0, 0.5), (2.0, -0.5))
    )
    assert one == pytest.approx(other, abs=1e-10)
