"""Gym logs in one cell: '3x5 @ 100 kg' and its kin, taken apart into sets."""

import re

NUMBER = r"\d+(?:[.,]\d+)?"
UNIT = r"(?:\s*(?:kg|kgs|lb|lbs|kilo|kilos))?"
TIMES = r"\s*[x×X*]\s*"
SETS_REPS_LOAD = re.compile(
    rf"(\d{{1,2}}){TIMES}(\d{{1,2}})(?:(?:{TIMES}|\s*@\s*|\s*(?:à|a|bei|with|mit|con)\s*|\s+)(.+))?"
)
REPS_LOAD = re.compile(rf"(\d{{1,2}})(?:{TIMES}|\s*@\s*)({NUMBER}{UNIT})")
REP_LIST = re.compile(rf"(\d{{1,2}}(?:\s*[,/+-]\s*\d{{1,2}})+)(?:(?:{TIMES}|\s*@\s*)(.+))?")
LOADS = re.compile(rf"{NUMBER}{UNIT}(?:\s*[/;-]\s*{NUMBER}{UNIT})*")
MOST_SETS = 30

Sets = list[tuple[str, str | None]]  # repetitions and load of each set, as text


def parse_sets(text: str, *, is_one_set: bool = False) -> Sets | None:
    """Return the sets a cell names, None where it is no such text.

    '3x5 @ 100 kg' and '3 x 5 x 100' are three sets of five with 100 kg; '3x5' leaves the load open; '5,5,3 @ 100' are
    sets of 5, 5 and 3; '3x5 @ 100/105/110' has a load for each. With ``is_one_set``, '5x100' is one set of five.
    """
    plain = " ".join(text.strip().lower().split())
    if is_one_set:
        one = REPS_LOAD.fullmatch(plain)
        if one:
            return [(one[1], one[2])]
        return [(plain, None)] if plain.isdigit() else None
    match = SETS_REPS_LOAD.fullmatch(plain)
    if match:
        count = int(match[1])
        return _with_loads([match[2]] * count, match[3]) if 1 <= count <= MOST_SETS else None
    match = REP_LIST.fullmatch(plain)
    if match:
        return _with_loads(re.findall(r"\d+", match[1]), match[2])
    return None


def _with_loads(reps: list[str], loads: str | None) -> Sets | None:
    if loads is None:
        return [(rep, None) for rep in reps]
    if not LOADS.fullmatch(loads.strip()):
        return None
    listed = [load.strip() for load in re.split(r"[/;-]", loads)]
    unit = re.sub(r"[\d.,\s]", "", listed[-1])  # '100/105 kg': the unit at the end is everybody's
    listed = [load if re.search(r"[a-z]", load) else f"{load} {unit}".strip() for load in listed]
    if len(listed) == 1:
        listed = listed * len(reps)
    return list(zip(reps, listed, strict=True)) if len(listed) == len(reps) else None
