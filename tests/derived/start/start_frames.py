"""Small record frames for the tests of the start and of progress."""

import datetime as dt
from typing import Any

import polars as pl

from schemas.records import RECORDS

DAY = dt.date(2026, 3, 2)
# Composite athlete of the forward run (not a person): contacts, the flights after them, toe-to-toe lengths.
CONTACTS = [0.195, 0.170, 0.155, 0.140, 0.132, 0.125, 0.120, 0.115, 0.112, 0.110]
FLIGHTS = [0.055, 0.065, 0.075, 0.083, 0.090, 0.095, 0.100, 0.103, 0.106, 0.108]
LENGTHS = [1.00, 1.05, 1.20, 1.35, 1.45, 1.55, 1.65, 1.70, 1.78, 1.84]


def record(table: str, rows: list[dict[str, Any]] | None = None) -> pl.DataFrame:
    """Build a record frame with the model's columns; what a row does not say is unknown."""
    schema = {name: column.dtype.type for name, column in RECORDS[table].to_schema().columns.items()}
    return pl.DataFrame([{name: row.get(name) for name in schema} for row in rows or []], schema=schema)


def run_key(day: dt.date = DAY, rep_no: int = 1, athlete_id: str = "ida-fell") -> dict[str, Any]:
    return {"athlete_id": athlete_id, "session_date": day, "session_no": 1, "rep_no": rep_no}


def step_rows(
    key: dict[str, Any],
    contacts: list[float] = CONTACTS,
    flights: list[float] = FLIGHTS,
    lengths: list[float] = LENGTHS,
    frame_rate: float | None = 240.0,
    **more: Any,
) -> list[dict[str, Any]]:
    return [
        {**key, "step_no": i + 1, "contact_s": c, "flight_s": f, "step_length_m": length, "frame_rate_hz": frame_rate}
        | more
        for i, (c, f, length) in enumerate(zip(contacts, flights, lengths, strict=True))
    ]


def rep_row(key: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {**key, "start_kind": "blocks", "clock_start": "gun", "timing_kind": "electronic"} | more
