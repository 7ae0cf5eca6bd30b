"""The shape of a record table as the warehouse needs it: column types, key, what a row cannot do without."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import polars as pl

from schemas.base import Table, table_key, table_parents
from schemas.records import RECORDS

PROVENANCE: dict[str, pl.DataType] = {
    "load_no": pl.Int64(),
    "source_sha256": pl.String(),
    "source_name": pl.String(),
    "source_sheet": pl.String(),
    "source_line": pl.Int64(),
    "entered_at": pl.Datetime("us"),
}


@dataclass(frozen=True)
class Shape:
    """A record table: its columns with their types, and which of them say what."""

    name: str
    types: dict[str, pl.DataType]
    key: list[str]
    required: list[str]  # not key, but a row says nothing without them
    parents: list[str]

    @property
    def columns(self) -> list[str]:
        """Every column, the key first where the model says so."""
        return list(self.types)

    @property
    def values(self) -> list[str]:
        """The columns that are not key."""
        return [name for name in self.types if name not in self.key]


def column_types(model: type[Table]) -> dict[str, pl.DataType]:
    """Return the polars type of every column of a model."""
    found = {}
    for name, column in model.to_schema().columns.items():
        kind = column.dtype.type
        if isinstance(kind, type):
            kind = kind()
        found[name] = pl.Datetime("us") if isinstance(kind, pl.Datetime) else kind
    return found


def shape_of(name: str, model: type[Table]) -> Shape:
    """Return the shape of one table."""
    key = table_key(model)
    required = [c for c, field in model.to_schema().columns.items() if not field.nullable and c not in key]
    return Shape(name, column_types(model), key, required, table_parents(model))


def record_shapes(models: Mapping[str, type[Table]] = RECORDS) -> dict[str, Shape]:
    """Return the shape of every record table, in the order in which tables need each other."""
    return {name: shape_of(name, model) for name, model in models.items()}


def in_shape(frame: pl.DataFrame, shape: Shape) -> pl.DataFrame:
    """Return a frame with all columns of the table, absent ones null, and where each row came from."""
    place = {"source_sheet": pl.String(), "source_line": pl.Int64()}
    wanted = {**shape.types, **place}
    has = set(frame.columns)
    return frame.select(_column(name, kind, is_there=name in has) for name, kind in wanted.items())


@cache  # most columns of a small source are not there, and an expression takes longer to make than to carry out
def _column(name: str, kind: pl.DataType, *, is_there: bool) -> pl.Expr:
    return pl.col(name).cast(kind) if is_there else pl.lit(None, dtype=kind).alias(name)
