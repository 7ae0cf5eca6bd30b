"""Lines of notes that say a day and nothing else, or begin with one."""

import re

from pipelines.cells.weekdays import before_a_day
from pipelines.layouts.sheets.blocks import PARTS_OF_DAY
from pipelines.layouts.words.said import find_day
from schemas.spelling import fold

PARTS = {"fm", "em", *(word for words in PARTS_OF_DAY for word in words)}  # Swedish 'fm', 'em' beside those of sheets


def without_part_of_day(text: str) -> str:
    """Return a line of a day and a part of it alone as its day: 'Wed 1/4 morning' is 'Wed 1/4'."""
    *words, last = text.rstrip(" :.,").split() or [""]
    head = " ".join(words).rstrip(",-– ")
    is_day = fold(last) in PARTS and bool(head) and (day := find_day(head)) is not None and covers(day, head)
    return head if is_day else text


def covers(day: str, head: str) -> bool:
    """Return whether a text is a day, with its weekday or without."""
    before, _, after = fold(head).partition(fold(day))
    return not after.strip() and (not before.strip() or bool(before_a_day(before)))


def day_first(text: str) -> tuple[str, str]:
    """Return the day a line begins with, and the rest of it."""
    for size in (4, 3, 2, 1):
        words = text.split()
        head = " ".join(words[:size]).rstrip(":,.-– ")
        if len(words) > size and (day := find_day(head)) is not None and covers(day, head):
            return day, " ".join(words[size:]).lstrip(":,-– ")
        bare = re.fullmatch(r"\d{1,2}/\d{1,2}", head) if size == 1 else None
        if bare is not None and len(words) > 1:
            return head, " ".join(words[1:]).lstrip(":,-– ")
    return "", text
