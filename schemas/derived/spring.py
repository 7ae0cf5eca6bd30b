"""Jumps and hops: height, reactive strength, stiffness."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column


class SpringState(DerivedTable):
    """Jump test of one athlete on one day: means of the trials, and the height against the athlete's own usual.

    Height comes from time in the air. Reactive strength has two definitions that do not interchange, so each has its
    own name; height and contact stand beside them, because the same figure can come from a short low and a long high
    jump. Hop stiffness is an index within one athlete. The drop in height is given as a probability from the squad's
    own noise, not as a fixed percentage: five or ten per cent is often noise.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    tested_on: pl.Date = column("Day of the test.", source="definition", label="Day")
    test: str = column("Which test.", source="definition", isin=words.JUMP_TESTS, label="Test")
    trials: int = column("Trials with a flight time.", source="definition", ge=0, label="Trials")
    box_height_m: float = column(
        "Height dropped from; null where none is said or trials differ.",
        unit="m",
        source="definition",
        nullable=True,
        ge=0,
        label="Box",
    )
    jump_height_m: float = column(
        "Mean over trials of g t^2 / 8, t the time in the air.",
        unit="m",
        source="free_fall",
        nullable=True,
        gt=0,
        label="Height",
    )
    jump_height_m_se: float = column(
        "Standard error of that mean from the spread of the trials; null with one trial.",
        unit="m",
        source="definition",
        nullable=True,
        ge=0,
        label="Height, SE",
    )
    contact_s: float = column(
        "Mean time on the ground.", unit="s", source="definition", nullable=True, gt=0, label="Contact"
    )
    reactive_strength_mps: float = column(
        "Mean over trials of height over contact time.",
        unit="m/s",
        source="louder_2021",
        nullable=True,
        gt=0,
        label="Reactive strength (height / contact)",
    )
    flight_contact_ratio: float = column(
        "Mean over trials of flight time over contact time: another definition, another name.",
        source="louder_2021",
        nullable=True,
        gt=0,
        label="Flight / contact",
    )
    hop_stiffness_n_per_m: float = column(
        "Mean over trials of repeated hops: M pi (tf + tc) / (tc^2 ((tf + tc) / pi - tc / 4)).",
        unit="N/m",
        source="dalleau_2004",
        nullable=True,
        gt=0,
        label="Hop stiffness",
    )
    stiffness_n_per_m_per_kg: float = column(
        "Hop stiffness per kilogram; needs no body mass.",
        unit="N/m/kg",
        source="dalleau_2004",
        nullable=True,
        gt=0,
        label="Hop stiffness per kg",
    )
    usual_height_m: float = column(
        "Mean of own test days of the days before (setting), today left out, same box; at least four.",
        unit="m",
        source="claudino_2017",
        nullable=True,
        gt=0,
        label="Usual height",
    )
    usual_days: int = column("Test days the usual height rests on.", source="definition", ge=0, label="Days behind")
    change_percent: float = column(
        "Height against own usual.", unit="%", source="definition", nullable=True, label="Change on usual"
    )
    p_drop: float = column(
        "Probability that the true height has dropped on own usual by more than the smallest change that matters.",
        source="hopkins_probability",
        nullable=True,
        ge=0,
        le=1,
        label="Probability of a drop",
    )
    squad_cv_percent: float = column(
        "The squad's own test-to-test noise for this test, as a coefficient of variation.",
        unit="%",
        source="hopkins_2000",
        nullable=True,
        ge=0,
        label="Squad's noise",
    )
    reason: str = column("Why a value is null.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "tested_on", "test"], "title": "Jumps by day"}
