"""Boards for the tests of pages: that of the few (``tests.kept_demo``), as the pipeline made it, with a table put in.

A test that needs what the few have not (a consent, a minor's birth date) gives that one table; every other row and
column stays the pipeline's own.
"""

import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import duckdb
import polars as pl

from pipelines import flow
from pipelines.board.reading import current_board, read_board
from seed_data.cases import LAST, LAST_WEEK

TODAY, WEEK = LAST, LAST_WEEK


def table_of(home: Path, name: str) -> pl.DataFrame:
    """Return a table of a home's board, whole."""
    board = current_board(flow.Home(home))
    assert board is not None
    return read_board(board, name)


def rows_of(home: Path, name: str, rows: Sequence[Mapping[str, Any]]) -> pl.DataFrame:
    """Return rows as a home's board holds that table, with exactly its columns; what is not said is null."""
    types = table_of(home, name).schema
    assert all(set(row) <= set(types) for row in rows), f"a column that '{name}' has not"
    return pl.DataFrame([{column: row.get(column) for column in types} for row in rows], schema=types)


def put_board(folder: Path, like: Path, tables: Mapping[str, pl.DataFrame]) -> Path:
    """Put a copy of a home's board in a folder, some of its tables replaced; return the folder."""
    board = current_board(flow.Home(like))
    assert board is not None
    (folder / "board").mkdir(parents=True)
    copy = folder / "board" / board.name
    shutil.copyfile(board, copy)
    with duckdb.connect(str(copy)) as con:
        for name, frame in tables.items():
            con.register("frame", frame)
            con.execute(f'create or replace table "{name}" as select * from frame')
            con.unregister("frame")
    (folder / "board" / "current").write_text(copy.name, encoding="utf-8")
    return folder
