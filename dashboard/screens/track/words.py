"""The words of the page for the track."""

from typing import Any

from dashboard.wording import CLOCKS, SESSION_KINDS, START_KINDS, TIMING

TRACK = "At the track"
LEDE = (
    "What holds for all is said once, then one key a run. Every tap is kept on this phone at once and sent when there "
    "is a line; nothing is sent twice."
)
PRIVACY = (
    "Names and times stay in this browser for three days after they were sent, longer while something waits. "
    "On a borrowed phone, finish the sheet and sign out."
)
NO_RIGHT = "Runs are entered by the head coach and by staff. An athlete’s own minutes and effort stand on Today."
NOBODY = "No athlete is in your groups yet, so there is nobody to enter for."

CHOICES: dict[str, list[tuple[str, str]]] = {
    "kind": list(SESSION_KINDS.items()),
    "start_kind": list(START_KINDS.items()),
    "clock_start": list(CLOCKS.items()),
    "timing_kind": list(TIMING.items()),
    "resistance_kind": [("none", "none, free runs"), ("sled", "sled"), ("incline", "uphill"), ("other", "other")],
    "surface": [("track", "track"), ("indoor track", "indoor track"), ("grass", "grass"), ("road", "road")],
    "footwear": [("spikes", "spikes"), ("flats", "flats"), ("barefoot", "barefoot")],
}

# What the page says by itself, in the browser.
PAGE: dict[str, Any] = {
    "as_last": "As last time",
    "day": "Day",
    "who": "Who",
    "kind": "Session",
    "timed": "Timed runs",
    "timed_yes": "yes",
    "timed_no": "no, minutes and effort only",
    "start": "Start",
    "clock": "Clock starts",
    "timing": "Times taken",
    "gates": "Gates, m from the start",
    "gates_own": "others: 15, 40",
    "from_first_gate": "The clock starts at the first gate: distances count from there.",
    "resistance": "Resistance",
    "surface": "Ground",
    "footwear": "Shoes",
    "not_said": "not known",
    "still": "Still to say:",
    "begin": "Begin",
    "change": "Holds from the next run on",
    "on_record": "A session of that day is on record already",
    "go_on": "more of session {0}, from run {1}",
    "another": "session {0}, a new one",
    "people": "athletes",
    "kept_here": "Sheets on this phone",
    "reopen": "open again",
    "runs": "Runs",
    "ends": "Minutes, effort",
    "set_up": "Set-up",
    "undo": "Undo",
    "run": "run",
    "grid": "Athletes and runs",
    "empty": "empty",
    "waiting": "not sent yet",
    "not_kept": "not kept",
    "outcomes": {"stopped": "Stopped", "false_start": "False start"},
    "clear": "Empty it",
    "next": "Next",
    "close": "Close",
    "pad": "Number pad",
    "point": "point",
    "wipe": "take the last digit away",
    "minutes": "minutes",
    "load": "load, kg",
    "minutes_all": "Minutes, the same for all (one differs: tap it below)",
    "effort_of": "{0}: how hard was it?",
    "effort_words": "0 rest, 10 the hardest possible: the athlete’s own word, about half an hour after.",
    "not_there": "Was not there",
    "all_asked": "Everybody has been asked.",
    "from_now": "What was said once. A change holds for runs entered after it.",
    "all_anew": "Change the {0} runs entered so far as well",
    "finish": "Finish this sheet",
    "needs_point": "{0} at {1}: type the point, as in 1.74.",
    "no_number": "{0} is no number.",
    "not_later": "The time at {0} is not later than the one before.",
    "instead": "Put mine in its place",
    "leave": "Leave what stands there",
    "keeps_nothing": "This browser keeps nothing: stay on this page until all is sent.",
    "refused": "{0} not kept: tap the cell marked with !.",
    "waits": "{0} on this phone, being sent.",
    "no_line": "{0} on this phone. No line: sent when there is one.",
    "all_sent": "All sent, {0}.",
}
