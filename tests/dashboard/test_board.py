"""Who may read which row: tried through every door the board has."""

import datetime as dt
from pathlib import Path

import duckdb
import polars as pl
import pytest

from dashboard.access.viewer import Viewer
from dashboard.board import Board, NoBoard, NotForThisViewer
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, STAFF_WITH_GRANT
from tests.dashboard.make_board import board_tables, write_board

PERSONAL = [name for name, frame in board_tables().items() if "athlete_id" in frame.columns]


@pytest.mark.parametrize("table", PERSONAL)
def test_an_athlete_reads_own_rows_only_in_every_table_with_athletes(board: Board, table: str):
    rows = board.read(ATHLETE, table)
    assert set(rows["athlete_id"].unique()) <= {"teo-brandmere"}


@pytest.mark.parametrize("table", PERSONAL)
def test_staff_read_their_event_groups_only(board: Board, table: str):
    people = board_tables()["athlete"]
    theirs = set(people.filter(pl.col("event_group").is_in(["short_sprints", "hurdles"]))["athlete_id"])
    assert set(board.read(STAFF, table)["athlete_id"].unique()) <= theirs


def test_the_head_coach_reads_all(board: Board):
    assert board.read(HEAD, "athlete").height == 24
    # by hand: 8 short sprints + 4 hurdles
    assert board.read(STAFF, "athlete").height == 12


@pytest.mark.parametrize(
    "where",
    [
        {"athlete_id": "marit-oakhollow"},
        {"athlete_id": ["marit-oakhollow", "ines-quarrington"]},
        {"athlete_id": ("<>", "teo-brandmere")},
        {"athlete_id": "teo-brandmere' or '1'='1"},
    ],
)
def test_a_condition_never_widens_what_an_athlete_reads(board: Board, where: dict):
    assert board.read(ATHLETE, "checkin", where).is_empty()


def test_a_condition_or_order_on_a_column_that_is_not_there_is_refused(board: Board):
    injected = 'athlete_id" or 1=1 --'
    with pytest.raises(KeyError):
        board.read(ATHLETE, "checkin", {injected: "x"})
    with pytest.raises(KeyError):
        board.read(ATHLETE, "checkin", order_by=[injected])
    with pytest.raises(KeyError):
        board.read(ATHLETE, "checkin", columns=[injected])
    with pytest.raises(KeyError):
        board.read(ATHLETE, 'checkin" union select * from "athlete')


@pytest.mark.parametrize("table", ["rejected", "load"])
def test_loads_and_rows_set_aside_are_not_for_athletes(board: Board, table: str):
    with pytest.raises(NotForThisViewer):
        board.read(ATHLETE, table)
    assert board.read(STAFF, table).height > 0


def test_an_athlete_sign_in_tied_to_nobody_reads_nobody(board: Board):
    with pytest.raises(NotForThisViewer):
        board.read(Viewer("Nobody", "athlete"), "checkin")


def test_staff_without_event_groups_read_nobody(board: Board):
    assert board.read(Viewer("New", "staff"), "athlete").is_empty()


def test_a_table_without_athletes_that_is_not_open_is_for_the_head_coach(tmp_path: Path):
    tables = board_tables() | {"fingerprint": pl.DataFrame({"name": ["a"], "value": ["b"]})}
    write_board(tmp_path, tables)
    board = Board(tmp_path)
    for viewer in (STAFF, ATHLETE):
        with pytest.raises(NotForThisViewer):
            board.read(viewer, "fingerprint")


@pytest.mark.parametrize("viewer", [STAFF, STAFF_WITH_GRANT, ATHLETE])
def test_methods_are_open_to_all(board: Board, viewer: Viewer):
    assert board.read(viewer, "method").height > 0
    assert board.read(viewer, "board_info").height > 0


def test_injury_detail_and_checkin_notes_need_the_grant(board: Board):
    [seen] = board.rows(STAFF_WITH_GRANT, "injury")
    assert seen["note"] == "Told only to the head coach"
    without = Viewer("Coach", "staff", event_groups=("horizontal_jumps",))
    [hidden] = board.rows(without, "injury")
    assert (hidden["kind"], hidden["mechanism"], hidden["note"]) == (None, None, None)
    assert hidden["site"] == "hamstring"
    assert board.read(HEAD, "checkin", {"note": ("<>", "")}).height == 3
    assert board.read(STAFF, "checkin", {"note": ("<>", "")}).is_empty()


def test_a_grant_named_on_an_athlete_opens_nothing(board: Board):
    own = Viewer("Caspian", "athlete", athlete_id="caspian-wray", may_read_injuries=True)
    [row] = board.rows(own, "injury")
    assert row["note"] is None


def test_a_hidden_note_cannot_be_guessed_by_a_condition(board: Board):
    viewer = Viewer("Coach", "staff", event_groups=("horizontal_jumps",))
    assert board.read(viewer, "injury", {"note": "Told only to the head coach"}).is_empty()
    assert board.read(viewer, "injury", {"kind": "strain"}).is_empty()


def test_unknown_is_asked_for_by_null(board: Board):
    assert board.read(HEAD, "load_week", {"load_au": None}).height == 1


def test_the_reader_can_neither_write_nor_reach_files(board: Board):
    with board._db.cursor() as cursor:
        for text in (
            "create table x(a int)",
            "select * from read_csv('/etc/passwd')",
            "set threads = 1",
            "attach ':memory:' as other",
        ):
            with pytest.raises(duckdb.Error):
                cursor.execute(text).fetchall()


def test_a_new_build_is_seen_and_the_old_one_stays_readable(tmp_path: Path):
    tables = board_tables()
    write_board(tmp_path, tables, "000001")
    old = Board(tmp_path)
    write_board(tmp_path, tables | {"athlete": tables["athlete"].head(3)}, "000002")
    assert Board(tmp_path).read(HEAD, "athlete").height == 3
    assert old.read(HEAD, "athlete").height == 24


@pytest.mark.parametrize("pointer", [None, "", "board-000009.duckdb", "../board-000001.duckdb"])
def test_a_home_without_a_usable_pointer_has_no_board(tmp_path: Path, pointer: str | None):
    write_board(tmp_path, {"athlete": board_tables()["athlete"]})
    current = tmp_path / "board" / "current"
    current.unlink() if pointer is None else current.write_text(pointer)
    with pytest.raises(NoBoard):
        Board(tmp_path)


def test_days_and_lists_of_values_can_be_asked_for(board: Board):
    day = dt.date(2026, 11, 16)
    weeks = board.read(HEAD, "week_sheet", {"week_of": day, "training_call": ["adapt", "talk_first"]})
    # by hand: Marit talks first, Teo and Ines adapt
    assert weeks.height == 3
