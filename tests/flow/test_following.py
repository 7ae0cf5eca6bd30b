"""What was just written is on the board at once, and nothing on it is older than it says."""

import datetime as dt
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import ClassVar

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.access.viewer import Viewer
from dashboard.board import Board, noting_older
from pipelines import flow
from pipelines.board import building, following, publish, reading, rows_kept
from pipelines.board.delta import Delta, Piece, base_of, is_delta, last_seen, read_delta, write_delta
from pipelines.board.entry_days import entry_days
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home
from pipelines.record import opening, unusual, warehouse
from schemas.base import DerivedTable, column
from tests.examples import examples
from tests.flow.conftest import LoadDay, LoadWeek, load_day, load_week
from tests.flow.squad import ROSTER, SESSIONS, SPLITS, load_squad, write

HEAD = Viewer("Coach", "head_coach")
WHO = ("ada-reed", "bo-lind")


class GroupLoad(DerivedTable):
    """One row: minutes of everybody. Its name is one of the squad's tables."""

    minutes: float = column("Minutes trained.", unit="min", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """No key."""

        metadata: ClassVar = {"key": []}


def group_load(load_week: pl.DataFrame) -> pl.DataFrame:
    """Add up everybody's minutes."""
    return load_week.select(pl.col("minutes").sum())


@pytest.fixture(scope="module", autouse=True)
def small_squad_derived():
    """Put three small tables, one of the squad, in place of the real ones."""
    functions = {"load_week": load_week, "load_day": load_day, "group_load": group_load}
    models = {"load_week": LoadWeek, "load_day": LoadDay, "group_load": GroupLoad}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(building, "derivations", lambda: functions)
        patch.setattr(building, "derived_models", lambda: models)
        yield


@pytest.fixture
def squad(home: Home) -> Home:
    load_squad(home)
    return home


def session(who: str, day: int, minutes: float) -> dict:
    on = dt.date(2025, 11, 3) + dt.timedelta(days=day)
    return {"athlete_id": who, "session_date": on, "session_no": 1, "duration_min": minutes}


def enter(home: Home, *rows: dict, ahead: bool = False) -> int | None:
    return flow.enter(home, "session", rows, by="coach", derive_after=False, follow_next=ahead).load_no


def minutes(home: Home, who: str) -> float:
    return flow.table(home, "load_week").filter(athlete_id=who)["minutes"].item()


def differing(home: Home) -> set[str]:
    """Return the tables that the board holds otherwise than a derivation from nothing."""
    with opening.record(home) as con:
        frames = {**warehouse.record_frames(con), "entry_day": entry_days(con)}
        logs = {name: con.sql(query).pl() for name, query in publish.LOG_QUERIES.items()}
        marked = {"marked": unusual.marked(con)}
    board = publish.current_board(home)
    assert board is not None
    told = building.board_differs(home, {**frames})
    tables = set(told.removeprefix("differs in ").split(";")[0].split(", ")) if told else set()
    return tables | set(publish.differing(board, {**logs, **marked}))


def test_a_write_is_read_from_the_board_at_once_and_the_squads_table_is_named_as_older(squad: Home):
    enter(squad, session("ada-reed", 2, 30.0))
    assert flow.follow(squad) is flow.Reach.ATHLETES
    # by hand: Ada's 80 and the new 30; Bo's 60 stay; the squad's sum is of before: 140
    assert (minutes(squad, "ada-reed"), minutes(squad, "bo-lind")) == (110.0, 60.0)
    assert flow.table(squad, "group_load")["minutes"].to_list() == [140.0]
    board = Board(squad.root)
    assert board.older == {"group_load"}
    assert board.read(HEAD, "session", {"athlete_id": "ada-reed"})["duration_min"].sort().to_list() == [30.0, 80.0]
    assert board.info(HEAD)["data_to"] == "2025-11-05"
    assert flow.is_stale(squad)
    flow.derive_board(squad)
    assert Board(squad.root).older == frozenset()
    assert flow.table(squad, "group_load")["minutes"].to_list() == [170.0]
    assert not flow.is_stale(squad)


def test_the_page_notes_that_it_read_an_older_table(squad: Home):
    enter(squad, session("ada-reed", 2, 30.0))
    flow.follow(squad)
    board = Board(squad.root)
    with noting_older() as older:
        board.read(HEAD, "load_week")
        assert older == set()
        for _ in range(2):  # also where it is read from what was last seen
            board.read(HEAD, "group_load")
        assert older == {"group_load"}


def test_what_the_squads_tables_do_not_rest_on_leaves_nothing_older(squad: Home):
    flow.enter(squad, "checkin", [{"athlete_id": "bo-lind", "checked_on": "2025-11-03", "mood": 3}], by="c",
               derive_after=False)  # fmt: skip
    assert flow.follow(squad) is flow.Reach.ALL
    assert differing(squad) == set()
    assert not flow.is_stale(squad)


def test_what_was_read_while_the_record_was_open_is_taken_once_and_only_where_it_is_all(squad: Home, monkeypatch):
    enter(squad, session("ada-reed", 2, 30.0))
    flow.follow(squad)  # a board that says since when
    opened = []
    record = opening.record
    monkeypatch.setattr(opening, "record", lambda *given, **more: opened.append(1) or record(*given, **more))
    enter(squad, session("ada-reed", 2, 35.0), ahead=True)
    flow.follow(squad)
    assert (len(opened), minutes(squad, "ada-reed")) == (1, 115.0)
    enter(squad, session("ada-reed", 2, 40.0), ahead=True)
    load_no = enter(squad, session("ada-reed", 2, 45.0))
    flow.follow(squad)
    assert minutes(squad, "ada-reed") == 125.0
    last = enter(squad, session("ada-reed", 2, 50.0), ahead=True)
    flow.undo(squad, last, by="c", derive_after=False)
    flow.undo(squad, load_no, by="c", derive_after=False)
    flow.follow(squad)
    assert minutes(squad, "ada-reed") == 120.0
    opened.clear()
    head = "athlete_id,session_date,session_no,duration_min\n"
    files = write(
        squad.root.parent / "more", ada=f"{head}ada-reed,2025-11-05,1,10\n", bo=f"{head}bo-lind,2025-11-04,1,5\n"
    )
    flow.load(squad, files, by="coach", derive_after=False, follow_next=True)
    looked = len(opened)
    flow.follow(squad)
    assert (len(opened) - looked, minutes(squad, "ada-reed"), minutes(squad, "bo-lind")) == (0, 90.0, 65.0)
    assert differing(squad) == {"group_load"}


def test_following_twice_writes_nothing_more(squad: Home):
    enter(squad, session("ada-reed", 2, 30.0))
    flow.follow(squad)
    before = publish.current_board(squad)
    assert flow.follow(squad) is flow.Reach.ATHLETES
    assert publish.current_board(squad) == before


OPS = st.one_of(
    st.tuples(st.sampled_from(["enter", "ahead"]), st.sampled_from(WHO), st.integers(0, 3), st.integers(1, 90)),
    st.tuples(st.just("not followed"), st.sampled_from(WHO), st.integers(0, 3), st.integers(1, 90)),
    st.tuples(st.sampled_from(["undo", "redo"]), st.integers(2, 9)),
    st.tuples(st.just("derive")),
)


@given(ops=st.lists(OPS, min_size=2, max_size=6))
@examples(24)
def test_after_any_sequence_of_writes_the_board_is_that_of_a_derivation_from_nothing(ops):
    with TemporaryDirectory() as folder:
        home = Home(Path(folder) / "home")
        load_squad(home)
        for what, *more in ops:
            if what in ("enter", "ahead", "not followed"):
                enter(home, session(*more), ahead=what != "enter")
                if what == "not followed":  # what comes next is not to be taken for it
                    continue
            elif what == "derive":
                flow.derive_board(home)
            else:
                try:
                    (flow.undo if what == "undo" else flow.redo)(home, *more, by="c", derive_after=False)
                except ThirdstepError:
                    continue  # no such load, or it is so already
            reach = flow.follow(home)
            older = set() if reach is flow.Reach.ALL else {"group_load"}
            assert differing(home) <= older
            assert Board(home.root).older <= older


def test_a_board_made_while_something_was_written_keeps_what_was_written(squad: Home, monkeypatch):
    def slowly(*given, **more):
        enter(squad, session("bo-lind", 1, 15.0))
        assert flow.follow(squad) is flow.Reach.ATHLETES
        return derived(*given, **more)

    derived = building.derive.derive_all
    enter(squad, session("ada-reed", 2, 30.0))
    flow.follow(squad)
    monkeypatch.setattr(building.derive, "derive_all", slowly)
    flow.derive_board(squad)
    monkeypatch.undo()
    # by hand: Ada's 110 come from the new board's file, Bo's 60 + 15 from the delta carried over to it
    assert (minutes(squad, "ada-reed"), minutes(squad, "bo-lind")) == (110.0, 75.0)
    board = publish.current_board(squad)
    assert board is not None
    assert is_delta(board)
    assert set(read_delta(board).events) == {"bo-lind"}
    assert differing(squad) == {"group_load"}
    assert flow.is_stale(squad)


def test_a_change_of_settings_or_of_many_athletes_asks_for_a_whole_derivation(squad: Home, tmp_path: Path, monkeypatch):
    flow.load(squad, write(tmp_path / "2", sessions=SESSIONS.replace("80", "85")), by="c", derive_after=False)
    monkeypatch.setattr(following, "MOST_ATHLETES", 1)
    sheet = SESSIONS.replace("80", "90").replace("60", "70")
    flow.load(squad, write(tmp_path / "3", sessions=sheet), by="c", derive_after=False)
    assert flow.follow(squad) is flow.Reach.NOTHING
    assert not is_delta(publish.current_board(squad))
    flow.derive_board(squad)
    flow.write_settings(squad.settings, flow.settings(squad).changed({"as_of": dt.date(2025, 11, 9)}))
    enter(squad, session("ada-reed", 2, 30.0))
    assert flow.follow(squad) is flow.Reach.NOTHING


def test_a_board_that_was_exchanged_meanwhile_is_followed_anew(squad: Home, monkeypatch):
    enter(squad, session("ada-reed", 2, 30.0))
    gather, times = following._gather, []

    def gather_and_be_overtaken(*given):
        times.append(1)
        found = gather(*given)
        if len(times) == 1:
            flow.derive_board(squad)
        return found

    monkeypatch.setattr(following, "_gather", gather_and_be_overtaken)
    assert flow.follow(squad) is flow.Reach.ALL
    assert len(times) == 2
    assert differing(squad) == set()


def test_code_changed_under_a_running_process_is_a_sentence_and_all_is_made_anew(squad: Home, monkeypatch):
    enter(squad, session("ada-reed", 2, 30.0))

    def lacks_a_column(*_: object) -> pl.DataFrame:
        return pl.DataFrame({"a": [1]}).select("b")

    monkeypatch.setattr(following._Follow, "marked", lacks_a_column)
    with pytest.raises(ThirdstepError, match=r"is kept, but .* start it again"):
        flow.follow(squad)
    flow.bring_news(squad)  # made anew, without the delta
    assert differing(squad) == set()


def test_an_erased_person_stands_in_no_delta(squad: Home):
    enter(squad, session("bo-lind", 2, 30.0))
    flow.follow(squad)
    receipt = flow.erase_person(squad, "bo-lind", by="coach")
    assert receipt.traces == ()
    assert not [path for path in squad.board.iterdir() if is_delta(path)]


def test_a_follower_that_dies_before_the_pointer_leaves_the_last_board_in_force(squad: Home, monkeypatch):
    enter(squad, session("ada-reed", 2, 30.0))
    before = publish.current_board(squad)
    monkeypatch.setattr(publish, "point_at", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
    with pytest.raises(KeyboardInterrupt):
        flow.follow(squad)
    monkeypatch.undo()
    assert publish.current_board(squad) == before
    assert flow.follow(squad) is flow.Reach.ATHLETES
    assert minutes(squad, "ada-reed") == 110.0


def test_a_damaged_delta_is_said_and_the_next_derivation_mends_it(squad: Home):
    enter(squad, session("ada-reed", 2, 30.0))
    flow.follow(squad)
    board = publish.current_board(squad)
    assert board is not None
    board.write_bytes(board.read_bytes()[:100])
    with pytest.raises(ThirdstepError, match="thirdstep derive"):
        flow.table(squad, "load_week")
    flow.derive_board(squad)
    assert minutes(squad, "ada-reed") == 110.0


def test_staff_and_athletes_read_through_a_delta_what_is_theirs_and_no_more(home: Home, tmp_path: Path):
    roster = "athlete_id,display_name,event_group\nada-reed,Ada Reed,hurdles\nbo-lind,Bo Lind,short_sprints\n"
    assert roster != ROSTER
    flow.load(home, write(tmp_path / "in", roster=roster, sessions=SESSIONS, splits=SPLITS), by="coach")
    for who in WHO:
        enter(home, session(who, 2, 30.0))
    flow.follow(home)
    staff = Viewer("Staff", "staff", event_groups=("hurdles",))
    board = Board(home.root)
    assert is_delta(home.board / board.build)
    assert set(board.read(staff, "session")["athlete_id"]) == {"ada-reed"}
    assert set(board.read(Viewer("Bo", "athlete", athlete_id="bo-lind"), "session")["athlete_id"]) == {"bo-lind"}
    assert board.read(HEAD, "session", columns=["athlete_id"], order_by=["-athlete_id"]).height == 4
    # Bo moves to the hurdles: staff of the hurdles read Bo's rows from the next read on
    bo = {"athlete_id": "bo-lind", "display_name": "Bo Lind", "event_group": "hurdles"}
    moved = flow.enter(home, "athlete", [bo], by="c", derive_after=False)
    assert moved.load_no
    flow.follow(home)
    assert set(Board(home.root).read(staff, "session")["athlete_id"]) == set(WHO)
    assert set(board.read(staff, "session")["athlete_id"]) == {"ada-reed"}  # who began a page on the board before it


def test_a_delta_reads_back_as_it_was_written(tmp_path: Path):
    rows = pl.DataFrame({"athlete_id": ["a", "a"], "day": [dt.date(2025, 1, 1), None], "x": [1.0, None]})
    first = Delta("board-000007.duckdb").with_pieces({"t": Piece(rows, frozenset("a"))}, ["a"], 4, {"last_event": "4"})
    (tmp_path / "elsewhere").mkdir()
    there = write_delta(tmp_path, first)
    assert read_delta(there) is first  # what was just written need not be read
    again = read_delta(there.rename(tmp_path / "elsewhere" / there.name))
    assert (again.name, base_of(tmp_path / again.name).name) == ("board-000007.delta-000001", "board-000007.duckdb")
    assert again.pieces["t"].rows.equals(rows)
    assert (again.pieces["t"].athletes, again.events, again.info) == ({"a"}, {"a": 4}, {"last_event": "4"})
    write_delta(tmp_path / "elsewhere", Delta("board-000007.duckdb", 1))  # another one in its place is read as it is
    last_seen.clear()
    write_delta(tmp_path, first)
    assert not read_delta(tmp_path / "elsewhere" / there.name).pieces


def test_a_later_delta_holds_the_newest_rows_of_each_athlete():
    def piece(*pairs: tuple[str, int]) -> Piece:
        rows = pl.DataFrame(list(pairs), schema={"athlete_id": pl.String, "x": pl.Int64}, orient="row")
        return Piece(rows, frozenset(who for who, _ in pairs))

    first = Delta("board-1.duckdb").with_pieces({"t": piece(("a", 1), ("b", 1))}, ["a", "b"], 4, {"last_event": "4"})
    second = first.with_pieces({"t": piece(("a", 2))}, ["a"], 6, {"last_event": "6"})
    assert sorted(second.pieces["t"].rows.iter_rows()) == [("a", 2), ("b", 1)]
    left = second.carried("board-2.duckdb", 4, (), ["s"])
    assert left is not None
    assert list(left.pieces["t"].rows.iter_rows()) == [("a", 2)]
    assert (left.info["older"], left.waiting) == ("s", {"t": {"a"}, "t_settled": {"a"}})
    assert second.carried("board-2.duckdb", 6, (), ["s"]) is None


def test_rows_of_a_board_are_read_once_and_those_of_another_file_never_taken_for_them(squad: Home, monkeypatch):
    asked: list[str] = []
    read = reading.read_rows
    monkeypatch.setattr(
        reading, "read_rows", lambda con, query, *values: asked.append(query) or read(con, query, *values)
    )

    def own() -> pl.DataFrame:
        with reading.opened(publish.current_board(squad)) as board:
            return board.read("load_week", ["ada-reed"])

    first = own()
    asked.clear()
    assert own().equals(first)
    assert asked == []
    enter(squad, session("ada-reed", 2, 30.0))
    flow.derive_board(squad)
    assert own()["minutes"].to_list() == [110.0]


def test_no_more_rows_are_kept_than_there_is_room_for(monkeypatch):
    frame = pl.DataFrame({"a": range(1000)})
    monkeypatch.setattr(rows_kept, "MOST_BYTES", 2 * frame.estimated_size())
    asked: list[str] = []

    def look(name: str) -> None:
        rows_kept.rows_of(("a file",), (name, frozenset()), lambda: asked.append(name) or frame)

    for name in ("one", "two", "one", "three", "one", "two"):
        look(name)
    assert asked == ["one", "two", "three", "two"]  # 'one' was read again last before 'three' came
