"""Gym logs in one cell: '3x5 @ 100 kg' and its kin, taken apart into sets."""

import re

import polars as pl

from schemas.exercise_families import STARTER
from schemas.spelling import slug

NUMBER = r"\d+(?:[.,]\d+)?"
UNIT = r"(?:\s*(?:kg|kgs|lb|lbs|kilo|kilos))?"
TIMES_SIGNS = frozenset("x×X*")
TIMES = rf"\s*[{''.join(sorted(TIMES_SIGNS))}]\s*"
SETS_REPS_LOAD = re.compile(
    rf"(\d{{1,2}}){TIMES}(\d{{1,2}})(?:(?:{TIMES}|\s*@\s*|\s*(?:à|a|bei|with|mit|con)\s*|\s+"
    rf"|\s*/\s*(?={NUMBER}\s*(?:kg|lb|kilo)))(.+))?"  # '3x6/85kg'; '3x6/8' may be six or eight times
)
NEXT_SETS = re.compile(r"\s*[,;+]\s*(?=\d{1,2}\s*[x×*]\s*\d)", re.I)  # '1x5 @ 100, 2x5 @ 110'
SETS_INSIDE = re.compile(r"\d\s*[x×*]", re.I)
# Trade words for a set with the body alone; 'bw + 10 kg' is 10 kg besides it.
BODY = (
    r"(?:bw|bodyweight|body weight|body mass|körpergewicht|korpergewicht|eigengewicht|kroppsvekt|kropsvægt"
    r"|kroppsvikt|poids (?:de|du) corps|pdc"
    r"|peso corporal|pc|kroppsvikten|lichaamsgewicht|eigen gewicht|lg|peso corporeo|corpo libero|c\.?\s?l\.?"
    r"|peso do corpo|masa ciała|ciężar ciała|vlastní váha|kropsvægt|egen vikt|egenvekt|kehonpaino|oma paino)"
)
# 'KG + 10' is Körpergewicht and 10 kg besides it: a unit never stands before its number.
BODY_AND_LOAD = re.compile(rf"(?:{BODY}(?:\s*/\s*{BODY})?(?:\s*\+\s*({NUMBER}{UNIT}))?|kg\s*\+\s*({NUMBER}{UNIT}))")
REPS_LOAD = re.compile(rf"(\d{{1,2}})(?:{TIMES}|\s*@\s*)({NUMBER}{UNIT}|{BODY}(?:\s*\+\s*{NUMBER}{UNIT})?)")
LOAD_FIRST = re.compile(
    rf"({NUMBER}\s*(?:kg|kgs|lb|lbs|kilo|kilos))\s*[,:]?\s+(\d{{1,2}}){TIMES}(\d{{1,2}})"
)  # 70 kg 3x6
# '80x3x3', '60 kg x 5 x 5': the load first. Which of the others are sets is only known where both are the same.
LOAD_TIMES = re.compile(rf"({NUMBER})(\s*(?:kgs?|lbs?|kilos?))?{TIMES}(\d{{1,2}}){TIMES}(\d{{1,2}})")
# '80 kg x 5' is one set, its load first; '5 @ 60, 4 @ 65' and '5x60, 3x80' are a set for each pair.
LOAD_REPS = re.compile(rf"({NUMBER}\s*(?:kgs?|lbs?|kilos?)){TIMES}(\d{{1,2}})")
ONE_AT_LOAD = re.compile(rf"(\d{{1,2}})\s*(?:@|à|a|bei|mit|con)\s*({NUMBER}{UNIT})")
ONE_BY_LOAD = re.compile(rf"(\d{{1,2}}){TIMES}({NUMBER}{UNIT})")
BETWEEN_SETS = re.compile(r"\s*[,;+]\s+|\s*[;+]\s*")
PERCENT_FIRST = re.compile(rf"({NUMBER}\s*%)\s*[,:]?\s+(\d{{1,2}}{TIMES}\d{{1,2}})")
FEWEST_OF_LADDER = 2  # sets without a unit
MOST_OF_SETS, FEWEST_KILOS = 12, 8  # a number above the one is no count of sets; below the other hardly a load
# 'of each side': as many repetitions with the left as with the right. Common practice, no source.
EACH_SIDE = re.compile(
    r"(?<=\d)\s*(?:\(\s*)?(?:e\s*/\s*[sl]|p\s*/\s*[sl]|/\s*s|na stron[eę]|na nohu|na stranu|puolta kohti"
    r"|(?:ea|each|per|pro|je|par|por|p|/)\.?\s*"
    r"(?:sides?|legs?|arms?|seite|bein|arm|jambe|c[oô]t[eé]|bras|lado|pierna|brazo|gamba|lato|been|kant|zijde|ben|bein|sida|side|perna|noha|jalka|puoli)"
    r"|/\s*/|each|ea)(?![^\W_])\.?\s*(?:\))?"
)
REP_LIST = re.compile(rf"(\d{{1,2}}(?:\s*[,/+-]\s*\d{{1,2}})+)(?:(?:{TIMES}|\s*@\s*)(.+))?")
BETWEEN_LOADS = r"(?:\s*[/;-]\s*|\s*,\s+)"  # a comma with a space behind it is no decimal comma
LOADS = re.compile(rf"{NUMBER}{UNIT}(?:{BETWEEN_LOADS}{NUMBER}{UNIT})*")
MOST_SETS = 30
# '3x5x112,5, deadlift': plates make half and quarter kilos, and no other decimals. Common practice, no source.
DECIMAL = r"(?<=\d),(?=(?:5|25|50|75)(?![\d,.]))"
MOST_REPS = 30  # of a set with a load; above it a number is kilograms, or nobody knows what; own choice
WITH_EXERCISE = re.compile(
    rf"(?P<exercise>[^\W\d_][^\d@:]*?)\s*[:,]?\s*(?P<sets>\d{{1,2}}{TIMES}\d{{1,2}}(?:\s*(?:@|{TIMES}|à|a|mit|with)?\s*(?:[^,;]|{DECIMAL})*"
    rf"(?:,\s+{NUMBER}{UNIT}(?!\s*[\dx×*]))*)?(?:\s*[,;+]\s*\d{{1,2}}{TIMES}\d[^,;]*)*)$"
)
WEIGHED = re.compile(r"\d\s*(?:kgs?|lbs?|kilos?|#)(?![a-z])|\bbw\b", re.I)
KNOWN = frozenset(name for names in STARTER.values() for name in names)
FIRST_TEXTS = 500  # filled cells looked at, to tell what a column holds

