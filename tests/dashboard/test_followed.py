"""What followed: every decision over the squad, for whom its reader looks after, never without its caution."""

from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard.board import Board
from dashboard.screens.followed import words
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, html_of
from tests.dashboard.small_board import WEEK, table_of


@pytest.fixture
def followed_home(home: Path, board_like: Callable[..., Path]) -> Path:
    """A home whose board holds one decision on the start of every athlete."""
    rows = [
        {"athlete_id": who, "week_of": WEEK, "call": f"work of {who}", "work": "sled" if n % 2 else None,
         "done_sentence": f"Done 2 of 2 by {who}.", "change_sentence": None, "days_before": 7, "days_after": 0}
        for n, who in enumerate(table_of(home, "athlete")["athlete_id"])
    ]  # fmt: skip
    return board_like(focus_followup=rows)


def test_the_caution_of_regression_to_the_mean_stands_over_the_list(open_as: Callable, followed_home: Path):
    html = html_of(open_as(HEAD, "followed", at_home=followed_home))
    assert html.index("Barnett, van der Pols, Dobson 2005") < html.index("Done 2 of 2")


def test_each_decision_stands_with_what_was_done_and_that_it_was_not_measured(open_as: Callable, followed_home: Path):
    html = html_of(open_as(HEAD, "followed", at_home=followed_home))
    rows = Board(followed_home).rows(HEAD, "focus_followup")
    assert rows
    assert all(row["done_sentence"] in html and row["call"] in html for row in rows)
    assert words.NOT_MEASURED in html


def test_one_kind_of_work_is_chosen_in_the_address(open_as: Callable, followed_home: Path):
    html = html_of(open_as(HEAD, "followed", at_home=followed_home, work="sled"))
    rows = Board(followed_home).rows(HEAD, "focus_followup")
    assert {row["call"] for row in rows if row["call"] in html} == {
        row["call"] for row in rows if row["work"] == "sled"
    }


def test_staff_read_of_their_groups_alone(open_as: Callable, followed_home: Path):
    board = Board(followed_home)
    theirs = set(board.allowed_athletes(STAFF)["athlete_id"])
    rows = board.rows(HEAD, "focus_followup")
    html = html_of(open_as(STAFF, "followed", at_home=followed_home))
    assert {row["athlete_id"] for row in rows if row["call"] in html} == theirs & {row["athlete_id"] for row in rows}
    assert theirs < {row["athlete_id"] for row in rows}


def test_the_demo_s_own_decisions_stand_with_what_followed(open_as: Callable, board: Board):
    html = html_of(open_as(HEAD, "followed"))
    rows = board.rows(HEAD, "focus_followup")
    assert {row["athlete_id"] for row in rows} >= {"teo-brandmere", "dilys-fernbank"}
    assert all(row["call"] in html for row in rows)


def test_without_a_decision_the_page_says_what_to_do(open_as: Callable, board_like: Callable[..., Path]):
    assert words.NOTHING in html_of(open_as(HEAD, "followed", at_home=board_like(focus_followup=[])))


def test_an_athlete_is_not_shown_the_squad_s_decisions(open_as: Callable):
    assert words.LEDE not in html_of(open_as(ATHLETE))


def test_trials_stand_over_the_squad_for_whom_the_reader_looks_after(
    open_as: Callable, board_like: Callable[..., Path]
):
    found = [
        {"athlete_id": who, "tried": f"way of {who}", "last_on": WEEK, "days": 4, "runs_a": 8, "runs_b": 8,
         "sentence": f"Not told apart by {who}.", "word": "not_clear"}
        for who in ("marit-oakhollow", "rune-halvard-okoro")
    ]  # fmt: skip
    at_home = board_like(start_trial_result=found)
    head = html_of(open_as(HEAD, "followed", at_home=at_home))
    assert "way of marit-oakhollow" in head
    assert "Not told apart by rune-halvard-okoro." in head
    staff = html_of(open_as(STAFF, "followed", at_home=at_home))
    assert "way of marit-oakhollow" in staff
    assert "rune-halvard-okoro" not in staff


def test_without_a_trial_the_page_says_how_to_come_by_one(open_as: Callable):
    assert words.NO_TRIALS in html_of(open_as(HEAD, "followed"))
