"""The published board, read for a viewer. Rows a viewer may not see are never fetched.

Every read takes the viewer, and ``dashboard.access.rules`` says which rows and columns are theirs. Where the pointer
names a delta, its rows stand over those of the board file before anything else is asked of them. What was read of a
build is kept with the query that gave it: a page asks the same again at every turn, and who may read the same asks the
same. Whose rows and which columns those are stands in that query, so nothing goes from one person to another.
"""

import datetime as dt
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Any

import duckdb
import polars as pl

from dashboard.access.rules import OWN_ROWS, columns_otherwise, quoted, rows_for
from dashboard.access.trail import DETAIL, note_read
from dashboard.access.viewer import Viewer
from dashboard.home import NoBoard
from dashboard.kept import Kept
from pipelines.board.delta import Delta, base_of, is_delta, read_delta
from pipelines.board.file import READ_ONLY
from pipelines.board.reading import Few, few_rows

ROOTS_KEPT = 3
ASKED_BESIDE = ("athlete",)  # what conditions on rows ask beside the table itself; the day looked from never differs
KEPT_BYTES = 64 * 2**20  # of rows already read; own choice
COLUMN_BYTES, VALUE_BYTES = 800, 40  # that a column of a frame takes beside its values, and a value alone; measured

Condition = str | int | float | bool | dt.date | None | Sequence[Any] | tuple[str, Any]
_OPERATORS = frozenset({"=", "<>", "<", "<=", ">", ">="})
_lock = threading.Lock()
_roots: dict[str, duckdb.DuckDBPyConnection] = {}
_columns: dict[str, dict[str, list[str]]] = {}
_deltas: dict[str, Delta] = {}
_large: set[str] = set()  # queries that gave more than is fetched one by one
_noted: ContextVar[set[str] | None] = ContextVar("_noted", default=None)


@contextmanager
def noting_older() -> Iterator[set[str]]:
    """Note, while the block runs, which tables were read that are a moment older than the rest of the board."""
    noted: set[str] = set()
    token = _noted.set(noted)
    try:
        yield noted
    finally:
        _noted.reset(token)


def _root(path: Path) -> tuple[duckdb.DuckDBPyConnection, dict[str, list[str]]]:
    """Return the read-only root connection of one build, opened once, and its columns; a call takes a cursor of it."""
    key = str(path)
    with _lock:
        if key not in _roots:
            _roots[key] = duckdb.connect(key, read_only=True, config=dict(READ_ONLY))
            with _roots[key].cursor() as cursor:
                rows = cursor.execute(
                    "select table_name, column_name from information_schema.columns order by 1, ordinal_position"
                ).fetchall()
            tables: dict[str, list[str]] = {}
            for table, name in rows:
                tables.setdefault(table, []).append(name)
            _columns[key] = tables
            for old in list(_roots)[:-ROOTS_KEPT]:
                _roots.pop(old).close()
                _columns.pop(old, None)
        return _roots[key], _columns[key]


def _delta(path: Path) -> Delta | None:
    """Return what stands over the board file, read once; null where the pointer names the file itself."""
    if not is_delta(path):
        return None
    key = str(path)
    with _lock:
        if key not in _deltas:
            _deltas[key] = read_delta(path)
            for old in list(_deltas)[:-ROOTS_KEPT]:
                _deltas.pop(old)
        return _deltas[key]


