"""Rows for who only looks, without the libraries that read, check and compute.

Importing Polars takes longer than most looks do. Where something in a home is to be put right before it is read, where
it was made by other code or cannot be opened, there are no rows from here: the way through ``opening`` does or says it.
"""

import contextlib
import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import duckdb

from pipelines.home.folder import Home, Say, only_writer
from pipelines.record import backup_index, replacement
from pipelines.record.migrations import SCHEMA_VERSION
from pipelines.record.sources import journal

if TYPE_CHECKING:
    import polars as pl

LOG_ORDER = {"load": "load_no", "rejected": "reject_no", "mended": 'load_no, "column"'}
# A row waits while its load is in force and no load in force has settled it.
WAITING = """
    select r.* from rejected r join load l on l.load_no = r.load_no and l.undone_at is null
    left join load s on s.load_no = r.resolved_by_load and s.undone_at is null where s.load_no is null
"""
WAITING_ROWS = "waiting"  # what they are asked for by
KEYS, CODE = "keys", "record_code"  # what a record says of itself, beside its version
_NUMBERS = ("BIGINT", "INTEGER", "DOUBLE")


@dataclass(frozen=True)
class Rows:
    """Rows of a table as they are printed: values by column, in the order of the table's key."""

    columns: Sequence[str]
    is_number: Sequence[bool]
    values: Sequence[tuple[Any, ...]]
    count: int  # of all the rows there are

    @classmethod
    def of(cls, frame: "pl.DataFrame", most: int | None = None) -> "Rows":
        """Return the first rows of a table."""
        first = frame if most is None else frame.head(most)
        return cls(frame.columns, [kind.is_numeric() for kind in frame.dtypes], first.rows(), frame.height)

    def without(self, *names: str) -> "Rows":
        """Return the rows without some columns."""
        kept = [place for place, name in enumerate(self.columns) if name not in names]
        return Rows(
            [self.columns[place] for place in kept],
            [self.is_number[place] for place in kept],
            [tuple(row[place] for place in kept) for row in self.values],
            self.count,
        )

    def named(self) -> Iterator[dict[str, Any]]:
        """Yield each row with its columns' names."""
        return (dict(zip(self.columns, row, strict=True)) for row in self.values)


@cache
def record_code() -> str:
    """Return a digest of the code that says what the record's tables are."""
    import schemas

    folder = Path(next(iter(schemas.__path__)))
    told = hashlib.blake2b(digest_size=16)
    for path in [folder / "base.py", *sorted((folder / "records").glob("*.py"))]:
        told.update(path.name.encode() + path.read_bytes())
    return told.hexdigest()


def look_at_record(home: Home, name: str, say: Say, most: int | None) -> Rows | None:
    """Return the first rows of a record or log table, or those that wait; null where another way must be gone."""
    beside = home.record.with_name(f"{home.record.name}.wal")
    if not home.record.is_file() or not (home.root / "record.lock").exists():
        return None
    with only_writer(home, say), contextlib.suppress(duckdb.Error, OSError, ValueError):
        if beside.exists() or replacement.is_left(home) or backup_index.is_restoring(home):
            return None
        with duckdb.connect(str(home.record), read_only=True) as con:
            told = dict(con.execute("select name, value from info").fetchall())
            state = (told.get("schema_version"), told.get(CODE), told.get("last_event"), told.get("log_chained"))
            if state != (str(SCHEMA_VERSION), record_code(), str(journal.last_event_no(home.sources)), "yes"):
                return None
            query = _query(name, json.loads(told.get(KEYS, "{}")))
            return _rows(con, query, most) if query else None
    return None


def look_at_board(path: Path, name: str, config: dict[str, Any], most: int | None) -> Rows | None:
    """Return the first rows of a derived table of a board's file; null where it holds none of that name."""
    with contextlib.suppress(duckdb.Error), duckdb.connect(str(path), read_only=True, config=config) as con:
        if con.execute("select 1 from fingerprint where name = ?", [name]).fetchall():
            return _rows(con, f'select * from "{name}"', most)
    return None


def _query(name: str, keys: dict[str, list[str]]) -> str:
    if name == WAITING_ROWS:
        return f"{WAITING} order by r.reject_no"
    if name in LOG_ORDER:
        return f"select * from {name} order by {LOG_ORDER[name]}"
    order = ", ".join(f'"{column}"' for column in keys.get(name, ()))
    return f'select * from "{name}" order by {order}' if order else ""


def _rows(con: duckdb.DuckDBPyConnection, query: str, most: int | None) -> Rows:
    [(count,)] = con.execute(f"select count(*) from ({query})").fetchall()
    found = con.execute(query if most is None else f"{query} limit {most}")
    told = [(str(column), str(kind)) for column, kind, *_ in found.description or ()]
    columns, is_number = [column for column, _ in told], [kind in _NUMBERS for _, kind in told]
    return Rows(columns, is_number, found.fetchall(), count)
