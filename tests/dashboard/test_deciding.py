"""What a page writes: kept for athletes the viewer looks after, refused for others, and confirmed in words."""

import datetime as dt
import types
from pathlib import Path
from types import SimpleNamespace

import pytest

from dashboard import wording
from dashboard import writes as deciding
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.screens.data import writes as taking_in
from pipelines import flow
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF

WEEK = dt.date(2026, 11, 16)


@pytest.fixture
def written(home: Path, monkeypatch: pytest.MonkeyPatch) -> list:
    """Stand in for the flow and note what it is given."""
    notes: list = []

    def enter(at: object, table: str, rows: list, by: flow.Writer, **more: object) -> object:
        notes.append((table, rows, by.name))
        return SimpleNamespace(problem="", set_aside=0, reasons=[], load_no=7)

    monkeypatch.setenv("THIRDSTEP_HOME", str(home))
    monkeypatch.setattr(flow, "enter", enter)
    monkeypatch.setattr(flow, "follow", lambda at: flow.Reach.NOTHING)
    monkeypatch.setattr(deciding, "publish_now", lambda at: notes.append("published"))
    return notes


def wait_for_publish() -> None:
    for worker in list(deciding._worker):
        worker.join(timeout=5)


def test_agreeing_is_kept_under_the_name_of_the_one_who_decides(board: Board, written: list):
    [row] = board.rows(HEAD, "week_sheet", {"athlete_id": "marit-oakhollow", "week_of": WEEK})
    assert row["hamstring_words"].startswith("watch: ")
    kept = deciding.keep_decision(HEAD, board, "marit-oakhollow", WEEK)
    wait_for_publish()
    table, rows, by = written[0]
    assert (table, by) == ("decision", "Head coach")
    assert {r["topic"]: r["call"] for r in rows} == {
        "training": "talk first",
        "start_work": "No maximal runs before the talk",
        "hamstring": row["hamstring_words"],
    }
    assert kept.sentence == "Kept for Marit Oakhollow: talk first; No maximal runs before the talk."
    assert kept.load_no == 7
    assert "published" in written


@pytest.mark.parametrize(
    ("viewer", "athlete_id"), [(STAFF, "rune-halvard-okoro"), (ATHLETE, "teo-brandmere"), (HEAD, "nobody")]
)
def test_nobody_decides_on_an_athlete_they_do_not_look_after(board: Board, written: list, viewer, athlete_id: str):
    with pytest.raises(deciding.NotKept):
        deciding.keep_decision(viewer, board, athlete_id, WEEK)
    assert written == []


@pytest.mark.parametrize("training", ["as_planned", "adapt", "adapt_no_maximal_runs"])
def test_no_coach_decides_past_an_open_injury_whatever_the_reason(
    board: Board, written: list, training: str, monkeypatch: pytest.MonkeyPatch
):
    real = board.rows

    def rows(viewer: Viewer, table: str, *where: object, **more: object) -> list[dict]:
        found = real(viewer, table, *where, **more)  # type: ignore[arg-type]
        return [{**row, "work_reads_injury": True} for row in found] if table == "week_sheet" else found

    monkeypatch.setattr(board, "rows", rows)
    with pytest.raises(deciding.NotKept, match="does not decide this one"):
        deciding.keep_decision(HEAD, board, "marit-oakhollow", WEEK, training=training, note="feels fine")
    assert written == []
    assert deciding.keep_decision(HEAD, board, "marit-oakhollow", WEEK, training="talk_first").load_no == 7


def test_a_call_that_is_not_one_of_ours_is_refused(board: Board, written: list):
    with pytest.raises(deciding.NotKept):
        deciding.keep_decision(HEAD, board, "teo-brandmere", WEEK, training="sprint on")
    assert written == []


def test_what_the_flow_refuses_becomes_a_sentence(board: Board, written: list, monkeypatch: pytest.MonkeyPatch):
    def refuse(*given: object, **more: object) -> None:
        raise flow.ThirdstepError("Another load is under way. Wait a moment and try again.")

    monkeypatch.setattr(flow, "enter", refuse)
    with pytest.raises(deciding.NotKept, match="Wait a moment"):
        deciding.keep_decision(HEAD, board, "teo-brandmere", WEEK)


def test_athletes_load_and_undo_nothing(written: list):
    with pytest.raises(deciding.NotKept):
        taking_in.load_upload(ATHLETE, "a.csv", b"")
    with pytest.raises(deciding.NotKept):
        deciding.undo_load(ATHLETE, 1)


@pytest.mark.parametrize(
    ("viewer", "groups"), [(STAFF, ["short_sprints", "hurdles"]), (HEAD, [])], ids=["staff", "head coach"]
)
def test_staff_bring_rows_of_their_own_groups_only(written: list, monkeypatch: pytest.MonkeyPatch, viewer, groups):
    told: list = []
    outcome = types.SimpleNamespace(problem="", load_no=None)
    monkeypatch.setattr(flow, "preview", lambda at, name, content, options, by: told.append(by))
    monkeypatch.setattr(flow, "load_bytes", lambda at, n, c, by, options, **more: told.append(by) or outcome)
    taking_in.preview_upload(viewer, "a.csv", b"a", [])
    taking_in.load_upload(viewer, "a.csv", b"a")
    assert [(by.role, list(by.event_groups)) for by in told] == [(viewer.role, groups)] * 2