class Board:
    """One published build. Cheap to make; make one per run so that a run sees one build throughout."""

    def __init__(self, home: Path) -> None:
        self.home = home
        pointer = home / "board" / "current"
        try:
            name = pointer.read_text(encoding="utf-8").strip()
        except OSError as missing:
            raise NoBoard(f"no board has been published in {home}") from missing
        path = home / "board" / name
        if Path(name).name != name or not path.is_file() or not base_of(path).is_file():
            raise NoBoard(f"the published board '{name}' is not there")
        self._delta = _delta(path)
        self._base = str(base_of(path))
        self._db, self._tables = _root(base_of(path))
        self.build = name
        self.older = frozenset((self._delta.info.get("older") or "").split()) if self._delta else frozenset()

    @property
    def tables(self) -> list[str]:
        """Names of the tables this build holds."""
        return list(self._tables)

    def columns(self, table: str) -> list[str]:
        """Column names of a table; empty when the build does not hold it."""
        return self._tables.get(table, [])

    def read(
        self,
        viewer: Viewer,
        table: str,
        where: Mapping[str, Condition] | None = None,
        *,
        columns: Sequence[str] | None = None,
        order_by: Sequence[str] = (),
        limit: int | None = None,
    ) -> pl.DataFrame:
        """Return the rows of a table that the viewer may see and that meet the conditions.

        Args:
            viewer: Who asks. Required: there is no read without a viewer.
            table: Name of a table of the board.
            where: Column to value, to a list of values, to null, or to (operator, value). Unknown columns raise.
            columns: Columns wanted, all when null.
            order_by: Columns to sort by; a leading "-" sorts downwards.
            limit: Most rows wanted.

        Raises:
            NotForThisViewer: The table is not for this viewer.
            KeyError: The table or a column is not in this build.
        """
        found = self._found(viewer, table, where, columns=columns, order_by=order_by, limit=limit)
        return found.as_frame() if isinstance(found, Few) else found

    def _found(
        self,
        viewer: Viewer,
        table: str,
        where: Mapping[str, Condition] | None = None,
        *,
        columns: Sequence[str] | None = None,
        order_by: Sequence[str] = (),
        limit: int | None = None,
    ) -> Few | pl.DataFrame:
        """Return those rows as they are kept."""
        known = self._tables.get(table)
        if known is None:
            raise KeyError(f"table '{table}' is not in this board")
        scope, values = rows_for(viewer, table, known)
        # Guarded columns are emptied inside, so that no condition or order can read them either.
        guarded = columns_otherwise(viewer, table, known)
        inner = ", ".join(f"{guarded[c]} as {quoted(c)}" if c in guarded else quoted(c) for c in known)
        wanted = list(columns) if columns is not None else known
        asked = [*wanted, *(where or {}), *(c.removeprefix("-") for c in order_by)]
        unknown = [c for c in asked if c not in known]
        if unknown:
            raise KeyError(f"table '{table}' has no column {', '.join(unknown)}")
        outer, more = _conditions(where or {})
        over, first, frames = self._standing_over(table, scope, values[0] if scope == OWN_ROWS else None)
        text = f"{over}select {', '.join(map(quoted, wanted))} from "
        if guarded:
            text += f"(select {inner} from {quoted(table)} where {scope}) where {outer}"
        else:  # a query within a query takes twice as long, most of it to plan
            text += f"{quoted(table)} where ({scope}) and {outer}"
        if order_by:
            terms = [quoted(c.removeprefix("-")) + (" desc" if c.startswith("-") else "") for c in order_by]
            text += " order by " + ", ".join(f"{t} nulls last" for t in terms)
        if limit is not None:
            text += f" limit {int(limit)}"
        # What a delta says nothing of is as the board's file has it, whichever delta stands over it.
        build = f"{self._base} {self.build}" if frames else self._base
        asked_with = [*first, *values, *more]
        found = _kept.ask((build, text, repr(asked_with)), lambda: self._fetched(text, asked_with, frames))
        if table in self.older and (noted := _noted.get()) is not None:
            noted.add(table)
        if table in DETAIL and viewer.is_coach and viewer.reads_injuries:
            note_read(viewer, table, found.as_frame() if isinstance(found, Few) else found)
        return found

    def _fetched(self, text: str, values: list[Any], frames: Mapping[str, pl.DataFrame]) -> Few | pl.DataFrame:
        """Return what a query gives."""
        few = None
        if text not in _large:
            with self._over(frames) as cursor:
                few = few_rows(cursor, text, values)
        if few is not None:
            return few
        _large.add(text)
        with self._over(frames) as cursor:
            return cursor.sql(text, params=values).pl()

    @contextmanager
    def _over(self, frames: Mapping[str, pl.DataFrame]) -> Iterator[duckdb.DuckDBPyConnection]:
        """Give a cursor that knows some frames by name; what was not read to its end stays open with it."""
        with self._db.cursor() as cursor:
            for name, frame in frames.items():
                cursor.register(name, frame)
            yield cursor

    def _standing_over(self, table: str, scope: str, own: str | None) -> tuple[str, list[Any], dict[str, pl.DataFrame]]:
        """Return what puts the delta's rows in the place of the board's: text before a query, its values, its frames.

        A name said before a query hides the table of that name from all of it, its conditions on rows too. Of one
        athlete's ``own`` rows, where the delta has them, the board's are not asked.
        """
        parts: list[str] = []
        values: list[Any] = []
        frames: dict[str, pl.DataFrame] = {}
        for name in dict.fromkeys((table, *ASKED_BESIDE)):
            piece = self._delta.pieces.get(name) if self._delta else None
            if piece is None or (name != table and f"from {name}" not in scope):
                continue
            fresh, columns = f"delta_{name}", ", ".join(map(quoted, self._tables[name]))
            frames[fresh] = piece.rows
            text = f"select {columns} from {quoted(fresh)}"
            if piece.athletes is not None and not (name == table and own in piece.athletes):
                marks = ", ".join("?" * len(piece.athletes))
                text = f"select {columns} from main.{quoted(name)} where athlete_id not in ({marks}) union all {text}"
                values += sorted(piece.athletes)
            parts.append(f"{quoted(name)} as ({text})")
        return (f"with {', '.join(parts)} " if parts else ""), values, frames

    def rows(self, viewer: Viewer, table: str, where: Mapping[str, Condition] | None = None, **more: Any) -> list[dict]:
        """Return the same rows as dictionaries; an absent table gives none, so that a page can say what is missing."""
        if table not in self._tables:
            return []
        found = self._found(viewer, table, where, **more)
        return found.as_dicts() if isinstance(found, Few) else found.to_dicts()

    def allowed_athletes(self, viewer: Viewer) -> pl.DataFrame:
        """Return athlete_id, display_name, event_group and squad of everyone this viewer may read about."""
        return self.read(
            viewer, "athlete", columns=["athlete_id", "display_name", "event_group", "squad"], order_by=["display_name"]
        )

    def info(self, viewer: Viewer) -> dict[str, str]:
        """Return what the build says of itself: squad name, the day its data reach to."""
        return {row["name"]: row["value"] for row in self.rows(viewer, "board_info")}


