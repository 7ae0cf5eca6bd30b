"""Invented squads for a federation: small ones over a year, simulated with the demo's formulas and other seeds.

A squad follows from its number alone, so that eight squads are the first eight of twenty. Nobody in them is planted to
show something, as in the demo; what holds over all of them is: a start improves the faster the younger somebody is,
squads differ a little, video reads a time less well than gates, and a tight week is more often followed by an injury.
"""

import csv
import datetime as dt
import io
import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from seed_data.squad import LAST_DAY
from seed_data.truth import (
    ELECTRONIC_SD_S,
    TAU_DAY_SD,
    TAU_REP_SD,
    VIDEO_RATE_HZ,
    VMAX_DAY_SD,
    VMAX_REP_SD,
    time_at,
)

SEED = 17
WEEKS = 52
ATHLETES = 10
RUNS_A_DAY = 3
RUN_UP_M = 30.0  # before the first gate of a flying run
STANDING_OFFSET_M = 0.5  # m behind the first gate

# Sizes over all squads: common practice, no source.
SQUAD_TAU_SD = 0.012  # share, between squads
PERSON_TAU_SD, PERSON_VMAX_SD = 0.035, 0.03  # share, between people of one sex and age
GAIN_TAU_A_YEAR = {16: 0.040, 18: 0.022, 24: 0.006}  # s of tau a year, by the age at the end
GAIN_SD = 0.006  # s a year
CHECKINS_SHARE = 0.85
INJURY_A_WEEK = 0.006  # in a week after an ordinary one
INJURY_AFTER_TIGHT = 0.15  # in a week after a tight one
TIGHT_WEEK = 0.06  # share of weeks that end with a tight hamstring
WEEKS_OUT = 4

# Who is in a squad, in this order: sex, age at the end of the year, event group. Those past the end begin again.
SLOTS: tuple[tuple[str, int, str], ...] = (
    ("f", 16, "short_sprints"), ("m", 16, "short_sprints"), ("f", 18, "short_sprints"), ("m", 18, "short_sprints"),
    ("f", 24, "short_sprints"), ("m", 24, "short_sprints"), ("f", 18, "short_sprints"), ("m", 24, "short_sprints"),
    ("f", 24, "short_sprints"), ("m", 18, "long_sprints"),
)  # fmt: skip
# fmt: off
FIRST_NAMES = {
    "f": ("Anwen", "Brita", "Calla", "Delia", "Edda", "Fenna", "Greta", "Hedda", "Ilka", "Jorun", "Kaisa", "Linnet",
          "Maren", "Nella", "Oona", "Petra"),
    "m": ("Aldo", "Bram", "Corin", "Dewi", "Eskil", "Fintan", "Gideon", "Halvor", "Ivo", "Jonty", "Kester", "Leif",
          "Milan", "Niall", "Osric", "Piers"),
}
LAST_NAMES = (
    "Ashwater", "Birkhollow", "Coldbrook", "Dunfell", "Elmgarth", "Farrowgate", "Gorseley", "Hazelwick", "Inglebeck",
    "Juniperley", "Kestrelby", "Larchmoor", "Mossbridge", "Nettleford", "Oatrigg", "Pinehurst", "Quarrystead",
    "Rushmead", "Sallowfen", "Thistlecombe",
)
SQUAD_NAMES = (
    "coldmere", "elmstrand", "gorsebank", "inglemoor", "larchend", "nettlefold", "pinewold", "rushbeck",
)
# fmt: on


@dataclass(frozen=True)
class Person:
    """One invented athlete of an invented squad, and the truth at the start of the year."""

    athlete_id: str
    display_name: str
    sex: str
    birth_date: dt.date
    event_group: str
    vmax_mps: float
    tau_s: float
    gain_s_per_year: float
    shares: bool
    withdrew_on: dt.date | None


def squad_key(number: int) -> str:
    """Return the key of an invented squad, from 1: its place, and again with a number past the last place."""
    place, again = (number - 1) % len(SQUAD_NAMES), (number - 1) // len(SQUAD_NAMES)
    return SQUAD_NAMES[place] + (f"-{again + 1}" if again else "")


def chance(*parts: object) -> np.random.Generator:
    """Return the seeded stream of one topic."""
    return np.random.Generator(np.random.PCG64([SEED, *(zlib.crc32(str(part).encode()) for part in parts)]))


