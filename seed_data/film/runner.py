"""The runner of a filmed start: when the feet come down and go, and where the joints are at those moments.

Times, step lengths and angles are those of the simulated start, so that a film says of a run what the squad's other
sheets say of runs like it. Between the moments that are marked, the drawing only has to look like somebody running.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

from seed_data.film.camera import leaning
from seed_data.runs import Run
from seed_data.starts import FIRST_FOOT_DOWN_S, StepRow, set_position, steps_of
from seed_data.truth import BLOCK_EXIT_S

SHANK_M, THIGH_M, TRUNK_M, ARM_M = 0.43, 0.44, 0.50, 0.30
STEPS = 4
TRUNK_DEG = (26.0, 33.0, 40.0, 46.0)  # at the first touchdowns, rising (common practice, no source)
FOOT_AHEAD_M = (-0.16, -0.09, 0.01, 0.06)  # toe ahead of the hip at touchdown (common practice, no source)
FRONT_TOE_M, REAR_TOE_M = -0.52, -0.80  # feet in the blocks, from the line
TAIL_S = 0.10  # that the film goes on after the last toe-off

Joints = Mapping[str, np.ndarray]  # toe, ankle, knee, hip, shoulder: (along, across, up) in m


@dataclass(frozen=True)
class Start:
    """A start as it was run: times in s from the first movement, joints at every moment that can be marked."""

    run: Run
    sides: tuple[str, ...]
    push_s: float
    touchdown_s: np.ndarray
    toeoff_s: np.ndarray
    down: tuple[Joints, ...]
    off: tuple[Joints, ...]
    in_set: Joints
    at_push: Joints

    @property
    def lasts_s(self) -> float:
        """Return how long the film has to go on after the first movement, s."""
        return float(self.toeoff_s[-1]) + TAIL_S


def start_of(run: Run) -> Start:
    """Return the start of a run: four contacts, with the angles and lengths that its other sheets would show."""
    steps = steps_of(run)[:STEPS]
    contact = np.array([one.true_contact_s for one in steps])
    flight = np.array([one.true_flight_s for one in steps])
    touchdown = FIRST_FOOT_DOWN_S + np.concatenate([[0.0], np.cumsum(contact + flight)[:-1]])
    toes = np.cumsum([one.step_length_m for one in steps])
    seen = set_position(run)
    shins = [float(str(seen[name])) for name in ("front_shin_set_deg", "front_shin_push_deg")]
    in_set, at_push = (_front_leg(shin) for shin in shins)
    return Start(
        run, tuple(one.side for one in steps), BLOCK_EXIT_S, touchdown, touchdown + contact,
        tuple(_landing(one, toes[k], k) for k, one in enumerate(steps)),
        tuple(_leaving(one, toes[k], k) for k, one in enumerate(steps)), in_set, at_push,
    )  # fmt: skip


def _landing(step: StepRow, toe_m: float, k: int) -> Joints:
    toe = np.array([toe_m, 0.0, 0.012])
    ankle = toe + np.array([-0.14, 0.0, 0.09])
    knee = ankle + leaning(step.shin_touchdown_deg, SHANK_M)
    ahead = np.clip((toe_m - FOOT_AHEAD_M[k] - knee[0]) / THIGH_M, -0.9, 0.9)
    hip = knee + leaning(float(np.degrees(np.arccos(ahead))), THIGH_M)
    return {"toe": toe, "ankle": ankle, "knee": knee, "hip": hip, "shoulder": hip + leaning(TRUNK_DEG[k], TRUNK_M)}


def _leaving(step: StepRow, toe_m: float, k: int) -> Joints:
    toe = np.array([toe_m, 0.0, 0.012])
    ankle = toe + np.array([-0.09, 0.0, 0.16])
    knee = ankle + leaning(step.shin_toeoff_deg, SHANK_M)
    hip = knee + leaning(step.shin_toeoff_deg + 180.0 - step.knee_toeoff_deg, THIGH_M)
    return {"toe": toe, "ankle": ankle, "knee": knee, "hip": hip, "shoulder": hip + leaning(TRUNK_DEG[k] + 3, TRUNK_M)}


def _front_leg(shin_deg: float) -> Joints:
    toe = np.array([FRONT_TOE_M, 0.0, 0.05])
    ankle = toe + np.array([-0.10, 0.0, 0.12])
    knee = ankle + leaning(shin_deg, SHANK_M)
    hip = knee + leaning(125.0, THIGH_M)
    return {"toe": toe, "ankle": ankle, "knee": knee, "hip": hip, "shoulder": hip + leaning(-14.0, TRUNK_M)}


def joints_at(start: Start, times_s: np.ndarray) -> dict[str, np.ndarray]:
    """Return where each joint is at each time: leg 0 (front foot in the blocks), leg 1, and the trunk; n x 3, m.

    The joints pass through those of the marked moments; between them a smooth curve without overshoot (PCHIP).
    """
    rear = {name: at + np.array([REAR_TOE_M - FRONT_TOE_M, 0.0, 0.03]) for name, at in start.in_set.items()}
    legs: list[list[tuple[float, Joints]]] = [
        [(-9.0, start.in_set), (-0.02, start.in_set), (0.0, start.at_push), (start.push_s, _pushed(start))],
        [(-9.0, rear), (0.0, rear)],
    ]
    # the foot that lands first is the rear one: leg 1
    for k in range(STEPS):
        leg = legs[(k + 1) % 2]
        before = leg[-1]
        middle = (before[0] + start.touchdown_s[k]) / 2
        leg.append((middle, _swinging(before[1], start.down[k])))
        leg += [(float(start.touchdown_s[k]), start.down[k]), (float(start.toeoff_s[k]), start.off[k])]
    trunk = [(-9.0, start.in_set), (0.0, start.in_set), (start.push_s, _pushed(start))]
    for k in range(STEPS):
        trunk += [(float(start.touchdown_s[k]), start.down[k]), (float(start.toeoff_s[k]), start.off[k])]
    ahead = start.off[-1]["hip"] - start.down[-1]["hip"]
    span = float(start.toeoff_s[-1] - start.touchdown_s[-1])
    trunk.append((trunk[-1][0] + span, {name: trunk[-1][1][name] + ahead for name in ("hip", "shoulder")}))
    # The film ends in the air: either leg swings on under the hip.
    for leg in legs:
        last_s, last = leg[-1]
        for later_s in (0.12, 0.40):
            hip = _curve(trunk, "hip", np.array([last_s + later_s]))[0]
            leg.append((last_s + later_s, _swinging({**last, "hip": hip}, {"hip": hip})))
    told = {f"{name}_{leg}": _curve(legs[leg], name, times_s) for leg in (0, 1) for name in ("toe", "ankle", "knee")}
    return told | {name: _curve(trunk, name, times_s) for name in ("hip", "shoulder")}


def _pushed(start: Start) -> Joints:
    toe = np.array([FRONT_TOE_M + 0.02, 0.0, 0.06])
    ankle = toe + np.array([-0.06, 0.0, 0.17])
    knee = ankle + leaning(32.0, SHANK_M)
    hip = knee + leaning(45.0, THIGH_M)
    return {"toe": toe, "ankle": ankle, "knee": knee, "hip": hip, "shoulder": hip + leaning(24.0, TRUNK_M)}


def _swinging(one: Joints, other: Joints) -> Joints:
    hip = (one["hip"] + other["hip"]) / 2
    knee = hip + leaning(-25.0, THIGH_M)
    ankle = knee + leaning(215.0, SHANK_M)
    return {"knee": knee, "ankle": ankle, "toe": ankle + np.array([0.12, 0.0, -0.07]), "hip": hip}


def _curve(moments: list[tuple[float, Joints]], name: str, times_s: np.ndarray) -> np.ndarray:
    at = np.array([moment for moment, _ in moments])
    places = np.stack([joints[name] for _, joints in moments])
    return np.asarray(PchipInterpolator(at, places, axis=0)(np.clip(times_s, at[0], at[-1])))
