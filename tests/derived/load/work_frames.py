"""Small frames for the tests of load, exposure, work, strength and spring, with exactly the record's columns."""

import datetime as dt
from typing import Any

import polars as pl

from schemas.base import DerivedTable, RecordTable, Table, table_key
from schemas.records import RECORDS
from schemas.settings import SquadSettings

SETTINGS = SquadSettings()
MONDAY = dt.date(2026, 3, 2)


def schema_of(model: type[Table]) -> dict[str, Any]:
    """Return the polars types of a table's columns."""
    return {name: found.dtype.type for name, found in model.to_schema().columns.items()}


def record(table: str, *rows: dict[str, Any]) -> pl.DataFrame:
    """Return rows of a record table; a column a row does not name is null, the athlete is 'ann'."""
    model: type[RecordTable] = RECORDS[table]
    schema = schema_of(model)
    usual = {name: value for name, value in (("athlete_id", "ann"), ("session_no", 1)) if name in schema}
    for row in rows:
        unknown = set(row) - set(schema)
        if unknown:
            raise KeyError(f"{table} has no {unknown}")
    return pl.DataFrame(
        [{name: (usual | row).get(name) for name in schema} for row in rows], schema=schema, orient="row"
    )


def checked(model: type[DerivedTable], frame: pl.DataFrame) -> pl.DataFrame:
    """Validate a derived table against its model, and that its key is unique; return it."""
    model.validate(frame)
    assert not frame.select(table_key(model)).is_duplicated().any()
    return frame


def day(after: int, start: dt.date = MONDAY) -> dt.date:
    """Return the day so many days after a Monday."""
    return start + dt.timedelta(days=after)
