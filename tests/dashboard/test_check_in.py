"""The check-in: nothing chosen beforehand, kept under the athlete's own name and day, changed and taken back."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import polars as pl
import pytest

from dashboard import wording
from dashboard import writes as deciding
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.screens.check_in import writes as checking_in
from dashboard.screens.check_in.form import form
from dashboard.writes import NotKept
from pipelines import flow
from tests.dashboard.conftest import ATHLETE, GUARDIAN, HEAD, STAFF, html_of

DAY = dt.date(2026, 11, 22)


@pytest.fixture
def kept(home: Path, monkeypatch: pytest.MonkeyPatch) -> list:
    """Stand in for the flow: note what it is given, number the loads from 100."""
    notes: list = []

    def enter(at: object, table: str, rows: list, by: flow.Writer, **more: object) -> object:
        notes.append(("enter", table, rows, by.name))
        return SimpleNamespace(problem="", set_aside=0, reasons=[], load_no=100 + len(notes))

    def loads(at: object) -> pl.DataFrame:
        made = [
            (100 + n, "entry", note[3], "typed: checkin", None) for n, note in enumerate(notes, 1) if len(note) == 4
        ]
        columns = {"load_no": pl.Int64, "kind": pl.String, "loaded_by": pl.String, "source_name": pl.String}
        return pl.DataFrame(made, schema=columns | {"undone_at": pl.Datetime}, orient="row")

    monkeypatch.setenv("THIRDSTEP_HOME", str(home))
    monkeypatch.setattr(flow, "enter", enter)
    monkeypatch.setattr(flow, "loads", loads)
    monkeypatch.setattr(flow, "undo", lambda at, load_no, by, **more: notes.append(("undo", load_no, by.name)))
    monkeypatch.setattr(deciding, "publish_now", lambda at: None)
    monkeypatch.setattr(checking_in, "viewers_day", lambda: DAY)
    return notes


@pytest.fixture
def unanswered(board_like: Callable[..., Path]) -> Board:
    """A board on which nobody has checked in."""
    return Board(board_like(checkin=[]))


def test_no_answer_is_chosen_beforehand():
    html = form({}, "", "", is_change=False, may_take_back=False)
    assert " checked" not in html
    assert html.count("<fieldset") == 12  # sleep, five scales, two hamstrings, pain with place and side, ill


def test_purpose_and_reader_are_said_once_before_the_first_item():
    html = form({}, "Read by Ada and you.", "Read by you alone.", is_change=False, may_take_back=False)
    items = html.split('<fieldset class="item')[1:]
    assert len(items) == 10  # sleep, five scales, two hamstrings, pain, ill
    before = html.split('<fieldset class="item')[0]
    assert "for today’s training call" in before
    assert html.count("Read by Ada and you.") == before.count("Read by Ada and you.") == 1
    assert items[-1].count("Read by you alone.") == 1  # the free text, after the last of them


def test_today_s_own_answers_stand_in_the_form_and_are_escaped():
    html = form({"sleep_h": 7.5, "ill": False, "note": "<b>x"}, "", "", is_change=True, may_take_back=True)
    assert html.count(" checked") == 2
    assert 'value="7.5" checked' in html
    assert "&lt;b&gt;x" in html


def test_items_left_out_are_absent_and_not_nought():
    row = checking_in.row_of(ATHLETE, {"sleep_h": "7.5", "mood": "", "pain": "0", "place": "calf"}, DAY)
    assert row == {"athlete_id": "teo-brandmere", "checked_on": DAY, "sleep_h": 7.5, "pain": 0}


def test_a_place_is_kept_where_something_hurts():
    row = checking_in.row_of(ATHLETE, {"pain": "4", "place": "hamstring", "side": "left"}, DAY)
    assert row["pain_site"] == "left hamstring"
    assert "pain_site" not in checking_in.row_of(ATHLETE, {"pain": "4", "place": "<script>"}, DAY)


def test_a_check_in_is_kept_for_the_one_who_is_signed_in(unanswered: Board, kept: list):
    checking_in.save(ATHLETE, unanswered, {"mood": "4", "athlete_id": "marit-oakhollow", "checked_on": "2020-01-01"})
    _, table, [row], by = kept[0]
    assert (table, by) == ("checkin", "Teo")
    assert row == {"athlete_id": "teo-brandmere", "checked_on": DAY, "mood": 4}


ANN = Viewer("Ann", "athlete", athlete_id="ann")  # the one of that home


@pytest.fixture
def of_one(own_home_of_one: flow.Home, monkeypatch: pytest.MonkeyPatch) -> flow.Home:
    """A home of one athlete with a board, in which no process of its own publishes beside the test."""
    monkeypatch.setenv("THIRDSTEP_HOME", str(own_home_of_one.root))
    monkeypatch.setattr(deciding, "_publish_beside", lambda: None)
    monkeypatch.setattr(checking_in, "viewers_day", lambda: DAY)
    return own_home_of_one


def test_a_check_in_is_on_the_board_at_once_saved_again_and_taken_back(of_one: flow.Home):
    def stands() -> checking_in.Mine | None:
        return checking_in.checkin_of(ANN, Board(of_one.root), DAY)

    first = checking_in.save(ANN, Board(of_one.root), {"mood": "4", "stress": "2"})
    seen = stands()
    assert seen is not None
    assert (seen.row["mood"], seen.row["stress"], seen.load_no) == (4, 2, first.load_no)
    second = checking_in.save(ANN, Board(of_one.root), {"mood": "5"})
    seen = stands()
    assert seen is not None
    assert (seen.row["mood"], seen.row["stress"], seen.load_no) == (
        5,
        None,
        second.load_no,
    )  # the first is out of force
    checking_in.take_back(ANN, Board(of_one.root))
    assert stands() is None
    assert flow.table(of_one, "checkin").is_empty()


def test_an_entry_of_somebody_else_is_never_undone(of_one: flow.Home):
    row = {"athlete_id": "ann", "checked_on": DAY, "mood": 4}
    flow.enter(of_one, "checkin", [row], "coach", derive_after=False)
    flow.follow(of_one)
    with pytest.raises(NotKept, match="came with a file"):
        checking_in.take_back(ANN, Board(of_one.root))
    assert flow.table(of_one, "checkin").height == 1


@pytest.mark.parametrize("viewer", [HEAD, STAFF, GUARDIAN])
def test_nobody_checks_in_for_an_athlete(unanswered: Board, kept: list, viewer):
    with pytest.raises(NotKept):
        checking_in.save(viewer, unanswered, {"mood": "4"})
    assert kept == []


def test_nothing_answered_is_nothing_saved(unanswered: Board, kept: list):
    with pytest.raises(NotKept, match="No answer"):
        checking_in.save(ATHLETE, unanswered, {"note": "   "})
    assert kept == []


@pytest.mark.parametrize(
    ("given", "is_closed"),
    [
        ([], False),
        ([(dt.date(2026, 1, 1), None)], False),
        ([(dt.date(2026, 1, 1), dt.date(2026, 11, 1))], True),
        ([(dt.date(2026, 1, 1), dt.date(2026, 12, 1))], False),  # withdrawn from a day that has not come
        ([(dt.date(2026, 1, 1), dt.date(2026, 11, 1)), (dt.date(2026, 11, 10), None)], False),  # given again
    ],
)
def test_withdrawn_consent_closes_the_check_in(
    board_like: Callable[..., Path], kept: list, given: list, is_closed: bool
):
    said = {"athlete_id": "teo-brandmere", "topic": "health"}
    board = Board(board_like(consent=[{**said, "given_on": on, "withdrawn_on": until} for on, until in given]))
    assert checking_in.is_withdrawn(ATHLETE, board, DAY) is is_closed
    if is_closed:
        with pytest.raises(NotKept, match="withdrawn"):
            checking_in.save(ATHLETE, board, {"mood": "4"})
        assert kept == []


def test_today_says_that_the_check_in_is_missing_and_not_when_it_is_there(open_as: Callable, board_like: Callable):
    assert wording.NOT_CHECKED_IN in html_of(open_as(ATHLETE, at_home=board_like(checkin=[])))
    assert wording.NOT_CHECKED_IN not in html_of(open_as(ATHLETE))


def test_the_page_names_who_reads(open_as: Callable, board_like: Callable):
    from pipelines.accounts.accounts import Accounts

    own = board_like()
    accounts = Accounts(own / "access.sqlite")
    accounts.add("head", "head_coach", None)
    accounts.add("sprints", "staff", None, groups=["short_sprints"])
    accounts.add("physio", "staff", None, groups=["short_sprints"], reads_injuries=True)
    accounts.add("jumps", "staff", None, groups=["horizontal_jumps"], reads_injuries=True)
    said = html_of(open_as(ATHLETE, "check_in", at_home=own))
    assert "Read by head, physio, sprints and you." in said
    assert "Read by head, physio and you, nobody else." in said
    assert "jumps" not in said