def _size_of(found: Few | pl.DataFrame) -> int:
    """Return about how many bytes rows take. A frame of few rows is mostly its columns' own room."""
    if isinstance(found, Few):
        return (len(found.rows) + 1) * len(found.types) * VALUE_BYTES
    return int(found.estimated_size()) + found.width * COLUMN_BYTES


_kept: Kept[Few | pl.DataFrame] = Kept(KEPT_BYTES, _size_of)


def _conditions(where: Mapping[str, Condition]) -> tuple[str, list[Any]]:
    """Return the conditions as text with placeholders and their values."""
    parts, values = ["true"], []
    for name, wanted in where.items():
        column = quoted(name)
        if wanted is None:
            parts.append(f"{column} is null")
        elif isinstance(wanted, tuple) and len(wanted) == 2 and wanted[0] in _OPERATORS:
            parts.append(f"{column} {wanted[0]} ?")
            values.append(wanted[1])
        elif isinstance(wanted, (list, set, frozenset, tuple)):
            known = [value for value in wanted if value is not None]
            either = [f"{column} in ({', '.join('?' * len(known))})"] if known else []
            either += [f"{column} is null"] if len(known) < len(wanted) else []
            parts.append(f"({' or '.join(either)})" if either else "false")
            values.extend(known)
        else:
            parts.append(f"{column} = ?")
            values.append(wanted)
    return " and ".join(parts), values