ONLY_BODY = "0"  # in whatever unit

Sets = list[tuple[str, str | None]]  # repetitions and load of each set, as text


def parse_sets(  # noqa: PLR0911 - one for each way of writing sets
    text: str, *, is_one_set: bool = False
) -> Sets | None:
    """Return the sets a cell names, None where it is no such text.

    '3x5 @ 100 kg' and '3 x 5 x 100' are three sets of five with 100 kg; '3x5' leaves the load open; '5,5,3 @ 100' are
    sets of 5, 5 and 3; '3x5 @ 100/105/110' has a load for each; '3x5 @ bodyweight' has none besides the body;
    '1x5 @ 100, 2x5 @ 110' are one set and two others; '80x3x3' three sets of three with 80; '3x6 each side' three of
    six, with the left and with the right.
    With ``is_one_set``, '5x100' is one set of five.
    """
    plain = _plain(text)
    if is_one_set:
        one = REPS_LOAD.fullmatch(plain)
        if one:
            return [(one[1], beside_body(one[2]))]
        first = LOAD_REPS.fullmatch(plain)
        if first:
            return [(first[2], first[1])]
        return [(plain, None)] if plain.isdigit() else None
    plain = PERCENT_FIRST.sub(r"\2 @ \1", plain)
    if (ladder := _ladder(plain)) is not None:
        return ladder
    several = NEXT_SETS.split(plain)
    if len(several) > 1:
        each = [parse_sets(one) for one in several]
        return None if any(one is None for one in each) else [one for some in each for one in some or []]
    match = LOAD_TIMES.fullmatch(plain)
    if match and _is_load_first(match):
        return _with_loads([match[4]] * int(match[3]), match[1] + (match[2] or "")) if match[3] == match[4] else None
    match = SETS_REPS_LOAD.fullmatch(plain)
    if match:
        count = int(match[1])
        if match[3] is None and int(match[2]) > MOST_REPS:  # '5x60' says repetitions, or a load
            return None
        return _with_loads([match[2]] * count, match[3]) if 1 <= count <= MOST_SETS else None
    match = LOAD_FIRST.fullmatch(plain)
    if match:
        return _with_loads([match[3]] * int(match[2]), match[1]) if 1 <= int(match[2]) <= MOST_SETS else None
    match = REP_LIST.fullmatch(plain)
    if match and not _is_range(match[1]):
        return _with_loads(re.findall(r"\d+", match[1]), match[2])
    return None


def _ladder(plain: str) -> Sets | None:
    """Return sets that are written one by one, each its repetitions and load: '5 @ 60, 4 @ 65', '5x60, 3x80'; None
    where a text is not that. Without the sign all second numbers are loads where none can be repetitions.
    """
    parts = BETWEEN_SETS.split(plain)
    at_load = [ONE_AT_LOAD.fullmatch(part) for part in parts]
    if all(at_load):
        return [(one[1], one[2]) for one in at_load if one]
    load_first = [LOAD_REPS.fullmatch(part) for part in parts]
    if all(load_first):
        return [(one[2], one[1]) for one in load_first if one]
    by_load = [ONE_BY_LOAD.fullmatch(part) for part in parts]
    loads = [one[2] for one in by_load if one]
    have_unit = [bool(re.search(r"[a-z]", load)) for load in loads]
    heavy = [float(load.rstrip(" bgiklos").replace(",", ".")) > MOST_REPS for load in loads]
    if not all(by_load) or (len(parts) < FEWEST_OF_LADDER and not (have_unit[0] and heavy[0])):  # '3x10 KG': the body
        return None
    if not all(told or is_heavy for told, is_heavy in zip(have_unit, heavy, strict=True)):
        return None
    return [(one[1], one[2]) for one in by_load if one]


