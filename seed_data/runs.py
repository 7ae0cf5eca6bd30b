"""Timed runs: from the truth of each run to the splits a gate, a video or a stopwatch showed."""

import datetime as dt
from dataclasses import dataclass, field

import numpy as np

from seed_data import cases
from seed_data.programme import runs_of
from seed_data.squad import BY_ID, Athlete, chance, week_number
from seed_data.truth import (
    ELECTRONIC_SD_S,
    VIDEO_RATE_HZ,
    Rep,
    distance_at,
    rep_profile,
    sled_profile,
    time_at,
)
from seed_data.weeks import Session

STANDING_OFFSET_M = 0.5  # m behind the first gate
RUN_UP_M = 30.0  # m before the first gate of a flying run
HAND_LAG_S, HAND_SD_S = 0.20, 0.07  # a watch started on the gun's smoke reads about 0.2 s fast (common practice)
SLED_LOADS = (0.0, 0.2, 0.4, 0.6, 0.8)  # share of body mass
HEAVY_LOADS = (0.6, 0.8)
FORTY = (10.0, 20.0, 30.0, 40.0)


@dataclass
class Run:
    """One timed run: its truth, and what was written down."""

    athlete_id: str
    session_date: dt.date
    session_no: int
    rep_no: int
    sheet: str  # which kind of sheet it was written on: starts, flying, video, hand, sled
    distance_m: float
    start_kind: str
    clock_start: str
    timing_kind: str
    truth: Rep
    splits: dict[float, float] = field(default_factory=dict)
    gate_offset_m: float | None = None
    reaction_s: float | None = None
    true_reaction_s: float | None = None
    wind_ms: float | None = None
    resistance_kind: str = "none"
    resistance_load_kg: float | None = None
    effort_percent: float | None = 100.0
    outcome: str = "completed"
    is_filmed: bool = False


def timed_runs(sessions: list[Session]) -> list[Run]:
    """Return every timed run of the squad in order of athlete, day and run."""
    made: list[Run] = []
    for session in sessions:
        if session.is_done and session.kind in {"acceleration", "top_speed"}:
            runs = _acceleration(session) if session.kind == "acceleration" else _top_speed(session)
            for number, run in enumerate(runs, start=1):
                run.rep_no = number
            made.extend(runs)
    return made


def _new(session: Session, sheet: str, distance_m: float, start: str, clock: str, timing: str, truth: Rep) -> Run:
    key = (session.athlete_id, session.session_date, session.session_no)
    return Run(*key, 0, sheet, distance_m, start, clock, timing, truth)


def _electronic(times: dict[float, float], rng: np.random.Generator) -> dict[float, float]:
    """Return the times as gates show them: a small error each, rounded to 0.01 s."""
    return {at: round(time + ELECTRONIC_SD_S * float(rng.normal()), 2) for at, time in times.items()}


def from_blocks(session: Session, gates: tuple[float, ...], rng: np.random.Generator) -> Run:
    """Blocks, clock on the gun: elapsed = reaction + t(x)."""
    truth = rep_profile(session.athlete_id, session.session_date, rng)
    usual = 0.155 + 0.012 * float(chance("reaction", session.athlete_id).normal())
    reaction = float(np.clip(usual + 0.014 * float(rng.normal()), 0.112, 0.24))
    run = _new(session, "starts", gates[-1], "blocks", "gun", "electronic", truth)
    run.true_reaction_s = reaction
    run.reaction_s = round(reaction, 3)
    times = {gate: reaction + time_at(gate, truth.vmax_mps, truth.tau_s) for gate in gates}
    run.splits = _electronic(times, rng)
    return run


def from_standing(session: Session, gates: tuple[float, ...], rng: np.random.Generator) -> Run:
    """Standing behind the first gate, clock on that gate: elapsed = t(x + d) - t(d)."""
    truth = rep_profile(session.athlete_id, session.session_date, rng)
    run = _new(session, "starts", gates[-1], "standing", "first_gate", "electronic", truth)
    run.gate_offset_m = STANDING_OFFSET_M
    hidden = time_at(STANDING_OFFSET_M, truth.vmax_mps, truth.tau_s)
    times = {g: time_at(g + STANDING_OFFSET_M, truth.vmax_mps, truth.tau_s) - hidden for g in gates}
    run.splits = _electronic(times, rng)
    return run


def flying(session: Session, share: float, rng: np.random.Generator) -> Run:
    """A flying 30 m after a run-up, clock on the first gate; ``share`` is the part of own speed run at."""
    truth = rep_profile(session.athlete_id, session.session_date, rng)
    run = _new(session, "flying", 30.0, "rolling", "first_gate", "electronic", truth)
    before = time_at(RUN_UP_M, truth.vmax_mps, truth.tau_s)
    gates = (10.0, 20.0, 30.0)
    times = {gate: (time_at(gate + RUN_UP_M, truth.vmax_mps, truth.tau_s) - before) / share for gate in gates}
    run.splits = _electronic(times, rng)
    run.effort_percent = 100.0 if share > 0.96 else float(round(100 * share / 5) * 5)
    return run


