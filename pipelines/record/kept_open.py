"""The database in which the record's file is opened: one a process keeps, empty between two openings.

To make one takes four times as long as to open the file in it, and a write opens the record several times. Between
two openings the file is closed and whole, as if the database had been closed with it: nobody waits for it longer.
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
if hasattr(os, "register_at_fork"):
    os.register_at_fork(before=_spare.clear)  # its threads would not be there in the other process


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
