"""The marks somebody made on the films of the demo: frames, pixels and lane marks, with a hand's errors in them."""

import datetime as dt
import json
from typing import Any

import numpy as np

from seed_data import cases
from seed_data.film import FILM, FILM_PRINT_FILE
from seed_data.film.camera import LANE_M, Phone, set_up
from seed_data.film.runner import Joints, Start, start_of
from seed_data.runs import Run
from seed_data.squad import chance

RATE_HZ, WIDTH_PX, HEIGHT_PX = 240.0, 1280, 720
POINT_SD_PX, LANE_SD_PX, TAPE_SD_M = 1.5, 0.6, 0.01  # how well a hand clicks (tried on drawn films)
BEFORE_S = 0.5  # that the film runs before the first movement
LAID = tuple((along, line) for along in (0.0, 2.5, 5.0) for line in ("near", "far"))

# Who is filmed by the desk, in the last weeks: the one who improves, the one cut short, the one whose shin drops.
FILMED = (cases.IMPROVES, cases.CUT_SHORT, cases.SHIN_DROPS)
FILMED_FROM, FILMED_REP = dt.date(2026, 11, 2), 3
AT_HAND = cases.IMPROVES  # whose last film is in the folder, to be opened on the Film page


def filmed_runs(runs: list[Run]) -> list[Run]:
    """Return the runs that were filmed and marked: the third block start of a day, on which steps have no sheet."""
    return [
        run for run in runs
        if run.athlete_id in FILMED and run.session_date >= FILMED_FROM and run.rep_no == FILMED_REP
        and run.sheet == "starts" and run.start_kind == "blocks" and run.outcome == "completed" and not run.is_filmed
    ]  # fmt: skip


def mark_files(runs: list[Run]) -> dict[str, bytes]:
    """Return the kept marks of every filmed run by the name of their file."""
    filmed = filmed_runs(runs)
    return {name_of(run): _content(run, run is at_hand(filmed)) for run in filmed}


def at_hand(filmed: list[Run]) -> Run:
    """Return the run whose film is in the folder: the last one of its athlete."""
    return max((run for run in filmed if run.athlete_id == AT_HAND), key=lambda run: run.session_date)


def name_of(run: Run) -> str:
    """Return the name marks of a run are kept under."""
    return f"{run.athlete_id} {run.session_date} session {run.session_no} run {run.rep_no}.marks"


def phone_of(run: Run) -> Phone:
    """Return the phone of a day: it stands a little elsewhere each time."""
    draw = chance("phone", run.session_date).normal(size=4)
    return set_up(7.0 + 0.4 * draw[0], 1.15 + 0.05 * draw[1], 2.2 + 0.15 * draw[2], 1.5 * draw[3],
                  width=WIDTH_PX, height=HEIGHT_PX)  # fmt: skip


def _content(run: Run, is_at_hand: bool) -> bytes:
    start, phone, rng = start_of(run), phone_of(run), chance("marks", run.athlete_id, run.session_date, run.rep_no)
    frames = int((BEFORE_S + start.lasts_s) * RATE_HZ)
    marks, points = _marks(start, phone, rng)
    name = FILM.name if is_at_hand else f"IMG_{run.session_date:%m%d}_{FILMED.index(run.athlete_id) + 1}.MOV"
    print_of = json.loads(FILM_PRINT_FILE.read_text(encoding="utf-8")) if is_at_hand else {}
    film = {
        "name": name, "bytes": print_of.get("bytes", 1000 * int(rng.integers(8000, 14000))),
        "print": print_of.get("print", rng.bytes(32).hex()), "codec": "avc1.640028", "frames": frames, "lost": 0,
        "width": phone.width, "height": phone.height, "container_rate_hz": RATE_HZ, "told_rate_hz": None,
        "odd_gaps": 0, "gaps": frames - 1, "edit_rates": [1.0],
    }  # fmt: skip
    key = {"athlete_id": run.athlete_id, "session_date": run.session_date.isoformat(),
           "session_no": run.session_no, "rep_no": run.rep_no}  # fmt: skip
    lane = {"width_m": LANE_M, "marks": _lane(phone, rng)}
    told = {
        "format": "thirdstep-film-1", "by": "coach", "at": f"{run.session_date}T19:30:00", "run": key, "film": film,
        "capture": {"rate_hz": RATE_HZ, "known_by": "confirmed"}, "marks": marks, "points": points, "lane": lane,
        "shifts": [],
    }  # fmt: skip
    return json.dumps(told, separators=(",", ":")).encode()


def _marks(start: Start, phone: Phone, rng: np.random.Generator) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    moments: list[tuple[str, int, str | None, float, Joints, tuple[str, ...]]] = [
        ("set", 0, None, -0.05, start.in_set, ("ankle", "knee")),
        ("first_movement", 0, None, 0.0, start.at_push, ("ankle", "knee")),
        ("push", 0, None, start.push_s, {}, ()),
    ]
    for k, side in enumerate(start.sides):
        landing = ("toe", "ankle", "knee", "hip", "shoulder")
        moments.append(("touchdown", k + 1, side, float(start.touchdown_s[k]), start.down[k], landing))
        moments.append(("toeoff", k + 1, side, float(start.toeoff_s[k]), start.off[k], ("ankle", "knee", "hip")))
    marks, points = [], []
    for event, step, foot, at_s, joints, clicked in moments:
        frame = int(np.ceil((BEFORE_S + at_s) * RATE_HZ - 1e-9))
        marks.append({"event": event, "step": step, "side": foot, "frame": frame, "t": round(frame / RATE_HZ, 6),
                      "gap": round(1 / RATE_HZ, 6)})  # fmt: skip
        for what in clicked:
            x, y = phone.see(joints[what])[0] + rng.normal(0, POINT_SD_PX, 2)
            points.append({"event": event, "step": step, "what": what, "frame": frame, "x": round(float(x), 2),
                           "y": round(float(y), 2)})  # fmt: skip
    return marks, points


def _lane(phone: Phone, rng: np.random.Generator) -> list[dict[str, Any]]:
    laid = []
    for along, line in LAID:
        place = np.array([along, LANE_M / 2 * (-1 if line == "near" else 1), 0.0])
        place[:2] += rng.normal(0, TAPE_SD_M, 2)
        x, y = phone.see(place)[0] + rng.normal(0, LANE_SD_PX, 2)
        laid.append({"along_m": along, "line": line, "frame": 0, "x": round(float(x), 2), "y": round(float(y), 2)})
    return laid