def by_video(session: Session, rng: np.random.Generator) -> Run:
    """Blocks filmed from the side: clock on the first movement, crossing times in whole frames."""
    truth = rep_profile(session.athlete_id, session.session_date, rng)
    run = _new(session, "video", 10.0, "blocks", "first_movement", "video", truth)
    phase = float(rng.random())
    for gate in (3.0, 5.0, 10.0):
        exact = time_at(gate, truth.vmax_mps, truth.tau_s) * VIDEO_RATE_HZ + phase + 0.7 * float(rng.normal())
        run.splits[gate] = round((int(np.ceil(exact)) - int(np.ceil(phase))) / VIDEO_RATE_HZ, 3)
    return run


def by_hand(session: Session, rng: np.random.Generator) -> Run:
    """Blocks, times by stopwatch from the gun, rounded up to 0.1 s: fast by about 0.2 s."""
    run = from_blocks(session, (30.0, 60.0), rng)
    run.sheet, run.timing_kind, run.distance_m, run.reaction_s = "hand", "hand", 60.0, None
    for gate in run.splits:
        exact = run.true_reaction_s or 0.0
        exact += time_at(gate, run.truth.vmax_mps, run.truth.tau_s) - HAND_LAG_S + HAND_SD_S * float(rng.normal())
        run.splits[gate] = round(float(np.ceil(10 * exact) / 10), 1)
    return run


def with_sled(session: Session, share: float, rng: np.random.Generator) -> Run:
    """Three-point start with a sled over 20 m, clock on the first movement."""
    athlete = BY_ID[session.athlete_id]
    free = rep_profile(session.athlete_id, session.session_date, rng)
    load = round(athlete.body_mass_kg * share / 2.5) * 2.5
    truth = sled_profile(free, load / athlete.body_mass_kg)
    run = _new(session, "sled", 20.0, "three_point", "first_movement", "electronic", truth)
    times = {gate: time_at(gate, truth.vmax_mps, truth.tau_s) for gate in (5.0, 10.0, 15.0, 20.0)}
    run.splits = _electronic(times, rng)
    run.resistance_kind = "sled" if load else "none"
    run.resistance_load_kg = load or None
    return run


def _acceleration(session: Session) -> list[Run]:
    athlete, day = BY_ID[session.athlete_id], session.session_date
    rng = chance("runs", session.athlete_id, day)
    if _is_hand_timed(athlete, day):
        return [by_hand(session, rng) for _ in range(3)]
    five = day >= dt.date(2026, 9, 28)  # a gate at 5 m was bought in September
    gates: tuple[float, ...] = (5.0, 10.0, 20.0, 30.0) if five else (10.0, 20.0, 30.0)
    runs: list[Run] = []
    for work in runs_of(athlete, day, "acceleration"):
        if work.sort == "blocks":
            at = {10: gates[: gates.index(10.0) + 1], 30: gates, 40: FORTY}[work.metres]
            runs.extend(from_blocks(session, at, rng) for _ in range(work.count))
        elif work.sort == "standing":
            runs.extend(from_standing(session, gates, rng) for _ in range(work.count))
        elif work.sort == "video":
            runs.append(by_video(session, rng))
        else:
            shares = SLED_LOADS if work.sort == "sled" else HEAVY_LOADS
            runs.extend(with_sled(session, share, rng) for share in shares)
    if day.weekday() != 5:
        for run in runs[:2]:
            run.is_filmed = True
    if rng.random() < 0.03:
        _spoil(runs[-1], "stopped" if rng.random() < 0.6 else "false_start")
    return runs


def _is_hand_timed(athlete: Athlete, day: dt.date) -> bool:
    return athlete.event_group == cases.HAND_GROUP and cases.HAND_FROM <= day <= cases.HAND_TO


def _spoil(run: Run, outcome: str) -> None:
    """A run that was broken off keeps its first gate; a false start has no time."""
    run.outcome = outcome
    first = min(run.splits)
    run.splits = {first: run.splits[first]} if outcome == "stopped" else {}
    if outcome == "false_start":
        run.reaction_s = None


def _top_speed(session: Session) -> list[Run]:
    athlete, day = BY_ID[session.athlete_id], session.session_date
    rng = chance("runs", session.athlete_id, day)
    if athlete.athlete_id == cases.GAP and day > cases.GAP_LAST_FAST:
        return [flying(session, 0.82, rng) for _ in range(3)]
    if _is_hand_timed(athlete, day):
        return [by_hand(session, rng) for _ in range(2)]
    runs: list[Run] = []
    for work in runs_of(athlete, day, "top_speed"):
        if work.sort == "build_up":
            runs.append(flying(session, 0.90, rng))
        elif work.sort == "flying":
            # The one whose hamstring tightens ran twice what was planned that week.
            twice = 2 if athlete.athlete_id == cases.TIGHT and day >= cases.LAST_WEEK else 1
            runs.extend(flying(session, float(rng.uniform(0.985, 1.0)), rng) for _ in range(twice * work.count))
        else:
            runs.append(from_blocks(session, FORTY, rng))
    if week_number(day) < 14:
        wind = round(float(chance("wind", day).normal(0.3, 1.0)), 1)
        for run in runs:
            run.wind_ms = wind
    return runs


def true_ten(run: Run) -> float:
    """Return the true time at 10 m of a run from its first movement, s."""
    return time_at(10.0, run.truth.vmax_mps, run.truth.tau_s)


def body_position(run: Run, time_s: float) -> float:
    """Return where the body is after a time from first movement, m from its place in the start."""
    return distance_at(time_s, run.truth.vmax_mps, run.truth.tau_s)
