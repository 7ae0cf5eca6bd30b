"""Words of the return to running."""

from collections.abc import Mapping, Sequence

from dashboard import wording

LADDER_TITLE = "Return to running"
LADDER_CAUTION = (
    "A record of what was done and who signed. The tool clears nobody: a licensed professional signs. The rungs are "
    "common practice in our own words, no source."
)
RUNGS = (
    "walk and jog",
    "running drills",
    "easy runs, half speed",
    "build-ups to 70 %",
    "build-ups to 85 %",
    "flying runs at 90 %",
    "starts and bends",
    "flying runs at 95 %",
    "a whole session",
)
SYMPTOMS = {"none": "none", "slight": "slight", "stopped": "had to stop"}
NOT_SAID, NOT_SIGNED, NOT_DONE = "not said", "not signed", "not noted"
STEP_PURPOSE = (
    "What was done and felt on the way back, for the next step to be talked over with whoever treats the athlete."
)
LADDER_COLUMNS = ("Rung", "Done", "What", "Symptoms", "Signed by")
ADD_STEP = "Add a step"
STEP_RUNG, STEP_ON, STEP_WORK = "Rung", "Done on", "What was done"
STEP_SYMPTOMS, STEP_SIGNED = "Symptoms", "Signed by (licensed professional)"
STEP_SAVE = "Keep the step"
STEP_KEPT = "The step is kept."
STEP_REFUSED = "Not kept: this needs the grant for injury detail, for an athlete you look after."
NO_LADDER = "No open or recent injury."


def step_read_by(names: Sequence[str], guardian: bool) -> str:
    """Say who reads a step of the ladder: coaches by name, the athlete, a guardian."""
    return f"Read by {wording.joined([*names, 'the athlete', *(['the guardian'] if guardian else [])])}."


def ladder_title(name: str, row: Mapping) -> str:
    """Head a ladder: whose, what, since when."""
    side = {"l": "left ", "r": "right "}.get(row["side"], "")
    return f"{name}: {side}{row['site']}, since {wording.day(row['onset_on'])} ({row['days_since_onset']} days)"


def ladder_state(row: Mapping) -> str:
    """Say where an injury and its ladder stand."""
    if row["is_open"]:
        first = "Open."
    else:
        weeks = row["weeks_since_return"]
        first = f"Back since {wording.day(row['returned_on'])}, week {weeks + 1 if weeks is not None else '–'}."
    share = row["fastest_share"]
    if share is None:
        second = "No run since that could be set against own best."
    else:
        percent = wording.number(100 * share, 0)
        second = f"Fastest since: {percent} % of own best before, on {wording.day(row['fastest_on'])}."
    return f"{first} {second}"


def rung(number: int) -> str:
    """Name a rung; one beyond ours by its number alone."""
    return f"{number} {RUNGS[number - 1]}" if 1 <= number <= len(RUNGS) else f"{number}"
