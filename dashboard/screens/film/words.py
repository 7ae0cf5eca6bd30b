"""The words of the Film page."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from dashboard.wording import NARROW, full_day, number

FILM = "Film"
LEDE = (
    "Touchdown, toe-off, lengths and angles of the first steps off a phone film. The film stays on this device: only "
    "marks are sent and kept."
)
CHOOSE_NEXT = "Choose an athlete, then the run that was filmed."
CHOOSE_RUN, ANOTHER_RUN = "Run", "A run that is not on record yet"
DAY, SESSION, RUN = "Day", "Session", "Run"
FILMS_TITLE = "Films kept"
KEPT_COLUMNS = ("Run", "Film", "Marked", "What can be done")
NO_FILMS = "No film of this athlete has been marked yet."
OPEN, TAKE_AWAY, TAKE_BACK = "open", "marks as a file", "take back"
TAKEN_BACK = "Taken back. The step rows that came from it are gone; the Data page can put it back in force."
KEPT = "Kept: {}."
KEPT_UNDO = "Take it back"
IN_HAND = "These marks were put by before you kept them ({}). They are not on record yet."
DROP_IN_HAND = "Throw them away and open what is kept"
REFUSED = "Only a coach of this athlete's group can mark a film. Nothing was kept."
NOTHING = "Nothing is marked yet. Mark a touchdown and a toe-off first."
NO_FILM_READ = "Choose the film first: its speed is needed for every time."
RATE_FIRST = "Say first how fast the film was taken: without it no time can be kept."
ORDER_FIRST = "Put the marks in order first: {}"
NOT_THIS_RUN = "The marks are of another run than the one chosen. Nothing was kept; open the run again."
BIAS = (
    "The ± of a contact holds frames and the eye that marks them. Beside that, film reads contacts 5 to 10 ms "
    "longer than "
    "a force plate and flights 5 to 7 ms shorter (film at 200 Hz, 99 students, early acceleration; Int J Sports "
    "Sci Coach "
    "2025, doi 10.1177/17479541251333937). Compare film with film."
)
SETTING_UP_TITLE = "How to film it"
SETTING_UP = (
    "Stand the phone still, 6 to 8 m beside the lane and at least 1 m high, square to about the third step, so "
    "that both "
    "lane lines are in the picture from 0 to 5 m. Film at 120 or 240 pictures a second. Save the film to your "
    "files and "
    "choose it there: a picker of photos may hand over a copy at another speed."
)
TRY_IT = "No film at hand? A drawn start at 240 pictures a second"
TRY_IT_NEXT = "Save it and choose it below. Nothing is kept before you press Keep."
TWICE = "This film is already kept for {}. Is it the right run?"
LANE_FROM = "Lane marks of {}"

SHOWN = {"ms": 1000.0, "m": 1.0, "°": 1.0}  # per unit of the record

REASONS = {
    "not_marked": "not marked",
    "last_step": "needs the next touchdown",
    "rate_not_known": "speed of the film not known",
    "two_speeds": "two speeds in one film",
    "not_clicked": "points not clicked",
    "no_lane_marks": "no lane marks",
    "few_lane_marks": "needs marks on both lines at two distances",
    "lane_lines_swapped": "near and far line exchanged",
    "lane_marks_do_not_fit": "lane marks do not fit",
    "camera_too_low": "phone too low",
    "camera_moved": "the phone was moved",
    "view_too_slanted": "seen too much from ahead or behind",
    "view_too_flat": "not to be told from this view",
}
NOTES = {
    "few_lane_marks": "Lengths need lane marks on both lines at two distances at least: four, or better six.",
    "lane_lines_swapped": (
        "The near and the far lane line are exchanged. Click them again: near is the one at the phone's side."
    ),
    "lane_marks_do_not_fit": (
        "The lane marks do not lie as they would on one flat lane: one of them, a distance or the lane's width is "
        "wrong. No lengths until it is mended; the times hold."
    ),
    "camera_too_low": "The phone stood lower than 0.3 m, so the lines fall together. Times hold, lengths do not.",
    "camera_moved": (
        "The lane marks lie elsewhere in later frames: the phone was moved while filming. Times are kept; lengths and "
        "angles are not given."
    ),
    "view_too_slanted": "The phone looks along the lane more than across it: lengths are given, angles are not.",
    "out_of_order": "{} lies before {}, which cannot be. Mark one of them again.",
}
EVENTS = {
    "set": "Set",
    "first_movement": "First movement",
    "push": "Push ends",
    "touchdown": "Touchdown",
    "toeoff": "Toe-off",
}
POINTS = {"toe": "Toe", "ankle": "Ankle", "knee": "Knee", "hip": "Hip", "shoulder": "Shoulder"}
SIDES = {"l": "left", "r": "right"}

# What the desk says by itself, in the browser.
DESK: dict[str, Any] = {
    "choose": "Film of this run",
    "view": "The film, frame by frame",
    "slide": "Place in the film",
    "frames_by": "frames by",
    "play": "Play slowly",
    "zoom": "Closer",
    "events": EVENTS,
    "points": POINTS,
    "sides": SIDES,
    "lines": {"near": "near line", "far": "far line"},
    "step": "Step",
    "foot": "First foot",
    "foot_unknown": "not said",
    "undo": "Undo",
    "redo": "Redo",
    "keep": "Keep",
    "keeping": "Keeping the marks …",
    "frame": "Frame",
    "since": " · {} s after first movement",
    "marked": "Marked",
    "nothing_marked": "Nothing yet. Go to a frame and press an event.",
    "take_out": "Take out",
    "next_event": "Next: find the first frame of {}.",
    "all_marked": "Every event is marked.",
    "click_point": "Click the {} (press, move, let go), or leave it out.",
    "points_done": "Points of this frame are there.",
    "click_lane": "Click where the {line} lies at {along} m.",
    "step_chosen": "The next event is of step {}.",
    "lane": "Lane marks",
    "lane_help": (
        "For lengths and angles: marks on both lane lines, best at three distances from the start line (cones, "
        "or tape across "
        "both lines). Without them there are times only."
    ),
    "lane_distances": "Distances from the start line, m",
    "lane_width": "Middle to middle of the lines, m",
    "lane_begin": "Click lane marks",
    "lane_done": "Done",
    "lane_clear": "Take lane marks out",
    "lane_taken": "Taken over. Look whether they still lie on the lines; click those again that do not.",
    "reading": "Reading the film …",
    "opened": (
        "{name}: {frames} frames, played at {rate} a second. It stays on this device; up to {memory} MB of it "
        "stand in memory."
    ),
    "lost": "The end of the file is missing: {} frames are lost, the others are exact.",
    "other_film": "These marks were made on another film ({}). Look whether they fit before you keep them.",
    "change_rate": "That is not right",
    "yes": "Yes, {}",
    "other_rate": "Another, frames a second",
    "beside": "A second start beside it",
    "beside_choose": "Second film",
    "beside_zero": "Go to its first movement and say so; then both run together.",
    "beside_lined": "Lined up at first movement. {}",
    "zero_here": "First movement is here",
    "patterns": "Seen in this run",
    "unsent_before": "Marks of this run that never arrived stand in this browser ({day}, {marks} events).",
    "take_up": "Take them up",
    "throw_away": "Throw them away",
    "unsent": (
        "The last marks have not arrived yet. They are kept in this browser and are sent again when the connection "
        "is back, or with the next mark."
    ),
    "not_kept_here": "This browser has no room for marks that have not arrived: keep the page open until they have.",
    "pictures_kept": "Small pictures of marked frames are kept in this browser only, for the last 40 runs.",
    "forget_pictures": "Forget the pictures",
    "forgotten": "The pictures are gone from this browser. The marks stay.",
    "faults": {
        "empty": "The file is empty (0 bytes). Copy it from the phone once more.",
        "still_picture": "This is a picture, not a film. Choose the film itself.",
        "not_a_film": "This is no MP4 or MOV film. Phones write those; save the film as one of them.",
        "half_a_film": (
            "Half a film: the table of its frames is missing, as after a copy that broke off. Copy it from the "
            "phone once more."
        ),
        "no_picture": "There is no picture in this file, only sound or nothing. Choose the film itself.",
        "broken": (
            "The table of this film is damaged, so no frame of it can be trusted. Copy it from the phone once more."
        ),
        "cannot_decode": (
            "This browser cannot decode the film ({}). On the phone choose the most compatible format for new "
            "films (H.264), or "
            "open this page with a browser that plays the film."
        ),
        "not_secure": (
            "The browser lends its decoder only to pages with a secure address. Open the dashboard over https, "
            "or on the machine it "
            "runs on."
        ),
        "old_browser": (
            "This browser has no frame-exact decoder. Update it, or use another: most of 2024 and later have one."
        ),
    },
}
SPEEDS = {
    "refused": (
        "Two speeds in one film: slow motion is baked in, so times over its border mean nothing. Export the "
        "original from the phone, "
        "without the slow part."
    ),
    "confirm": "The film says {}. Was it taken so?",
    "ask": (
        "The film is played at {} frames a second. It may be slow motion: at how many was it taken? The phone's "
        "camera settings say."
    ),
    "camera": "Taken at {} frames a second, as the camera wrote into it.",
    "confirmed": "Taken at {} frames a second, as you confirmed.",
    "asked": "Taken at {} frames a second, as you said.",
}
SLOW_FILM = "At {} frames a second a contact is known to ±{} only: enough to see, too little to compare."
TIMES_TITLE, ANGLES_TITLE, SET_TITLE = "Times and lengths, ± 95 %", "Angles, ± 95 %", "Front shin, ± 95 %"
PHONE = "Phone {} high, {} from the middle of the lane; lane marks fit to {}."


def run_label(run: Mapping[str, Any]) -> str:
    """Name a run: 20 Nov 2026, run 2."""
    session = f", session {run['session_no']}" if run["session_no"] > 1 else ""
    return f"{full_day(run['session_date'])}{session}, run {run['rep_no']}"


def no_more_films(name: str, ended_on: dt.date, *, is_refused: bool = False) -> str:
    """Say that no new film is to be taken of somebody."""
    what = "refused" if is_refused else "withdrawn"
    return (
        f"Consent to video of {name} was {what} on {full_day(ended_on)}: take and mark no new film. What was "
        "kept before stays until it is erased."
    )


def event_name(event: str, step: str | int = 0) -> str:
    """Name an event: Touchdown 2."""
    return f"{EVENTS[event]} {step}" if int(step) else EVENTS[event]


def rate_words(rate: float) -> str:
    """Write a rate: 240, or 239.76."""
    return number(rate, 0 if abs(rate - round(rate)) < 0.005 else 2)


def cell(value: float | None, half_width: float | None, reason: str | None, unit: str, places: int) -> dict[str, str]:
    """Write a measure for the desk's tables: value with unit and error, or why there is none."""
    if value is None:
        said = REASONS.get(reason or "", "")
        return {"text": said or "–", "why": said or "–"}
    error = "" if half_width is None else f"±{number(half_width, places)}"
    return {"text": number(value, places, unit), "error": error}


def plain(words: object) -> dict[str, str]:
    """Write a heading of a row."""
    return {"text": str(words)}


def pattern_instead(angles: str) -> str:
    """Say what stands where no picture is at hand."""
    return f"No picture in this browser.{NARROW}{angles}"
