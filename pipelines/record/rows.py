"""Rows of a query as a frame: many through Arrow, few without it, whose import takes longer than they do."""

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import duckdb
import polars as pl

FEW = 3000  # rows that are fetched one by one; own choice
FEW_VALUES = 3000  # that are, where the library for many is there as well; own choice
_TYPES: dict[str, Any] = {
    "VARCHAR": pl.String, "BIGINT": pl.Int64, "DOUBLE": pl.Float64, "BOOLEAN": pl.Boolean, "DATE": pl.Date,
    "TIMESTAMP": pl.Datetime("us"), "DOUBLE[]": pl.List(pl.Float64),
}  # fmt: skip


def read_rows(con: duckdb.DuckDBPyConnection, query: str, values: Sequence[Any] | dict[str, Any] = ()) -> pl.DataFrame:
    """Return what a query gives."""
    if "pyarrow" not in sys.modules:
        [(count,)] = con.execute(f"select count(*) from ({query})", values or None).fetchall()
        if count <= FEW:
            told = con.execute(query, values or None)
            types = {str(name): _TYPES.get(str(kind)) for name, kind, *_ in told.description or ()}
            rows = told.fetchall()
            if None not in types.values():
                return pl.DataFrame(rows, schema=types, orient="row")
    return con.sql(query, params=values or None).pl()


@dataclass(frozen=True)
class Few:
    """Few rows, as values: a frame of them takes eighty times their room and as long to make as they to be read."""

    types: Mapping[str, Any]
    rows: Sequence[tuple[Any, ...]]

    def as_frame(self) -> pl.DataFrame:
        """Return them as a frame."""
        return pl.DataFrame(self.rows, schema=dict(self.types), orient="row")

    def as_dicts(self) -> list[dict[str, Any]]:
        """Return them as dictionaries, which share nothing with each other or with these rows."""
        names = list(self.types)
        if any(isinstance(kind, pl.List) for kind in self.types.values()):
            return [dict(zip(names, map(_own, row), strict=True)) for row in self.rows]
        return [dict(zip(names, row, strict=True)) for row in self.rows]


def _own(value: Any) -> Any:
    return list(value) if isinstance(value, list) else value


def few_rows(con: duckdb.DuckDBPyConnection, query: str, values: Sequence[Any] = ()) -> Few | None:
    """Return what a query gives, fetched value by value; null where it is much, or of a type that is not known here.

    For few rows that takes half as long as to hand them over as columns.
    """
    told = con.execute(query, values or None)
    types = {str(name): _TYPES.get(str(kind)) for name, kind, *_ in told.description or ()}
    if None in types.values():
        return None
    most = FEW_VALUES // max(len(types), 1)
    rows = told.fetchmany(most + 1)
    return Few(types, rows) if len(rows) <= most else None
