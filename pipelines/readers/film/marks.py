"""The marks of one film as they are kept: what was marked where, by whom, when, on which film. The film is never in it.

A JSON text of its own format, ``thirdstep-film-1``, in a file that ends in ``.marks``. It is raw: frames, presentation
times and pixels only. What follows from it is worked out each time it is read, so that a better formula mends old
films.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pipelines.errors import UnreadableSource

FORMAT = "thirdstep-film-1"
RUN = ("athlete_id", "session_date", "session_no", "rep_no")
EVENTS = ("set", "first_movement", "push", "touchdown", "toeoff")
STEPS = (1, 2, 3, 4)
POINTS = ("toe", "ankle", "knee", "hip", "shoulder")
LANE_WIDTH_M = 1.22  # m, World Athletics Competition Rules, TR14.4: 1.22 m +- 0.01 m, the line on the right included
CHECK_IT = "Open the run on the Film page and keep it again, or take the file out."

Array = np.ndarray
Key = tuple[str, int]  # event, step; step 0 for those before the first touchdown


@dataclass(frozen=True)
class Mark:
    """An event and the first frame in which it is seen to have happened."""

    event: str
    step: int
    side: str | None
    frame: int
    t: float  # presentation time of the frame in s, as the container says it
    gap: float  # time since the frame before it, in which it may have happened


@dataclass(frozen=True)
class LaneMark:
    """One mark on a lane line: where it lies on the track and where it was clicked."""

    along_m: float
    across_m: float
    u: float
    v: float


@dataclass(frozen=True)
class Marks:
    """The marks of one film."""

    run: Mapping[str, Any]  # athlete_id, session_date, session_no, rep_no
    film: Mapping[str, Any]
    capture_hz: float | None
    known_by: str | None
    marks: Mapping[Key, Mark]
    points: Mapping[tuple[str, int, str], Array]
    lane: Sequence[LaneMark]
    shifts: Mapping[int, Sequence[tuple[float, float]]]  # frame -> how far lane marks lie elsewhere in it, px
    by: str
    at: str

    def mark(self, event: str, step: int = 0) -> Mark | None:
        """Return the mark of an event, null where it was not marked."""
        return self.marks.get((event, step))

    def point(self, event: str, step: int, what: str) -> Array | None:
        """Return where a point was clicked at an event, null where it was not."""
        return self.points.get((event, step, what))


def marks_of(told: Mapping[str, Any]) -> Marks:
    """Return marks from what the page or a file says.

    Raises:
        ValueError, KeyError, TypeError: It is not of the format.
    """
    film, lane = told["film"] or {}, told.get("lane") or {}
    marks = [
        Mark(str(one["event"]), int(one.get("step") or 0), one.get("side"), int(one["frame"]), float(one["t"]),
             float(one.get("gap") or 0.0))
        for one in told.get("marks") or []
    ]  # fmt: skip
    if any(one.event not in EVENTS or (one.step not in STEPS) == (one.event in EVENTS[3:]) for one in marks):
        raise ValueError("an event that is not known")
    points = {
        (str(one["event"]), int(one.get("step") or 0), str(one["what"])): np.array([float(one["x"]), float(one["y"])])
        for one in told.get("points") or []
    }
    if any(event not in EVENTS or what not in POINTS for event, _, what in points):
        raise ValueError("a point that is not known")
    width = float(lane.get("width_m") or LANE_WIDTH_M)
    laid = [
        LaneMark(float(one["along_m"]), width / 2 * {"near": -1, "far": 1}[one["line"]], float(one["x"]),
        float(one["y"])) for one in lane.get("marks") or []
    ]  # fmt: skip
    capture = told.get("capture") or {}
    rate = capture.get("rate_hz")
    shifts: dict[int, list[tuple[float, float]]] = {}
    for one in told.get("shifts") or []:
        shifts.setdefault(int(one["frame"]), []).append((float(one["dx"]), float(one["dy"])))
    return Marks(
        dict(told["run"]), dict(film), float(rate) if rate else None, capture.get("known_by"),
        {(one.event, one.step): one for one in marks}, points, laid, shifts, str(told.get("by", "")),
        str(told.get("at", "")),
    )  # fmt: skip


def write_marks(told: Mapping[str, Any], by: str, at: str) -> bytes:
    """Return marks as the bytes of a source: the format first, then who and when, then what the page sent."""
    kept = {name: told.get(name) for name in ("run", "film", "capture", "marks", "points", "lane", "shifts")}
    whole = {"format": FORMAT, "by": by, "at": at, **kept}
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":")).encode("utf-8")


def parse_marks(name: str, content: bytes) -> tuple[Marks, Mapping[str, Any]]:
    """Return the marks of a file, checked, and what it says word for word.

    Raises:
        UnreadableSource: It is cut off, of a newer format, or says something that is no mark.
    """
    try:
        told = json.loads(content)
    except (ValueError, RecursionError) as trouble:
        raise UnreadableSource(name, "the marks of the film break off in the middle.", CHECK_IT) from trouble
    if not isinstance(told, dict) or told.get("format") != FORMAT:
        raise UnreadableSource(name, f"it holds marks of a format that is not read here; {FORMAT} is.", CHECK_IT)
    try:
        return marks_of(told), told
    except (ValueError, KeyError, TypeError) as trouble:
        raise UnreadableSource(name, f"the marks of the film are not whole ({trouble}).", CHECK_IT) from trouble
