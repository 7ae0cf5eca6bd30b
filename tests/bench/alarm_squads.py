"""Squads on which nothing is wrong, and the same squads with something planted. No rule of the project made them.

A season of 24 athletes as record tables. Every athlete has a noise, a drift and a way of answering of their own;
load and fast metres follow a plan that grows for three weeks and eases in the fourth; tests have errors of the size
that is published. What is planted is added to the same random numbers, so that a squad and its twin differ by it alone.

Sizes: eccentric force, test to test 6 % (typical error 5.8 to 8.5 %: Opar et al. 2013, J Orthop Sports Phys Ther 43,
from memory); jump height 3.5 % (2.4 to 4.6 %: Markovic et al. 2004, J Strength Cond Res 18); gates 5 ms; answers and
loads: common practice, no source.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import polars as pl

from schemas.records import RECORDS

ATHLETES, WEEKS = 24, 36
FIRST = dt.date(2026, 1, 5)  # a Monday
LAST = FIRST + dt.timedelta(days=7 * WEEKS - 1)
PLAN_SHAPE = (1.0, 1.08, 1.16, 0.72)  # of a block of four weeks
SESSIONS = ((0, "top_speed", 80, 7), (1, "strength", 60, 6), (3, "acceleration", 70, 6), (4, "strength", 60, 6),
            (5, "top_speed", 80, 7))  # fmt: skip
FAST_METRES = 90.0  # planned in one of the two top-speed sessions of a usual week
FLY_M = 30.0  # length of a flying run, gates every 10 m
ITEMS = ("sleep_quality", "fatigue", "soreness", "stress", "mood")
PLANTED = ("strain", "drop", "growth", "fatigue")
STRAIN_A_DAY, STRAIN_DAYS = 0.8, 5  # steps of tightness, building over five days
DROP = 0.85  # of one side's eccentric force
GROWTH = (1.4, 1.96, 2.74)  # times the planned fast metres in three weeks: 40 % more each week
FATIGUE_SPREADS, FATIGUE_DAYS = 2.0, 4  # own spreads of freshness, muscles and mood


@dataclass(frozen=True)
class Squad:
    """A record, and the day from which something is wrong with an athlete, by what it is."""

    record: dict[str, pl.DataFrame]
    planted_on: Mapping[str, Mapping[str, dt.date]] = field(default_factory=dict)
    as_of: dt.date = LAST


def make_squad(seed: int, *, planted: bool = False) -> Squad:
    """Return a squad of a season; with ``planted``, each athlete has one thing wrong from a day on."""
    # A stream for each part: what is planted in one leaves the numbers of all others as they are.
    streams = [np.random.default_rng([20261130, seed, part]) for part in range(7)]
    names = [f"a{number:02d}" for number in range(ATHLETES)]
    on_day = _planting_days(np.random.default_rng([7, seed])) if planted else {}
    days = np.arange(7 * WEEKS)
    block = np.array(PLAN_SHAPE)[np.arange(WEEKS) % 4] * (1 + 0.004 * np.arange(WEEKS))
    done = _sessions(streams[0], block)
    runs, splits = _runs(streams[1], block, done, _start(on_day, "growth"))
    record = {
        "athlete": _frame("athlete", athlete_id=names, display_name=names, sex=["m", "f"] * (ATHLETES // 2)),
        "checkin": _checkins(streams[2], days, done, _start(on_day, "strain"), _start(on_day, "fatigue")),
        "force_test": _force_tests(streams[3], _start(on_day, "drop")),
        "jump_test": _jump_tests(streams[4]),
        "body_measure": _frame("body_measure", athlete_id=names, measured_on=[FIRST] * ATHLETES,
                               body_mass_kg=streams[5].normal(72, 8, ATHLETES)),
        "exercise": _frame("exercise", exercise=["nordic_lower"], family=["hamstring_eccentric"]),
        "rep": runs, "split": splits, **_plan_and_log(streams[6], block, done),
        "injury": _frame("injury", athlete_id=[]), "rest_day": _frame("rest_day", athlete_id=[]),
    }  # fmt: skip
    wrong = {kind: {names[who]: _day(at) for who, at in rows.items()} for kind, rows in on_day.items()}
    return Squad(record, wrong)


def _planting_days(rng: np.random.Generator) -> dict[str, dict[int, int]]:
    """Deal the four things to the athletes, each from a Monday late enough that own usual is known."""
    order = rng.permutation(ATHLETES)
    share = ATHLETES // len(PLANTED)
    return {
        kind: {int(who): 7 * int(rng.integers(20, 28)) for who in order[number * share : (number + 1) * share]}
        for number, kind in enumerate(PLANTED)
    }


def _start(on_day: Mapping[str, Mapping[int, int]], kind: str) -> np.ndarray:
    """Return for each athlete the day something begins; far behind the season where it never does."""
    begins = np.full(ATHLETES, 10**6)
    for who, at in on_day.get(kind, {}).items():
        begins[who] = at
    return begins


def _sessions(rng: np.random.Generator, block: np.ndarray) -> dict[str, np.ndarray]:
    """Return minutes and effort done, athletes x weeks x sessions; 0 minutes where one was missed."""
    shape = (ATHLETES, WEEKS, len(SESSIONS))
    planned = np.array([minutes for _, _, minutes, _ in SESSIONS]) * block[:, None]
    effort = np.array([effort for _, _, _, effort in SESSIONS])
    minutes = np.round(planned * np.exp(rng.normal(0, 0.08, shape)) / 5) * 5
    came = rng.random(shape) > 0.03
    own = rng.normal(0, 0.5, (ATHLETES, 1, 1))
    felt = np.clip(np.round(effort + own + rng.normal(0, 0.8, shape)), 1, 10)
    return {"minutes": np.where(came, minutes, 0), "effort": felt, "planned": np.broadcast_to(planned, shape)}


def _plan_and_log(rng: np.random.Generator, block: np.ndarray, done: dict[str, np.ndarray]) -> dict[str, pl.DataFrame]:
    who, week, place = (a.ravel() for a in np.indices(done["minutes"].shape))
    day = 7 * week + np.array([s[0] for s in SESSIONS])[place]
    kind = np.array([s[1] for s in SESSIONS])[place]
    fast = np.where(kind == "top_speed", np.round(FAST_METRES * block[week] / FLY_M) * FLY_M, 0.0)
    minutes = done["minutes"].ravel()
    plan = _rows("plan", who, day, "planned_on", plan_no=np.ones(len(who), int), kind=kind, fast_metres=fast,
                 planned_min=done["planned"].ravel(),
                 planned_effort_0_10=np.array([float(s[3]) for s in SESSIONS])[place])  # fmt: skip
    session = _rows("session", who, day, "session_date", session_no=np.ones(len(who), int), kind=kind,
                    duration_min=minutes, effort_0_10=done["effort"].ravel())  # fmt: skip
    every, days = (a.ravel() for a in np.indices((ATHLETES, 7 * WEEKS)))
    logged = rng.random(len(every)) > 0.004
    day_log = _rows("day_log", every[logged], days[logged], "logged_on", is_complete=np.ones(logged.sum(), bool))
    lifts = (kind == "strength") & (minutes > 0) & (place == 1)
    lift_set = _rows("lift_set", who[lifts], day[lifts], "session_date", session_no=np.ones(lifts.sum(), int),
                     exercise=np.full(lifts.sum(), "nordic_lower"), set_no=np.ones(lifts.sum(), int),
                     side=np.full(lifts.sum(), "both"), reps=np.full(lifts.sum(), 5))  # fmt: skip
    return {"plan": plan, "session": session, "day_log": day_log, "lift_set": lift_set}


def _runs(
    rng: np.random.Generator, block: np.ndarray, done: dict[str, np.ndarray], growth: np.ndarray
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Return flying runs of the top-speed sessions with gates every 10 m, and starts of the acceleration sessions."""
    most = 16
    shape = (ATHLETES, WEEKS, 2, most)
    since = np.arange(WEEKS)[None, :] - growth[:, None] // 7
    more = np.where((since >= 0) & (since < 3), np.array(GROWTH)[np.clip(since, 0, 2)], 1.0)
    metres = FAST_METRES * block[None, :] * more * np.exp(rng.normal(0, 0.12, (ATHLETES, WEEKS)))
    count = np.round(metres[:, :, None] / FLY_M + rng.uniform(-0.3, 0.3, shape[:3]))
    came = done["minutes"][:, :, [0, 4]] > 0
    speed = rng.normal(9.4, 0.5, (ATHLETES, 1, 1, 1)) * np.exp(
        rng.normal(0, 0.010, (ATHLETES, WEEKS, 2, 1)) - np.abs(rng.normal(0.012, 0.015, shape))
    )
    who, week, which, rep = (a.ravel() for a in np.indices(shape))
    ran = (rep < np.minimum(count, most)[who, week, which]) & came[who, week, which]
    who, week, which, rep, speed = who[ran], week[ran], which[ran], rep[ran], speed.ravel()[ran]
    day = 7 * week + np.array([0, 5])[which]
    ones = np.ones(len(who), int)
    runs = _rows("rep", who, day, "session_date", session_no=ones, rep_no=rep + 1, distance_m=np.full(len(who), FLY_M),
                 start_kind=np.full(len(who), "rolling"), clock_start=np.full(len(who), "first_gate"),
                 timing_kind=np.full(len(who), "electronic"), outcome=np.full(len(who), "completed"))  # fmt: skip
    at = np.array([10.0, 20.0, 30.0])
    shape_of = np.array([0.992, 1.0, 0.996])  # of the run's speed in each section
    passed = np.cumsum(10.0 / (speed[:, None] * shape_of), axis=1)
    passed += rng.normal(0, 0.005, passed.shape) - rng.normal(0, 0.005, (len(who), 1))
    splits = _rows("split", np.repeat(who, 3), np.repeat(day, 3), "session_date", session_no=np.repeat(ones, 3),
                   rep_no=np.repeat(rep + 1, 3), distance_m=np.tile(at, len(who)),
                   elapsed_s=passed.ravel().round(3))  # fmt: skip
    return runs, splits


