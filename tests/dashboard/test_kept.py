"""What was read is kept with the query that gave it: for who may read the same, and for nobody else."""

import threading
import time
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest

from dashboard import board as boards
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.kept import Kept
from pipelines.record.rows import Few
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, STAFF_WITH_GRANT
from tests.dashboard.small_board import table_of


def test_what_is_kept_is_made_once_and_the_least_lately_asked_goes_first():
    kept, made = Kept[str](10, len), []

    def ask(word: str) -> str:
        return kept.ask(word, lambda: made.append(word) or word)

    for word in ("four", "five", "four", "six", "four", "five"):
        assert ask(word) == word
    # by hand: 'six' (3) is one too many beside 'four' and 'five' (8): 'five' goes, and later comes in its place
    assert made == ["four", "five", "six", "five"]
    assert (len(kept), kept.bytes) == (2, 8)


def test_one_that_is_larger_than_all_the_room_is_kept_alone():
    kept = Kept[str](3, len)
    for word in ("ab", "abcdef"):
        kept.ask(word, lambda word=word: word)
    assert (len(kept), kept.bytes) == (1, 6)


def test_of_many_who_ask_at_the_same_moment_one_makes_it():
    kept, made, answers = Kept[int](100, lambda _: 1), [], []

    def make() -> int:
        made.append(1)
        time.sleep(0.2)
        return 7

    asking = [threading.Thread(target=lambda: answers.append(kept.ask("x", make))) for _ in range(8)]
    for one in asking:
        one.start()
    for one in asking:
        one.join(20)
    assert (made, answers) == ([1], [7] * 8)


def test_where_the_one_who_makes_it_fails_the_others_try_themselves():
    kept, begun = Kept[int](100, lambda _: 1), threading.Event()

    def fail() -> int:
        begun.set()
        time.sleep(0.2)
        raise KeyError("gone")

    failed: list[BaseException] = []

    def first() -> None:
        try:
            kept.ask("x", fail)
        except KeyError as trouble:
            failed.append(trouble)

    thread = threading.Thread(target=first)
    thread.start()
    assert begun.wait(20)
    assert kept.ask("x", lambda: 5) == 5
    thread.join(20)
    assert len(failed) == 1
    assert kept.ask("x", lambda: 6) == 6  # nothing of the failure stayed


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return the queries that the board is asked from now on, with nothing kept from before."""
    monkeypatch.setattr(boards, "_kept", Kept(boards.KEPT_BYTES, boards._size_of))
    queries: list[str] = []
    fetch = Board._fetched

    def noted(self: Board, text: str, values: list, frames: dict) -> Few | pl.DataFrame:
        queries.append(text)
        return fetch(self, text, values, frames)

    monkeypatch.setattr(Board, "_fetched", noted)
    return queries


def test_who_may_read_the_same_asks_the_board_once(home: Path, asked: list[str]):
    board = Board(home)
    again = Viewer("Another phone of Teo's", "athlete", athlete_id="teo-brandmere")
    for viewer in (ATHLETE, again, HEAD, Viewer("Second head", "head_coach", may_read_injuries=True)):
        board.rows(viewer, "checkin")
    assert len(asked) == 2
    board.read(STAFF, "method")
    board.read(ATHLETE, "method")
    assert len(asked) == 3


def test_who_may_read_otherwise_is_never_given_what_was_kept_of_another(home: Path, asked: list[str]):
    """Every table, read by people of other rights one after the other, is as each reads it with nothing kept."""
    guardian = Viewer("Parent", "guardian", athlete_id="teo-brandmere")
    people = [HEAD, STAFF, STAFF_WITH_GRANT, ATHLETE, guardian,
              Viewer("Marit", "athlete", athlete_id="marit-oakhollow"),
              Viewer("Jumps", "staff", event_groups=("horizontal_jumps",))]  # fmt: skip
    board, wrong = Board(home), []

    def read(viewer: Viewer, table: str) -> list[dict] | str:
        try:
            return board.rows(viewer, table)
        except PermissionError as refused:
            return str(refused)

    for table in board.tables:
        together = [read(viewer, table) for viewer in people]
        for viewer, found in zip(people, together, strict=True):
            boards._kept = Kept(boards.KEPT_BYTES, boards._size_of)
            alone = read(viewer, table)
            if alone != found and repr(alone) != repr(found):  # a number that is none equals nothing
                wrong.append(f"{viewer.name} {table}")
    assert wrong == []
    assert len(asked) > len(board.tables)


def test_rows_given_out_share_nothing_with_those_that_are_kept(home: Path, board_like: Callable[..., Path]):
    board = Board(board_like(checkin=table_of(home, "checkin").with_columns(list=pl.lit([1.0, 2.0]))))
    first = board.rows(HEAD, "checkin")
    first[0]["mood"], first[0]["list"][0] = "changed", 99.0
    again = board.rows(HEAD, "checkin")
    assert again[0]["mood"] != "changed"
    assert again[0]["list"] == [1.0, 2.0]


def test_few_rows_and_many_are_the_same_as_dictionaries_and_as_a_frame(home: Path):
    board = Board(home)
    for table in ("athlete", "column_doc", "load_week"):
        assert board.rows(HEAD, table) == board.read(HEAD, table).to_dicts() == table_of(home, table).to_dicts()
