"""Rows of some athletes that were read from a board's file, kept while that file is in force.

A published file never changes, and who has typed one row mostly types the next one of the same athletes: a group at the
track, answers changed. Of one athlete's write, a quarter of what follows was to read these rows again.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path

import polars as pl

MOST_BYTES = 16 * 2**20  # own choice
Which = tuple[str, frozenset[str]]  # a table, and whose rows
_lock = threading.Lock()
_kept: OrderedDict[Which, pl.DataFrame] = OrderedDict()  # of one file, the latest read last
_file: list[tuple[object, ...]] = []


def mark_of(path: Path) -> tuple[object, ...]:
    """Return what tells one file from another that was put in its place."""
    told = path.stat()
    return str(path), told.st_ino, told.st_mtime_ns, told.st_size


def rows_of(file: tuple[object, ...], which: Which, read: Callable[[], pl.DataFrame]) -> pl.DataFrame:
    """Return rows of a file as they were read before; read them where they were not."""
    with _lock:
        if _file == [file] and which in _kept:
            _kept.move_to_end(which)
            return _kept[which]
    rows = read()
    with _lock:
        if _file != [file]:
            _kept.clear()
            _file[:] = [file]
        _kept[which] = rows
        while sum(frame.estimated_size() for frame in _kept.values()) > MOST_BYTES:
            _kept.popitem(last=False)
    return rows
