"""What a squad keeps: drills for a limit of the start, weeks of a plan, days always off, phases of the season."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import NAME_WORD, athlete_key, note


class Drill(RecordTable):
    """One row per drill or exercise of the squad's own library and limit it is for."""

    drill: str = column(
        "Name of the drill or exercise.", source="coach", matches=NAME_WORD, example="falling_start", label="Drill"
    )
    limit: str = column(
        "Which limit of the start it is for; any: for every one of them.",
        source="coach",
        isin=words.DRILL_LIMITS,
        example="push_cut_short",
        label="For",
    )
    cue: str = column(
        "What the athlete is told, in a few words.",
        source="coach",
        nullable=True,
        example="push the ground away behind you",
        label="Cue",
    )
    why: str = column(
        "Why it helps, in a sentence.",
        source="coach",
        nullable=True,
        example="the first push lasts until the leg is long",
        label="Why",
    )
    amount: str = column("How much of it.", source="coach", nullable=True, example="2 x 4 x 10 m", label="How much")
    caution: str = column(
        "What to mind.", source="coach", nullable=True, example="not with a sore calf or Achilles", label="Mind"
    )
    link: str = column(
        "Address of a picture or film of it; only one that begins with https:// is shown.",
        source="coach",
        nullable=True,
        example="https://club.example/falling-start",
        label="Picture or link",
    )
    is_used: bool = column(
        "Yes: it may be chosen; no: it is put away. Empty: proposed, until the head coach says.",
        source="coach",
        nullable=True,
        example="yes",
        label="In use",
    )
    proposed_by: str = column("Who wrote it down.", source="sign_in", nullable=True, example="coach", label="By")

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["drill", "limit"], "parents": [], "title": "Drills"}


class WeekTemplate(RecordTable):
    """One row per session of a week that was saved to plan other weeks by."""

    template: str = column(
        "Name of the week.", source="coach", matches=NAME_WORD, example="speed_week", label="Template"
    )
    weekday: int = column(
        "Day of the week: 1 Monday to 7 Sunday.", source="coach", ge=1, le=7, example="1", label="Day"
    )
    plan_no: int = column("Which session of that day, from 1.", source="coach", ge=1, le=9, example="1", label="No.")
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
        "Minutes planned.", unit="min", source="coach", ge=0, le=600, nullable=True, example="90", label="Minutes"
    )
    planned_effort_0_10: float = column(
        "Effort planned, 0 to 10.", source="coach", ge=0, le=10, nullable=True, example="7", label="Effort"
    )
    note: str = note()
    is_dropped: bool = column(
        "Yes: this session is no longer part of the week.", source="coach", nullable=True, example="no", label="Dropped"
    )
    saved_by: str = column("Who saved it.", source="sign_in", nullable=True, example="coach", label="By")

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["template", "weekday", "plan_no"], "parents": [], "title": "Week templates"}


class RestDay(RecordTable):
    """One row per day of the week that is off for an athlete: nothing logged on such a day is a rest day."""

    athlete_id: str = athlete_key()
    weekday: int = column(
        "Day of the week: 1 Monday to 7 Sunday.", source="coach", ge=1, le=7, example="7", label="Day"
    )
    from_on: pl.Date = column("First day from which it holds.", source="coach", example="2026-09-01", label="From")
    until_on: pl.Date = column(
        "Last day on which it holds; empty: until further notice.",
        source="coach",
        nullable=True,
        example="2027-03-31",
        label="Until",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "weekday", "from_on"], "parents": ["athlete"], "title": "Rest days"}


class SeasonPhase(RecordTable):
    """One row per athlete and phase of the season that the coach has set, with its first and last day."""

    athlete_id: str = athlete_key()
    from_on: pl.Date = column("First day of the phase.", source="coach", example="2026-10-05", label="From")
    until_on: pl.Date = column(
        "Last day of the phase; empty: until the next one begins.",
        source="coach",
        nullable=True,
        example="2026-11-29",
        label="Until",
    )
    phase: str = column(
        "What the weeks are for; unknown until somebody says.",
        source="coach",
        isin=words.PHASES,
        nullable=True,
        example="special_preparation",
        label="Phase",
    )
    aim: str = column(
        "What it is to bring, in a few words.", source="coach", nullable=True, example="full speed, starts", label="Aim"
    )
    is_dropped: bool = column(
        "Yes: this phase no longer counts.", source="coach", nullable=True, example="no", label="Dropped"
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "from_on"], "parents": ["athlete"], "title": "Phases of the season"}
