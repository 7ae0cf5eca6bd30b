"""Small record frames for the tests of runs: rows are given as words and numbers, everything unsaid is null."""

import datetime as dt
from collections.abc import Sequence
from typing import Any

import polars as pl

from schemas.derived.registry import DERIVED
from schemas.records import RECORDS

DAY = dt.date(2026, 5, 2)
ELECTRONIC: dict[str, Any] = {"timing_kind": "electronic", "resistance_kind": "none"}


def empty(table: str) -> pl.DataFrame:
    """Return a record table without rows."""
    columns = RECORDS[table].to_schema().columns
    return pl.DataFrame(schema={name: column.dtype.type for name, column in columns.items()})


def frame(table: str, rows: Sequence[dict[str, Any]]) -> pl.DataFrame:
    """Return a record table with these rows."""
    nothing = empty(table)
    given = [{name: row.get(name) for name in nothing.columns} for row in rows]
    return pl.DataFrame(given, schema=dict(nothing.schema))


def no_noise() -> pl.DataFrame:
    """Return the squad's noise of a squad of which nothing is known."""
    columns = DERIVED["sprint_noise"].to_schema().columns
    return pl.DataFrame(schema={name: column.dtype.type for name, column in columns.items()})


class Track:
    """Collects runs with their splits, one athlete and day unless said otherwise."""

    def __init__(self, *, mass_kg: float | None = 75.0, height_m: float | None = 1.80, surface: str | None = "track"):
        self.reps: list[dict[str, Any]] = []
        self.splits: list[dict[str, Any]] = []
        self.surface = surface
        self.people: list[dict[str, Any]] = [{"athlete_id": "ada", "display_name": "Ada Lunde"}]
        self.body = [{"athlete_id": "ada", "measured_on": DAY, "body_mass_kg": mass_kg, "height_m": height_m}]

    def run(self, distances: Sequence[float], times: Sequence[float], **rep: Any) -> "Track":
        """Add a run."""
        key = {"athlete_id": "ada", "session_date": DAY, "session_no": 1, "rep_no": len(self.reps) + 1}
        key |= {name: rep.pop(name) for name in list(rep) if name in key}
        self.reps.append(key | rep)
        self.splits += [
            key | {"distance_m": float(x), "elapsed_s": float(t)} for x, t in zip(distances, times, strict=True)
        ]
        return self

    def frames(self) -> dict[str, pl.DataFrame]:
        """Return the record tables a run's profile reads."""
        rep = frame("rep", self.reps)
        sessions = rep.select("athlete_id", "session_date", "session_no").unique().to_dicts()
        return {
            "rep": rep,
            "split": frame("split", self.splits),
            "session": frame("session", [row | {"surface": self.surface} for row in sessions]),
            "body_measure": frame("body_measure", self.body),
            "athlete": frame("athlete", self.people),
            "sprint_noise": no_noise(),
        }
