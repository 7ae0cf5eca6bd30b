"""The gym: what was lifted, how strong everybody truly is, and the force tests."""

import datetime as dt
from dataclasses import dataclass
from functools import cache

import numpy as np

from seed_data import cases
from seed_data.programme import is_light
from seed_data.squad import BY_ID, LAST_DAY, Athlete, chance, week_number, week_start
from seed_data.weeks import Session

FORCE_TRIAL_SD = 0.035  # share, one trial
FORCE_DAY_SD = 0.015  # share, one day
TEST_WEEKS = (1, 5, 9, 15, 18, 21, 24)  # of the 26, on the Friday
LEVER_N_PER_KG = {"m": 5.21, "f": 4.99}  # N/kg, elite track athletes' usual eccentric force (Giakoumis et al. 2020)


@dataclass(frozen=True)
class Lift:
    """One exercise of the gym: its slug, its family, and how strong a person of one kilogram is in it."""

    exercise: str
    family: str
    bodyweight_share: float | None
    share_m: float  # one-repetition maximum in body masses, men
    share_f: float
    sets: int
    reps: int
    days: tuple[int, ...]  # 0 the first gym day of the week, 1 the second
    step_kg: float = 2.5


# Shares are common practice, no source.
LIFTS: tuple[Lift, ...] = (
    Lift("back_squat", "squat", None, 1.95, 1.60, 3, 5, (0,)),
    Lift("romanian_deadlift", "hinge", None, 1.85, 1.55, 3, 5, (0,)),
    Lift("nordic_lowering", "hamstring_eccentric", 0.9, 0.0, 0.0, 3, 5, (1,)),
    Lift("sliding_leg_curl", "hamstring_eccentric", 0.4, 0.0, 0.0, 2, 8, (0,)),
    Lift("split_squat", "squat", None, 0.95, 0.80, 3, 6, (1,)),
    Lift("cable_hip_flexion", "hip_flexor", None, 0.55, 0.42, 2, 8, (1,)),
    Lift("calf_raise", "calf_ankle", 0.9, 1.10, 0.90, 2, 8, (1,)),
    Lift("bench_press", "upper", None, 1.25, 0.80, 2, 5, (1,)),
    Lift("hanging_leg_raise", "trunk", None, 0.0, 0.0, 2, 10, (0,)),
)
# Exercise, sets, ground contacts a set: common practice, no source.
JUMPS: tuple[tuple[str, int, int], ...] = (("pogo_hop", 3, 12), ("hurdle_hop", 4, 6), ("alternate_bound", 3, 8))
JUMPS_NOT_WRITTEN = 0.05  # chance that nobody wrote a jump session's sets down
RARELY_LIFTED = frozenset({"bench_press", "hanging_leg_raise", "calf_raise"})


@cache
def true_max_kg(athlete_id: str, exercise: str) -> float:
    """Return the true one-repetition maximum at the start of the 26 weeks, kg; 0 for an exercise without load."""
    athlete = BY_ID[athlete_id]
    lift = next(one for one in LIFTS if one.exercise == exercise)
    share = lift.share_m if athlete.sex == "m" else lift.share_f
    young = 0.78 if athlete.squad == "under-20" else 1.0
    draw = float(chance("max", athlete_id, exercise).normal())
    return athlete.body_mass_kg * share * young * (1 + 0.05 * draw)


def _max_on(athlete_id: str, exercise: str, day: dt.date) -> float:
    """Strength grows by 4 % over the 26 weeks, a straight line; one hinge by more."""
    more = 0.0
    if athlete_id == cases.HINGE_RISES and exercise == "romanian_deadlift":
        more = cases.HINGE_RISE * min(1.0, 2 * cases.share_done(day, cases.HINGE_RISES_FROM, cases.LAST))
    return true_max_kg(athlete_id, exercise) * (1 + 0.04 * week_number(day) / 26 + more)


def lift_sets(sessions: list[Session]) -> list[dict[str, object]]:
    """Return every set of every done strength session, in order of athlete and day."""
    rows: list[dict[str, object]] = []
    seen: dict[tuple[str, int], int] = {}
    for session in sessions:
        if session.kind != "strength" or not session.is_done:
            continue
        key = (session.athlete_id, week_number(session.session_date))
        gym_day = seen.get(key, 0)
        seen[key] = gym_day + 1
        for lift in LIFTS:
            if min(gym_day, 1) in lift.days:
                rows.extend(_sets(session, lift))
    return rows


