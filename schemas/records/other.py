"""Measures that no other table has: kept as they are, exported, drawn as a plain trend, never judged."""

import polars as pl

from schemas.base import RecordTable, column
from schemas.records.keys import athlete_key


class OtherMeasure(RecordTable):
    """One row per athlete, day and thing measured that the coach wants kept and no other table holds."""

    athlete_id: str = athlete_key()
    measured_on: pl.Date = column("Day of the measurement.", source="coach", example="2026-11-02", label="Date")
    what: str = column(
        "What was measured, as the file's header says it.", source="coach", example="Grip (kg)", label="What"
    )
    trial_no: int = column("Which value of that day, from 1.", source="coach", ge=1, le=200, example="1", label="No.")
    value: float = column("The value, in the unit of the file.", source="coach", example="52.5", label="Value")
    unit: str = column(
        "Unit, where the file gives one.", source="coach", nullable=True, example="kilogram", label="Unit of the file"
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {
            "key": ["athlete_id", "measured_on", "what", "trial_no"],
            "parents": ["athlete"],
            "title": "Other measures",
        }
