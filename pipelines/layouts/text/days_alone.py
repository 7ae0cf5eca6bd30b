"""Lines of notes that are a day and nothing else, '3/12' over what was done: the day of what stands below."""

import datetime as dt
import re
from collections.abc import Iterable

from pipelines.cells.dates import find_order

DAY_ALONE = re.compile(r"(\d{1,2})/(\d{1,2})\s*:?")
FEWEST, MOST_DAY, MOST_MONTH, APART = 2, 31, 12, 5  # gates stand five metres apart or a multiple of it


def days_alone(lines: Iterable[str]) -> frozenset[str]:
    """Return the lines that are a day alone, where several are and one at least can be no pair of gates ('10/20')."""
    found = {text: (int(one[1]), int(one[2])) for text in lines if (one := DAY_ALONE.fullmatch(text)) is not None}
    are_days = all(0 < min(pair) <= MOST_MONTH and max(pair) <= MOST_DAY for pair in found.values())
    is_sure = any(pair[0] % APART or pair[1] % APART for pair in found.values())
    return frozenset(found) if len(found) >= FEWEST and are_days and is_sure else frozenset()


def named_months(days: Iterable[str]) -> dict[str, str]:
    """Return days like '16/11' with the month in words, where some day of the notes tells which number is the month."""
    said = list(days)
    bare = {day: parts for day in said if (parts := re.fullmatch(r"(\d{1,2})/(\d{1,2})", day))}
    order = find_order([day if day not in bare else f"{day}/2026" for day in said])
    if order is None:
        return {}
    found = {}
    for text, parts in bare.items():
        day, month = (int(one) for one in (parts.groups() if order == "day" else reversed(parts.groups())))
        if 1 <= month <= 12:
            found[text] = f"{day} {dt.date(2000, month, 1):%B}"
    return found
