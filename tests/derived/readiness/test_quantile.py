"""Quartiles, median and median distance of counted answers are those of numpy over the answers one by one."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.derived.common.baseline import begin_of_window, median_distance
from pipelines.derived.readiness.tightness import _quantiles
from tests.examples import examples


@examples(100)
@given(st.lists(st.integers(0, 10), min_size=1, max_size=30))
def test_quartiles_and_median_of_counts_are_those_of_the_answers(answers):
    tally, number = np.bincount(answers, minlength=11)[:, None], np.array([len(answers)])
    found = [value[0] for value in _quantiles(tally, number, (0.25, 0.5, 0.75))]
    assert found == pytest.approx(np.quantile(answers, [0.25, 0.5, 0.75]), abs=1e-9)


@examples(100)
@given(st.lists(st.tuples(st.integers(1, 5), st.one_of(st.floats(0, 10), st.just(np.nan))), min_size=1, max_size=30))
def test_median_distance_is_that_of_the_days_before(told):
    day, value = np.cumsum([gap for gap, _ in told]), np.array([answer for _, answer in told])
    series = np.arange(len(day)) // 12
    begin, middle = begin_of_window(series, day, 7), np.full(len(day), 4.0)
    found = median_distance(value, middle, begin, np.ones(len(day), dtype=bool))
    for row in range(len(day)):
        window = (series == series[row]) & (day < day[row]) & (day >= day[row] - 7) & np.isfinite(value)
        away = np.abs(value[window] - 4.0)
        assert found[row] == pytest.approx(np.median(away) if len(away) else np.nan, nan_ok=True)