def test_staff_of_no_group_bring_nothing(written: list):
    with pytest.raises(deciding.NotKept):
        taking_in.preview_upload(Viewer("Nobody's", "staff"), "a.csv", b"a", [])


@pytest.mark.parametrize(
    ("name", "size", "says"),
    [("a.exe", 1, "kind"), ("a.html", 1, "kind"), ("a", 1, "kind"), ("a.csv", 20 * 2**20 + 1, "20 MB")],
)
def test_an_upload_is_held_to_kind_and_size_on_the_server(written: list, name: str, size: int, says: str):
    for step in (lambda: taking_in.preview_upload(HEAD, name, b"x" * size, []),
                 lambda: taking_in.load_upload(HEAD, name, b"x" * size)):  # fmt: skip
        with pytest.raises(deciding.NotKept, match=says):
            step()


def test_an_undo_is_handed_over_with_who_asks_for_it(written: list, monkeypatch: pytest.MonkeyPatch):
    undone: list = []
    monkeypatch.setattr(flow, "undo", lambda at, load_no, by, **more: undone.append((load_no, by.name, by.role)))
    deciding.undo_load(STAFF, 1)
    deciding.undo_load(HEAD, 1)
    assert undone == [(1, STAFF.name, "staff"), (1, HEAD.name, "head_coach")]


def test_the_rest_is_who_goes_on_as_planned_without_a_flag_and_has_no_decision():
    def line(who: str, call: str, level: str = "none") -> dict[str, str]:
        return {"athlete_id": who, "training_call": call, "hamstring_level": level}

    sheet = [line("a", "as_planned"), line("b", "talk_first"), line("c", "adapt"), line("d", "cannot_say"),
             line("e", "as_planned", "one_family"), line("f", "as_planned"), line("g", "no_call"),
             {**line("h", "as_planned"), "progress_word": "slipping"}]  # fmt: skip
    assert [row["athlete_id"] for row in deciding.rest_to_agree(sheet, {"f"})] == ["a"]


def test_agreeing_with_the_rest_is_one_entry_that_names_who_stays_open(board: Board, written: list):
    sheet = board.rows(HEAD, "week_sheet", {"week_of": WEEK})
    decided = {row["athlete_id"] for row in board.rows(HEAD, "decision", {"week_of": WEEK})}
    rest = {row["athlete_id"] for row in deciding.rest_to_agree(sheet, decided)}
    assert rest
    kept = deciding.keep_rest(HEAD, board, WEEK)
    wait_for_publish()
    entries = [note for note in written if note[0] == "decision"]
    assert len(entries) == 1
    assert {row["athlete_id"] for row in entries[0][1]} == rest
    names = {row["athlete_id"]: row["display_name"] for row in board.rows(HEAD, "athlete")}
    left = {row["athlete_id"] for row in sheet} - rest - decided
    assert all(names[one] in kept.sentence for one in left)


def test_an_athlete_agrees_with_nothing(board: Board, written: list):
    with pytest.raises(deciding.NotKept):
        deciding.keep_rest(ATHLETE, board, WEEK)
    assert written == []


def test_a_talk_is_overruled_with_a_reason_only_and_without_the_work_that_followed_from_it(board: Board, written: list):
    with pytest.raises(deciding.NotKept, match="why it is not followed"):
        deciding.keep_decision(HEAD, board, "marit-oakhollow", WEEK, training="as_planned", note=" ")
    assert written == []
    proposed = "No maximal runs before the talk"  # as the form holds it
    deciding.keep_decision(
        HEAD, board, "marit-oakhollow", WEEK, training="as_planned", work=proposed, note="talked on Sunday"
    )
    wait_for_publish()
    _, rows, _ = written[0]
    assert {r["topic"]: r["call"] for r in rows if r["topic"] != "hamstring"} == {"training": "as planned"}
    written.clear()
    own = "starts at 90 %"
    deciding.keep_decision(HEAD, board, "marit-oakhollow", WEEK, training="adapt", work=own, note="talked")
    wait_for_publish()
    assert [r["call"] for r in written[0][1] if r["topic"] == "start_work"] == [own]


@pytest.mark.parametrize(
    ("said", "call", "decided", "written_as"),
    [
        ("sled", "as_planned", "as planned", "agreed"),
        ("as planned", "talk_first", "as planned", "as planned; the call is talk first"),
        ("sled", "talk_first", "as planned", "as planned; the call is talk first"),  # answered since: the work is old
        ("hills", "talk_first", "as planned", "as planned; the call is talk first; hills"),
        ("sled", "adapt", "adapt: less volume", "agreed"),
        ("hills", "as_planned", None, "hills"),
    ],
)
def test_a_call_that_was_not_taken_is_never_shown_as_agreed(said, call, decided, written_as):
    row = {"training_call": call, "focus_headline": "sled"}
    assert wording.decided_text(said, row, decided) == written_as
