"""What every table of thirdstep shares: how a column is described, and where its key is said.

A table is one Pandera model. The model is the only place that states a column's unit, meaning, range and source; the
data dictionary, the templates, the upload help and the methods page are all written from it.
"""

from collections.abc import Sequence
from typing import Any

import pandera.polars as pa


def column(
    description: str,
    *,
    unit: str = "",
    source: str = "coach",
    nullable: bool = False,
    ge: float | None = None,
    gt: float | None = None,
    le: float | None = None,
    lt: float | None = None,
    isin: Sequence[str] | None = None,
    matches: str | None = None,
    example: str = "",
    label: str = "",
) -> Any:
    """Describe one column of a table.

    Args:
        description: What the column holds, in words a coach would accept.
        unit: SI unit symbol ("s", "m", "kg", "N", "m/s"), "" for a text, a date or a count.
        source: For a record column, where such a value comes from; for a derived one, a key of ``schemas.knowledge``
            or "definition".
        nullable: Whether the value may be unknown. Unknown is null, never 0.
        ge: Least possible value. Ranges are what is physically possible, not what is usual.
        gt: Greatest impossible value below the range.
        le: Greatest possible value.
        lt: Least impossible value above the range.
        isin: The words allowed, from ``schemas.vocabulary``.
        matches: Regular expression a text must match whole.
        example: A value as it would stand in a file.
        label: Short heading for a page or a sheet; the column's name when empty.
    """
    metadata = {"unit": unit, "source": source, "example": example, "label": label}
    return pa.Field(
        description=description,
        nullable=nullable,
        ge=ge,
        gt=gt,
        le=le,
        lt=lt,
        isin=list(isin) if isin is not None else None,
        str_matches=rf"^(?:{matches})$" if matches is not None else None,
        metadata=metadata,
    )


class Table(pa.DataFrameModel):
    """A table with a key. ``Config.metadata`` holds ``key`` (column names) and, for records, ``parents`` (tables)."""

    class Config:
        """Columns are exactly those declared: a stray column is a mistake, not an extra."""

        strict = True
        coerce = False
        metadata: dict[str, Any] = {"key": []}


class RecordTable(Table):
    """A table of the record: what somebody measured, typed or said."""


class DerivedTable(Table):
    """A table computed from the record by a pure function of the same name in ``pipelines.derived``."""


def table_key(model: type[Table]) -> list[str]:
    """Return the names of the key columns of a table."""
    return list((model.Config.metadata or {}).get("key", []))


def table_parents(model: type[Table]) -> list[str]:
    """Return the names of the record tables whose rows a row of this table belongs to, nearest first."""
    return list((model.Config.metadata or {}).get("parents", []))
