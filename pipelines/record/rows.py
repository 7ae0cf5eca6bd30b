"""Rows of a query as a frame: many through Arrow, few without it, whose import takes longer than they do."""

import sys
from collections.abc import Sequence
from typing import Any

import duckdb
import polars as pl

FEW = 3000  # rows that are fetched one by one; own choice
_TYPES: dict[str, Any] = {
    "VARCHAR": pl.String, "BIGINT": pl.Int64, "DOUBLE": pl.Float64, "BOOLEAN": pl.Boolean, "DATE": pl.Date,
    "TIMESTAMP": pl.Datetime("us"), "DOUBLE[]": pl.List(pl.Float64),
}  # fmt: skip


def read_rows(con: duckdb.DuckDBPyConnection, query: str, values: Sequence[Any] | dict[str, Any] = ()) -> pl.DataFrame:
    """Return what a query gives."""
    found = con.sql(query, params=values or None)
    if "pyarrow" not in sys.modules:
        types = {str(name): _TYPES.get(str(kind)) for name, kind in zip(found.columns, found.types, strict=True)}
        if None not in types.values():
            # Read to its end: a result left open keeps the connection from answering anything else.
            rows = found.limit(FEW + 1).fetchall()
            if len(rows) <= FEW:
                return pl.DataFrame(rows, schema=types, orient="row")
    return found.pl()
