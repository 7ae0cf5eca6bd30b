"""Rows put in order by one number stand as a plain sort puts them."""

import datetime as dt

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipelines.derived.common import ordering
from pipelines.derived.common.ordering import in_order_of, number_of
from pipelines.derived.common.some_athletes import ATHLETES_AT_ONCE, in_turn

ROW = st.tuples(
    st.sampled_from(["b", "a", "", "aa", None, "é"]),
    st.sampled_from([dt.date(2026, 1, 5), dt.date(1999, 12, 31), None]),
    st.integers(-3, 3) | st.none(),
    st.sampled_from([0.5, -1.0, None, 2.5]),
)
NAMES = ["word", "day", "number", "size"]


def made(rows: list[tuple[object, ...]]) -> pl.DataFrame:
    kinds = {"word": pl.String, "day": pl.Date, "number": pl.Int64, "size": pl.Float64}
    return pl.DataFrame(rows, schema=kinds, orient="row").with_row_index("place")


@given(st.lists(ROW, max_size=30), st.sampled_from([1, ordering.FEW_RUNS + 2]), st.sampled_from([0, 1000]))
@settings(max_examples=60, deadline=None)
def test_rows_stand_as_a_plain_sort_puts_them(rows: list[tuple[object, ...]], times: int, few: int):
    frame = made([row for row in rows for _ in range(times)])  # words that stand together are looked up once
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ordering, "FEW_ROWS", 0)
        patch.setattr(ordering, "FEW_NUMBERED", few)
        assert in_order_of(frame, NAMES).equals(frame.sort(NAMES, maintain_order=True))


@given(st.lists(ROW, max_size=30), st.sampled_from([0, 1000]))
@settings(max_examples=60, deadline=None)
def test_only_rows_alike_in_all_have_one_number(rows: list[tuple[object, ...]], few: int):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ordering, "FEW_NUMBERED", few)
        frame = made(rows).with_columns(told=pl.Series(number_of(made(rows), NAMES)))
    assert frame["told"].n_unique() == frame.select(NAMES).n_unique()
    assert frame.select("told", *NAMES).n_unique() == frame["told"].n_unique()


def test_more_numbers_than_fit_are_told_apart_all_the_same(monkeypatch: pytest.MonkeyPatch):
    rows = [("a", None, 2, None), ("b", None, 1, 0.5), ("a", None, 1, 0.5), ("a", None, 1, 0.25)]
    monkeypatch.setattr(ordering, "MOST_NUMBERS", 6)
    monkeypatch.setattr(ordering, "FEW_ROWS", 0)
    monkeypatch.setattr(ordering, "FEW_NUMBERED", 0)
    assert in_order_of(made(rows), NAMES)["place"].to_list() == [3, 2, 0, 1]


@pytest.mark.parametrize("count", [0, 3, ATHLETES_AT_ONCE, 2 * ATHLETES_AT_ONCE + 1])
def test_some_athletes_at_a_time_are_all_of_them_once_and_in_order(count: int):
    names = [f"a{number:04}" for number in range(count)]
    runs = pl.DataFrame({"athlete_id": names[1:] * 2}, schema={"athlete_id": pl.String}).with_row_index("place")
    tests = pl.DataFrame({"athlete_id": names[:1]}, schema={"athlete_id": pl.String})
    parts = [*in_turn(runs, tests)]
    assert len(parts) == max(1, -(-count // ATHLETES_AT_ONCE))
    assert all(part.n_unique("athlete_id") <= ATHLETES_AT_ONCE for part, _ in parts if part.height)
    assert pl.concat([part for part, _ in parts]).sort("place").equals(runs)
    assert pl.concat([part for _, part in parts]).equals(tests)
    firsts = [part["athlete_id"].min() for part, _ in parts if part.height]
    assert firsts == sorted(firsts)
