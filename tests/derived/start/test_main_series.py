"""Which of an athlete's series is shown first: each rule in its turn, all before it alike."""

import datetime as dt
from typing import Any

import polars as pl
import pytest

from pipelines.derived.start.progress import DAY_SERIES, _main

DAY = dt.date(2026, 3, 2)
ALIKE: dict[str, Any] = {
    "_on": DAY, "athlete_id": "ann", "metric": "t_10_s", "start_kind": "blocks", "clock_start": "gun",
    "timing_kind": "electronic", "measured_by": "gate", "set_up": "a", "change": 0.1, "recent_sessions": 3,
    "sessions": 9, "last_on": DAY,
}  # fmt: skip


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        ({"recent_sessions": 1, "metric": "t_5_s"}, {"recent_sessions": 0}),  # measured lately, before all else
        ({"metric": "t_10_s"}, {"metric": "t_20_s"}), ({"metric": "t_20_s"}, {"metric": "t_30_s"}),
        ({"metric": "t_30_s"}, {"metric": "t_5_s"}), ({"metric": "t_5_s"}, {"metric": "contact_1_s"}),
        ({"change": 0.0}, {"change": None}), ({"measured_by": "film"}, {"measured_by": "curve"}),
        ({"recent_sessions": 4}, {"recent_sessions": 3}), ({"sessions": 10}, {"sessions": 9}),
        ({"timing_kind": "electronic"}, {"timing_kind": "video"}),
        ({"last_on": DAY}, {"last_on": DAY - dt.timedelta(days=1)}),
        ({"start_kind": "blocks"}, {"start_kind": "standing"}), ({"set_up": "a"}, {"set_up": "b"}),
    ],
)  # fmt: skip
def test_the_series_shown_first_is_the_one_that_its_rule_puts_first(better, worse):
    # were the rule not there, the set-up that stands first by its name would be shown
    first, second = ALIKE | {"set_up": "b"} | better, ALIKE | {"set_up": "a"} | worse
    rows = [second, first]
    for told in (rows, rows[::-1]):
        found = _main(pl.DataFrame(told, schema_overrides={"change": pl.Float64}))
        assert found.rows(named=True) == [{name: first[name] for name in DAY_SERIES} | {"is_main": True}]


def test_an_athlete_without_a_time_has_no_series_to_show_first():
    assert _main(pl.DataFrame([ALIKE | {"metric": "contact_1_s"}])).is_empty()
