"""What followed: every decision over the squad, for whom its reader looks after, never without its caution."""

from collections.abc import Callable

from dashboard.board import Board
from dashboard.screens.followed import words
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, html_of


def test_the_caution_of_regression_to_the_mean_stands_over_the_list(open_as: Callable):
    html = html_of(open_as(HEAD, "followed"))
    assert html.index("Barnett, van der Pols, Dobson 2005") < html.index(words.COLUMNS[0][1])


def test_each_decision_on_the_start_stands_with_what_was_done_and_measured(open_as: Callable, board: Board):
    rows = board.rows(HEAD, "focus_followup")
    assert rows, "the invented board holds decisions with what followed"
    html = html_of(open_as(HEAD, "followed"))
    assert all(row["done_sentence"][:30] in html for row in rows)


def test_staff_read_of_their_groups_alone(open_as: Callable, board: Board):
    theirs = set(board.allowed_athletes(STAFF)["athlete_id"])
    others = [row for row in board.rows(HEAD, "focus_followup") if row["athlete_id"] not in theirs]
    names = {row["athlete_id"]: row["display_name"] for row in board.rows(HEAD, "athlete")}
    html = html_of(open_as(STAFF, "followed"))
    assert not [names[row["athlete_id"]] for row in others if names[row["athlete_id"]] in html]


def test_an_athlete_is_not_shown_the_squad_s_decisions(open_as: Callable):
    assert words.LEDE not in html_of(open_as(ATHLETE))
