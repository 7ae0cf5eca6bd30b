"""Words of the season: the phase, the next race, and the weeks around."""

import datetime as dt
from typing import Any

from dashboard.wording.forms import day, number, sentence_case
from schemas.labels import PHASES

SEASON, SEASON_NAV = "The season", "Weeks around"
BARS_SAY = "Minutes planned by week; dotted: not planned yet."
RACE_MARK = "race"
NO_MINUTES = "not planned"


def phase_name(phase: str) -> str:
    """Name a phase at the head of something."""
    return sentence_case(PHASES.get(phase, phase))


def phase_said(row: dict[str, Any]) -> str:
    """Say which week of which phase it is: Special preparation, week 7 of 8."""
    if not row["phase"]:
        return ""
    weeks = f" of {row['phase_weeks']}" if row["phase_weeks"] else ""
    return f"{phase_name(row['phase'])}, week {row['phase_week']}{weeks}"


def race_said(row: dict[str, Any], *, in_full: bool = False) -> str:
    """Say when the next race is and how many weeks away; ``in_full``: what is raced besides."""
    if not row["race_on"]:
        return ""
    far = {0: "this week", 1: "in a week"}.get(row["weeks_to_race"], f"in {row['weeks_to_race']} weeks")
    words = f": {row['race_words']}" if in_full and row["race_words"] else ""
    return f"next race {race_day(row['race_on'])}, {far}{words}"


def race_day(value: dt.date) -> str:
    """Write the day of a race: Sat 12 Dec."""
    return f"{value:%a} {day(value)}"


def minutes_said(least: float | None, most: float | None) -> str:
    """Say the minutes planned for a week, of one athlete or from the least to the most of several."""
    if least is None or most is None:
        return NO_MINUTES
    return number(least, 0) if least == most else f"{number(least, 0)}–{number(most, 0)}"


def season_week_title(monday: dt.date, minutes: str, races: list[str]) -> str:
    """Say in one line what a week of the season holds."""
    said = f"Week of {day(monday)}: {minutes} min planned" if minutes != NO_MINUTES else f"Week of {day(monday)}: "
    said += NO_MINUTES if minutes == NO_MINUTES else ""
    return said + (f", race {' and '.join(races)}" if races else "")


def of_some(names: list[str], everybody: int) -> str:
    """Say of how many a line of the season is."""
    return ", ".join(names) if len(names) <= 3 else f"{len(names)} of {everybody}"
