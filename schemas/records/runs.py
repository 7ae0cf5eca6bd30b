"""Runs and their split times."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import REP_KEY, REP_PARENTS, athlete_key, rep_no, session_date, session_no


class Rep(RecordTable):
    """One row per run."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    distance_m: float = column(
        "Distance of the run.",
        unit="m",
        source="timing",
        ge=2,
        le=400,
        nullable=True,
        example="30",
        label="Distance",
    )
    start_kind: str = column(
        "How the run began.",
        source="timing",
        isin=words.START_KINDS,
        nullable=True,
        example="blocks",
        label="Start",
    )
    clock_start: str = column(
        "What started the clock. Times of two kinds are never compared.",
        source="timing",
        isin=words.CLOCK_STARTS,
        nullable=True,
        example="gun",
        label="Clock",
    )
    gate_offset_m: float = column(
        "How far behind the first gate the athlete stands.",
        unit="m",
        source="tape",
        ge=0,
        le=3,
        nullable=True,
        example="0.5",
        label="Behind the gate",
    )
    run_in_m: float = column(
        "Run-in before the timed stretch of a flying run. Runs of other run-ins are not set against each other.",
        unit="m",
        source="tape",
        ge=0,
        le=200,
        nullable=True,
        example="20",
        label="Run-in",
    )
    reaction_s: float = column(
        "Gun to first force.",
        unit="s",
        source="timing",
        ge=0,
        le=1,
        nullable=True,
        example="0.152",
        label="Reaction",
    )
    timing_kind: str = column(
        "How the times were taken. Hand times get no model.",
        source="timing",
        isin=words.TIMING_KINDS,
        nullable=True,
        example="electronic",
        label="Timing",
    )
    wind_ms: float = column(
        "Wind along the straight, tailwind positive.",
        unit="m/s",
        source="wind_gauge",
        ge=-10,
        le=10,
        nullable=True,
        example="-0.4",
        label="Wind",
    )
    resistance_kind: str = column(
        "What the run was resisted by; empty counts as not said, not as none.",
        source="timing",
        isin=words.RESISTANCE_KINDS,
        nullable=True,
        example="none",
        label="Resistance",
    )
    resistance_load_kg: float = column(
        "Mass pulled, sled included.",
        unit="kg",
        source="scale",
        ge=0,
        le=300,
        nullable=True,
        example="68",
        label="Load",
    )
    resistance_percent: float = column(
        "Mass pulled as a share of body mass, where it is said so and not in kilograms.",
        unit="%",
        source="coach",
        ge=0,
        le=200,
        nullable=True,
        example="30",
        label="Load of body mass",
    )
    effort_percent: float = column(
        "Effort asked for.",
        unit="%",
        source="coach",
        ge=30,
        le=100,
        nullable=True,
        example="100",
        label="Effort",
    )
    outcome: str = column(
        "How it ended.",
        source="timing",
        isin=words.REP_OUTCOMES,
        nullable=True,
        example="completed",
        label="Outcome",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": REP_KEY, "parents": ["session", "athlete"], "title": "Runs"}


class Split(RecordTable):
    """One row per gate crossing. Times rise strictly with distance inside a run."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    distance_m: float = column(
        "Gate distance from the start line (from the first gate where that starts the clock).",
        unit="m",
        source="gate_setup",
        gt=0,
        le=400,
        example="10",
        label="Gate",
    )
    elapsed_s: float = column(
        "Time since the clock started.",
        unit="s",
        source="timing",
        gt=0,
        le=120,
        example="1.92",
        label="Time",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": [*REP_KEY, "distance_m"], "parents": REP_PARENTS, "title": "Split times"}
