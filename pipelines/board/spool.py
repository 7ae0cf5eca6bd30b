"""The tables of a derivation that is under way, as files: a table is a folder, with a file for each share of athletes.

Files are mapped into memory, not read: of a wide table only the columns that are looked at come from the disk, and the
system takes their memory back where it is short.
"""

import os
import shutil
from collections.abc import Sequence
from pathlib import Path

import polars as pl

from pipelines.board.fingerprints import ATHLETE

EVERYBODY = "all"  # the file of a table without athletes


class Spool:
    """A folder of tables by share of athletes. ``shares`` are the athletes of each, in order."""

    def __init__(self, folder: Path, shares: Sequence[Sequence[str]]) -> None:
        self.folder = folder
        self.shares = shares

    def put(self, name: str, rows: pl.DataFrame, share: int | None = None) -> None:
        """Keep a table, or a share's rows of it. A table with athletes that comes whole is kept by shares."""
        (self.folder / name).mkdir(parents=True, exist_ok=True)
        if share is not None or ATHLETE not in rows.columns:
            _write(rows, self._path(name, share))
            return
        # Asked of a row at a time, each share would look at all rows: that grew with the square of the athletes.
        ordered = rows if rows[ATHLETE].is_sorted() else rows.sort(ATHLETE, maintain_order=True)
        for number, athletes in enumerate(self.shares):
            first = ordered[ATHLETE].search_sorted(athletes[0], "left")
            end = ordered[ATHLETE].search_sorted(athletes[-1], "right")
            _write(ordered[first:end], self._path(name, number))

    def get(self, name: str, share: int | None = None) -> pl.DataFrame:
        """Return a table, or a share's rows of it; one without athletes always whole."""
        if self._path(name, None).exists():
            return _mapped(self._path(name, None))
        if share is not None:
            return _mapped(self._path(name, share))
        return pl.concat([_mapped(self._path(name, number)) for number in range(len(self.shares))])

    def holds(self, name: str, share: int | None = None) -> bool:
        """Return whether a table, or a share's rows of it, was kept."""
        if self._path(name, None).exists():
            return True
        wanted = range(len(self.shares)) if share is None else [share]
        return all(self._path(name, number).exists() for number in wanted)

    def drop(self, name: str) -> None:
        """Take a table away. What still looks at it keeps it, where the system lets files go that are open."""
        shutil.rmtree(self.folder / name, ignore_errors=True)

    def _path(self, name: str, share: int | None) -> Path:
        return self.folder / name / (f"{EVERYBODY}.arrow" if share is None else f"{share:05d}.arrow")


def _write(rows: pl.DataFrame, path: Path) -> None:
    """Write a file that is there whole or not at all: another process may look for it just now."""
    aside = path.with_suffix(f".{os.getpid()}")
    rows.write_ipc(aside, record_batch_size=max(rows.height, 1))  # in one piece: of several each reader makes a copy
    aside.replace(path)


def _mapped(path: Path) -> pl.DataFrame:
    import pyarrow as pa  # a write of few rows has no spool, and need not wait for it
    import pyarrow.ipc

    with pa.memory_map(str(path)) as mapped:
        return pl.DataFrame(pa.ipc.open_file(mapped).read_all())
