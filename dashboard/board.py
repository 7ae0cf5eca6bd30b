"""The published board, read for a viewer. Rows a viewer may not see are never fetched.

Every read takes the viewer, and ``dashboard.access.rules`` says which rows and columns are theirs.
"""

import datetime as dt
import threading
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import duckdb
import polars as pl

from dashboard.access.rules import columns_otherwise, quoted, rows_for
from dashboard.access.trail import note_read
from dashboard.access.viewer import Viewer
from dashboard.home import NoBoard
from pipelines.board.file import READ_ONLY

ROOTS_KEPT = 3

Condition = str | int | float | bool | dt.date | None | Sequence[Any] | tuple[str, Any]
_OPERATORS = frozenset({"=", "<>", "<", "<=", ">", ">="})
_lock = threading.Lock()
_roots: dict[str, duckdb.DuckDBPyConnection] = {}
_columns: dict[str, dict[str, list[str]]] = {}


def _root(path: Path) -> duckdb.DuckDBPyConnection:
    """Return the read-only root connection of one build, opened once; cursors of it are taken per call."""
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
        return _roots[key]


class Board:
    """One published build. Cheap to make; make one per run so that a run sees one build throughout."""

    def __init__(self, home: Path) -> None:
        pointer = home / "board" / "current"
        try:
            name = pointer.read_text(encoding="utf-8").strip()
        except OSError as missing:
            raise NoBoard(f"no board has been published in {home}") from missing
        path = home / "board" / name
        if Path(name).name != name or not path.is_file():
            raise NoBoard(f"the published board '{name}' is not there")
        self._db = _root(path)
        self._tables = _columns[str(path)]
        self.build = name

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
        text = f"select {', '.join(map(quoted, wanted))} from (select {inner} from {quoted(table)} where {scope})"
        text += f" where {outer}"
        if order_by:
            terms = [quoted(c.removeprefix("-")) + (" desc" if c.startswith("-") else "") for c in order_by]
            text += " order by " + ", ".join(f"{t} nulls last" for t in terms)
        if limit is not None:
            text += f" limit {int(limit)}"
        with self._db.cursor() as cursor:
            rows = cursor.sql(text, params=[*values, *more]).pl()
        if viewer.is_coach and viewer.reads_injuries:
            note_read(viewer, table, rows)
        return rows

    def rows(self, viewer: Viewer, table: str, where: Mapping[str, Condition] | None = None, **more: Any) -> list[dict]:
        """Return the same rows as dictionaries; an absent table gives none, so that a page can say what is missing."""
        if table not in self._tables:
            return []
        return self.read(viewer, table, where, **more).to_dicts()

    def allowed_athletes(self, viewer: Viewer) -> pl.DataFrame:
        """Return athlete_id, display_name, event_group and squad of everyone this viewer may read about."""
        return self.read(
            viewer, "athlete", columns=["athlete_id", "display_name", "event_group", "squad"], order_by=["display_name"]
        )

    def info(self, viewer: Viewer) -> dict[str, str]:
        """Return what the build says of itself: squad name, the day its data reach to."""
        return {row["name"]: row["value"] for row in self.rows(viewer, "board_info")}


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
