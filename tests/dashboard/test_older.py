"""Where a page shows something older than what was just written, it says so, and draws nothing anew by itself."""

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard import wording
from dashboard import writes as deciding
from pipelines.board.delta import Delta, write_delta
from tests.dashboard.conftest import ATHLETE, HEAD, html_of


@pytest.fixture
def followed(board_like: Callable[..., Path]) -> Path:
    """A home whose board is followed by a delta: the week's sheet and the squad's sentence are of before."""
    own = board_like()
    base = own / "board" / "board-000001.duckdb"
    delta = write_delta(base.parent, Delta(base.name, 1, {}, {}, {"older": "week_sheet squad_week"}))
    (base.parent / "current").write_text(delta.name, encoding="utf-8")
    return own


def test_a_page_that_reads_an_older_table_says_that_it_follows(open_as: Callable, followed: Path):
    at = open_as(HEAD, at_home=followed)
    assert not at.exception
    assert wording.SQUAD_OLDER in html_of(at)
    (followed / "board" / "current").write_text("board-000001.duckdb", encoding="utf-8")
    assert wording.SQUAD_OLDER not in html_of(at.run())


def test_a_page_that_reads_none_says_nothing(open_as: Callable, followed: Path):
    assert wording.SQUAD_OLDER not in html_of(open_as(ATHLETE, "methods", at_home=followed))


def test_a_page_says_where_what_was_written_is_not_on_the_board_yet(open_as: Callable, followed: Path, monkeypatch):
    (followed / "board" / "current").write_text("board-000001.duckdb", encoding="utf-8")
    behind = threading.Event()
    behind.set()
    monkeypatch.setattr(deciding, "_behind", behind)
    assert wording.PAGE_BEHIND in html_of(open_as(HEAD, at_home=followed))