def _checkins(
    rng: np.random.Generator, days: np.ndarray, done: dict[str, np.ndarray], strain: np.ndarray, fatigue: np.ndarray
) -> pl.DataFrame:
    """Return the check-ins: own level, slow drift, the day before's work, own noise; then rounded to the scale."""
    shape = (ATHLETES, len(days))
    heavy = np.zeros(shape)
    for place, (weekday, *_rest) in enumerate(SESSIONS):
        heavy[:, weekday + 1 :: 7][:, :WEEKS] += (done["minutes"] * done["effort"])[:, :, place] / 500.0
    answers: dict[str, Any] = {}
    tired = (days >= fatigue[:, None]) & (days < fatigue[:, None] + FATIGUE_DAYS)
    for item in ITEMS:
        noise = np.exp(rng.uniform(np.log(0.3), np.log(0.9), (ATHLETES, 1)))
        latent = rng.uniform(3.0, 4.6, (ATHLETES, 1)) + _drift(rng, shape, 0.3, 0.97)
        latent += -rng.uniform(0.0, 0.5, (ATHLETES, 1)) * heavy * (item in ("fatigue", "soreness"))
        latent += noise * rng.normal(0, 1, shape)
        if item in ("fatigue", "soreness", "mood"):
            latent -= FATIGUE_SPREADS * np.maximum(noise, 0.5) * tired
        answers[item] = np.clip(np.round(latent), 1, 5).astype(int)
    slept = rng.normal(7.6, 0.5, (ATHLETES, 1)) + rng.uniform(0.4, 1.0, (ATHLETES, 1)) * rng.normal(0, 1, shape)
    answers["sleep_h"] = np.clip(np.round(2 * (slept + _drift(rng, shape, 0.2, 0.97))) / 2, 3, 12)
    usual = np.abs(rng.normal(0, 1.2, (ATHLETES, 1)))
    common = _drift(rng, shape, 0.35, 0.97)
    own = rng.uniform(0.3, 0.9, (ATHLETES, 1))
    built = np.clip(days - strain[:, None] + 1, 0, STRAIN_DAYS) * STRAIN_A_DAY
    built[days[None, :] > strain[:, None] + STRAIN_DAYS + 1] = 0.0
    hurt = rng.integers(0, 2, ATHLETES)
    for place, side in enumerate("lr"):
        latent = usual + common + own * _drift(rng, shape, 1.0, 0.4) + 0.5 * heavy + rng.normal(0, 0.3, (ATHLETES, 1))
        latent += built * (hurt == place)[:, None]
        answers[f"hamstring_tightness_{side}"] = np.clip(np.round(latent), 0, 10).astype(int)
    niggle = rng.random(shape)
    answers["pain"] = np.where(niggle < 0.02, rng.integers(1, 3, shape), 0)
    places = np.array(
        ["calf", "back", "knee", "shin", "foot", "groin", "shoulder", "hip", "achilles", "left hamstring"]
    )
    site = np.where(answers["pain"] > 0, places[rng.integers(0, len(places), shape)], None)
    answers["ill"] = rng.random(shape) < 0.003
    given = rng.random(shape) < rng.uniform(0.75, 0.98, (ATHLETES, 1))
    who, day = np.nonzero(given)
    return _rows(
        "checkin",
        who,
        day,
        "checked_on",
        pain_site=pl.Series(site[given].tolist(), dtype=pl.String),
        **{k: v[given] for k, v in answers.items()},
    )


