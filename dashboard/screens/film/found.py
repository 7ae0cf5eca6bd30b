"""What follows from the marks in hand, written for the desk: sentences, tables, patterns with where they were seen."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.screens.film import words
from dashboard.screens.film.writes import fault_sentences
from dashboard.wording import number

Row = dict[str, Any]
SLOWEST_SPOKEN_OF_HZ = 100.0
TIMES = (("contact_s", "Contact", "ms", 0), ("flight_s", "Flight after", "ms", 0), ("step_length_m", "Length", "m", 2),
         ("touchdown_distance_m", "Foot ahead of hip", "m", 2))  # fmt: skip
ANGLES = (
    ("shin_touchdown_deg", "Shin, touchdown", "°", 0),
    ("shin_toeoff_deg", "Shin, toe-off", "°", 0),
    ("trunk_touchdown_deg", "Trunk, touchdown", "°", 0),
    ("knee_toeoff_deg", "Knee, toe-off", "°", 0),
)
FRONT = (("front_shin_set_deg", "In set"), ("front_shin_push_deg", "At first movement"))
# Where a pattern can be seen: the events whose small pictures show it, the first one at hand.
SEEN_AT = {
    "too_quick_too_early": ("toeoff 1", "toeoff 2"),
    "pushes_too_long": ("toeoff 1", "toeoff 2", "toeoff 3"),
    "shin_drops": ("first_movement 0", "set 0"),
    "shin_rises": ("first_movement 0", "set 0"),
    "ankle_gives": ("touchdown 1", "touchdown 2"),
    "reaches_ahead": ("touchdown 2", "touchdown 3", "touchdown 1"),
    "head_or_arms_apart": ("toeoff 1", "push 0"),
    "even_growing_rhythm": ("toeoff 3", "toeoff 2"),
}


def told_of(found: Mapping[str, Any] | None, patterns: Sequence[Mapping[str, Any]]) -> Row | None:
    """Return everything the desk says of the marks in hand; null while there are none."""
    if found is None:
        return None
    notes = [
        words.NOTES[code]
        for code in dict.fromkeys((found["lengths_reason"], found["angles_reason"]))
        if code in words.NOTES
    ]
    return {
        "speed": _speed(found["speed"]),
        "times": {event: number(at, 3, "s") for event, at in found["times"].items()},
        "notes": [*fault_sentences(found), *notes],
        "tables": _tables(found),
        "lines": _lines(found),
        "patterns": [_pattern(one, found) for one in patterns],
    }


def _speed(speed: Mapping[str, Any]) -> Row:
    state, known_by = speed["state"], speed["known_by"]
    rate = speed["capture_hz"] if state == "known" else speed["container_hz"]
    sentence = words.SPEEDS[known_by if state == "known" else state].format(words.rate_words(rate))
    offers = [{"rate": one, "label": words.rate_words(one)} for one in speed["offers"]]
    return {"state": state, "known_by": known_by, "factor": speed["factor"], "sentence": sentence, "offers": offers}


def _tables(found: Mapping[str, Any]) -> list[Row]:
    steps = sorted(found["steps"].items(), key=lambda one: int(one[0]))
    if not steps:
        return []
    told = [_table(words.TIMES_TITLE, TIMES, steps)]
    if any(values[name][0] is not None for _, values in steps for name, *_ in ANGLES):
        told.append(_table(words.ANGLES_TITLE, ANGLES, steps))
    front = [(label, found["front"][name]) for name, label in FRONT]
    if any(value[0] is not None for _, value in front):
        cells = [words.cell(*_shown(value, "°"), "°", 0) for _, value in front]
        told.append(
            {
                "title": words.SET_TITLE,
                "head": ["", *(label for label, _ in front)],
                "rows": [[words.plain(""), *cells]],
            }
        )
    return told


def _table(title: str, columns: Sequence[tuple[str, str, str, int]], steps: Sequence[tuple[Any, Any]]) -> Row:
    rows = [
        [
            words.plain(step),
            *(words.cell(*_shown(values[name], unit), unit, places) for name, _, unit, places in columns),
        ]
        for step, values in steps
    ]
    return {"title": title, "head": ["Step", *(label for _, label, _, _ in columns)], "rows": rows}


def _shown(value: Sequence[Any], unit: str) -> tuple[float | None, float | None, str | None]:
    """Return value, half width of its 95 % interval and reason, in the unit that is shown."""
    amount, half_width, reason = value
    scale = words.SHOWN[unit]
    return (None if amount is None else amount * scale, None if half_width is None else half_width * scale, reason)


def _lines(found: Mapping[str, Any]) -> list[str]:
    phone, speed = found["camera"], found["speed"]
    told = []
    if phone:
        height, away = (number(phone[name], 1, "m") for name in ("height_m", "away_m"))
        told.append(words.PHONE.format(height, away, number(phone["misfit_px"], 1, "px")))
    if found["steps"] and speed["factor"]:
        known_to_s = found["contact_half_width_s"]
        if speed["capture_hz"] < SLOWEST_SPOKEN_OF_HZ and known_to_s is not None:
            known_to = number(known_to_s * words.SHOWN["ms"], 0, "ms")
            told.append(words.SLOW_FILM.format(words.rate_words(speed["capture_hz"]), known_to))
        told.append(words.BIAS)
    return told


def _pattern(row: Mapping[str, Any], found: Mapping[str, Any]) -> Row:
    title = wording.PATTERNS[row["pattern"]]
    events = SEEN_AT.get(row["pattern"], ())
    at = next((f"{words.event_name(*event.split())} at {number(found['times'][event], 3, 's')}." for event in events
               if event in found["times"]), "")  # fmt: skip
    return {
        "title": f"{title}.", "evidence": wording.sentence_case(row["evidence"] or ""), "events": list(events),
        "alt": f"{title}: the marked frame", "instead": words.pattern_instead(at),
    }  # fmt: skip
