"""Frames as tables of the record for one step: written down where they are compared, shown only where they are not."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

import duckdb
import polars as pl

from pipelines.record.history import quoted


def stage(con: duckdb.DuckDBPyConnection, name: str, frame: pl.DataFrame) -> None:
    """Write a frame down as a temporary table."""
    con.register("incoming", frame)
    con.execute(f"create or replace temp table {quoted(name)} as select * from incoming")
    con.unregister("incoming")


@contextmanager
def views(con: duckdb.DuckDBPyConnection) -> Iterator[Callable[[str, pl.DataFrame], None]]:
    """Give what shows frames to the record under names, and takes all of them away again. In a transaction."""
    shown: list[str] = []

    def show(name: str, frame: pl.DataFrame) -> None:
        con.register(name, frame)
        shown.append(name)

    try:
        yield show
    finally:
        with suppress(duckdb.TransactionException):  # of a step that failed: going back takes them away as well
            for name in shown:
                con.unregister(name)
