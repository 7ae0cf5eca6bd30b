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


def opened_with(marks: list[dict], earlier: int = 0) -> SimpleNamespace:
    """Return what the sheet reads through: the marks, and the runs of the week, but for those of the last lines."""
    ran = [row for row in marks if row["source_line"] < max(m["source_line"] for m in marks) + 1 - earlier]

    def rows(table: str, where: dict, **_: object) -> list[dict]:
        if table == "split":
            assert where["session_date"] == (">=", MONDAY)
        return {"marked": marks, "split": ran}[table]

    return SimpleNamespace(rows=rows)


def test_those_of_earlier_weeks_are_counted_apart_with_where_they_stand():
    told = odd_times(opened_with(marked(9), earlier=7), WEEK)
    assert [said.split(":")[0] for said in told[:2]] == ["Ann", "Ann"]
    assert told[2:] == ["Seven runs of earlier weeks with a time far from the usual: under Data, Set aside"]
    assert odd_times(opened_with(marked(1), earlier=1), WEEK) == [
        "One run of earlier weeks with a time far from the usual: under Data, Set aside"
    ]


@pytest.mark.parametrize(
    ("lines", "last"),
    [
        (4, "and one more run with a time far from the athlete’s usual"),
        (6, "and three more runs with a time far from the athlete’s usual"),
    ],
)
def test_what_is_not_listed_is_counted(lines: int, last: str):
    opened = opened_with(marked(lines))
    told = odd_times(opened, WEEK)
    assert (len(told), told[-1]) == (4, last)


def test_as_many_as_fit_are_listed_without_a_count_and_two_times_of_a_line_are_one_run():
    opened = opened_with([*marked(3), *marked(3)])
    told = odd_times(opened, WEEK)
    assert len(told) == 3
    assert not any("more run" in said for said in told)


def test_nobody_of_another_group_is_counted():
    opened = opened_with([*marked(2), *marked(9, "bob")])
    assert len(odd_times(opened, WEEK)) == 2
