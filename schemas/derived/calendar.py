"""Calendars: when each test was last done, what the week still lacks, and fast running day by day."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column


class GroupTestCalendar(DerivedTable):
    """One row per athlete with the squad and test in use: when it was last done, and whether it is overdue.

    A test is in use when anybody of the squad has ever done it; a test nobody does is listed for nobody. The number of
    days after which a test is overdue is a setting of the squad; no number is published.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    test: str = column(
        "Which test: a force test, a jump test, a timed start, or body mass.",
        source="definition",
        isin=words.CALENDAR_TESTS,
        label="Test",
    )
    last_on: pl.Date = column("Day it was last done.", source="definition", nullable=True, label="Last done")
    days_since: int = column(
        "Days from then to today; null where it was never done.", source="definition", nullable=True, ge=0, label="Days"
    )
    due_on: pl.Date = column(
        "Last day on which it is not overdue; null where it was never done.",
        source="definition",
        nullable=True,
        label="Due",
    )
    state: str = column(
        "In time, overdue, or never done.", source="common_practice", isin=words.TEST_STATES, label="State"
    )

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "test"], "title": "Test calendar"}


class CompletenessWeek(DerivedTable):
    """One row per athlete, week and item: how much of what the calls rest on is there.

    Items: days (logged, or marked complete), check-ins, effort and minutes of sessions, splits of running sessions,
    sets of strength sessions, tests in time, and a plan for the week after. Nothing is filled in for what is missing.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week of")
    item: str = column("What is counted.", source="definition", isin=words.COMPLETENESS_ITEMS, label="Item")
    for_calls: str = column(
        "The calls that rest on it: training, hamstring, start, load.", source="definition", label="For"
    )
    expected: int = column(
        "How many there should be, as far as the record knows; 0 where nothing asks for any.",
        source="definition",
        ge=0,
        label="Expected",
    )
    have: int = column("How many of those there are.", source="definition", ge=0, label="There")
    lacking: int = column("How many are missing.", source="definition", ge=0, label="Missing")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "week_of", "item"], "title": "Completeness of the week"}


def _metres(text: str, label: str) -> Any:
    return column(text, unit="m", source="definition", nullable=True, ge=0, label=label)


def _count(text: str, label: str) -> Any:
    return column(text, source="definition", nullable=True, ge=0, label=label)


class ExposureCalendar(DerivedTable):
    """One row per athlete and day of the last 26 weeks: fast running of the day, for a calendar.

    The same rules as in the fast running by week. A day with nothing logged is unknown, not a rest day.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    day_on: pl.Date = column("Day.", source="definition", label="Day")
    runs_90: int = _count("Runs whose fastest section is at 90 % of own best or more.", "Runs at 90 %")
    runs_95: int = _count("Runs whose fastest section is at 95 % of own best or more.", "Runs at 95 %")
    run_90_metres: float = _metres("Length of the sections at 90 % of own best or more.", "Metres at 90 %")
    run_95_metres: float = _metres("Length of the sections at 95 % of own best or more.", "Metres at 95 %")
    unclassified_runs: int = column(
        "Free runs whose speed could not be judged.", source="speed_timing_error", ge=0, label="Runs not judged"
    )
    resisted_runs: int = column("Resisted runs noted.", source="definition", ge=0, label="Resisted runs")
    resisted_metres: float = _metres(
        "Metres of resisted runs; null where one has no distance, or the day's runs are unknown.", "Resisted metres"
    )
    is_logged: bool = column(
        "Whether a session is logged that day or the day is marked complete.", source="definition", label="Logged"
    )
    reason: str = column("What makes the day doubtful or unknown.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "day_on"], "title": "Fast running by day"}
