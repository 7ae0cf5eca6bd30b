"""Times far from an athlete's usual, as the sheet lists them: a few by file and line, and how many more there are."""

import datetime as dt
from types import SimpleNamespace

import pytest

from dashboard.screens.week.rows import odd_times

MONDAY = dt.date(2026, 11, 16)
WEEK = SimpleNamespace(monday=MONDAY, weeks=[MONDAY], athletes={"ann": {}}, name=lambda athlete_id: athlete_id.title())


def marked(lines: int, athlete_id: str = "ann") -> list[dict]:
    return [
        {"source_name": "gates.csv", "source_sheet": None, "source_line": line, "athlete_id": athlete_id,
         "reason": f"{line} s is far from this athlete's usual"}
        for line in range(2, 2 + lines)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("lines", "last"),
    [
        (4, "and one more run with a time far from the athlete’s usual"),
        (6, "and three more runs with a time far from the athlete’s usual"),
    ],
)
def test_what_is_not_listed_is_counted(lines: int, last: str):
    opened = SimpleNamespace(rows=lambda *_, **__: marked(lines))
    told = odd_times(opened, WEEK)
    assert (len(told), told[-1]) == (4, last)


def test_as_many_as_fit_are_listed_without_a_count_and_two_times_of_a_line_are_one_run():
    opened = SimpleNamespace(rows=lambda *_, **__: [*marked(3), *marked(3)])
    told = odd_times(opened, WEEK)
    assert len(told) == 3
    assert not any("more run" in said for said in told)


def test_nobody_of_another_group_is_counted():
    opened = SimpleNamespace(rows=lambda *_, **__: [*marked(2), *marked(9, "bob")])
    assert len(odd_times(opened, WEEK)) == 2
