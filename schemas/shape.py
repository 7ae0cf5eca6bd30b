"""What intake needs to know of a record table, read once from its model: columns, key, ranges, words."""

from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

import polars as pl

from schemas.base import table_key, table_parents
from schemas.records import RECORDS

NUMBERED = ("session_no", "rep_no", "step_no", "set_no", "trial_no", "plan_no")  # a file need not say them
UNSAID = {"side": "both", "round": "unknown"}  # key words a file need not say, and what it means then


@dataclass(frozen=True)
class ColumnShape:
    """One column of a record table."""

    name: str
    dtype: pl.DataType
    unit: str
    nullable: bool
    words: tuple[str, ...]
    least: float | None
    most: float | None
    pattern: str


@dataclass(frozen=True)
class TableShape:
    """One record table."""

    name: str
    columns: dict[str, ColumnShape]
    key: tuple[str, ...]
    parents: tuple[str, ...]

    @cached_property
    def values(self) -> tuple[str, ...]:
        """Names of the columns outside the key."""
        return tuple(name for name in self.columns if name not in self.key)

    @cached_property
    def date(self) -> str | None:
        """Name of the day in the key, None where the key has none."""
        return next((name for name in self.key if self.columns[name].dtype == pl.Date), None)

    def unsaid(self, name: str) -> str | None:
        """Return what a key column means when a file does not say it; None where it must be said."""
        column = self.columns[name]
        word = UNSAID.get(name)
        return word if word is not None and name in self.key and (not column.words or word in column.words) else None

    @cached_property
    def must_have(self) -> frozenset[str]:
        """Names of the columns without which a row means nothing."""
        needed = {name for name, column in self.columns.items() if not column.nullable and name not in NUMBERED}
        return frozenset(name for name in needed if self.unsaid(name) is None)


@cache
def table_shape(name: str) -> TableShape:
    """Return the shape of one record table."""
    model = RECORDS[name]
    columns: dict[str, ColumnShape] = {}
    for column_name, column in model.to_schema().columns.items():
        said: dict[str, object] = {}
        for check in column.checks:
            said.update({f"{check.name}.{key}": value for key, value in (check.statistics or {}).items()})
        least = said.get("greater_than_or_equal_to.min_value", said.get("greater_than.min_value"))
        most = said.get("less_than_or_equal_to.max_value", said.get("less_than.max_value"))
        words = said.get("isin.allowed_values", ())
        dtype: Any = column.dtype.type
        columns[column_name] = ColumnShape(
            name=column_name,
            dtype=dtype() if isinstance(dtype, type) else dtype,
            unit=str((column.metadata or {}).get("unit") or ""),
            nullable=bool(column.nullable),
            words=tuple(words) if isinstance(words, list | tuple | set) else (),
            least=float(least) if isinstance(least, int | float) else None,
            most=float(most) if isinstance(most, int | float) else None,
            pattern=str(said.get("str_matches.pattern", "")),
        )
    return TableShape(name, columns, tuple(table_key(model)), tuple(table_parents(model)))


def all_shapes() -> dict[str, TableShape]:
    """Return the shape of every record table, by name."""
    return {name: table_shape(name) for name in RECORDS}
