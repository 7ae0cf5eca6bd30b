"""The list of those who have not answered, as it is copied."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard import wording
from dashboard.screens.data import words
from tests.dashboard.conftest import HEAD, html_of

NAMES = {"a": "Åsa Invented", "b": "Bo Invented"}
MONDAY = dt.date(2026, 11, 16)


def test_the_list_says_what_and_which_day_and_names_everybody_once():
    waited = [
        {"athlete_id": "b", "kind": "checkin", "day_on": MONDAY},
        {"athlete_id": "a", "kind": "checkin", "day_on": MONDAY},
        {"athlete_id": "b", "kind": "session", "day_on": MONDAY - dt.timedelta(days=1)},
    ]
    assert wording.waiting_text(waited, NAMES).splitlines() == [
        f"Check-in, {wording.long_day(MONDAY)}: Bo Invented, Åsa Invented",
        f"Minutes and effort of the session, {wording.long_day(MONDAY - dt.timedelta(days=1))}: Bo Invented",
    ]


@pytest.mark.parametrize(
    ("athletes", "said"),
    [(0, "Everybody has answered"), (1, "One has not answered"), (2, "Two have not answered")],
)
def test_the_heading_counts_people(athletes: int, said: str):
    assert wording.waiting_heading(athletes) == said


def test_from_what_is_asked_the_rows_stand_open_and_first(open_as: Callable, board_like: Callable[..., Path]):
    row = {"source_line": 4, "column": "Athlete", "value": "Guest", "reason": "'Guest' is not on the roster."}
    row["row_json"] = '{"Athlete": "Guest"}'
    names = ("a.csv", "b.csv")
    rows = [row | {"reject_no": n, "source_name": name} for n, name in enumerate(names, 1)]
    at = open_as(HEAD, "data", at_home=board_like(rejected=rows))
    at.session_state["view"], at.session_state["aside_first"] = "aside", names[1:]
    at.run()
    said = html_of(at)
    assert not at.exception
    assert not at.warning
    heads = [one.split("</h3>")[0] for one in said.split("<h3>")[1:]]
    assert heads[0] == names[-1]
    assert said.count(words.ASKED_HERE) == 1


def test_who_has_not_answered_stands_over_the_sheet_with_a_key_to_copy_it(open_as: Callable):
    drawn = html_of(open_as(HEAD)).replace('\\"', '"')
    at_top, sheet = drawn.index("not answered"), drawn.index('<table class="sheet')
    assert at_top < drawn.index("data-copy") < sheet


def test_the_box_to_change_has_labels_and_a_key_to_leave_it(open_as: Callable):
    drawn = html_of(open_as(HEAD)).replace('\\"', '"')
    assert drawn.count("data-shut") == drawn.count('<label>Why (optional)<input name="note"') > 5


def test_a_decision_on_the_hamstring_is_recalled_with_the_day_until_which_it_holds(
    open_as: Callable, board_like: Callable[..., Path]
):
    before = MONDAY - dt.timedelta(days=7)
    row = {"athlete_id": "teo-brandmere", "week_of": before, "topic": "hamstring", "call": "no bends yet"}
    stands = {**row, "from_on": before, "until_on": dt.date(2026, 12, 13), "says_how_long": False, "restrains": False}
    drawn = html_of(open_as(HEAD, at_home=board_like(decision=[row], standing_decision=[stands])))
    assert "Teo: no bends yet." in drawn
    assert "Holds to 13 Dec." in drawn


@pytest.mark.parametrize(
    ("value", "said"),
    [(1.0, "over 0.99"), (0.9951, "over 0.99"), (0.994, "0.99"), (0.5, "0.50"), (0.001, "under 0.01")],
)
def test_no_probability_is_written_as_certain(value: float, said: str):
    assert wording.cell(value, "p_drop") == said
