"""Quartiles and median of counted answers are those of numpy over the answers one by one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.derived.readiness.tightness import _median, _quartiles
from tests.examples import examples


@examples(100)
@given(st.lists(st.integers(0, 10), min_size=1, max_size=30))
def test_quartiles_and_median_of_counts_are_those_of_the_answers(answers):
    ahead = np.bincount(answers, minlength=11)[None, :].cumsum(axis=1).astype(float)
    number = np.array([len(answers)])
    assert _quartiles(ahead, number)[:, 0] == pytest.approx(np.quantile(answers, [0.25, 0.5, 0.75]), abs=1e-9)
    assert _median(np.arange(11.0)[None, :], ahead, number)[0] == pytest.approx(np.median(answers), abs=1e-9)
