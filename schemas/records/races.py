"""Races."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import athlete_key, note


class RaceResult(RecordTable):
    """One row per race."""

    athlete_id: str = athlete_key()
    raced_on: pl.Date = column("Day of the race.", source="results", example="2026-06-20", label="Date")
    event: str = column(
        "Event: the distance in metres, 'h' added for hurdles.",
        source="results",
        matches=r"[1-9][0-9]{1,3}h?",
        example="100",
        label="Event",
    )
    round: str = column(
        "Round; 'unknown' where the results do not say it.",
        source="results",
        matches=r"[a-z0-9_ ]{1,20}",
        example="final",
        label="Round",
    )
    time_s: float = column(
        "Official time; empty where there is none.",
        unit="s",
        source="results",
        ge=4,
        le=200,
        nullable=True,
        example="11.42",
        label="Time",
    )
    wind_ms: float = column(
        "Wind reading.", unit="m/s", source="results", ge=-10, le=10, nullable=True, example="0.8", label="Wind"
    )
    timing_kind: str = column(
        "How the time was taken.",
        source="results",
        isin=words.TIMING_KINDS,
        nullable=True,
        example="electronic",
        label="Timing",
    )
    reaction_s: float = column(
        "Reaction time.", unit="s", source="results", ge=0, le=1, nullable=True, example="0.151", label="Reaction"
    )
    place: int = column("Place.", source="results", ge=1, le=200, nullable=True, example="2", label="Place")
    altitude_m: float = column(
        "Altitude of the track.",
        unit="m",
        source="results",
        ge=-430,
        le=5000,
        nullable=True,
        example="40",
        label="Altitude",
    )
    race_outcome: str = column(
        "How the race ended for the athlete; empty where only the time tells.",
        source="results",
        isin=words.RACE_OUTCOMES,
        nullable=True,
        example="finished",
        label="Outcome",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "raced_on", "event", "round"], "parents": ["athlete"], "title": "Races"}
