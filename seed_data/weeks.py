"""The training calendar: what was planned for each day, what was done of it, and which days nobody logged."""

import datetime as dt
from dataclasses import dataclass

import numpy as np

from seed_data import cases
from seed_data.programme import BLOCKS, Slot, fast_metres_of, planned, text_of
from seed_data.squad import ATHLETES, DAYS, LAST_DAY, Athlete, chance, week_number, week_start

MISS_SESSION = 0.05  # chance that a planned session is missed: logged as a day off
MISS_LOG = 0.022  # chance that a day is not logged at all
CAREFUL_LOGGERS = frozenset({"jory-threlkeld", "asa-lindenmoor", "severine-marlowe-quist"})
CARELESS_LOGGERS = frozenset({cases.NEVER_CHECKS_IN, "dario-wexcombe"})


@dataclass
class Session:
    """One session as it was; ``is_logged`` is False where the session log does not have it."""

    athlete_id: str
    session_date: dt.date
    session_no: int
    kind: str
    planned_min: int
    duration_min: int
    effort_0_10: float | None
    is_logged: bool = True
    is_done: bool = True
    planned_effort_0_10: float = 0.0
    indoor: bool = False
    air_temperature_c: float | None = None


def _is_quiet_time(day: dt.date) -> bool:
    """In the last fortnight nobody misses by chance: the last week is decided by the cases alone."""
    return day > LAST_DAY - dt.timedelta(days=14)


def sessions() -> list[Session]:
    """Return every session and rest day of the squad, in order of athlete and day."""
    return [row for athlete in ATHLETES for day in DAYS for row in _day(athlete, day)]


def _day(athlete: Athlete, day: dt.date) -> list[Session]:
    who = athlete.athlete_id
    rng = chance("session", who, day)
    careless = 0.10 if who in CARELESS_LOGGERS else 0.0 if who in CAREFUL_LOGGERS else MISS_LOG
    # Draw everything before deciding, so that one case never shifts another day's chance.
    missed, unlogged, no_effort = rng.random() < MISS_SESSION, rng.random() < careless, rng.random() < 0.008
    noise = rng.normal(size=4)
    if _is_quiet_time(day) or week_number(day) == 0:
        missed = unlogged = no_effort = False
    if who == cases.ILL and day >= cases.ILL_FROM:
        missed = True
    slots = planned(athlete, day)
    if not slots or missed:
        planned_min = slots[0][1] if slots else 0
        row = Session(who, day, 1, slots[0][0] if slots else "recovery", planned_min, 0, 0.0, is_done=False)
        row.is_logged = not unlogged
        return [row]
    bias = 0.5 * float(chance("effort bias", who).normal())
    spread = 0.35 if _is_quiet_time(day) else 1.0
    made = []
    for number, (kind, minutes, effort) in enumerate(slots, start=1):
        duration = int(5 * round(minutes * (1 + 0.06 * spread * noise[2 * number - 2]) / 5))
        rated = effort + bias + 0.6 * spread * noise[2 * number - 1]
        if who == cases.SPIKE and day >= cases.LAST_WEEK:
            duration = int(5 * round(duration * 1.25 / 5))
            rated += 1.0
        rated = float(np.clip(round(2 * rated) / 2, 1, 10))
        made.append(Session(who, day, number, kind, minutes, max(duration, 15), rated, planned_effort_0_10=effort))
    for row in made:
        row.is_logged = not unlogged
        row.air_temperature_c = _temperature(day)
        row.indoor = row.kind == "strength"
        if no_effort:
            row.effort_0_10 = None
    return made


def _temperature(day: dt.date) -> float:
    """Return the day's invented air temperature, °C: warm in July, cool in November."""
    season = 12 + 8 * np.cos(2 * np.pi * (day.timetuple().tm_yday - 200) / 365)
    return float(round(season + 2.5 * float(chance("weather", day).normal())))


def plan_rows() -> list[dict[str, object]]:
    """Return the plan of the whole season, one row per planned session; beyond the next race the races alone."""
    rows: list[dict[str, object]] = []
    for athlete in ATHLETES:
        for offset in range((BLOCKS[-1].last + 1) * 7):
            day = week_start(0) + dt.timedelta(days=offset)
            for number, slot in enumerate(planned(athlete, day), start=1):
                rows.append(_plan_row(athlete, day, number, slot))
    return rows


def _plan_row(athlete: Athlete, day: dt.date, number: int, slot: Slot) -> dict[str, object]:
    kind, minutes, effort = slot
    fast, words = fast_metres_of(athlete, day, kind), text_of(athlete, day, kind)
    if athlete.athlete_id == cases.GAP and day == cases.GAP_ENDS:
        fast, words = 120, "4 x flying 30 m, all out, timed"
    return {
        "athlete_id": athlete.athlete_id, "planned_on": day, "plan_no": number, "kind": kind, "fast_metres": fast,
        "planned_min": minutes, "planned_effort_0_10": effort, "note": words or None,
    }  # fmt: skip


def closed_days(rows: list[Session]) -> list[dict[str, object]]:
    """Return the days the head coach closed: most of those nobody logged although the athlete rested."""
    return [
        {"athlete_id": row.athlete_id, "logged_on": row.session_date, "is_complete": True, "note": None}
        for row in rows
        if not row.is_logged and not row.is_done and chance("close", row.athlete_id, row.session_date).random() < 0.6
    ]
