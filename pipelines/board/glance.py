"""A table to be printed, from the record or the board, as quickly as it can be had."""

import contextlib

from pipelines.board.delta_header import base_of, is_delta, read_header
from pipelines.board.file import READ_ONLY
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.record.looking import WAITING_ROWS, Rows, look_at_board, look_at_record

POINTER = "current"


def look(home: Home, name: str, say: Say = say_nothing, most: int | None = None) -> Rows:
    """Return the first rows of a table to print them, 'waiting' for the cells that wait: quicker than as a table."""
    found = glance(home, name, say, most)
    if found is None:
        from pipelines.board import looking  # with all that computes

        frame = looking.rejected(home, say) if name == WAITING_ROWS else looking.table(home, name, say)
        found = Rows.of(frame, most)
    return found


def glance(home: Home, name: str, say: Say = say_nothing, most: int | None = None) -> Rows | None:
    """Return the first rows of a record, log or derived table; null where a slower way must be gone."""
    found = look_at_record(home, name, say, most)
    if found is not None:
        return found
    with contextlib.suppress(OSError):
        board = home.board / (home.board / POINTER).read_text(encoding="utf-8").strip()
        over = [table for table, *_ in read_header(board.read_bytes())[0]["pieces"]] if is_delta(board) else []
        if name not in over and base_of(board).is_file():
            return look_at_board(base_of(board), name, dict(READ_ONLY), most)
    return None