def people(number: int, athletes: int = ATHLETES) -> list[Person]:
    """Return the people of a squad. Of ten, one said nothing on sharing, and of twenty one took it back."""
    rng = chance("squad", number)
    pace = 1 + SQUAD_TAU_SD * float(rng.normal())
    last = [str(name) for name in rng.permutation(LAST_NAMES)]
    first = {sex: [str(name) for name in rng.permutation(names)] for sex, names in FIRST_NAMES.items()}
    made = []
    for place in range(athletes):
        sex, age, group = SLOTS[place % len(SLOTS)]
        name = f"{first[sex][place % 16]} {last[place % len(last)]}" + ("" if place < 20 else f" {place}")
        own = chance("person", number, place)
        draw = own.normal(size=4)
        born = LAST_DAY - dt.timedelta(days=int(365.25 * age + own.integers(150, 360)))
        vmax = (8.9 if sex == "f" else 10.0) * {16: 0.95, 18: 0.98, 24: 1.0}[age] * (1 + PERSON_VMAX_SD * draw[0])
        tau = (1.08 if sex == "f" else 1.15) * {16: 1.03, 18: 1.01, 24: 1.0}[age] * pace * (1 + PERSON_TAU_SD * draw[1])
        withdrew = LAST_DAY - dt.timedelta(days=60) if place == 1 and number % 2 == 0 else None
        made.append(Person(
            name.lower().replace(" ", "-"), name, sex, born, group, float(vmax), float(tau),
            GAIN_TAU_A_YEAR[age] + GAIN_SD * float(draw[2]), place != athletes - 1 or number % 2 == 0, withdrew,
        ))  # fmt: skip
    return made


def squad_files(number: int, athletes: int = ATHLETES, weeks: int = WEEKS) -> dict[str, bytes]:
    """Return the files of one squad, by name, that end on the demo's last day."""
    members = people(number, athletes)
    first_monday = LAST_DAY + dt.timedelta(days=1) - dt.timedelta(weeks=weeks)
    told: dict[str, list[dict[str, object]]] = {
        "roster.csv": [
            {"athlete_id": one.athlete_id, "display_name": one.display_name, "sex": one.sex,
             "birth_date": one.birth_date, "event_group": one.event_group, "squad": "all"}
            for one in members
        ],
        "consent.csv": [
            {"athlete_id": one.athlete_id, "topic": "sharing", "given_on": first_monday, "given_by": "athlete",
             "withdrawn_on": one.withdrew_on}
            for one in members if one.shares
        ],
        "sessions.csv": [], "runs.csv": [], "checkins.csv": [], "injuries.csv": [],
    }  # fmt: skip
    for one in members:
        out_until = first_monday
        tight_before = False
        for week in range(weeks):
            monday = first_monday + dt.timedelta(weeks=week)
            rng = chance("week", number, one.athlete_id, monday)
            is_out = monday < out_until
            hurt = not is_out and bool(rng.random() < (INJURY_AFTER_TIGHT if tight_before else INJURY_A_WEEK))
            tight_before = not is_out and not hurt and bool(rng.random() < TIGHT_WEEK)
            if hurt:
                onset = monday + dt.timedelta(days=int(rng.integers(1, 5)))
                out_until = monday + dt.timedelta(weeks=WEEKS_OUT)
                told["injuries.csv"].append({
                    "athlete_id": one.athlete_id, "onset_on": onset, "site": "hamstring",
                    "side": "lr"[int(rng.integers(2))], "kind": "strain", "mechanism": "sprinting",
                    "stopped_training": "yes",
                    "returned_on": out_until if out_until <= LAST_DAY else None,
                })  # fmt: skip
            _add_week(told, one, number, monday, rests=is_out or hurt, tight=tight_before)
    return {name: _as_csv(rows) for name, rows in told.items() if rows}