def _drift(rng: np.random.Generator, shape: tuple[int, int], sd: float, stays: float) -> np.ndarray:
    """Return a wandering level with standard deviation ``sd``, of which the share ``stays`` is there the next day."""
    steps = rng.normal(0, sd * np.sqrt(1 - stays**2), shape)
    level = np.empty(shape)
    level[:, 0] = rng.normal(0, sd, shape[0])
    for day in range(1, shape[1]):
        level[:, day] = stays * level[:, day - 1] + steps[:, day]
    return level


def _force_tests(rng: np.random.Generator, drop: np.ndarray) -> pl.DataFrame:
    """Return three trials a side every four weeks: bad days of both sides 4 %, of one side 4 %, of a trial 4 %."""
    tests = np.arange(2, WEEKS, 4)
    shape = (ATHLETES, len(tests), 2, 3)
    level = np.log(380) + rng.normal(0, 0.15, (ATHLETES, 1, 1, 1)) + rng.normal(0, 0.03, (ATHLETES, 1, 2, 1))
    true = level + np.cumsum(rng.normal(0, 0.012, shape[:3]), axis=1)[..., None]
    day = 7 * tests + 2
    side = rng.integers(0, 2, ATHLETES)
    lost = (day[None, :] >= drop[:, None])[:, :, None] & (np.arange(2) == side[:, None])[:, None, :]
    true = true + np.log(DROP) * lost[..., None]
    shown = true + rng.normal(0, 0.04, (*shape[:2], 1, 1)) + rng.normal(0, 0.04, (*shape[:3], 1))
    force = np.exp(shown + rng.normal(0, 0.04, shape))
    who, test, which, trial = (a.ravel() for a in np.indices(shape))
    return _rows("force_test", who, day[test], "tested_on", test=np.full(len(who), "eccentric_hamstring"),
                 side=np.array(["l", "r"])[which], trial_no=trial + 1, peak_force_n=force.ravel())  # fmt: skip


