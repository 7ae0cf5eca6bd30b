"""Reading the board in force: its file, and over it the rows of the delta that ``board/current`` may name instead."""

import contextlib
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import duckdb
import polars as pl

from pipelines.board.among import put_among
from pipelines.board.delta import ATHLETE, Delta, Piece, base_of, read_delta
from pipelines.board.entry_days import KEY as ENTRY_DAY_KEY
from pipelines.board.file import READ_ONLY
from pipelines.board.rows_kept import mark_of, rows_of
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home
from pipelines.home.trouble import plain_words
from pipelines.record.history import quoted
from pipelines.record.rows import Few, few_rows, read_rows
from pipelines.record.unusual import in_order
from schemas.base import table_key
from schemas.derived.registry import DERIVED
from schemas.records import RECORDS
from schemas.tolerance import are_alike

if TYPE_CHECKING:
    from pipelines.board.derivation import Earlier

__all__ = ["Few", "few_rows"]  # for the dashboard too
POINTER = "current"


def current_board(home: Home) -> Path | None:
    """Return the board in force, or the delta of it that is; null where nothing has been published."""
    with contextlib.suppress(OSError):
        path = home.board / (home.board / POINTER).read_text(encoding="utf-8").strip()
        return path if path.is_file() and base_of(path).is_file() else None
    return None


class OpenBoard:
    """A board that is being read."""

    def __init__(self, con: duckdb.DuckDBPyConnection, delta: Delta, file: tuple[object, ...]) -> None:
        self._con, self._file = con, file
        self.delta = delta
        self._columns = _columns_of(con, delta.base)

    @property
    def tables(self) -> set[str]:
        """Names of the tables it holds."""
        return set(self._columns)

    def columns(self, name: str) -> set[str]:
        """Return the columns of a table; none where it holds no such table."""
        return self._columns.get(name, set())

    def read(self, name: str, athletes: Collection[str] | None = None) -> pl.DataFrame:
        """Return a table, or its rows of some athletes, in the order of its key.

        Raises:
            ThirdstepError: The board has no such table.
        """
        if name not in self.tables:
            raise ThirdstepError(f"The board holds no table '{name}'. Run 'thirdstep derive'.")
        piece = self.delta.pieces.get(name)
        if piece is not None and athletes is not None and piece.athletes == frozenset(athletes):
            return piece.rows  # as after most writes: they are of the one athlete who is asked for
        if piece is not None and (piece.athletes is None or (athletes and piece.athletes >= set(athletes))):
            return piece.rows if athletes is None else piece.rows.filter(pl.col(ATHLETE).is_in(sorted(athletes)))
        found = self._of_file(name, athletes)
        if piece is None:
            return found
        here = piece.rows if athletes is None else piece.rows.filter(pl.col(ATHLETE).is_in(sorted(athletes)))
        if piece.athletes is not None and _key_of(name)[:1] == [ATHLETE]:
            fresh = here.select(found.columns).cast(dict(found.schema))  # type: ignore[arg-type]
            others = found[ATHLETE].unique()
            keep = others.filter(~others.is_in(sorted(piece.athletes)))
            return put_among(found, _in_order(name, fresh), keep=keep)
        return _in_order(name, replace(piece, rows=here).over(found))

    def _of_file(self, name: str, athletes: Collection[str] | None) -> pl.DataFrame:
        """Return a table, or its rows of some athletes, as the board's file holds them."""
        text = f"select * from {quoted(name)}"
        if athletes is None:
            return read_rows(self._con, text)
        values = sorted(athletes) or [""]  # each named in the query: a list to be looked up in takes twice as long
        text += f" where {ATHLETE} in ({', '.join('?' for _ in values)})"
        return rows_of(self._file, (name, frozenset(athletes)), lambda: read_rows(self._con, text, values))

    def with_more(self, pieces: Mapping[str, Piece]) -> "OpenBoard":
        """Return the same board as it reads with these pieces laid over it; nothing of them is written."""
        return OpenBoard(self._con, self.delta.with_more(pieces), self._file)

    def info(self) -> dict[str, str]:
        """Return what the board says of itself."""
        return {**dict(self.read("board_info").iter_rows()), **self.delta.info}


def _in_order(name: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of some and of the others in the order in which a board holds them."""
    if name == "marked":
        return in_order(rows)
    key = [column for column in _key_of(name) if column in rows.columns]
    return rows.sort(key, maintain_order=True) if key else rows


def _key_of(name: str) -> list[str]:
    model = {**RECORDS, **DERIVED}.get(name)
    return table_key(model) if model else ENTRY_DAY_KEY if name == "entry_day" else []


_known: dict[tuple[str, str], dict[str, set[str]]] = {}


def _columns_of(con: duckdb.DuckDBPyConnection, base: str) -> dict[str, set[str]]:
    """Return the columns of every table of a board file, asked once: a published file never changes."""
    [(path,)] = con.execute("select path from duckdb_databases() where not internal").fetchall()
    if (path, base) not in _known:
        _known.clear()
        found: dict[str, set[str]] = {}
        asked = "select table_name, column_name from duckdb_columns() where not internal"  # the standard's view is slow
        for table, column in con.execute(asked).fetchall():
            found.setdefault(table, set()).add(column)
        _known[path, base] = found
    return _known[path, base]


@contextmanager
def opened(path: Path) -> Iterator[OpenBoard]:
    """Open a board to read while the block runs."""
    try:
        delta = read_delta(path)
    except (OSError, pl.exceptions.PolarsError) as trouble:
        raise ThirdstepError(f"'{path}' cannot be read. Run 'thirdstep derive'.") from trouble
    base = base_of(path)
    with plain_words(base), duckdb.connect(str(base), read_only=True, config=dict(READ_ONLY)) as con:
        yield OpenBoard(con, delta, mark_of(base))


def read_board(path: Path, name: str) -> pl.DataFrame:
    """Return one table of a published board.

    Raises:
        ThirdstepError: The board has no such table or cannot be read.
    """
    with opened(path) as board:
        return board.read(name)


def differing(path: Path, wanted: Mapping[str, pl.DataFrame]) -> list[str]:
    """Return the tables that a board lacks or holds otherwise; columns it has beside those wanted do not count.

    The board may have been made on another machine: numbers count as the same within ``schemas.tolerance``.
    """
    with opened(path) as board:

        def is_alike(name: str, frame: pl.DataFrame) -> bool:
            if name not in board.tables:
                return False
            found = board.read(name)
            return set(frame.columns) <= set(found.columns) and are_alike(found.select(frame.columns), frame)

        return [name for name, frame in wanted.items() if not is_alike(name, frame)]


def board_info(path: Path | None) -> dict[str, str]:
    """Return what a board says of itself; nothing where there is none or it cannot be read."""
    if path is None:
        return {}
    with contextlib.suppress(ThirdstepError), opened(path) as board:
        return board.info()
    return {}


@contextmanager
def earlier(path: Path | None) -> "Iterator[Earlier]":
    """Tell, while the block runs, what a board's file holds of the last derivation; nothing where it cannot be read.

    A delta does not count: what it knows more is computed again.
    """
    from pipelines.board.derivation import NOTHING_EARLIER, Earlier  # with all that computes: who only reads needs none

    with contextlib.ExitStack() as stack:
        told = NOTHING_EARLIER
        if path is not None:
            with contextlib.suppress(ThirdstepError):
                board = stack.enter_context(opened(base_of(path)))
                told = Earlier(
                    dict(board.read("fingerprint").iter_rows()),
                    board.read("athlete_fingerprint"),
                    board.read("athlete_content"),
                    board.read,
                )
        yield told
