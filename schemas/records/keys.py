"""Key columns that many tables share, described once."""

from typing import Any

from schemas.base import column

SLUG = r"[a-z0-9]+(?:-[a-z0-9]+)*"
NAME_WORD = r"[a-z0-9]+(?:_[a-z0-9]+)*"
REP_KEY = ["athlete_id", "session_date", "session_no", "rep_no"]
REP_PARENTS = ["rep", "session", "athlete"]


def athlete_key() -> Any:
    """Return the column that says whose row it is."""
    return column(
        "Athlete the row belongs to: lower-case letters, digits and hyphens. In a file the athlete's name will do.",
        source="roster",
        matches=SLUG,
        example="marit-oakhollow",
        label="Athlete",
    )


def session_date() -> Any:
    """Return the column for the day of a session."""
    return column("Day of the session.", source="session_log", example="2026-11-17", label="Date")


def session_no() -> Any:
    """Return the column that tells sessions of one day apart."""
    return column(
        "Which session of that day, from 1. A file that does not say means 1.",
        source="session_log",
        ge=1,
        le=9,
        example="1",
        label="Session",
    )


def rep_no() -> Any:
    """Return the column that tells runs of one session apart."""
    return column(
        "Which run of the session, from 1. A file that does not say is numbered in its own order.",
        source="timing",
        ge=1,
        le=200,
        example="3",
        label="Run",
    )


def note() -> Any:
    """Return the free-text column."""
    return column(
        "Anything worth keeping, in free words.", source="coach", nullable=True, example="wet lane", label="Note"
    )
