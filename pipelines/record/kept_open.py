"""The database in which the record's file is opened: one a process keeps, empty between two openings.

To make one takes four times as long as to open the file in it, and a write opens the record several times. Between
two openings the file is closed and whole, as if the database had been closed with it: nobody waits for it longer.
What is looked at where no record is yet is kept alike: its sixty tables are made once a process.
"""

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import duckdb

from pipelines.home.trouble import plain_words
from pipelines.record import warehouse

MOST_HELD_BYTES = 16 * 2**20  # that an empty database may keep; own choice
_EMPTY = """
    select (select count(*) from duckdb_tables() where temporary)
        + (select count(*) from duckdb_views() where temporary and not internal),
        (select sum(memory_usage_bytes) from duckdb_memory())
"""
_lock = threading.Lock()
_spare: dict[str, warehouse.Connection] = {}  # by the record's path, at most one
_blank: list[tuple[warehouse.Connection, list[tuple[object, ...]]]] = []  # a record of nothing, what is counted in it
_COUNTED = """
    select (select sum(estimated_size) from duckdb_tables()),
        (select count(*) from duckdb_columns() where not internal),
        (select list(i order by i.name, i.value) from info i)
"""


def _keep_nothing() -> None:
    _spare.clear()
    _blank.clear()


if hasattr(os, "register_at_fork"):
    os.register_at_fork(before=_keep_nothing)  # their threads would not be there in the other process


def connect(path: Path) -> warehouse.Connection:
    """Open the record file for writing, made and brought up to date where needed; ``warehouse.connect`` tells more.

    Closed with ``release``, or like any connection.

    Raises:
        ThirdstepError: The file is damaged, of another version, or may not be written.
    """
    with _lock:
        con = _spare.pop(str(path), None)
        _spare.clear()
    with plain_words(path):
        if not path.exists():
            warehouse.make(path)
        con = con or duckdb.connect(":memory:", config={**warehouse.OFFLINE, "temp_directory": f"{path}.tmp"})
    try:
        with plain_words(path):
            con.execute(f"attach '{str(path).replace(chr(39), chr(39) * 2)}' as record")
            con.execute("use record")
            con.execute(warehouse.QUIET)
            warehouse.bring_up_to_date(con, path)
    except BaseException:
        con.close()
        raise
    return con


def release(con: warehouse.Connection, path: Path) -> None:
    """Close the record's file, with all of it in the file itself, and keep the database for the next opening.

    Where anything of this opening is left in it, the database goes too. What was stored is safe by now: a file that
    could not be put in order for want of room is by the next one who opens it.
    """
    try:
        con.execute("use memory")
        con.execute("detach record")
        left, held = con.execute(_EMPTY).fetchall()[0]
    except duckdb.Error:
        con.close()
        return
    if left or held > MOST_HELD_BYTES or Path(f"{path}.tmp").exists():
        con.close()
        return
    with _lock:
        _spare.clear()
        _spare[str(path)] = con


@contextmanager
def releasing(con: warehouse.Connection, path: Path) -> Iterator[warehouse.Connection]:
    """Release the record when the block is done; what fails in it takes the database along."""
    try:
        yield con
    except BaseException:
        con.close()
        raise
    release(con, path)


@contextmanager
def blank() -> Iterator[warehouse.Connection]:
    """Open a record of nothing, to look at while the block runs; kept for the next where nothing was put into it."""
    with _lock:
        kept = _blank.pop() if _blank else None
    con = kept[0] if kept else warehouse.in_memory()
    try:
        counted = kept[1] if kept else con.execute(_COUNTED).fetchall()
        yield con
    except BaseException:
        con.close()
        raise
    try:
        con.execute("begin")  # fails within a transaction that was left open
        con.execute("rollback")
        left, held = con.execute(_EMPTY).fetchall()[0]
        is_blank = not left and held <= MOST_HELD_BYTES and con.execute(_COUNTED).fetchall() == counted
    except duckdb.Error:
        is_blank = False
    if not is_blank:
        con.close()
        return
    with _lock:
        _blank[:] = [(con, counted)]
