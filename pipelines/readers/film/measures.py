"""What one film gives: times, lengths and angles of the start, each with its error or why it is missing."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np

from pipelines.readers.film import places
from pipelines.readers.film.camera import Camera, NoCamera, find_camera
from pipelines.readers.film.marks import STEPS, Mark, Marks
from pipelines.readers.film.speed import Speed, find_speed
from schemas.normal import NORMAL_95

MOST_SHIFT_PX = (
    4.0  # px at 1920 wide; lane marks that lie further off in another frame: the phone was moved; own choice
)
MOST_TURN_DEG = 30.0  # a view turned further from straight across the lane gives no angles; own choice
LENGTH_SD_LIMIT_M = 0.10  # a length known no better than this says nothing about a step; own choice
ANGLE_SD_LIMIT_DEG = 6.0
PICTURE_WIDTH_PX = 1920
OPERATOR_FACTOR = (
    2.0  # frames and the eye together over frames alone: half a frame an event, sources: "video_operator_error"
)
MIDDLE = (0.0, places.ACROSS_SD_M)  # the middle of the lane, and how far from it a hip or a front foot may be


@dataclass(frozen=True)
class Value:
    """A measure of the film: its value and standard error, or the code of why there is none."""

    value: float | None = None
    error: float | None = None
    reason: str | None = None


@dataclass(frozen=True)
class Film:
    """What follows from the marks of one film."""

    speed: Speed
    steps: dict[int, dict[str, Value]]
    front: dict[str, Value]  # front shin in set and at first movement; time from first movement to each event
    times: dict[str, float]  # event and step -> s since first movement, or since the first mark
    camera: Camera | None = None
    lengths_reason: str | None = None
    angles_reason: str | None = None
    faults: list[tuple[str, str]] = field(default_factory=list)  # code, what it is about


def measure_film(marks: Marks) -> Film:
    """Work out everything a film gives.

    contact = t(toe-off) - t(touchdown); flight = t(next touchdown) - t(toe-off); t = presentation time x container
    rate / capture rate. An event happened between the frame it is marked in and the one before: SD of one event = gap /
    sqrt 12, of an interval sqrt(gap1^2 + gap2^2) / sqrt 12 (the eye's own error is counted where runs are compared).
    Lengths and angles as in ``places``.

    Source: frame_quantisation; definitions. Null with a reason where a mark, the rate or a view is missing.
    """
    speed = find_speed(marks.film, marks.capture_hz, marks.known_by)
    camera, lengths_reason = _camera(marks)
    angles_reason = lengths_reason or ("view_too_slanted" if _is_slanted(camera) else None)
    steps = {step: _times(marks, step, speed) for step in STEPS if _is_marked(marks, step)}
    feet = _feet(marks, camera)
    for step in steps:
        steps[step] |= _places(marks, step, camera, feet, lengths_reason, angles_reason)
    front = {
        name: _Seen(marks, 0, camera, MIDDLE).angle(angles_reason, event, "ankle", "knee")
        for name, event in (("front_shin_set_deg", "set"), ("front_shin_push_deg", "first_movement"))
    }
    return Film(speed, steps, front, _since_first(marks, speed), camera, lengths_reason, angles_reason, _faults(marks))


def _is_marked(marks: Marks, step: int) -> bool:
    return marks.mark("touchdown", step) is not None or marks.mark("toeoff", step) is not None


def _camera(marks: Marks) -> tuple[Camera | None, str | None]:
    if not marks.lane:
        return None, "no_lane_marks"
    width, height = float(marks.film.get("width") or 0), float(marks.film.get("height") or 0)
    if furthest_shift(marks) > MOST_SHIFT_PX * width / PICTURE_WIDTH_PX:
        return None, "camera_moved"
    try:
        return find_camera(marks.lane, width, height), None
    except NoCamera as none:
        return None, none.code


def furthest_shift(marks: Marks) -> float:
    """Return by how much the lane marks lie elsewhere in the frame where they lie furthest off, in px.

    The median of a frame's marks counts, so that one hidden by a foot is not taken for a moved phone; a frame in which
    fewer than two were found again says nothing.
    """
    off = [np.median([np.hypot(*one) for one in shifts]) for shifts in marks.shifts.values() if len(shifts) > 1]
    return float(max(off, default=0.0))


def _is_slanted(camera: Camera | None) -> bool:
    return camera is not None and camera.off_square_deg > MOST_TURN_DEG


def _between(first: Mark | None, last: Mark | None, speed: Speed) -> Value:
    if speed.factor is None:
        return Value(reason="rate_not_known" if speed.state != "refused" else "two_speeds")
    if first is None or last is None:
        return Value(reason="not_marked")
    error = float(np.hypot(first.gap, last.gap) * speed.factor / 12**0.5)
    return Value((last.t - first.t) * speed.factor, error)


def _times(marks: Marks, step: int, speed: Speed) -> dict[str, Value]:
    down, off, after = marks.mark("touchdown", step), marks.mark("toeoff", step), marks.mark("touchdown", step + 1)
    contact = _between(down, off, speed)
    flight = _between(off, after, speed) if step < STEPS[-1] or after else Value(reason="last_step")
    before = marks.mark("toeoff", step - 1) if step > 1 else marks.mark("push")
    return {"contact_s": contact, "flight_s": flight, "flight_before_s": _between(before, down, speed)}


def _feet(marks: Marks, camera: Camera | None) -> dict[int, places.Foot]:
    if camera is None:
        return {}
    clicked = {step: marks.point("touchdown", step, "toe") for step in STEPS}
    return {step: places.find_foot(camera, pixel) for step, pixel in clicked.items() if pixel is not None}


@dataclass(frozen=True)
class _Seen:
    """What one step's places are measured from."""

    marks: Marks
    step: int
    camera: Camera | None
    across: tuple[float, float]  # how far across the lane its foot stands, and how well that is known

    def taken(
        self, reason: str | None, points: Sequence[object], work: Callable[[Camera], places.Measured], limit: float
    ) -> Value:
        """Measure, or say why not: the view gives nothing, something was not clicked, the view is too flat."""
        if reason is not None or self.camera is None:
            return Value(reason=reason)
        if any(point is None for point in points):
            return Value(reason="not_clicked")
        found = work(self.camera)
        return _limited(Value(found.value, found.error), limit)

    def angle(self, reason: str | None, event: str, *names: str, across: tuple[float, float] | None = None) -> Value:
        """Measure the angle of a segment (two points) or a joint (three)."""
        points = [self.marks.point(event, self.step, name) for name in names]
        work = places.segment_angle if len(names) == 2 else places.joint_angle
        beside = across or self.across
        return self.taken(reason, points, lambda camera: work(camera, points, *beside), ANGLE_SD_LIMIT_DEG)  # type: ignore[arg-type]


def _places(
    marks: Marks,
    step: int,
    camera: Camera | None,
    feet: Mapping[int, places.Foot],
    lengths: str | None,
    angles: str | None,
) -> dict[str, Value]:
    foot, before, hip = feet.get(step), feet.get(step - 1), marks.point("touchdown", step, "hip")
    seen = _Seen(marks, step, camera, (foot.y_m, foot.y_sd_m) if foot else MIDDLE)
    return {
        "step_length_m": seen.taken(
            lengths, [foot, before or step == 1 or None],
            lambda camera: places.step_length(camera, before, feet[step]), LENGTH_SD_LIMIT_M,
        ),
        "touchdown_distance_m": seen.taken(
            angles, [foot, hip], lambda camera: places.touchdown_distance(camera, feet[step], hip), LENGTH_SD_LIMIT_M,  # type: ignore[arg-type]
        ),
        "shin_touchdown_deg": seen.angle(angles, "touchdown", "ankle", "knee"),
        "shin_toeoff_deg": seen.angle(angles, "toeoff", "ankle", "knee"),
        "trunk_touchdown_deg": seen.angle(angles, "touchdown", "hip", "shoulder", across=MIDDLE),
        "knee_toeoff_deg": seen.angle(angles, "toeoff", "hip", "knee", "ankle"),
    }  # fmt: skip


def _limited(value: Value, limit: float) -> Value:
    return Value(reason="view_too_flat") if value.error is not None and value.error > limit else value


def _since_first(marks: Marks, speed: Speed) -> dict[str, float]:
    if speed.factor is None or not marks.marks:
        return {}
    zero = marks.mark("first_movement") or min(marks.marks.values(), key=lambda one: one.t)
    return {f"{one.event} {one.step}": (one.t - zero.t) * speed.factor for one in marks.marks.values()}


def _faults(marks: Marks) -> list[tuple[str, str]]:
    """Name the events that stand in the wrong order."""
    order = [("set", 0), ("first_movement", 0), ("push", 0)]
    order += [(event, step) for step in STEPS for event in ("touchdown", "toeoff")]
    given = [marks.marks[key] for key in order if key in marks.marks]
    return [
        ("out_of_order", f"{late.event} {late.step} {early.event} {early.step}")
        for early, late in pairwise(given)
        if late.t <= early.t
    ]


def _half_width(name: str, value: Value) -> float | None:
    return None if value.error is None else NORMAL_95 * value.error * (OPERATOR_FACTOR if name.endswith("_s") else 1.0)


def as_told(film: Film) -> dict[str, Any]:
    """Return what follows from a film as plain values, for the page: of each measure value, half width of its 95 %
    interval and reason. In times the eye that marks is counted as well: half a frame an event, so twice the frames'
    own.
    """

    def plain(values: Mapping[str, Value]) -> dict[str, Any]:
        return {name: [one.value, _half_width(name, one), one.reason] for name, one in values.items()}

    speed = film.speed
    phone = film.camera
    return {
        "speed": {"state": speed.state, "capture_hz": speed.capture_hz, "known_by": speed.known_by,
                  "container_hz": speed.container_hz, "offers": list(speed.offers), "factor": speed.factor},
        "steps": {str(step): plain(values) for step, values in film.steps.items()},
        "front": plain(film.front),
        "times": film.times,
        "contact_half_width_s": next(
            (_half_width("contact_s", one["contact_s"]) for one in film.steps.values() if one["contact_s"].error), None
        ),
        "camera": None if phone is None else {
            "height_m": phone.height_m, "away_m": float(-phone.place[1]), "misfit_px": phone.misfit_px,
            "off_square_deg": phone.off_square_deg},
        "lengths_reason": film.lengths_reason,
        "angles_reason": film.angles_reason,
        "faults": [list(one) for one in film.faults],
    }  # fmt: skip
