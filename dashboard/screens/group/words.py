"""Words of the pages Groups and Plan, and of the ladder of return to running."""

import datetime as dt
from collections.abc import Mapping, Sequence

from dashboard import wording

GROUPS, PLAN = "Groups", "Plan"
GROUP_NAV, WEEKS_NAV = "Event group", "Weeks shown"
GROUP_LEDE_NONE = "No start has changed by more than noise can explain."
NO_GROUP = "There is no athlete in a group of yours yet."
TREND_TITLE = "The start, each against own noise"
TREND_CAPTION = (
    "10 m time, all on one axis, faster is up. Line: own level with its 95 % interval; open circles: days; band: what "
    "own noise alone would give. By last name; nobody is ranked."
)
NO_SERIES = "no timed start yet"
SPREAD_TITLE = "Do they differ by more than noise?"
SPREAD_NONE = "No timed starts yet, so nothing can be said about the spread."
SEXES = {"f": "women", "m": "men", "x": "others", "not_stated": "sex not stated"}
LOAD_TITLE = "Load by week, each against own range"
LOAD_CAPTION = (
    "Effort x minutes; twelve weeks. Shaded: own range now; ▲ above own range of that week; dotted and open: week not "
    "known whole. Loads of different people are not compared."
)
LOAD_WEEKS = "The group by week: how many athletes lay where in their own range"
GROUP_LOAD_COLUMNS = (
    ("week_of", "Week of"),
    ("below", "Below"),
    ("within", "Within"),
    ("above", "Above"),
    ("no_range", "No range yet"),
    ("unknown", "Not known"),
)
TESTS_TITLE = "Test calendar"
NO_TESTS = "Nobody has done a test yet. Load force or jump tests, timed starts or body masses."
TESTS = {
    "eccentric_hamstring": "Eccentric hamstring",
    "hip_flexor": "Hip flexor",
    "calf_isometric": "Calf, isometric",
    "mid_thigh_pull": "Mid-thigh pull",
    "countermovement": "Counter­movement jump",
    "drop": "Drop jump",
    "repeated_hop": "Repeated hops",
    "timed_start": "Timed start",
    "body_mass": "Body mass",
}
NEVER, TODAY = "never", "today"
DAYS_TITLE = "Fast running, day by day"
DAYS_KEY = (
    ("60", "metres at ≥ 95 % of own best"),
    ("30°", "metres at 90 to 95 %, none faster"),
    ("·", "none that fast"),
    ("r40", "metres resisted"),
    ("?", "runs not logged or not judged"),
    ("blank", "nothing logged"),
)
NO_DAYS = "No day of running is logged yet."
WEEKDAYS = ("M", "T", "W", "T", "F", "S", "S")
WEEKDAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
COMPLETE_TITLE = "What the week still lacks"
COMPLETE_CAPTION = "How many there are of how many there should be. Missing stays missing: nothing is filled in."
NO_COMPLETE = "Nothing to count yet."
ITEMS = {
    "days": "Days told",
    "checkins": "Check-ins",
    "effort": "Effort and minutes",
    "splits": "Splits",
    "gym_sets": "Gym sets",
    "tests": "Tests in time",
    "plan": "Next week’s plan",
}
OF = "of"
ALL_THERE = "Everything is there."
ATHLETE = "Athlete"

# --- the ladder ------------------------------------------------------------------------------------------------------

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
STEP_KEPT = "The step is kept. The page follows in a moment."
STEP_REFUSED = "Not kept: this needs the grant for injury detail, for an athlete you look after."
NO_LADDER = "No open or recent injury."

# --- planning --------------------------------------------------------------------------------------------------------

PLAN_LEDE = "Write the week, see what it would mean for each, then save."
PLAN_WHO, PLAN_ALL = "For whom", "The whole group"
PLAN_NAV, PLAN_WEEK_NAV = "Plan for", "Week planned"
WEEK_BEFORE, WEEK_AFTER = "← week before", "week after →"
COPY_LAST, COPIED = "copy last week", "last week copied: not saved yet"
TWO_A_DAY = "two sessions a day"
GRID_GROUP = (
    "One grid for all of the group. Where they differ the cell is empty, and an empty cell leaves each as it is. "
    "A day off is 0 minutes."
)
GRID_ONE = "A day off is 0 minutes. A planned session that you empty is kept as 0 minutes: nothing is erased unseen."
GRID_COLUMNS = {"day": "Day", "kind": "Kind", "fast": "Fast metres", "minutes": "Minutes", "effort": "Effort, 0 to 10"}
EFFECT_TITLE = "What it would mean"
EFFECT_CAPTION = (
    "Facts against each one’s own past, before anything is saved. No load and no number of fast metres is called safe."
)
NOTHING_TYPED = "Nothing is changed yet. Type in the grid, or copy last week."
AS_SAVED = "The week as it is planned now."
EFFECT_COLUMNS = ("Athlete", "Load", "Fast running", "Monotony")
EXPOSURE_SPEAKS = "exposure flag would speak"
SAVE_PLAN = "Save the plan"
UNDO_PLAN = "Undo"
PLAN_BACK = "The plan is taken back."
PLAN_REFUSED = "Not kept: the plan names somebody who is not among those you look after."
PLAN_EMPTY = "Nothing was kept: there is nothing new in the grid."
DONE_TITLE = "Plan against done"
NO_DONE = "There is no plan and no session for that week."
DONE_COLUMNS = ("Athlete", "Sessions", "Load planned", "done", "Difference", "Fast metres planned", "done", "")
KINDS = {
    "acceleration": "acceleration",
    "top_speed": "top speed",
    "speed_endurance": "speed endurance",
    "tempo": "tempo",
    "strength": "strength",
    "plyometric": "jumps",
    "technique": "technique",
    "race": "race",
    "recovery": "recovery",
    "other": "other",
}


