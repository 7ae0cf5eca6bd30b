"""Growth of those under 18."""

import polars as pl

from schemas.base import DerivedTable, column


class BodyGrowth(DerivedTable):
    """One row per athlete under 18, and day on which height, sitting height or body mass was measured.

    Made while the consent of a guardian to health data is in force, and for nobody else. Growth speed is a straight
    line through the heights of a year, with its error from the tape. Nothing is said of maturity or of adult height.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    measured_on: pl.Date = column("Day.", source="definition", label="Day")
    age_years: float = column("Age on the day.", unit="years", source="definition", ge=0, lt=18, label="Age")
    body_mass_kg: float = column("Body mass.", unit="kg", source="scale", nullable=True, gt=0, label="Body mass")
    height_m: float = column("Standing height.", unit="m", source="tape", nullable=True, gt=0, label="Height")
    sitting_height_m: float = column(
        "Sitting height.", unit="m", source="tape", nullable=True, gt=0, label="Sitting height"
    )
    leg_part_m: float = column(
        "Height less sitting height of the same day.", unit="m", source="definition", nullable=True, label="Legs"
    )
    heights: int = column(
        "Heights of the 365 days the speed rests on.", source="definition", nullable=True, ge=0, label="Heights"
    )
    span_days: int = column(
        "Days from the first of them to the last.", unit="days", source="definition", nullable=True, ge=0, label="Span"
    )
    growth_m_per_year: float = column(
        "Slope of the straight line through these heights.",
        unit="m/year",
        source="marshall_1971",
        nullable=True,
        label="Growth",
    )
    growth_m_per_year_se: float = column(
        "Standard error of that slope.", unit="m/year", source="ulijaszek_kerr_1999", nullable=True, ge=0,
        label="Growth, SE",
    )  # fmt: skip
    growth_sentence: str = column("Growth in words.", source="definition", nullable=True, label="Growth, in words")
    reason: str = column("Why no speed is given.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "measured_on"], "title": "Growth"}
