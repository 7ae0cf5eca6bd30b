"""The words of the page for the track."""

from typing import Any

from dashboard.wording import CLOCKS, SESSION_KINDS, START_KINDS, TIMING
from schemas.speeds import ELECTRONIC_DECIMALS, FASTEST_MPS, SLOWEST_MPS, UNUSUAL_SHARE

TRACK = "At the track"
LEDE = (
    "Set it up once, then type each run. Every tap is kept on this phone at once and sent when there "
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

# What a time can be, and when it is asked about: from where the checks of the record read it.
LIMITS = {
    "slowest": SLOWEST_MPS, "fastest": FASTEST_MPS, "unusual": UNUSUAL_SHARE, "decimals": ELECTRONIC_DECIMALS,
}  # fmt: skip

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
    "wipe": "take the last digit away; held down, all of them",
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
    "needs_point": "{0} at {1}: type it again with the point, as in 1.74.",
    "it_is": "It is {0}",
    "too_slow": "{0} s at {1} is slower than anybody runs. Type it again.",
    "too_fast": "{0} s at {1} is faster than anybody runs. Type it again.",
    "no_number": "{0} is no number.",
    "not_later": "{1}, {0}, is not later than {3}, {2}. One of the two is wrong.",
    "leg_too_fast": "From {3}, {2}, to {1}, {0}, is faster than anybody runs. One of the two is wrong.",
    "leg_too_slow": "From {3}, {2}, to {1}, {0}, is slower than anybody runs. One of the two is wrong.",
    "change_gate": "Type {0} again",
    "fewer_digits": "{0} at {1} has fewer digits after the point than it should. Was one missed?",
    "far_from_own": "{0} at {1} is far from this athlete’s {2} to {3}. Is it right?",
    "far_from_others": "{0} at {1} is far from the others’ {2} to {3}. Is it right?",
    "keep_it": "Keep it",
    "kept_so": "It was kept as typed; tap the cell to change it.",
    "left_out": "{0}: {1} was left out, it cannot be. Tap the cell to type it again.",
    "instead": "Put mine in its place",
    "leave": "Leave what stands there",
    "keeps_nothing": "This browser keeps nothing: stay on this page until all is sent.",
    "refused": "{0} not kept: tap the cell marked with !.",
    "waits": "{0} on this phone, being sent.",
    "no_line": "{0} on this phone. No line: sent when there is one.",
    "all_sent": "All sent, {0}.",
}
