"""Who is in the demo squad (all invented), the 26 weeks, and the seeded streams of chance."""

import datetime as dt
import zlib
from dataclasses import dataclass

import numpy as np

SEED = 7  # picked among nine, so that the one who stalls shows level; see README.md
FIRST_DAY = dt.date(2026, 5, 25)  # a Monday
LAST_DAY = dt.date(2026, 11, 22)  # the Sunday the demo is frozen at
WEEKS = 26
DAYS = tuple(FIRST_DAY + dt.timedelta(days=n) for n in range(WEEKS * 7))


@dataclass(frozen=True)
class Athlete:
    """One invented athlete and the true values at the start of the 26 weeks."""

    athlete_id: str
    display_name: str
    sex: str
    birth_date: dt.date
    event_group: str
    squad: str
    vmax_mps: float
    tau_s: float
    body_mass_kg: float
    height_m: float
    events: tuple[str, ...]


def _athlete(row: tuple[str, str, str, str, str, float, float, float, float, str]) -> Athlete:
    athlete_id, name, sex, born, group, vmax, tau, mass, height, events = row
    birth_date = dt.date.fromisoformat(born)
    # Under-20 by calendar year of birth: nobody turns 20 in the year of competition (common practice, no source).
    squad = "under-20" if birth_date.year >= 2007 else "senior"
    return Athlete(athlete_id, name, sex, birth_date, group, squad, vmax, tau, mass, height, tuple(events.split()))


# fmt: off
_ROWS: list[tuple[str, str, str, str, str, float, float, float, float, str]] = [
    # id, name, sex, born, group, vmax m/s, tau s, mass kg, height m, events
    ("marit-oakhollow", "Marit Oakhollow", "f", "2001-04-18", "short_sprints", 9.15, 1.050, 60.5, 1.70, "100 200"),
    ("teo-brandmere", "Teo Brandmere", "m", "2000-11-02", "short_sprints", 10.05, 1.170, 76.0, 1.81, "100"),
    ("dilys-fernbank", "Dilys Fernbank", "f", "2003-01-27", "short_sprints", 8.90, 1.020, 57.0, 1.66, "100 200"),
    ("per-ashdown", "Per Ashdown", "m", "1998-07-09", "short_sprints", 10.20, 1.120, 81.5, 1.86, "100 200"),
    ("severine-marlowe-quist", "Séverine Marlowe-Quist", "f", "1999-09-14", "short_sprints", 9.00, 1.060, 62.0, 1.72,
     "100"),
    ("kofi-lindqvale", "Kofi Lindqvale", "m", "2004-03-30", "short_sprints", 10.10, 1.100, 78.0, 1.79, "100"),
    ("ngaio-ofenwick", "Ngaio O'Fenwick", "f", "2008-06-05", "short_sprints", 8.55, 1.060, 55.5, 1.65, "100 200"),
    ("bastian-thornlea", "Bastian Thornlea", "m", "1997-12-12", "short_sprints", 10.30, 1.140, 84.0, 1.84, "100"),
    ("rune-halvard-okoro", "Rune Halvard-Okoro", "m", "2002-05-21", "long_sprints", 9.95, 1.190, 77.5, 1.87,
     "200 400"),
    ("jory-threlkeld", "Jory Threlkeld", "m", "2000-08-03", "long_sprints", 9.80, 1.160, 74.0, 1.83, "400"),
    ("ottilie-marrowby", "Ottilie Marrowby", "f", "2001-10-25", "long_sprints", 8.80, 1.110, 58.5, 1.71, "200 400"),
    ("ismene-castellow", "Ismène Castellow", "f", "2007-02-16", "long_sprints", 8.45, 1.100, 56.0, 1.69, "400"),
    ("dario-wexcombe", "Dario Wexcombe", "m", "2008-09-08", "long_sprints", 9.40, 1.180, 70.5, 1.80, "400"),
    ("ines-quarrington", "Ines Quarrington", "f", "2000-02-11", "hurdles", 8.85, 1.060, 61.5, 1.74, "100h"),
    ("asa-lindenmoor", "Åsa Lindenmoor", "f", "2004-12-19", "hurdles", 8.60, 1.090, 60.0, 1.73, "100h 400h"),
    ("tobiah-greaveslake", "Tobiah Greaveslake", "m", "1999-06-23", "hurdles", 9.85, 1.150, 80.0, 1.89, "110h"),
    ("luca-pemberwick", "Luca Pemberwick", "m", "2009-03-07", "hurdles", 9.25, 1.160, 68.0, 1.82, "110h"),
    ("caspian-wray", "Caspian Wray", "m", "2001-01-15", "horizontal_jumps", 9.90, 1.160, 77.0, 1.88, "100"),
    ("zofia-hartslow", "Zofia Hartslow", "f", "2010-02-24", "horizontal_jumps", 8.30, 1.110, 54.0, 1.68, "100"),
    ("emeka-sandiforth", "Emeka Sandiforth", "m", "2003-08-28", "horizontal_jumps", 9.75, 1.130, 79.5, 1.85, "100"),
    ("maelle-dunmoor", "Maëlle Dunmoor", "f", "2009-08-12", "horizontal_jumps", 8.40, 1.090, 57.5, 1.72, "100"),
    ("noemi-starling-pace", "Noemi Starling-Pace", "f", "2002-03-04", "combined_events", 8.65, 1.100, 64.5, 1.76,
     "100h 200"),
    ("yusuf-carrowmere", "Yusuf Carrowmere", "m", "2000-05-29", "combined_events", 9.60, 1.170, 83.0, 1.90,
     "100 400 110h"),
    ("bjorn-eastlake", "Björn Eastlake", "m", "2007-11-30", "combined_events", 9.45, 1.180, 81.0, 1.91,
     "100 400 110h"),
]
# fmt: on

ATHLETES: tuple[Athlete, ...] = tuple(_athlete(row) for row in _ROWS)
BY_ID: dict[str, Athlete] = {athlete.athlete_id: athlete for athlete in ATHLETES}


def chance(*parts: object) -> np.random.Generator:
    """Return the seeded stream of one topic: ``chance("gym", athlete_id)``; topics do not disturb each other."""
    return np.random.Generator(np.random.PCG64([SEED, *(zlib.crc32(str(part).encode()) for part in parts)]))


def week_number(day: dt.date) -> int:
    """Return the week of a day, 0 for the first of the 26."""
    return (day - FIRST_DAY).days // 7


def week_start(week: int) -> dt.date:
    """Return the Monday of a week, 0 for the first of the 26."""
    return FIRST_DAY + dt.timedelta(days=7 * week)