def _add_week(
    told: Mapping[str, list[dict[str, object]]], one: Person, number: int, monday: dt.date, *, rests: bool, tight: bool
) -> None:
    rng = chance("training", number, one.athlete_id, monday)
    kinds = ("acceleration", "strength", "tempo", "recovery", "top_speed", "strength", None)
    for weekday, kind in enumerate(kinds):
        day = monday + dt.timedelta(days=weekday)
        done = kind is not None and not (rests and kind != "recovery")
        minutes = int(5 * round(float(rng.normal(75, 8)) / 5)) if done else 0
        told["sessions.csv"].append({
            "athlete_id": one.athlete_id, "session_date": day, "session_no": 1, "kind": kind or "recovery",
            "duration_min": minutes,
            "effort_0_10": float(np.clip(round(2 * float(rng.normal(5.5, 0.8))) / 2, 1, 10)) if done else 0.0,
        })  # fmt: skip
        if done and kind == "acceleration":
            told["runs.csv"].extend(_starts(one, number, day))
        if done and kind == "top_speed":
            told["runs.csv"].extend(_flying(one, number, day))
        if rng.random() < CHECKINS_SHARE:
            answers = np.clip(np.rint(4 + 0.6 * rng.normal(size=5)), 1, 5)
            is_tight = tight and weekday >= 4
            told["checkins.csv"].append({
                "athlete_id": one.athlete_id, "checked_on": day,
                "sleep_h": float(np.clip(round(4 * float(rng.normal(7.8, 0.6))) / 4, 5, 10)),
                **dict(zip(("sleep_quality", "fatigue", "soreness", "stress", "mood"), map(int, answers), strict=True)),
                "hamstring_tightness_l": int(rng.integers(4, 7)) if is_tight else int(rng.random() < 0.2),
                "hamstring_tightness_r": int(rng.random() < 0.2), "pain": 0, "ill": "no",
            })  # fmt: skip


def _starts(one: Person, number: int, day: dt.date) -> Iterator[dict[str, object]]:
    """Yield the splits of a day's runs: from blocks with gates; every fourth week on video; some squads standing."""
    rng = chance("runs", number, one.athlete_id, day)
    years = (day - LAST_DAY).days / 365.25 + 1
    form = rng.normal(size=2)
    week = day.toordinal() // 7
    start = "standing" if number % 2 and week % 2 else "blocks"
    timing = "video" if start == "blocks" and week % 4 == 0 else "electronic"
    clock = "first_gate" if start == "standing" else "first_movement" if timing == "video" else "gun"
    for run in range(1, RUNS_A_DAY + 1):
        draw = rng.normal(size=2)
        tau = (one.tau_s - one.gain_s_per_year * years) * (1 + TAU_DAY_SD * form[0] + TAU_REP_SD * draw[0])
        vmax = one.vmax_mps * (1 + VMAX_DAY_SD * form[1] + VMAX_REP_SD * draw[1])
        reaction = float(np.clip(0.155 + 0.014 * float(rng.normal()), 0.112, 0.24))
        behind = STANDING_OFFSET_M if start == "standing" else 0.0
        hidden = time_at(behind, vmax, tau) if behind else 0.0
        for gate in (10.0, 20.0, 30.0) if timing == "electronic" else (3.0, 5.0, 10.0):
            true = time_at(gate + behind, vmax, tau) - hidden + (reaction if clock == "gun" else 0.0)
            if timing == "video":
                seen = round(int(np.ceil(true * VIDEO_RATE_HZ + 1.5 * float(rng.normal()))) / VIDEO_RATE_HZ, 3)
            else:
                seen = round(true + ELECTRONIC_SD_S * float(rng.normal()), 2)
            yield {
                "athlete_id": one.athlete_id, "session_date": day, "session_no": 1, "rep_no": run, "distance_m": gate,
                "elapsed_s": seen, "start_kind": start, "clock_start": clock, "timing_kind": timing,
                "gate_offset_m": behind or None, "reaction_s": round(reaction, 3) if clock == "gun" else None,
                "effort_percent": 100, "outcome": "completed",
            }  # fmt: skip


def _flying(one: Person, number: int, day: dt.date) -> Iterator[dict[str, object]]:
    """Yield the splits of two flying 30 m, so that fast running has its due."""
    rng = chance("flying", number, one.athlete_id, day)
    for run in (1, 2):
        vmax = one.vmax_mps * (1 + VMAX_DAY_SD * float(rng.normal()))
        before = time_at(RUN_UP_M, vmax, one.tau_s)
        for gate in (10.0, 20.0, 30.0):
            true = time_at(gate + RUN_UP_M, vmax, one.tau_s) - before
            yield {
                "athlete_id": one.athlete_id, "session_date": day, "session_no": 1, "rep_no": run, "distance_m": gate,
                "elapsed_s": round(true + ELECTRONIC_SD_S * float(rng.normal()), 2), "start_kind": "rolling",
                "clock_start": "first_gate", "timing_kind": "electronic", "gate_offset_m": None, "reaction_s": None,
                "effort_percent": 100, "outcome": "completed",
            }  # fmt: skip


def _as_csv(rows: Sequence[Mapping[str, object]]) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, fieldnames=list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows({key: "" if value is None else value for key, value in row.items()} for row in rows)
    return out.getvalue().encode()
