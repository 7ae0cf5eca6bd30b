"""Athletes and their bodies."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import athlete_key


class Athlete(RecordTable):
    """One row per athlete of the squad."""

    athlete_id: str = athlete_key()
    display_name: str = column(
        "Name as it stands on the sheet.", source="roster", example="Marit Oakhollow", label="Name"
    )
    call_name: str = column(
        "Name the person is called by, which files may write in the place of the name.",
        source="roster",
        nullable=True,
        example="Mari",
        label="Called",
    )
    code: str = column(
        "Short code of the person, letters and a number, which files may write in the place of the name.",
        source="roster",
        nullable=True,
        example="S01",
        label="Code",
    )
    sex: str = column(
        "f, m or x. Used only to choose published reference values.",
        source="roster",
        isin=words.SEXES,
        nullable=True,
        example="f",
        label="Sex",
    )
    birth_date: pl.Date = column("Date of birth.", source="roster", nullable=True, example="2005-03-14", label="Born")
    event_group: str = column(
        "Event group the athlete trains with.",
        source="roster",
        isin=words.EVENT_GROUPS,
        nullable=True,
        example="short_sprints",
        label="Event group",
    )
    squad: str = column("Squad within the club.", source="roster", nullable=True, example="senior", label="Squad")
    joined_on: pl.Date = column(
        "First day with the squad.", source="roster", nullable=True, example="2024-10-01", label="Joined"
    )
    left_on: pl.Date = column(
        "Last day with the squad; empty while a member.", source="roster", nullable=True, label="Left"
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id"], "parents": [], "title": "Athletes"}


class BodyMeasure(RecordTable):
    """One row per athlete and day on which the body was measured."""

    athlete_id: str = athlete_key()
    measured_on: pl.Date = column("Day of the measurement.", source="scale", example="2026-11-02", label="Measured")
    body_mass_kg: float = column(
        "Body mass.",
        unit="kg",
        source="scale",
        ge=25,
        le=180,
        nullable=True,
        example="61.5",
        label="Body mass",
    )
    height_m: float = column(
        "Standing height without shoes.",
        unit="m",
        source="tape",
        ge=1.0,
        le=2.3,
        nullable=True,
        example="1.71",
        label="Height",
    )
    sitting_height_m: float = column(
        "Height of the top of the head over the seat, sitting upright.",
        unit="m",
        source="tape",
        ge=0.5,
        le=1.2,
        nullable=True,
        example="0.89",
        label="Sitting height",
    )
    leg_length_m: float = column(
        "Greater trochanter to ground, standing.",
        unit="m",
        source="tape",
        ge=0.5,
        le=1.3,
        nullable=True,
        example="0.91",
        label="Leg length",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "measured_on"], "parents": ["athlete"], "title": "Body measures"}
