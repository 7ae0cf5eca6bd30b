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
    assert told[0].startswith("Ann: ")
    assert told[0].endswith(", and one more run")
    assert told[1:] == ["Seven runs of earlier weeks with a time far from the usual: under Data, Set aside"]
    assert odd_times(opened_with(marked(1), earlier=1), WEEK) == [
        "One run of earlier weeks with a time far from the usual: under Data, Set aside"
    ]


@pytest.mark.parametrize(
    ("lines", "last"),
    [
        (1, "and one more run with a time far from the athlete’s usual"),
        (3, "and three more runs with a time far from the athlete’s usual"),
    ],
)
def test_an_athlete_has_one_line_and_who_is_not_listed_is_counted(lines: int, last: str):
    names = ["ann", "bea", "cleo"]
    marks = [{**row, "source_name": f"{who}.csv"} for who in names for row in marked(2, who)]
    marks += [{**row, "source_name": "dan.csv"} for row in marked(lines, "dan")]
    week = SimpleNamespace(**{**vars(WEEK), "athletes": dict.fromkeys([*names, "dan"])})
    told = odd_times(opened_with(marks), week)
    assert (len(told), told[-1]) == (4, last)


def test_as_many_as_fit_are_listed_without_a_count_and_two_times_of_a_line_are_one_run():
    opened = opened_with([*marked(3), *marked(3)])
    told = odd_times(opened, WEEK)
    assert (len(told), told[0].endswith(", and two more runs")) == (1, True)


def test_nobody_of_another_group_is_counted():
    opened = opened_with([*marked(2), *marked(9, "bob")])
    [told] = odd_times(opened, WEEK)
    assert told.endswith(", and one more run")
