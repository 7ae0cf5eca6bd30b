"""Closing a review keeps the sheet and the decisions as they were; who may do it; what a page shows of it."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from streamlit.testing.v1 import AppTest

from dashboard import wording
from dashboard import writes as deciding
from dashboard.board import Board
from dashboard.reads import Opened
from dashboard.screens.week.review import as_sheet, close_review, lines_of
from dashboard.screens.week.rows import as_file, decided_in_words, gather
from dashboard.screens.week.side import review_box
from pipelines import flow
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF

WEEK = dt.date(2026, 11, 16)
CLOSED = {"closed_by": "Head coach", "closed_at": dt.datetime(2026, 11, 22, 18, 40)}


@pytest.fixture
def written(home: Path, monkeypatch: pytest.MonkeyPatch) -> list:
    """Stand in for the flow and note what it is given."""
    notes: list = []

    def enter(at: object, table: str, rows: list, by: flow.Writer, **more: object) -> object:
        notes.append((table, rows, by.name))
        return SimpleNamespace(problem="", set_aside=0, reasons=[], load_no=9)

    monkeypatch.setenv("THIRDSTEP_HOME", str(home))
    monkeypatch.setattr(flow, "enter", enter)
    monkeypatch.setattr(deciding, "publish_now", lambda at: None)
    return notes


def test_closing_keeps_every_line_of_the_sheet_with_what_was_decided(board: Board, written: list):
    sheet = board.rows(HEAD, "week_sheet", {"week_of": WEEK})
    lines, load_no = close_review(HEAD, board, WEEK, {"teo-brandmere": "adapt; heavy sled"}, {"teo-brandmere": "new"})
    table, rows, by = written[0]
    assert (table, by, load_no) == ("review_line", "Head coach", 9)
    assert rows == lines
    assert {r["athlete_id"] for r in rows} == {r["athlete_id"] for r in sheet}
    teo = next(r for r in rows if r["athlete_id"] == "teo-brandmere")
    assert (teo["decided"], teo["changed"], teo["closed_by"]) == ("adapt; heavy sled", "new", "Head coach")
    assert teo["closed_at"].microsecond == 0


def test_a_kept_line_is_drawn_as_the_line_it_was(board: Board):
    sheet = board.rows(HEAD, "week_sheet", {"week_of": WEEK})
    kept = [as_sheet(line) for line in lines_of(sheet, {}, {}, {}, CLOSED)]
    for before, after in zip(sheet, kept, strict=True):
        shown = ("training_call", "training_reason", "hamstring_reason", "progress_sentence", "focus_headline")
        lines = ("trend_points", "trend_low", "load_points", "load_high", "load_above", "loudness", "checkin_gap_days")
        assert [after[n] for n in (*shown, *lines)] == [before[n] for n in (*shown, *lines)]


@pytest.mark.parametrize("viewer", [STAFF, ATHLETE])
def test_only_the_head_coach_closes_a_review(board: Board, written: list, viewer):
    with pytest.raises(deciding.NotKept, match="head coach"):
        close_review(viewer, board, WEEK, {}, {})
    assert written == []


def test_a_closed_week_shows_what_was_kept_and_on_request_how_it_stands_now(board: Board):
    opened = Opened(HEAD, board)
    sheet = board.rows(HEAD, "week_sheet", {"week_of": WEEK})
    lines = lines_of(sheet, {"teo-brandmere": "rest"}, {}, {}, CLOSED)
    lines = [{**line, "training_reason": "as it was"} for line in lines]
    kept = gather(opened, {"week": WEEK.isoformat()}, kept_lines=lines)
    assert kept is not None
    assert kept.is_kept
    assert {r["training_reason"] for r in kept.rows} == {"as it was"}
    assert kept.decided["teo-brandmere"]["call"] == "rest"
    now = gather(opened, {"week": WEEK.isoformat(), "now": "1"}, kept_lines=lines)
    assert now is not None
    assert not now.is_kept
    assert now.closed is not None
    assert "as it was" not in {r["training_reason"] for r in now.rows}


def test_training_stands_before_the_work_in_what_was_decided():
    rows = [
        {"athlete_id": "a", "topic": "start_work", "call": "heavy sled"},
        {"athlete_id": "a", "topic": "training", "call": "adapt"},
        {"athlete_id": "a", "topic": "hamstring", "call": "one family"},
        {"athlete_id": "b", "topic": "start_work", "call": None},
    ]
    assert decided_in_words(rows) == {"a": "adapt; heavy sled"}


def test_the_box_offers_to_close_only_to_the_one_who_may():
    assert 'data-do="close"' in review_box(3, 24, None, True)
    assert "Decided for 3 of 24." in review_box(3, 24, None, True)
    assert 'data-do="close"' not in review_box(3, 24, None, False)
    assert 'data-act="reopen"' in review_box(3, 24, CLOSED, True)
    assert 'data-act="reopen"' not in review_box(3, 24, CLOSED, False)
    assert "Closed Sunday 22 Nov, 18:40 by Head coach" in review_box(3, 24, CLOSED, False)


def test_what_followed_a_decision_names_only_what_changed_beyond_its_error():
    change = "Contact 1 11 ms longer, the other way (± 6), speed after three steps unchanged within ± 0.16 m/s."
    assert wording.followed("Done 2 of 2.", change) == "Done 2 of 2. Contact 1 11 ms longer, the other way (± 6)."
    assert wording.followed("Starts on 2 days.", "10 m unchanged within ± 0.010 s.") == (
        "Starts on 2 days. No change beyond noise."
    )
    assert wording.followed("Nothing to count.", None) == "Nothing measured since."


def test_a_minor_is_named_where_a_call_asks_somebody_to_act():
    quiet = {"training_call": "as_planned", "hamstring_level": "none", "caution": "Under 18: …"}
    assert wording.about_athlete("hurdles", quiet) == "hurdles · under 18"
    assert wording.about_athlete("hurdles", {**quiet, "training_call": "adapt"}) == "hurdles · under 18"
    assert wording.about_athlete("hurdles", {**quiet, "training_call": "adapt", "caution": None}) == "hurdles"


def test_a_file_of_the_sheet_names_athletes_and_holds_no_order_of_loudness(board: Board):
    week = gather(Opened(HEAD, board), {"week": WEEK.isoformat()})
    assert week is not None
    row = as_file(week, week.rows[0])
    assert row["athlete"] == week.name(week.rows[0]["athlete_id"])
    assert "loudness" not in row


def test_certainty_is_never_0_or_100_percent():
    written = [wording.sure(p).replace(wording.NARROW, " ") for p in (0.9999, 0.993, 0.5, 0.001)]
    assert written == ["over 99 %", "99 %", "50 %", "under 1 %"]


def test_the_week_page_links_to_its_print_with_the_choices(open_as: Callable[..., AppTest]):
    at = open_as(HEAD, None, week=WEEK.isoformat(), group="hurdles")
    assert not at.exception


def test_closed_lines_pass_the_record_and_come_back_as_they_were(tmp_path: Path, board: Board):
    """The whole way: hand entry, checks, record, derived; 'none' as a level is a word and stays one."""
    at = flow.find_home(tmp_path)
    ids = ["teo-brandmere", "marit-oakhollow"]
    people = [{"athlete_id": i, "display_name": i.replace("-", " ").title()} for i in ids]
    flow.enter(at, "athlete", people, "test", derive_after=False)
    sheet = [r for r in board.rows(HEAD, "week_sheet", {"week_of": WEEK}) if r["athlete_id"] in ids]
    sheet[0] |= {"hamstring_level": "none", "training_reason": "=1+1, slept 5 h; “quoted”\ttab"}
    lines = lines_of(sheet, {}, {}, {ids[0]: ["state", "start_pattern"]}, CLOSED)
    outcome = flow.enter(at, "review_line", lines, "Head coach", derive_after=False)
    assert (outcome.problem, outcome.set_aside, outcome.stored) == ("", 0, 2), outcome.reasons
    stored = {r["athlete_id"]: r for r in flow.table(at, "review_line").to_dicts()}
    for line in lines:
        back = stored[line["athlete_id"]]
        same = [n for n in line if n != "training_reason"]
        assert [back[n] for n in same] == [line[n] for n in same]
    assert stored[sheet[0]["athlete_id"]]["hamstring_level"] == "none"
    assert "slept 5 h" in stored[sheet[0]["athlete_id"]]["training_reason"]
