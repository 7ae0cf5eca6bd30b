"""Races of the season and what was decided at the last reviews."""

import datetime as dt

import numpy as np

from seed_data import cases
from seed_data.programme import RACE_DAYS, is_hurt
from seed_data.squad import ATHLETES, chance
from seed_data.truth import day_profile, time_at

# s lost per race beyond the straight-line model: running on, bends, hurdles. Common practice, no source.
BEYOND = {"100": 0.18, "200": 0.95, "400": 5.6, "100h": 2.20, "110h": 2.45, "400h": 9.5}


def races() -> list[dict[str, object]]:
    """Return the race results of the summer, with two unfinished races among them."""
    rows: list[dict[str, object]] = []
    for day in RACE_DAYS:
        for athlete in ATHLETES:
            rng = chance("race", athlete.athlete_id, day)
            if rng.random() < 0.12 or is_hurt(athlete.athlete_id, day):
                continue
            for event in athlete.events:
                rows.extend(_race(athlete.athlete_id, day, event, rng))
    rows[7]["time_s"] = rows[61]["time_s"] = None
    rows[7]["place"] = rows[61]["place"] = None
    return rows


def _race(who: str, day: dt.date, event: str, rng: np.random.Generator) -> list[dict[str, object]]:
    vmax, tau = day_profile(who, day)
    metres = float(event.rstrip("h"))
    reaction = float(np.clip(0.155 + 0.015 * rng.normal(), 0.115, 0.22))
    wind = round(float(rng.normal(0.2, 1.1)), 1) if event in {"100", "200", "100h", "110h"} else None
    rows = []
    for name in ("heat", "final") if event == "100" and rng.random() < 0.5 else ("final",):
        time = time_at(metres, vmax, tau) + reaction + BEYOND[event] + 0.006 * metres * float(rng.normal()) / 10
        rows.append({
            "athlete_id": who, "raced_on": day, "event": event, "round": name,
            "time_s": float(np.ceil(100 * time) / 100), "wind_ms": wind, "timing_kind": "electronic",
            "reaction_s": round(reaction, 3), "place": int(rng.integers(1, 9)), "altitude_m": 20,
        })  # fmt: skip
        reaction = float(np.clip(0.155 + 0.015 * rng.normal(), 0.115, 0.22))
    return rows


def _told(said: list[tuple[str, dt.date, str, str, str | None]]) -> list[dict[str, object]]:
    """Return decisions with when they were made: on the start's work on the Monday morning, before the week in which
    the files show it done or not done; on all else at the review of Sunday evening.
    """
    sunday = dt.timedelta(days=6)
    return [
        {
            "athlete_id": who, "week_of": week, "topic": topic, "call": call, "note": note, "decided_by": "coach",
            "decided_at": dt.datetime.combine(week, dt.time(7, 20 + number)) if topic == "start_work"
            else dt.datetime.combine(week + sunday, dt.time(18, 20 + number)),
        }
        for number, (who, week, topic, call, note) in enumerate(said)
    ]  # fmt: skip


def earlier_decisions() -> list[dict[str, object]]:
    """Return what was decided in the general block: who was to do what, which the files show done or not done."""
    september, october, sleds = dt.date(2026, 9, 7), dt.date(2026, 9, 28), dt.date(2026, 10, 5)
    return _told(
        [
            (
                "severine-marlowe-quist",
                september,
                "start_work",
                "film the set position twice",
                "shin sinks before the push",
            ),
            (cases.RETURNS, dt.date(2026, 9, 14), "training", "no running", "right hamstring, with the clinic"),
            ("rune-halvard-okoro", october, "start_work", "first three steps from blocks twice", None),
            ("asa-lindenmoor", october, "start_work", "longer first push, film once", None),
            ("teo-brandmere", sleds, "start_work", "sled twice, light to heavy", "three weeks, then look again"),
            ("kofi-lindqvale", sleds, "start_work", "sled twice, light to heavy", None),
            ("bastian-thornlea", sleds, "start_work", "sled twice, light to heavy", None),
            (
                "tobiah-greaveslake",
                dt.date(2026, 10, 12),
                "start_work",
                "leave the ground earlier",
                "knee locks at toe-off",
            ),
            (cases.RETURNS, dt.date(2026, 10, 19), "hamstring", "whole session, no racing starts yet", None),
            (
                "jory-threlkeld",
                dt.date(2026, 10, 19),
                "start_work",
                "hip-flexor cable work three times",
                "level since August",
            ),
            (
                "jory-threlkeld",
                dt.date(2026, 10, 26),
                "start_work",
                "hip-flexor cable work three times",
                "once only: the cable was in use",
            ),
        ]
    )


def decisions() -> list[dict[str, object]]:
    """Return what was decided at the two reviews before this one."""
    first, second = dt.date(2026, 11, 2), dt.date(2026, 11, 9)
    said = [
        ("teo-brandmere", first, "start_work", "heavy sled twice, three then six steps", None),
        ("kofi-lindqvale", first, "start_work", "heavy sled twice", None),
        ("dilys-fernbank", second, "start_work", "longer first two pushes", "rushes since the new spikes"),
        ("tobiah-greaveslake", second, "start_work", "quicker recovery, leave the ground earlier", None),
        ("severine-marlowe-quist", second, "start_work", "set position a little lower", None),
        ("caspian-wray", second, "hamstring", "eccentric work twice, no full speed on bends yet", "agreed with clinic"),
        ("emeka-sandiforth", second, "hamstring", "single-leg eccentric work on the right", None),
        ("ottilie-marrowby", second, "training", "no maximal runs for two weeks, exams", None),
        ("teo-brandmere", second, "start_work", "keep", None),
        ("ines-quarrington", second, "training", "as planned", None),
    ]
    return _told(said)