def _is_range(text: str) -> bool:
    """Return whether two numbers are the least and the most of a plan: '8-10' repetitions, and no sets of 8 and 10."""
    said = re.fullmatch(r"(\d{1,2})\s*-\s*(\d{1,2})", text)
    return said is not None and int(said[1]) < int(said[2])


def reps_alone(text: str) -> str:
    """Return a text of repetitions without 'each leg' and its kin."""
    return _plain(text)


def holds_reps(text: str) -> bool:
    """Return whether a text says how often: '5', '5/4/3', '6 each leg', '8-10', '3x5'."""
    plain = _plain(text)
    return plain.isdigit() or REP_LIST.fullmatch(plain) is not None or holds_sets(text)


def _is_load_first(match: re.Match[str]) -> bool:
    """Return whether the first of three numbers is the load: it has its unit, or is more than anybody's sets, and the
    last is less than it.
    """
    first, last = float(match[1].replace(",", ".")), float(match[4])
    return bool(match[2]) or (first > MOST_OF_SETS and last < first) or (last < FEWEST_KILOS <= first)


def holds_sets(text: str) -> bool:
    """Return whether a text names sets: '3x5', '3x5 @ 100 kg', 'squat 4x3 @ 85 %'."""
    plain = _plain(text)
    ways = (SETS_REPS_LOAD, LOAD_FIRST, LOAD_TIMES, PERCENT_FIRST)
    if any(way.fullmatch(plain) for way in ways) or _ladder(plain) is not None:
        return True
    named = WITH_EXERCISE.match(plain)
    return named is not None and is_lift(named["exercise"], named["sets"])


def is_lift(exercise: str, sets: str) -> bool:
    """Return whether words and sets are of an exercise: its name is known or its load has a unit, and all of the sets
    is understood. 'Accel 4x30' are runs.
    """
    return (is_exercise(exercise) or WEIGHED.search(sets) is not None) and parse_sets(sets) is not None


def is_exercise(text: str) -> bool:
    """Return whether a text is the name of a known exercise, one or several of it."""
    name = slug(text, "_")
    return name in KNOWN or (name.endswith("s") and name[:-1] in KNOWN)


def exercises_apart(text: str) -> list[tuple[str, str]] | None:
    """Return the exercises that a cell names with their sets: 'squat 4x3 @ 110kg, hip thrust 3x6 130'; None where
    not.
    """
    found = []
    for part in re.split(r"\s*[,;+\n]\s*(?=[^\W\d_])", text.strip()):
        one = WITH_EXERCISE.fullmatch(_plain(part))
        if one is None:
            return None
        found.append((one["exercise"].strip(), one["sets"].strip()))
    return found or None


def is_set_texts(column: pl.Series) -> bool:
    """Return whether most cells of a column are like '3x5 @ 100 kg' (a list of numbers alone may be anything)."""
    said = column.drop_nulls().head(FIRST_TEXTS).to_list()
    return 2 * sum(holds_sets(text) for text in said) > len(said)


def _plain(text: str) -> str:
    said = re.sub(r"(?<=\d)\s*#", " lb", text.lower())  # '295#' is pounds, in American gyms
    return " ".join(EACH_SIDE.sub(" ", said).split())


def beside_body(load: str) -> str:
    """Return what a text says of the load besides the body: 'bw' is none, 'bw + 10 kg' is 10 kg, another is itself."""
    if _plain(load) == "kg":  # with no number before it: Körpergewicht
        return ONLY_BODY
    said = BODY_AND_LOAD.fullmatch(_plain(load))
    return load if said is None else said[1] or said[2] or ONLY_BODY


def _with_loads(reps: list[str], loads: str | None) -> Sets | None:
    if loads is None:
        return [(rep, None) for rep in reps]
    loads = beside_body(loads)
    if "(" in loads or "[" in loads:  # a remark may say that a set was not done: nothing of the cell is taken
        return None
    if SETS_INSIDE.search(loads):  # further sets that are not understood: half of a cell is never taken
        return None
    if not LOADS.fullmatch(loads.strip()):
        return [(rep, loads) for rep in reps]  # the load is told as it stands, and set aside alone
    listed = [load.strip() for load in re.split(BETWEEN_LOADS, loads)]
    unit = re.sub(r"[\d.,\s]", "", listed[-1])  # '100/105 kg': the unit at the end is everybody's
    listed = [load if re.search(r"[a-z]", load) else f"{load} {unit}".strip() for load in listed]
    if len(listed) == 1:
        listed = listed * len(reps)
    if len(listed) != len(reps):
        return [(rep, loads) for rep in reps]
    return list(zip(reps, listed, strict=True))
