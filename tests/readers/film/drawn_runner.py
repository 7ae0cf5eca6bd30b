"""A drawn runner of known truth, filmed by a known phone, and marked by a hand with known errors.

The camera is the demo's, written on its own (a look-at matrix), not taken from what it tests.
"""

from dataclasses import dataclass

import numpy as np

from seed_data.film.camera import LANE_M as LANE
from seed_data.film.camera import Phone, leaning, set_up

FPS = 240.0
TOUCHDOWN = np.array([0.620, 0.852, 1.070, 1.268])  # s after the first movement
TOEOFF = np.array([0.812, 1.022, 1.212, 1.396])
TOE = np.array([0.55, 1.60, 2.75, 3.98])  # m from the start line
SHIN_ON, SHIN_OFF = np.array([48.0, 56.0, 62.0, 68.0]), np.array([30.0, 33.0, 36.0, 39.0])
TRUNK = np.array([24.0, 32.0, 39.0, 45.0])
AHEAD = np.array([-0.18, -0.10, 0.02, 0.08])  # toe ahead of the hip
KNEE_OFF = 165.0
FRONT_SHIN = (44.0, 41.0)
SHANK, THIGH, TRUNK_M = 0.43, 0.44, 0.50
SIX = [(along, line) for along in (0.0, 2.5, 5.0) for line in ("near", "far")]
FOUR = [(along, line) for along in (0.0, 5.0) for line in ("near", "far")]


def any_phone(rng: np.random.Generator) -> Phone:
    """Stand a phone somewhere a coach might."""
    return set_up(
        rng.uniform(5.5, 10), rng.uniform(0.9, 1.8), rng.uniform(1.5, 3.0), rng.uniform(-8, 8), rng.uniform(-1.5, 1.5),
        rng.uniform(0.7, 1.0),
    )  # fmt: skip


@dataclass(frozen=True)
class Hand:
    """How well somebody clicks and marks: standard deviations."""

    lane_px: float = 0.75
    point_px: float = 2.0
    tape_m: float = 0.01
    across_m: float = 0.10
    frames: float = 0.0


def body(step: int, on: bool, foot_y: float, hip_y: float) -> dict[str, np.ndarray]:
    """Return the joints at touchdown or toe-off of a step in m."""
    toe = np.array([TOE[step], foot_y, 0.012])
    ankle = toe + np.array([-0.14, 0.0, 0.09])
    shin = SHIN_ON[step] if on else SHIN_OFF[step]
    knee = ankle + leaning(shin, SHANK)
    if on:
        hip = np.array([TOE[step] - AHEAD[step], hip_y, 0.86])
        return {"toe": toe, "ankle": ankle, "knee": knee, "hip": hip, "shoulder": hip + leaning(TRUNK[step], TRUNK_M)}
    # the inner angle at the knee: from the shank's way up, turned back by what it lacks to 180
    return {"ankle": ankle, "knee": knee, "hip": knee + leaning(shin + (180.0 - KNEE_OFF), THIGH)}


def mark_film(
    phone: Phone, rng: np.random.Generator, hand: Hand = Hand(), lane: list[tuple[float, str]] = SIX,
    fps: float = FPS, played_hz: float | None = None, leftwards: bool = False, athlete: str = "ada-reed",
    pace: float = 1.0,
) -> dict:  # fmt: skip
    """Return what the page would send of this runner: frames the hand marks, points it clicks, lane marks."""
    played = played_hz or fps
    begins = 0.1 + rng.uniform(0, 1 / fps)
    marks, points = [], []

    def mark(event: str, step: int, at_s: float, side: str | None) -> int:
        frame = int(np.ceil((begins + at_s * pace) * fps + (rng.normal(0, hand.frames) if hand.frames else 0.0)))
        marks.append(
            {"event": event, "step": step, "side": side, "frame": frame, "t": frame / played, "gap": 1 / played}
        )
        return frame

    def click(event: str, step: int, joints: dict[str, np.ndarray], frame: int) -> None:
        for what, place in joints.items():
            u, v = phone.see(place)[0] + rng.normal(0, hand.point_px, 2)
            points.append({"event": event, "step": step, "what": what, "frame": frame, "x": _side(u), "y": float(v)})

    def _side(u: float) -> float:
        return float(phone.width - u if leftwards else u)

    mark("first_movement", 0, 0.0, None)
    for event, shin, at in (("set", FRONT_SHIN[0], -0.05), ("first_movement", FRONT_SHIN[1], 0.0)):
        ankle = np.array([-0.45, rng.normal(0, hand.across_m), 0.12])
        frame = int(np.ceil((begins + at) * fps))
        if event == "set":
            marks.append(
                {"event": event, "step": 0, "side": None, "frame": frame, "t": frame / played, "gap": 1 / played}
            )
        click(event, 0, {"ankle": ankle, "knee": ankle + leaning(shin, SHANK)}, frame)
    mark("push", 0, 0.575, "r")
    for step in range(4):
        side, foot_y, hip_y = "lr"[step % 2], rng.normal(0, hand.across_m), rng.normal(0, hand.across_m)
        frame = mark("touchdown", step + 1, TOUCHDOWN[step], side)
        click("touchdown", step + 1, body(step, True, foot_y, hip_y), frame)
        frame = mark("toeoff", step + 1, TOEOFF[step], side)
        click("toeoff", step + 1, body(step, False, foot_y, foot_y), frame)
    laid = []
    for along, line in lane:
        place = np.array([along, LANE / 2 * (-1 if line == "near" else 1), 0.0])
        place[:2] += rng.normal(0, hand.tape_m, 2)
        u, v = phone.see(place)[0] + rng.normal(0, hand.lane_px, 2)
        laid.append({"along_m": along, "line": line, "frame": 0, "x": _side(u), "y": float(v)})
    film = {
        "name": "drawn.mp4", "bytes": 1, "print": "a" * 64, "codec": "avc1.640028", "frames": 400, "width": phone.width,
        "height": phone.height, "container_rate_hz": played, "told_rate_hz": None, "odd_gaps": 0, "gaps": 399,
        "edit_rates": [1.0], "lost": 0,
    }  # fmt: skip
    run = {"athlete_id": athlete, "session_date": "2026-11-20", "session_no": 1, "rep_no": 2}
    return {"run": run, "film": film, "capture": {"rate_hz": fps, "known_by": "confirmed"}, "marks": marks,
            "points": points, "lane": {"width_m": LANE, "marks": laid}, "shifts": []}  # fmt: skip