def step_read_by(names: Sequence[str], guardian: bool) -> str:
    """Say who reads a step of the ladder: coaches by name, the athlete, a guardian."""
    return f"Read by {wording.joined([*names, 'the athlete', *(['the guardian'] if guardian else [])])}."


def group_lede(name: str, count: int, improving: Sequence[str], slipping: Sequence[str]) -> str:
    """Say who improves and who slips, in the order of last names."""
    who = f"{wording.sentence_case(wording.number_word(count))} athlete{'s' if count != 1 else ''} in {name}."
    if not improving and not slipping:
        return f"{who} {GROUP_LEDE_NONE}"
    said = [f"Faster than noise: {wording.joined(improving)}."] if improving else []
    said += [f"Slower than noise: {wording.joined(slipping)}."] if slipping else []
    return " ".join([who, *said])


def series_differs(row: Mapping) -> str:
    """Name the start of a series that is not the one most of the group have."""
    parts = (
        wording.START_KINDS.get(row["start_kind"], row["start_kind"].replace("_", " ")),
        wording.CLOCKS.get(row["clock_start"], row["clock_start"].replace("_", " ")),
        wording.TIMING.get(row["timing_kind"], row["timing_kind"]),
        wording.MEASURED_BY.get(row["measured_by"], row["measured_by"]),
    )
    return ", ".join(parts)


def trend_alt(name: str, rows: Sequence[Mapping], word: str) -> str:
    """Describe a small trend in words."""
    known = [r["level"] for r in rows if r["level"] is not None]
    if not known:
        return f"{name}: {NO_SERIES}"
    return f"{name}: level from {wording.number(known[0], 2)} to {wording.number(known[-1], 2)} s, {word}"


def spread_line(row: Mapping) -> str:
    """Head a spread with whom and what it compares."""
    return f"{wording.sentence_case(SEXES.get(row['sex'], row['sex']))}, {series_differs(row)}"


def spread_chance(row: Mapping) -> str:
    """Say how likely noise alone gives such a spread."""
    chance = row["p_noise"]
    if chance is None:
        return ""
    figure = "under 0.001" if chance < 0.001 else wording.number(chance, 3)
    rest = f"Spread less noise: {wording.number(row['true_spread_s'], 3)} s."
    return f"Probability of such a spread from noise alone: {figure}. {rest}"


def tests_title(overdue: int, never: int, days: int) -> str:
    """Say how many tests are overdue or were never done."""
    if not overdue and not never:
        return "Every test is in time"
    parts = [f"{overdue} overdue (older than {days} days)"] if overdue else []
    parts += [f"{never} never done"] if never else []
    return wording.sentence_case(wording.joined(parts))


def days_ago(days: int) -> str:
    """Write how long ago a test was."""
    return TODAY if days == 0 else f"{days} d"


def overdue(days: int) -> str:
    """Write that a test is overdue."""
    return f"overdue, {days} d"


def load_alt(name: str, last: Mapping) -> str:
    """Describe the load bars of one athlete."""
    value = last["load_au"]
    return f"{name}: load of the last week {wording.number(value, 0) if value is not None else 'not known'}"


def load_note(last: Mapping) -> str:
    """Say where the last week lies."""
    load, low, high = last["load_au"], last["own_low_au"], last["own_high_au"]
    if load is None:
        least = last["load_known_au"]
        return f"not known whole{f'; at least {wording.number(least, 0)}' if least else ''}"
    if low is None or high is None:
        return f"{wording.number(load, 0)} AU; own range not known yet"
    place = "above" if load > high else "below" if load < low else "within"
    return f"{wording.number(load, 0)} AU, {place} own {wording.number(low, 0)} to {wording.number(high, 0)}"


def weeks_choice(weeks: int) -> str:
    """Offer a number of weeks."""
    return f"{weeks} weeks"


def group_weeks(monday: dt.date) -> str:
    """Head the completeness of a week."""
    return f"{COMPLETE_TITLE}: {_in_line(monday)}"


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


def plan_title(monday: dt.date) -> str:
    """Title of the plan page."""
    return f"Plan, {_in_line(monday)}"


def plan_day(value: dt.date, number: int) -> str:
    """Name a day of the grid: Mon 23 Nov; the second session of a day says so."""
    name = f"{WEEKDAY_NAMES[value.weekday()][:3]} {wording.day(value)}"
    return name if number == 1 else f"{name}, session {number}"


def plan_kept(sessions: int, athletes: int) -> str:
    """Confirm that a plan is saved."""
    return (
        f"Saved: {sessions} planned session{'s' if sessions != 1 else ''} of {athletes} "
        f"athlete{'s' if athletes != 1 else ''}. The other pages follow in a moment."
    )


def save_caption(sessions: int, athletes: int) -> str:
    """Say what saving would change."""
    return (
        f"{sessions} planned session{'s' if sessions != 1 else ''} of {athletes} "
        f"athlete{'s' if athletes != 1 else ''} would be new or changed."
    )


def done_title(monday: dt.date) -> str:
    """Head the comparison of plan and done."""
    return f"{DONE_TITLE}: {_in_line(monday)}"


def _in_line(monday: dt.date) -> str:
    """Write a week inside a line: week of 16 November."""
    title = wording.week_title(monday)
    return title[:1].lower() + title[1:]
