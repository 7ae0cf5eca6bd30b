"""Lines of notes that are a day and nothing else, '3/12' over what was done: the day of what stands below."""

import re
from collections.abc import Iterable

DAY_ALONE = re.compile(r"(\d{1,2})/(\d{1,2})\s*:?")
FEWEST, MOST_DAY, MOST_MONTH, APART = 2, 31, 12, 5  # gates stand five metres apart or a multiple of it


def days_alone(lines: Iterable[str]) -> frozenset[str]:
    """Return the lines that are a day alone, where several are and one at least can be no pair of gates ('10/20')."""
    found = {text: (int(one[1]), int(one[2])) for text in lines if (one := DAY_ALONE.fullmatch(text)) is not None}
    are_days = all(0 < min(pair) <= MOST_MONTH and max(pair) <= MOST_DAY for pair in found.values())
    is_sure = any(pair[0] % APART or pair[1] % APART for pair in found.values())
    return frozenset(found) if len(found) >= FEWEST and are_days and is_sure else frozenset()
