"""Headings of values that stand beside what was measured: in a unit that no column has, or aimed at."""

import re

from schemas.spelling import fold

BRACKETED = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
MEASURED = re.compile(r".*_(?:s|m|kg|n)")  # columns with a unit
# Units of moments, of power, of pressure, and shares of body mass; common practice, no source
FOREIGN = frozenset((
    "nm", "n m", "n*m", "n·m", "n.m", "n/kg", "n/bw", "w", "w/kg", "watt", "watts", "j", "j/kg", "mmhg", "bar", "psi",
    "kpa", "xbw", "x bw", "%bw", "% bw", "n/s", "kn/s", "m/s2", "m/s²",
))  # fmt: skip
ALSO_WORDS = frozenset(("w", "j", "bar"))  # of which only brackets make units
OF_AIMS = frozenset(
    ("time_s", "elapsed_s", "duration_min", "body_mass_kg", "load_kg")
)  # an aim of these is none of them
# Aims, entries and bests: none of them was done on the day of the row; common practice, no source
AIMS = frozenset((
    "target", "targets", "goal", "entry", "seed", "qualifying", "standard", "predicted", "expected", "best", "pb", "sb",
    "pr", "record", "last", "previous", "next", "ziel", "soll", "vorgabe", "norm", "letzte", "vorherige", "objectif",
    "vise", "visee", "prevu", "prevue", "precedent", "objetivo", "previsto", "anterior", "minima", "obiettivo",
    "precedente", "doel", "streef", "vorige", "mal", "forrige", "foregaende", "tavoite", "cel",
))  # fmt: skip


OF_A_DAY_BEFORE = frozenset(("duration_min", "effort_0_10", "fatigue", "soreness", "stress", "mood", "kind"))
YESTERDAY = frozenset((
    "yesterday", "yesterdays", "gestern", "vortag", "hier", "veille", "ayer", "ieri", "ontem", "gisteren", "igar",
    "eilen", "wczoraj", "vcera",
))  # fmt: skip


def is_of_yesterday(text: str) -> bool:
    """Return whether a heading asks for the day before: its minutes and effort are none of the row's day."""
    words = fold(text).split()
    return bool(YESTERDAY & set(words)) or "i gar" in " ".join(words)


def is_of_no_column(text: str, name: str) -> bool:
    """Return whether a heading of a measured column gives a unit, in brackets or as its last word, that it cannot have:
    'Nordic L (Nm)', 'IMTP N/kg'.
    """
    if not MEASURED.fullmatch(name):
        return False
    words = text.lower().split()
    inside = {one.strip().lower() for one in BRACKETED.findall(text)}
    return bool(inside & FOREIGN) or (len(words) > 1 and words[-1] in FOREIGN - ALSO_WORDS)


def is_aim(text: str) -> bool:
    """Return whether a heading says that its values are aimed at, entered with or the best so far."""
    return bool(AIMS & set(fold(text).split()))
