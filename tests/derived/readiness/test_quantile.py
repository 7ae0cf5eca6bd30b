"""The quantile of counted answers is that of numpy over the answers one by one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.derived.readiness.tightness import _quantile
from tests.examples import examples


@examples(100)
@given(st.lists(st.integers(0, 10), min_size=1, max_size=30), st.sampled_from([0.25, 0.5, 0.75, 0.9]))
def test_a_quantile_of_counts_is_that_of_the_answers(answers, share):
    values = np.arange(11.0)[None, :]
    ahead = np.bincount(answers, minlength=11)[None, :].cumsum(axis=1).astype(float)
    ours = _quantile(values, ahead, np.array([len(answers)]), share)
    assert ours[0] == pytest.approx(np.quantile(answers, share), abs=1e-9)
