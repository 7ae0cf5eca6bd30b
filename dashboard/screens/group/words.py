"""Words of the pages Groups and Plan, and of the ladder of return to running."""

import datetime as dt
from collections.abc import Mapping, Sequence

from dashboard import wording

GROUPS = "Groups"
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
    "Effort x minutes; twelve weeks. Shaded: own range of the weeks before the last; orange with ▲: the last week lies "
    "above it, as on This week; dotted and open: week not known whole. Loads of different people are not compared."
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
COMPLETE_TITLE = "What the week still lacks"
COMPLETE_CAPTION = "How many there are of how many there should be. Missing stays missing: nothing is filled in."
NO_COMPLETE = "Nothing to count yet."
ITEMS = {
    "days": "Days accounted for",
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
# What a phone shows one of at a time.
PARTS = {"starts": "Starts", "load": "Load", "days": "Fast running", "rest": "Tests and gaps"}


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
    return f"{COMPLETE_TITLE}: {wording.week_in_line(monday)}"
