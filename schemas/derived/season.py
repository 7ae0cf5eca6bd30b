"""Weeks of the season: the phase the coach has set, what is planned, and the next race."""

import polars as pl

from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key
from schemas.vocabulary import PHASES


class SeasonWeek(DerivedTable):
    """One row per athlete and week, from some weeks back to the last that is planned or in a phase.

    The phase is the coach's own word, the race a planned session of the kind 'race'; where nobody has said either, the
    row says neither.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week of")
    phase: str = column("Phase the week lies in.", source="definition", isin=PHASES, nullable=True, label="Phase")
    aim: str = column("What the phase is to bring.", source="definition", nullable=True, label="Aim")
    phase_week: int = column(
        "Which week of the phase it is, from 1.", source="definition", nullable=True, ge=1, label="Week of the phase"
    )
    phase_weeks: int = column(
        "Weeks of the phase; empty where it has no last day.",
        source="definition",
        nullable=True,
        ge=1,
        label="Weeks of the phase",
    )
    sessions: int = column("Sessions planned.", source="definition", ge=0, label="Sessions")
    planned_min: float = column(
        "Minutes planned.", unit="min", source="definition", nullable=True, ge=0, label="Minutes"
    )
    fast_metres: float = column(
        "Fast metres planned.", unit="m", source="definition", nullable=True, ge=0, label="Fast metres"
    )
    race_on: pl.Date = column("Day of the next race.", source="definition", nullable=True, label="Next race")
    race_words: str = column("The race in the plan's words.", source="definition", nullable=True, label="Race")
    weeks_to_race: int = column(
        "Weeks from this one to that of the race; 0: the race is in this week.",
        unit="weeks",
        source="definition",
        nullable=True,
        ge=0,
        label="Weeks to the race",
    )

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Weeks of the season"}
