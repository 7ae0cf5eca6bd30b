"""What the video of a start showed: steps in whole frames, the set position, and what was seen."""

from dataclasses import dataclass

import numpy as np

from seed_data import cases
from seed_data.runs import Run, body_position
from seed_data.squad import BY_ID, chance, week_number
from seed_data.truth import BLOCK_EXIT_S, FLIGHT_0_S, step_times

CONTACT_REP_SD, FLIGHT_REP_SD = 0.012, 0.025  # share, one run
CONTACT_STEP_SD, FLIGHT_STEP_SD = 0.015, 0.025  # share, one step
LENGTH_SD_M = 0.02  # m, reading a touchdown off the picture (common practice, no source)
BODY_BEHIND_LINE_M = 0.15  # m, body behind the start line in set
FIRST_FOOT_DOWN_S = BLOCK_EXIT_S + FLIGHT_0_S  # s from first movement to the first touchdown, out of blocks
STANDING_EXIT_S = 0.28  # s from first movement to leaving the ground, standing
ANGLE_SD_DEG = 1.2  # two points read off the picture (common practice, no source)


@dataclass(frozen=True)
class StepRow:
    """One step as it was read off the video, and its true contact."""

    run: Run
    step_no: int
    side: str
    contact_s: float
    flight_s: float | None
    step_length_m: float
    shin_touchdown_deg: float
    shin_toeoff_deg: float
    knee_toeoff_deg: float
    frame_rate_hz: int
    true_contact_s: float
    true_flight_s: float


def frame_rate(athlete_id: str) -> int:
    """The under-20 group films with an older phone."""
    return 120 if BY_ID[athlete_id].squad == "under-20" else 240


def foot_ahead_m(step: int) -> float:
    """Return how far the toe lands ahead of the body, m: behind it at first, 0.3 m ahead later (composite athlete)."""
    return float(0.32 - 0.30 * np.exp(-step / 2.5))


def steps_of(run: Run) -> list[StepRow]:
    """Return the steps of one filmed run; every fourth week it is followed for 16 steps, else for 8 to 10."""
    rng = chance("steps", run.athlete_id, run.session_date, run.rep_no)
    rate = frame_rate(run.athlete_id)
    steps = 16 if week_number(run.session_date) % 4 == 3 and run.rep_no == 1 else int(rng.integers(8, 11))
    contact, flight = step_times(run.athlete_id, run.session_date, steps)
    contact = contact * (1 + CONTACT_REP_SD * rng.normal()) * (1 + CONTACT_STEP_SD * rng.normal(size=steps))
    flight = flight * (1 + FLIGHT_REP_SD * rng.normal()) * (1 + FLIGHT_STEP_SD * rng.normal(size=steps))
    left = BLOCK_EXIT_S if run.start_kind == "blocks" else STANDING_EXIT_S
    touchdown = left + FLIGHT_0_S + np.concatenate([[0.0], np.cumsum(contact + flight)[:-1]])
    toe_off = touchdown + contact

    phase = float(rng.random())
    seen_down = np.ceil(touchdown * rate + phase) / rate
    seen_off = np.ceil(toe_off * rate + phase) / rate
    seen_down_next = np.append(seen_down[1:], np.nan)

    # Standing, the body is over the line the athlete stands at; in the blocks it is behind it.
    behind = BODY_BEHIND_LINE_M if run.start_kind == "blocks" else 0.0
    toes = np.array([body_position(run, float(t)) - behind + foot_ahead_m(i) for i, t in enumerate(touchdown)])
    lengths = np.diff(toes, prepend=0.0) + LENGTH_SD_M * rng.normal(size=steps)
    first_side = "lr"[int(chance("front foot", run.athlete_id).random() < 0.5)]
    locked = run.athlete_id == cases.TOO_LONG and run.session_date >= cases.TOO_LONG_FROM
    knee = (176.0 if locked else 163.0) + ANGLE_SD_DEG * rng.normal(size=steps)
    rise = np.arange(steps)
    shin_down = 50 + 34 * (1 - np.exp(-rise / 4.0)) + ANGLE_SD_DEG * rng.normal(size=steps)
    shin_off = 34 + 10 * (1 - np.exp(-rise / 4.0)) - (3.0 if locked else 0.0) + ANGLE_SD_DEG * rng.normal(size=steps)
    rows = []
    for i in range(steps):
        last = i == steps - 1
        rows.append(StepRow(
            run, i + 1, first_side if i % 2 == 0 else {"l": "r", "r": "l"}[first_side],
            round(float(seen_off[i] - seen_down[i]), 4),
            None if last else round(float(seen_down_next[i] - seen_off[i]), 4),
            round(max(float(lengths[i]), 0.3), 2),
            round(float(shin_down[i])), round(float(shin_off[i])), round(min(float(knee[i]), 182)),
            rate, float(contact[i]), float(flight[i]),
        ))  # fmt: skip
    return rows


