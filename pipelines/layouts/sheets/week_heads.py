"""Weeks as headings of loads: 'Wk 1 3/2', 'Wk 2 3/9' of a Monday's lifts. Made the days whose weekday a title says."""

import dataclasses
import datetime as dt
import re
from collections.abc import Collection

from pipelines.cells.dates import ORDERS
from pipelines.cells.weekdays import weekdays_meant
from pipelines.layouts.sheets.blocks import heads
from pipelines.layouts.words.evidence import look
from pipelines.layouts.words.said import find_year
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable

HEADED = re.compile(
    r"\s*(?:weeks?|wk|woche|kw|semaine|sem|semana|settimana|vecka|uke)\.?\s*\d{1,2}\s*[-–:,(]*\s*"
    r"(\d{1,2})\s*[./]\s*(\d{1,2})\.?\s*\)?\s*",
    re.I,
)
WORD = re.compile(r"[^\W\d_]{3,}")
LOADS = re.compile(r"\s*\d{1,3}(?:[.,]\d{1,2})?(?:\s*[/-]\s*\d{1,3}(?:[.,]\d{1,2})?)*\s*(?:kg|lbs?)?\s*", re.I)
FEWEST, MOSTLY = 2, 0.7


def with_days_of_weeks(table: TextTable) -> TextTable:
    """Return a table whose headings 'Wk 1 3/2', 'Wk 2 3/9' are days: where a title names the year and one weekday, and
    in one order of day and month alone each is that day of the week. Else it may be the week that begins then.
    """
    said = {place: one for place, text in enumerate(table.header) if (one := HEADED.fullmatch(text)) is not None}
    if len(said) < FEWEST:
        return table
    texts = texts_of(table)
    year = find_year(texts)
    words = [weekdays_meant(word) for text in texts for word in WORD.findall(text)]
    meant = {weekday for one in words if len(one) == 1 for weekday in one}
    if year is None or len(meant) != 1:
        return table
    found: list[dict[int, dt.date | None]] = []
    for order in ORDERS:
        days = {place: _day(year, one, is_day_first=order == "day") for place, one in said.items()}
        if all(day is not None and day.weekday() in meant for day in days.values()):
            found.append(days)
    if len(found) != 1 and not (found and all(one == found[0] for one in found)):
        return table
    header = [str(found[0].get(place) or text) for place, text in enumerate(table.header)]
    return dataclasses.replace(table, header=header)


def _day(year: int, said: re.Match[str], *, is_day_first: bool) -> dt.date | None:
    first, second = int(said[1]), int(said[2])
    try:
        return dt.date(year, second, first) if is_day_first else dt.date(year, first, second)
    except ValueError:
        return None


def are_loads(table: TextTable, days: Collection[int]) -> bool:
    """Return whether what stands below days is what lay on the bar: beside exercises and the sets and repetitions of
    each, '185' or '185/195/205'.
    """
    names = {name for place, one in enumerate(heads(table.header)) if one is not None and place not in days
             for name in one.names[:1]}  # fmt: skip
    if "exercise" not in names or not names & {"set_text", "reps"} or "load_kg" in names:
        return False
    cells = [text for place in days for text in look(table.rows[f"c{place}"]).texts]
    return bool(cells) and sum(1 for text in cells if LOADS.fullmatch(text)) >= MOSTLY * len(cells)
