"""The training calendar: what was planned for each day, what was done of it, and which days nobody logged."""

import datetime as dt
from dataclasses import dataclass

import numpy as np

from seed_data import cases
from seed_data.squad import ATHLETES, DAYS, LAST_DAY, WEEKS, Athlete, chance, week_number, week_start

Slot = tuple[str, int, float]  # kind, minutes, effort 0 to 10
REST: tuple[Slot, ...] = ()

# Monday to Sunday, by event group: common practice, no source.
TEMPLATES: dict[str, tuple[tuple[Slot, ...], ...]] = {
    "short_sprints": (
        (("acceleration", 90, 6),),
        (("strength", 75, 6),),
        (("top_speed", 80, 7), ("plyometric", 35, 4)),
        (("recovery", 30, 2),),
        (("strength", 70, 6),),
        (("acceleration", 85, 7),),
        REST,
    ),
    "long_sprints": (
        (("top_speed", 80, 6),),
        (("strength", 70, 6),),
        (("tempo", 60, 5),),
        (("acceleration", 75, 6),),
        (("strength", 60, 5),),
        (("speed_endurance", 80, 8),),
        REST,
    ),
    "hurdles": (
        (("acceleration", 85, 6),),
        (("strength", 70, 6),),
        (("technique", 80, 5),),
        (("top_speed", 75, 7),),
        (("strength", 65, 6),),
        (("technique", 90, 7),),
        REST,
    ),
    "horizontal_jumps": (
        (("acceleration", 80, 6),),
        (("strength", 75, 6),),
        (("plyometric", 70, 6),),
        REST,
        (("strength", 70, 6),),
        (("top_speed", 85, 7),),
        REST,
    ),
    "combined_events": (
        (("technique", 90, 5),),
        (("acceleration", 80, 6),),
        (("strength", 80, 6),),
        (("top_speed", 75, 7),),
        (("technique", 100, 6),),
        (("strength", 75, 6),),
        REST,
    ),
}

# The 26 weeks: lighter every fourth, half work in the two weeks after the season (end of August), week 26 ordinary.
WEEK_SHARE = np.array([
    1.00, 1.05, 1.08, 0.80, 1.00, 1.04, 1.08, 0.80, 0.98, 1.02, 0.95, 0.75, 0.55, 0.55,
    0.92, 0.98, 1.03, 0.80, 1.00, 1.05, 1.08, 0.82, 1.00, 1.06, 1.09, 1.02,
])  # fmt: skip

RACE_DAYS = {
    dt.date(2026, 6, 13): "Fenmouth", dt.date(2026, 6, 27): "Saltmarsh", dt.date(2026, 7, 11): "Oldhythe",
    dt.date(2026, 7, 25): "Saltmarsh", dt.date(2026, 8, 8): "Westering",
}  # fmt: skip
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


def planned(athlete: Athlete, day: dt.date) -> list[Slot]:
    """Return the sessions planned for a day; none on a rest day."""
    slots = list(TEMPLATES[athlete.event_group][day.weekday()])
    share = float(WEEK_SHARE[min(week_number(day), WEEKS - 1)])
    if day in RACE_DAYS:
        return [("race", 120, 8.0)]
    if day.weekday() == 3 and athlete.event_group == "short_sprints" and week_number(day) % 2:
        slots = []
    if athlete.athlete_id == cases.RETURNS and cases.STRAIN_ON < day < cases.RETURNED_ON:
        slots = [("recovery", 45, 3.0)] if day.weekday() in {0, 2, 5} else slots
        slots = [slot for slot in slots if slot[0] in {"recovery", "strength"}]
    return [(kind, int(5 * round(minutes * share / 5)), effort) for kind, minutes, effort in slots]


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
    """Return the plan of the last four weeks and of the week to come, one row per planned session."""
    rows: list[dict[str, object]] = []
    for athlete in ATHLETES:
        for offset in range(5 * 7):
            day = week_start(WEEKS - 4) + dt.timedelta(days=offset)
            for number, (kind, minutes, effort) in enumerate(planned(athlete, day), start=1):
                fast = {"top_speed": 120, "speed_endurance": 90, "acceleration": 40}.get(kind, 0)
                if athlete.athlete_id == cases.GAP and cases.GAP_LAST_FAST < day <= cases.GAP_TO:
                    fast = 0
                note = "all out, timed" if athlete.athlete_id == cases.GAP and day == dt.date(2026, 11, 23) else None
                rows.append({
                    "athlete_id": athlete.athlete_id, "planned_on": day, "plan_no": number, "kind": kind,
                    "fast_metres": fast, "planned_min": minutes, "planned_effort_0_10": effort, "note": note,
                })  # fmt: skip
    return rows


def closed_days(rows: list[Session]) -> list[dict[str, object]]:
    """Return the days the head coach closed: most of those nobody logged although the athlete rested."""
    return [
        {"athlete_id": row.athlete_id, "logged_on": row.session_date, "is_complete": True, "note": None}
        for row in rows
        if not row.is_logged and not row.is_done and chance("close", row.athlete_id, row.session_date).random() < 0.6
    ]
