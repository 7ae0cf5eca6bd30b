"""Lifting, force tests and jump tests."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import NAME_WORD, athlete_key, session_date, session_no


class Exercise(RecordTable):
    """One row per exercise: the family it counts in. A lift of an exercise not listed is kept, without a family."""

    exercise: str = column(
        "Name of the exercise.", source="coach", matches=NAME_WORD, example="romanian_deadlift", label="Exercise"
    )
    family: str = column(
        "Family its sets count in.",
        source="coach",
        isin=words.EXERCISE_FAMILIES,
        nullable=True,
        example="hinge",
        label="Family",
    )
    bodyweight_share: float = column(
        "Share of body mass lifted besides the load.",
        source="coach",
        ge=0,
        le=1,
        nullable=True,
        example="0.9",
        label="Body share",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["exercise"], "parents": [], "title": "Exercises"}


class LiftSet(RecordTable):
    """One row per set lifted."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    exercise: str = column("Exercise.", source="gym_log", matches=NAME_WORD, example="back_squat", label="Exercise")
    set_no: int = column("Which set of this exercise, from 1.", source="gym_log", ge=1, le=60, example="2", label="Set")
    side: str = column(
        "Side worked; both where nothing is said.",
        source="gym_log",
        isin=words.TEST_SIDES,
        example="both",
        label="Side",
    )
    reps: int = column("Repetitions.", source="gym_log", ge=1, le=50, example="5", label="Reps")
    load_kg: float = column(
        "Load besides the body.",
        unit="kg",
        source="gym_log",
        ge=0,
        le=500,
        nullable=True,
        example="100",
        label="Load",
    )
    reps_in_reserve: float = column(
        "Repetitions left, by the athlete's own judgement.",
        source="athlete",
        ge=0,
        le=10,
        nullable=True,
        example="2",
        label="In reserve",
    )
    set_effort: float = column(
        "The athlete's own rating of this set, 0 to 10; not the effort of the session.",
        source="athlete",
        ge=0,
        le=10,
        nullable=True,
        example="8",
        label="Effort of the set",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {
            "key": ["athlete_id", "session_date", "session_no", "exercise", "set_no", "side"],
            "parents": ["session", "athlete"],
            "title": "Lifting sets",
        }


class ForceTest(RecordTable):
    """One row per trial of a force test."""

    athlete_id: str = athlete_key()
    tested_on: pl.Date = column("Day of the test.", source="test", example="2026-11-04", label="Date")
    test: str = column(
        "Which test.", source="test", isin=words.FORCE_TESTS, example="eccentric_hamstring", label="Test"
    )
    side: str = column("Side tested.", source="test", isin=words.TEST_SIDES, example="l", label="Side")
    trial_no: int = column("Which trial, from 1.", source="test", ge=1, le=20, example="1", label="Trial")
    peak_force_n: float = column(
        "Highest force.", unit="N", source="test", ge=10, le=6000, example="341", label="Peak force"
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {
            "key": ["athlete_id", "tested_on", "test", "side", "trial_no"],
            "parents": ["athlete"],
            "title": "Force tests",
        }


class JumpTest(RecordTable):
    """One row per trial of a jump test."""

    athlete_id: str = athlete_key()
    tested_on: pl.Date = column("Day of the test.", source="test", example="2026-11-16", label="Date")
    test: str = column("Which test.", source="test", isin=words.JUMP_TESTS, example="countermovement", label="Test")
    trial_no: int = column("Which trial, from 1.", source="test", ge=1, le=20, example="1", label="Trial")
    flight_s: float = column(
        "Time in the air.",
        unit="s",
        source="test",
        ge=0.1,
        le=1.2,
        nullable=True,
        example="0.548",
        label="Flight",
    )
    contact_s: float = column(
        "Time on the ground (drop jump, hops).",
        unit="s",
        source="test",
        ge=0.08,
        le=1.5,
        nullable=True,
        example="0.182",
        label="Contact",
    )
    box_height_m: float = column(
        "Height dropped from.",
        unit="m",
        source="test",
        ge=0,
        le=1.5,
        nullable=True,
        example="0.30",
        label="Box",
    )
    jump_height_m: float = column(
        "Height jumped, as it was measured; no flight time is made of it.",
        unit="m",
        source="test",
        ge=0.05,
        le=1.3,
        nullable=True,
        example="0.45",
        label="Height",
    )
    jump_length_m: float = column(
        "Distance jumped from standing.",
        unit="m",
        source="test",
        ge=0.5,
        le=4.5,
        nullable=True,
        example="2.81",
        label="Length",
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {
            "key": ["athlete_id", "tested_on", "test", "trial_no"],
            "parents": ["athlete"],
            "title": "Jump tests",
        }
