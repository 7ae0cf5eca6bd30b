"""Events as people write them: '100 m', '110mH', '100 hs', '60 m haies', '100 metros lisos'."""

import re
from functools import cache

from pipelines.cells.languages import in_cells
from schemas.spelling import fold

EVENT = re.compile(r"([1-9]\d{1,3}) ?(?:met(?:re|er|ro)s?|metri[an]?|metr[ou]w?|mts?|mtr|m)?(?: ?([a-z][a-z ]*))?")
FARTHEST_HURDLES_M = 400  # what stands in the way on longer runs are the barriers of a steeplechase
# Short for hurdles: English, German and French h, hu; Italian hs, ost; Spanish vs, v, obst; Portuguese barr; Norwegian
# and Danish hk; Polish ppl. Common practice, from memory. 'pr' and 'pl' may be another thing: set aside.
HURDLES = {
    "h", "mh", "hs", "mhs", "hu", "hdl", "hdls", "hurd", "hurds", "hurdle", "hurdles", "ost", "ostacoli", "obst",
    "obstacles", "obstaculos", "vs", "v", "mv", "vall", "con vallas", "vallas", "barr", "com barreiras", "hordes", "hk",
    "mhk", "ppl", "mppl", "prek", "hackar", "hacklopp", "hurdenlauf", "hurdensprint", "hordenloop", "hordelop",
    "hackelop", "haekkelob",
}  # fmt: skip
IN_TITLES = {"mh", "hs", "ost"}  # short ones that a title has for nothing else
# Without: said to tell a run from one over hurdles.
FLAT = {"flat", "sprint", "dash", "plat", "plats", "lisos", "liso", "ml", "piani", "piano", "flach", "rasos", "raso",
        "slatt", "glatt", "plaski", "sprinten"}  # fmt: skip


SHORT, LONG = {"50", "55", "60", "80", "100", "150", "200"}, {"200", "300", "400"}
JUMPS = {"lj", "tj", "long jump", "triple jump"}


@cache
def _hurdles() -> frozenset[str]:
    return frozenset({*HURDLES, *in_cells("event_group").get("hurdles", ())})


def hurdles_in(text: str) -> str | None:
    """Return the one event over hurdles that a title names, '100h'; None where it names none, or several."""
    found = set()
    for told in re.finditer(r"(?<![a-z0-9])([1-9]\d{1,2}) ?(?:m |metres |metros )?([a-z]+)", fold(text)):
        if (told[2] in IN_TITLES or len(told[2]) > 3) and told[2] in _hurdles() and int(told[1]) <= FARTHEST_HURDLES_M:
            found.add(f"{told[1]}h")
    return found.pop() if len(found) == 1 else None


def is_over_hurdles(text: str) -> bool:
    """Return whether a title says that what stands below was run over hurdles: '60 m hurdles', 'over 3 hurdles'; the
    name of a group of hurdlers does not.
    """
    if hurdles_in(text) is not None:
        return True
    words = "|".join(re.escape(word) for word in sorted(_hurdles()) if len(word) > 3)
    before = r"(?:over|uber|sur|sobre|su|over de|over the|[1-9]\d?) (?:[1-9]\d? )?"
    return re.search(rf"(?<![a-z0-9]){before}(?:{words})(?![a-z])", fold(text)) is not None


def group_of_events(text: str) -> str | None:
    """Return the event group of somebody's events: '100', '60/100m', '100H', 'LJ/TJ'.

    None where they are of several groups, or not known. Up to 200 m are short sprints, 400 m with or without 200 or
    300 m long ones. Common practice, no source.
    """
    events = [part.strip() for part in re.split(r"[/,;+&]| and | und | et | y | e ", text) if part.strip()]
    if events and all(fold(event) in JUMPS for event in events):
        return "horizontal_jumps"
    if len(events) > 1 and not any(event[-1:].isalpha() for event in events[:-1]):  # '100/200m': the metres are of both
        last = re.sub(r"^[\d .]+", "", events[-1])
        events = [*(f"{event}{last}" for event in events[:-1]), events[-1]]
    said = [event_of(event) for event in events]
    if not said or None in said or len(set(said)) < len(said):  # '100/100H' is over hurdles and without
        return None
    named = {one for one in said if one is not None}
    if all(one.endswith("h") for one in named):
        return "hurdles"
    if named <= SHORT:
        return "short_sprints"
    return "long_sprints" if named <= LONG and "400" in named else None


def event_of(text: str) -> str | None:
    """Return the event a text names as the record writes it, '110h' for 110 m hurdles; None where it names none."""
    told = EVENT.fullmatch(fold(text))
    if told is None:
        return None
    words = told[2] or ""
    if not words or words in FLAT:
        return told[1]
    if words in _hurdles():
        return f"{told[1]}h" if int(told[1]) <= FARTHEST_HURDLES_M else None
    return None