def _jump_tests(rng: np.random.Generator) -> pl.DataFrame:
    """Return three countermovement jumps every Monday: days 3 %, trials 3 % of height."""
    shape = (ATHLETES, WEEKS, 3)
    height = np.exp(np.log(0.42) + rng.normal(0, 0.12, (ATHLETES, 1, 1)) + rng.normal(0, 0.03, (*shape[:2], 1))
                    + rng.normal(0, 0.03, shape))  # fmt: skip
    who, week, trial = (a.ravel() for a in np.indices(shape))
    return _rows("jump_test", who, 7 * week, "tested_on", test=np.full(len(who), "countermovement"), trial_no=trial + 1,
                 flight_s=np.sqrt(8 * height.ravel() / 9.81))  # fmt: skip


def _day(after: int) -> dt.date:
    return FIRST + dt.timedelta(days=int(after))


def _rows(table: str, who: np.ndarray, day: np.ndarray, day_column: str, **columns: Any) -> pl.DataFrame:
    first = pl.lit(FIRST, pl.Date)
    frame = pl.DataFrame({"who": who, "after": day, **columns}).with_columns(
        athlete_id=pl.concat_str(pl.lit("a"), pl.col("who").cast(pl.String).str.zfill(2)),
        **{day_column: first + pl.duration(days=pl.col("after"))},
    )
    return _fitted(table, frame)


def _frame(table: str, **columns: Any) -> pl.DataFrame:
    return _fitted(table, pl.DataFrame(columns))


def _fitted(table: str, frame: pl.DataFrame) -> pl.DataFrame:
    schema = {name: found.dtype.type for name, found in RECORDS[table].to_schema().columns.items()}
    strange = set(frame.columns) - set(schema) - {"who", "after"}
    if strange:
        raise KeyError(f"{table} has no {strange}")
    return frame.select(
        (pl.col(name) if name in frame.columns else pl.lit(None)).cast(kind).alias(name)
        for name, kind in schema.items()
    )
