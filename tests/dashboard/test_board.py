"""Who may read which row: tried through every door the board has."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import duckdb
import polars as pl
import pytest

from dashboard.access.rules import CELLS_AS_WRITTEN, COACH_TABLES, HEAD_COACH_TABLES, PRIVATE_TABLES, NotForThisViewer
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import NoBoard
from dashboard.wording import INJURY_HIDDEN
from schemas.derived.registry import derived_models
from schemas.records import RECORDS
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, STAFF_WITH_GRANT
from tests.dashboard.small_board import TODAY, table_of

SIXTH = "week 6 since return, right hamstring"
PERSONAL = [
    name
    for name, model in {**RECORDS, **derived_models()}.items()
    if "athlete_id" in model.to_schema().columns and name not in HEAD_COACH_TABLES
]


@pytest.mark.parametrize("table", PERSONAL)
def test_an_athlete_reads_own_rows_only_in_every_table_with_athletes(board: Board, table: str):
    if table in COACH_TABLES:
        with pytest.raises(NotForThisViewer):
            board.read(ATHLETE, table)
        return
    rows = board.read(ATHLETE, table)
    assert set(rows["athlete_id"].unique()) <= {"teo-brandmere"}


@pytest.mark.parametrize("table", PERSONAL)
def test_staff_read_their_event_groups_only(board: Board, home: Path, table: str):
    people = table_of(home, "athlete")
    theirs = set(people.filter(pl.col("event_group").is_in(["short_sprints", "hurdles"]))["athlete_id"])
    everybody = set(table_of(home, table)["athlete_id"])
    if table in PRIVATE_TABLES:
        assert set(board.read(STAFF, table).select("topic").to_series()) <= {"video"}
        return
    assert set(board.read(STAFF, table)["athlete_id"].unique()) == theirs & everybody


def test_the_head_coach_reads_all(board: Board):
    assert board.read(HEAD, "athlete").height == 10
    # by hand: 4 short sprints + 3 hurdles
    assert board.read(STAFF, "athlete").height == 7


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
    own = board.read(HEAD, "load").filter(loaded_by=STAFF.name)  # of the loads, staff read those they brought
    assert board.read(STAFF, table).height == (own.height if table == "load" else board.read(STAFF, table).height)


@pytest.mark.parametrize("table", sorted(CELLS_AS_WRITTEN))
def test_staff_read_cells_as_written_of_their_groups_only_and_no_health_files(board_like: Callable, table: str):
    def row(no: int, who: str | None, tables: str) -> dict[str, object]:
        return {"reject_no": no, "load_no": 1, "athlete_id": who, "tables": tables, "row_json": "{}"}

    rows = [row(1, "teo-brandmere", "split"), row(2, "rune-halvard-okoro", "split"), row(3, None, "split")]
    rows += [row(4, "teo-brandmere", "session, injury")]
    board = Board(board_like(**{table: pl.DataFrame(rows)}))

    def seen(viewer: Viewer) -> list[int]:
        return board.read(viewer, table, order_by=["reject_no"])["reject_no"].to_list()

    # by hand: Teo runs short sprints, Rune jumps; whose row 3 is, nobody knows; row 4 is of a file of injuries
    assert seen(STAFF) == [1]
    assert seen(HEAD) == [1, 2, 3, 4]
    assert seen(Viewer("Physio", "staff", event_groups=("short_sprints",), may_read_injuries=True)) == [1, 4]
    with pytest.raises(NotForThisViewer):
        board.read(ATHLETE, table)


def test_an_athlete_sign_in_tied_to_nobody_reads_nobody(board: Board):
    with pytest.raises(NotForThisViewer):
        board.read(Viewer("Nobody", "athlete"), "checkin")


def test_staff_without_event_groups_read_nobody(board: Board):
    assert board.read(Viewer("New", "staff"), "athlete").is_empty()


def test_a_table_without_athletes_that_is_not_open_is_for_the_head_coach(board: Board):
    assert board.read(HEAD, "fingerprint").height > 0
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
    guarded = ("site", "side", "kind", "mechanism", "recurrence", "note")
    assert [hidden[name] for name in guarded] == [None] * len(guarded)
    assert hidden["onset_on"] == seen["onset_on"]  # that somebody is hurt is no secret from who trains them
    assert board.read(HEAD, "checkin", {"note": ("<>", "")}).height == 1  # Marit's, on the last day
    assert board.read(STAFF, "checkin", {"note": ("<>", "")}).is_empty()


def test_an_athlete_reads_own_injury_and_notes_whole_and_nobody_else_s(board: Board):
    own = Viewer("Caspian", "athlete", athlete_id="caspian-wray")
    [row] = board.rows(own, "injury")
    assert (row["athlete_id"], row["note"]) == ("caspian-wray", "Told only to the head coach")
    assert board.rows(ATHLETE, "injury") == []


def test_a_grant_named_on_an_athlete_opens_no_one_else(board: Board):
    granted = Viewer("Teo", "athlete", athlete_id="teo-brandmere", event_groups=("hurdles",), may_read_injuries=True)
    assert board.rows(granted, "injury") == []
    assert set(board.read(granted, "athlete")["athlete_id"]) == {"teo-brandmere"}


def test_words_that_rest_on_an_injury_reach_those_who_may_read_it(board: Board):
    # Caspian, a jumper, is in the sixth week after a strain
    who = {"athlete_id": "caspian-wray"}
    without = Viewer("Coach", "staff", event_groups=("horizontal_jumps",))
    for viewer in (HEAD, STAFF_WITH_GRANT, Viewer("Caspian", "athlete", athlete_id="caspian-wray")):
        assert (
            board.rows(viewer, "hamstring_flag", {**who, "family": "history", "day_on": TODAY})[0]["sentence"] == SIXTH
        )
    [flag] = board.rows(without, "hamstring_flag", {**who, "family": "history", "day_on": TODAY})
    assert (flag["sentence"], flag["since_on"], flag["evidence_on"]) == (INJURY_HIDDEN, None, None)
    assert flag["level"] == "one_family"  # the call itself stands
    week = board.rows(without, "week_sheet", who, order_by=["-week_of"])[0]
    assert week["hamstring_reason"] == INJURY_HIDDEN
    assert board.read(without, "hamstring_flag", {"sentence": SIXTH}).is_empty()


def test_words_that_do_not_say_what_they_rest_on_are_hidden(home: Path, board_like: Callable[..., Path]):
    bare = board_like(readiness_day=table_of(home, "readiness_day").drop("reads_injury"))
    assert set(Board(bare).read(STAFF, "readiness_day")["sentence"]) == {INJURY_HIDDEN}


@pytest.fixture
def born_on(home: Path, board_like: Callable[..., Path]) -> Callable[[dt.date | None], Board]:
    """Return a function that gives the board with everybody born on a day."""
    people = table_of(home, "athlete")
    return lambda day: Board(board_like(athlete=people.with_columns(birth_date=pl.lit(day, pl.Date))))


def test_a_guardian_reads_one_minor_without_notes(born_on: Callable[..., Board]):
    board = born_on(dt.date(2010, 5, 1))
    guardian = Viewer("Parent", "guardian", athlete_id="caspian-wray")
    assert set(board.read(guardian, "athlete")["athlete_id"]) == {"caspian-wray"}
    [injury] = board.rows(guardian, "injury")
    assert (injury["site"], injury["note"]) == ("hamstring", None)
    assert board.read(guardian, "checkin", {"athlete_id": "teo-brandmere"}).is_empty()
    assert board.read(guardian, "checkin", {"note": ("<>", "")}).is_empty()


@pytest.mark.parametrize("born", [dt.date(2008, 11, 22), dt.date(1999, 1, 1), None])
def test_a_guardian_s_page_closes_on_the_eighteenth_birthday(born_on: Callable[..., Board], born: dt.date | None):
    # the board looks from 22 November 2026; an unknown birth date is nobody known to be a minor
    board = born_on(born)
    assert board.read(Viewer("Parent", "guardian", athlete_id="caspian-wray"), "athlete").is_empty()
    the_day_before = born_on(dt.date(2008, 11, 23))
    assert the_day_before.read(Viewer("Parent", "guardian", athlete_id="caspian-wray"), "athlete").height == 1


def test_consent_is_for_the_head_coach_and_the_person(board_like: Callable[..., Path]):
    rows = [{"athlete_id": who, "topic": "health"} for who in ("teo-brandmere", "marit-oakhollow")]
    board = Board(board_like(consent=rows))
    assert board.read(HEAD, "consent").height == 2
    assert board.read(ATHLETE, "consent").height == 1
    assert board.read(STAFF, "consent").is_empty()


def test_a_hidden_note_cannot_be_guessed_by_a_condition(board: Board):
    viewer = Viewer("Coach", "staff", event_groups=("horizontal_jumps",))
    assert board.read(viewer, "injury", {"note": "Told only to the head coach"}).is_empty()
    assert board.read(viewer, "injury", {"kind": "strain"}).is_empty()


def test_unknown_is_asked_for_by_null(board: Board, home: Path):
    unknown = table_of(home, "load_week")["load_au"].null_count()
    assert board.read(HEAD, "load_week", {"load_au": None}).height == unknown > 0


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


def test_a_new_build_is_seen_and_the_old_one_stays_readable(home: Path, board_like: Callable[..., Path]):
    here, other = board_like(), board_like(athlete=table_of(home, "athlete").head(3))
    old = Board(here)
    (other / "board" / "board-000001.duckdb").rename(here / "board" / "board-000002.duckdb")
    (here / "board" / "current").write_text("board-000002.duckdb", encoding="utf-8")
    assert Board(here).read(HEAD, "athlete").height == 3
    assert old.read(HEAD, "athlete").height == 10


@pytest.mark.parametrize("pointer", [None, "", "board-000009.duckdb", "../board-000001.duckdb"])
def test_a_home_without_a_usable_pointer_has_no_board(board_like: Callable[..., Path], pointer: str | None):
    own = board_like()
    current = own / "board" / "current"
    current.unlink() if pointer is None else current.write_text(pointer)
    with pytest.raises(NoBoard):
        Board(own)


def test_days_and_lists_of_values_can_be_asked_for(board: Board):
    day = dt.date(2026, 11, 16)
    weeks = board.read(HEAD, "week_sheet", {"week_of": day, "training_call": ["adapt", "talk_first"]})
    # by hand: Marit talks first, Ines adapts
    assert sorted(weeks["athlete_id"]) == ["ines-quarrington", "marit-oakhollow"]