def set_position(run: Run) -> dict[str, object]:
    """Return the set position of a filmed block start, read off the video and the tape."""
    rng = chance("set", run.athlete_id, run.session_date, run.rep_no)
    own = chance("own set", run.athlete_id).normal(size=4)
    shin = 42 + 3 * own[0]
    moves = cases.SHIN_DROP_DEG if _shin_drops(run) else -0.5 + 0.6 * own[1]
    read = rng.normal(size=5)
    return {
        "front_shin_set_deg": round(float(shin + ANGLE_SD_DEG * read[0]), 1),
        "front_shin_push_deg": round(float(shin + moves + ANGLE_SD_DEG * read[1]), 1),
        "front_foot_m": round(float(0.52 + 0.03 * own[2]), 2),
        "rear_foot_m": round(float(0.80 + 0.03 * own[2] + 0.02 * own[3]), 2),
        "front_weight_percent": round(float(60 + 3 * own[3] + 1.5 * read[4])),
    }


def _shin_drops(run: Run) -> bool:
    return run.athlete_id == cases.SHIN_DROPS and run.session_date >= cases.SHIN_DROPS_FROM


def notes_of(run: Run) -> list[tuple[str, bool, str | None]]:
    """Return what the coach looked for in a filmed run: item, seen, and a few words."""
    rng = chance("notes", run.athlete_id, run.session_date, run.rep_no)
    odd = rng.random(4)
    too_long = run.athlete_id == cases.TOO_LONG and run.session_date >= cases.TOO_LONG_FROM
    cut_short = run.athlete_id == cases.CUT_SHORT and run.session_date >= cases.CUT_SHORT_FROM
    even = odd[0] < (0.15 if too_long or cut_short else 0.85)
    notes: list[tuple[str, bool, str | None]] = [("even_growing_rhythm", bool(even), None)]
    if run.start_kind == "blocks":
        drops = _shin_drops(run) and odd[1] < 0.85
        notes.append(("shin_drops_before_push", bool(drops), "heel sinks into the block" if drops else None))
    if too_long:
        notes.append(("knee_locks_at_toeoff", bool(odd[2] < 0.9), "waits on a straight leg"))
        notes.append(("leg_lifts_behind", bool(odd[3] < 0.8), None))
    elif odd[2] < 0.3:
        notes.append(("knee_locks_at_toeoff", False, None))
    if odd[3] < 0.12 and not too_long:
        notes.append(("reaches_ahead", bool(odd[1] < 0.2), None))
    return notes


def arms_and_head(run: Run) -> list[tuple[str, bool]]:
    """Return what was seen of arms and head by eye, free and under the sled: oftener apart under a heavy load."""
    rng = chance("arms and head", run.athlete_id, run.session_date, run.rep_no)
    share = (run.resistance_load_kg or 0.0) / BY_ID[run.athlete_id].body_mass_kg
    apart = 0.06 + 0.35 * max(share - 0.3, 0.0)
    return [(item, bool(rng.random() < apart)) for item in ("arms_out_of_time", "head_moves_alone")]
