"""What every table of thirdstep shares: how a column is described, and where its key is said.

A table is one model. The model is the only place that states a column's unit, meaning, range and source; the data
dictionary, the templates, the upload help and the methods page are all written from it. Whether a frame fits is asked
by one query made from the model; what is wrong with one that does not is told by the Pandera schema of the same model,
which is made only then: importing Pandera, and pandas with it, took longer than most commands.
"""

import inspect
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any, get_args

import polars as pl


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
    limits = {
        "greater_than_or_equal_to": ("min_value", ge),
        "greater_than": ("min_value", gt),
        "less_than_or_equal_to": ("max_value", le),
        "less_than": ("max_value", lt),
        "isin": ("allowed_values", list(isin) if isin is not None else None),
        "str_matches": ("pattern", rf"^(?:{matches})$" if matches is not None else None),
    }
    checks = [Check(name, {argument: value}) for name, (argument, value) in limits.items() if value is not None]
    return _Said(description, nullable, checks, {"unit": unit, "source": source, "example": example, "label": label})


@dataclass(frozen=True)
class Check:
    """One thing a column's values must be, under Pandera's name for it."""

    name: str
    statistics: dict[str, Any]

    def broken_by(self, column: pl.Expr) -> pl.Expr:
        """Return whether a value is not so; null where the value is unknown."""
        [value] = self.statistics.values()
        if self.name == "isin":
            return ~column.is_in(value)
        if self.name == "str_matches":
            return ~column.str.contains(value)
        # A number that is none (NaN) counts as greater than every other, here as in Pandera.
        return {
            "greater_than_or_equal_to": column < value,
            "greater_than": column <= value,
            "less_than_or_equal_to": column > value,
            "less_than": column >= value,
        }[self.name]


@dataclass(frozen=True)
class _Said:
    """What ``column`` was told, before the column has a name and a type."""

    description: str
    nullable: bool
    checks: list[Check]
    metadata: dict[str, str]


@dataclass(frozen=True)
class ColumnType:
    """The type of a column's values."""

    type: Any  # a Polars type

    def __str__(self) -> str:
        return str(self.type)


@dataclass(frozen=True)
class Column:
    """One column of a table: its name, type, meaning and limits."""

    name: str
    dtype: ColumnType
    description: str
    nullable: bool
    checks: list[Check]
    metadata: dict[str, str]


@dataclass(frozen=True)
class Schema:
    """The columns of a table, by name and in their order."""

    columns: dict[str, Column]
    broken: list[pl.Expr] = field(default_factory=list)  # each true where some value of a frame is not as it must be

    @property
    def types(self) -> dict[str, Any]:
        """The Polars type of every column."""
        return {name: one.dtype.type for name, one in self.columns.items()}

    def is_met_by(self, frame: pl.DataFrame) -> bool:
        """Return whether a frame has exactly the columns, of their types, with values as they must be."""
        found = dict(frame.schema)
        if found.keys() != self.columns.keys() or any(found[name] != kind for name, kind in self.types.items()):
            return False
        return not self.broken or frame.is_empty() or not any(frame.select(self.broken).row(0))


_TYPES = {str: pl.String, int: pl.Int64, float: pl.Float64, bool: pl.Boolean, pl.Datetime: pl.Datetime("us")}


def _type_of(said: Any) -> Any:
    parts = get_args(said)
    return parts[0](parts[1]) if parts else _TYPES.get(said, said)


def _broken(column: Column) -> list[pl.Expr]:
    value = pl.col(column.name)
    wrong = [check.broken_by(value) for check in column.checks]
    if not column.nullable:
        wrong.append(value.is_null())
        if column.dtype.type == pl.Float64:
            wrong.append(value.is_nan())
    return [one.any().alias(f"{column.name} {place}") for place, one in enumerate(wrong)]


@cache
def _schema_of(model: "type[Table]") -> Schema:
    columns = {}
    for one in reversed(model.__mro__):
        for name, kind in inspect.get_annotations(one).items():
            said = vars(one).get(name)
            if isinstance(said, _Said):
                told = (said.description, said.nullable, said.checks, said.metadata)
                columns[name] = Column(name, ColumnType(_type_of(kind)), *told)
    return Schema(columns, [wrong for column in columns.values() for wrong in _broken(column)])


@cache
def _pandera_of(model: "type[Table]") -> Any:
    import pandera.polars as pa

    def made(check: Check) -> Any:
        return getattr(pa.Check, check.name)(**check.statistics)

    columns = {
        name: pa.Column(one.dtype.type, [made(check) for check in one.checks], nullable=one.nullable)
        for name, one in model.to_schema().columns.items()
    }
    return pa.DataFrameSchema(columns, strict=True, coerce=False, name=model.__name__)


class Table:
    """A table with a key. ``Config.metadata`` holds ``key`` (column names) and, for records, ``parents`` (tables).

    Columns are exactly those declared, ``name: type = column(...)``: a stray column is a mistake, not an extra.
    """

    class Config:
        """The key of the table, and what it belongs to."""

        metadata: dict[str, Any] = {"key": []}

    @classmethod
    def to_schema(cls) -> Schema:
        """Return the columns with their types and limits."""
        return _schema_of(cls)  # type: ignore[arg-type]  # a class can be hashed

    @classmethod
    def no_rows(cls) -> pl.DataFrame:
        """Return a frame of these columns that holds nothing."""
        return pl.DataFrame(schema=cls.to_schema().types)

    @classmethod
    def as_pandera(cls) -> Any:
        """Return the same as a Pandera schema."""
        return _pandera_of(cls)  # type: ignore[arg-type]

    @classmethod
    def validate(cls, frame: pl.DataFrame, *, lazy: bool = True) -> pl.DataFrame:
        """Return a frame that fits.

        Raises:
            pandera.errors.SchemaErrors: It does not, and in which places.
        """
        return frame if cls.to_schema().is_met_by(frame) else cls.as_pandera().validate(frame, lazy=lazy)


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
