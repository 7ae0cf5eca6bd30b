"""Sessions, days and plans."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import NAME_WORD, athlete_key, note, session_date, session_no


class Session(RecordTable):
    """One row per training session. A rest day is a session of 0 minutes."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    kind: str = column(
        "What the session was for; unknown until somebody says.",
        source="session_log",
        isin=words.SESSION_KINDS,
        nullable=True,
        example="acceleration",
        label="Kind",
    )
    planned_min: float = column(
        "Minutes planned.",
        unit="min",
        source="session_log",
        ge=0,
        le=600,
        nullable=True,
        example="90",
        label="Planned",
    )
    duration_min: float = column(
        "Minutes done, warm-up included; 0 for a rest day.",
        unit="min",
        source="session_log",
        ge=0,
        le=600,
        nullable=True,
        example="85",
        label="Minutes",
    )
    effort_0_10: float = column(
        "The athlete's own rating of the whole session, 0 (rest) to 10 (maximal), about 30 minutes after it.",
        source="athlete",
        ge=0,
        le=10,
        nullable=True,
        example="6",
        label="Effort",
    )
    surface: str = column("Ground run on.", source="session_log", nullable=True, example="track", label="Surface")
    footwear: str = column("Shoes worn.", source="session_log", nullable=True, example="spikes", label="Footwear")
    indoor: bool = column(
        "Whether it was under a roof.", source="session_log", nullable=True, example="no", label="Indoor"
    )
    air_temperature_c: float = column(
        "Air temperature, for the air-drag term.",
        unit="°C",
        source="session_log",
        ge=-30,
        le=50,
        nullable=True,
        example="14",
        label="Air temperature",
    )
    air_pressure_torr: float = column(
        "Air pressure at the place, for the air-drag term.",
        unit="Torr",
        source="session_log",
        ge=400,
        le=820,
        nullable=True,
        example="758",
        label="Air pressure",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "session_date", "session_no"], "parents": ["athlete"], "title": "Sessions"}


class DayLog(RecordTable):
    """One row per day whose log somebody has closed: then a day without a session is a rest day, not an unknown one."""

    athlete_id: str = athlete_key()
    logged_on: pl.Date = column("The day.", source="session_log", example="2026-11-18", label="Day")
    is_complete: bool = column(
        "Yes: every session of the day is logged and none is missing.",
        source="session_log",
        example="yes",
        label="Complete",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "logged_on"], "parents": ["athlete"], "title": "Closed days"}


class Plan(RecordTable):
    """One row per planned session."""

    athlete_id: str = athlete_key()
    planned_on: pl.Date = column("Day it is planned for.", source="coach", example="2026-11-24", label="Planned for")
    plan_no: int = column(
        "Which planned session of that day, from 1.", source="coach", ge=1, le=9, example="1", label="No."
    )
    kind: str = column(
        "What the session is for.",
        source="coach",
        isin=words.SESSION_KINDS,
        nullable=True,
        example="top_speed",
        label="Kind",
    )
    fast_metres: float = column(
        "Metres planned at or above 95 % of own best speed.",
        unit="m",
        source="coach",
        ge=0,
        le=5000,
        nullable=True,
        example="120",
        label="Fast metres",
    )
    planned_min: float = column(
        "Minutes planned.",
        unit="min",
        source="coach",
        ge=0,
        le=600,
        nullable=True,
        example="90",
        label="Minutes",
    )
    planned_effort_0_10: float = column(
        "Effort planned, 0 to 10.",
        source="coach",
        ge=0,
        le=10,
        nullable=True,
        example="7",
        label="Effort",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "planned_on", "plan_no"], "parents": ["athlete"], "title": "Plan"}


class Decision(RecordTable):
    """One row per athlete, week and topic decided at the weekly review."""

    athlete_id: str = athlete_key()
    week_of: pl.Date = column(
        "Monday of the week the decision is for.", source="coach", example="2026-11-16", label="Week of"
    )
    topic: str = column(
        "What was decided on.",
        source="coach",
        isin=words.DECISION_TOPICS,
        example="start_work",
        label="Topic",
    )
    call: str = column(
        "The decision in a few words.", source="coach", nullable=True, example="heavy sled twice", label="Decision"
    )
    drill: str = column(
        "Drill of the library that was chosen with it.",
        source="coach",
        matches=NAME_WORD,
        nullable=True,
        example="falling_start",
        label="Drill",
    )
    note: str = note()
    decided_by: str = column("Who decided.", source="sign_in", nullable=True, example="coach", label="By")
    decided_at: pl.Datetime = column("When.", source="clock", nullable=True, example="2026-11-16T18:30:00", label="At")

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "week_of", "topic"], "parents": ["athlete"], "title": "Decisions"}
