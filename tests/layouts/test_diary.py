"""A diary of a coach in lines: the day with what was done and its minutes, below it who found it how hard."""

import datetime as dt

import pytest

from tests.intake import rows, take_in

DIARY = """Track diary

14/10/2026 - Starts 6x30 m. 95 min.
RPE: Ana Berg 7, Cleo 6.
Bea was not there.

16/10/2026 - 3x150 m rest 8 min. 75 min.
RPE: Ana 8, Bea Lund 9
Cleo has a sore ankle, ice.
"""
SCALE = {"RPE": "0 to 10, 10 is good"}


def test_each_who_gave_an_effort_has_a_session_of_the_day_with_its_minutes():
    checked = take_in(DIARY, "diary.txt", scales=SCALE)
    assert sorted(rows(checked, "session", "session_date", "athlete_id", "duration_min", "effort_0_10")) == [
        (dt.date(2026, 10, 14), "ana-berg", 95.0, 7.0), (dt.date(2026, 10, 14), "cleo-dahl-frost", 95.0, 6.0),
        (dt.date(2026, 10, 16), "ana-berg", 75.0, 8.0), (dt.date(2026, 10, 16), "bea-lund", 75.0, 9.0),
    ]  # fmt: skip


def test_the_other_lines_wait_as_remarks_of_their_day_and_make_no_injury():
    checked = take_in(DIARY, "diary.txt", scales=SCALE)
    asked = next(one for one in checked.questions if one.about == "What the line says")
    assert {"Bea was not there.", "Cleo has a sore ankle, ice."} <= set(asked.cells)
    assert (dt.date(2026, 10, 14), "bea-lund") not in rows(checked, "session", "session_date", "athlete_id")
    assert "injury" not in checked.accepted
    kept = take_in(DIARY, "diary.txt", scales=SCALE, columns={"What the line says": "checkin.note"})
    assert ("cleo-dahl-frost", "Cleo has a sore ankle, ice.") in rows(kept, "checkin", "athlete_id", "note")


@pytest.mark.parametrize("line", ["RPE: Ana 7, the others 6 or so", "RPE: hard for all", "RPE: Zorro 7, Plip 6"])
def test_efforts_not_wholly_understood_or_of_strangers_make_no_sessions(line):
    text = f"14/10/2026 - Starts 6x30 m. 95 min.\n{line}\nall went well that day\n"
    try:
        checked = take_in(text, "diary.txt", scales=SCALE)
    except Exception as trouble:
        assert "NotUnderstood" in type(trouble).__name__  # noqa: PT017 - a text of which nothing is read
    else:
        assert "session" not in checked.accepted or not checked.accepted["session"].height


LOTS = """Long sprints
{}

Tue 21/10/25  6 x 150 grass  (70 min)
  Ana 4, Cleo absent, Bea 5

Thu 23/10/25  circuits
  Ana 3, Bea 6
"""


@pytest.mark.parametrize(("legend", "efforts"), [
    ("number after the name = how hard they said it was, 0 to 10", [4.0, 5.0, 3.0, 6.0]), ("", [None] * 4),
])  # fmt: skip
def test_numbers_behind_names_are_what_a_line_above_says_of_them_or_asked(legend, efforts):
    checked = take_in(LOTS.format(legend), "lot.txt")
    frame = checked.accepted["session"]
    assert frame["athlete_id"].to_list() == ["ana-berg", "bea-lund"] * 2
    assert frame["duration_min"].to_list() == [70.0, 70.0, None, None]
    assert (frame["effort_0_10"].to_list() if "effort_0_10" in frame.columns else [None] * 4) == efforts
    assert ("Number behind the name" in {one.about for one in checked.questions}) == (not legend)