def _sets(session: Session, lift: Lift) -> list[dict[str, object]]:
    who, day = session.athlete_id, session.session_date
    rng = chance("lift", who, day, lift.exercise)
    light = is_light(week_number(day))
    if lift.exercise in RARELY_LIFTED and rng.random() < 0.5:
        return []
    if lift.family == "hamstring_eccentric" and who == cases.RETURNS and cases.STRAIN_ON < day < dt.date(2026, 9, 28):
        return []
    reps = lift.reps
    maximum = _max_on(who, lift.exercise, day)
    rows = []
    for number in range(1, (lift.sets - light if lift.sets > 2 else lift.sets) + 1):
        reserve = float(np.clip(round(2.0 + 0.7 * float(rng.normal()) - 0.4 * (number - 1)), 0, 5))
        # Epley turned round, the repetitions in reserve counted as done: w = max / (1 + (reps + reserve) / 30).
        load = maximum / (1 + (reps + reserve) / 30) * (0.9 if light else 1.0) * (1 + 0.01 * float(rng.normal()))
        rows.append({
            "athlete_id": who, "session_date": day, "exercise": lift.exercise, "set_no": number, "reps": reps,
            "load_kg": float(lift.step_kg * round(load / lift.step_kg)) if maximum else None,
            "reps_in_reserve": reserve if maximum else None,
        })  # fmt: skip
    return rows


def jump_sets(sessions: list[Session]) -> list[dict[str, object]]:
    """Return the sets of every done jump session that somebody wrote down; a repetition is one ground contact."""
    rows: list[dict[str, object]] = []
    for session in sessions:
        if session.kind != "plyometric" or not session.is_done:
            continue
        who, day = session.athlete_id, session.session_date
        if chance("jumps written", who, day).random() < JUMPS_NOT_WRITTEN:
            continue
        light = is_light(week_number(day))
        for exercise, sets, reps in JUMPS:
            rows.extend(
                {"athlete_id": who, "session_date": day, "session_no": session.session_no, "exercise": exercise,
                 "set_no": number, "reps": reps}
                for number in range(1, sets - light + 1)
            )  # fmt: skip
    return rows


def true_force_n(athlete: Athlete, side: str, day: dt.date) -> float:
    """Return the true eccentric hamstring force of one side on a day, N."""
    draw = chance("force", athlete.athlete_id).normal(size=2)
    young = 0.88 if athlete.squad == "under-20" else 1.0
    base = LEVER_N_PER_KG[athlete.sex] * athlete.body_mass_kg * young * (1 + 0.06 * draw[0])
    base *= 1 + 0.03 * (0 if athlete.athlete_id == cases.HINGE_RISES else week_number(day) / 26)
    between = 0.01 * draw[1] * (1 if side == "r" else -1)
    if athlete.athlete_id == cases.SIDE_DIFFERENCE:
        weak = side == "r" and day >= cases.SIDE_DIFFERENCE_FROM
        return float(base * (cases.SIDE_DIFFERENCE_SHARE if weak else 1.0))
    if athlete.athlete_id == cases.RETURNS and side == "r" and day > cases.STRAIN_ON:
        back = cases.share_done(day, cases.STRAIN_ON, dt.date(2026, 11, 13))
        return float(base * (0.80 + 0.17 * back))
    return float(base * (1 + between))


def force_tests() -> list[dict[str, object]]:
    """Return every trial of the eccentric hamstring test: both sides, three trials."""
    rows: list[dict[str, object]] = []
    for athlete in BY_ID.values():
        for week in TEST_WEEKS:
            day = week_start(week) + dt.timedelta(days=4)
            rng = chance("force test", athlete.athlete_id, day)
            quiet = week == max(TEST_WEEKS)
            if (rng.random() < 0.06 and not quiet) or day > LAST_DAY:
                continue  # absent that day
            if athlete.athlete_id == cases.RETURNS and cases.STRAIN_ON < day < dt.date(2026, 10, 1):
                continue
            day_effect = FORCE_DAY_SD * float(rng.normal()) * (0.4 if quiet else 1.0)
            for side in "lr":
                force = true_force_n(athlete, side, day) * (1 + day_effect)
                side_day = 0.01 * float(rng.normal())
                for trial in (1, 2, 3):
                    shown = force * (1 + side_day + FORCE_TRIAL_SD * float(rng.normal()))
                    rows.append({
                        "athlete_id": athlete.athlete_id, "tested_on": day, "test": "eccentric_hamstring",
                        "side": side, "trial_no": trial, "peak_force_n": round(shown),
                    })  # fmt: skip
    return rows


def exercises() -> list[dict[str, object]]:
    """Return the exercise list: slug, family, share of body mass."""
    families = [(one.exercise, one.family, one.bodyweight_share) for one in LIFTS]
    families += [(name, "jump", None) for name, _, _ in JUMPS]
    return [{"exercise": name, "family": family, "bodyweight_share": share} for name, family, share in families]
