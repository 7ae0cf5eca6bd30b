"""Dates: ISO, month names in four languages, day-first and month-first told from the whole column."""

import datetime as dt
import re
from collections.abc import Iterable
from typing import Literal

from pipelines.checks.faults import SET_ASIDE
from pipelines.checks.spoken import is_missing
from schemas.spelling import fold

Order = Literal["day", "month"]

NUMERIC = re.compile(r"(\d{1,2})\s*([./\-])\s*(\d{1,2})\s*[./\-]\s*(\d{4}|\d{2})")
YEAR_FIRST = re.compile(r"(\d{4})\s*[./\-]\s*(\d{1,2})\s*[./\-]\s*(\d{1,2})")
COMPACT = re.compile(r"((?:19|20)\d\d)(\d\d)(\d\d)")
CLOCK_AFTER = re.compile(
    r"[T\s,]+\d{1,2}[:.h]\d{2}(?:[:.]\d{2}(?:[.,]\d+)?)?\s*(?:am|pm|uhr|h)?\s*(?:z|utc|gmt|[+-]\d{2}:?\d{2})?$", re.I
)
SHEET_DAY = re.compile(r"\d{5}(?:\.\d+)?")
SHEET_EPOCH = dt.date(1899, 12, 30)  # day 0 of spreadsheet day numbers from 1 March 1900 on (ECMA-376, from memory)
FIRST_DAY = dt.date(1920, 1, 1)  # earlier nobody of a squad was born; own choice
MONTH_STEMS = {
    "jan": 1, "ene": 1, "feb": 2, "fev": 2, "mar": 3, "marz": 3, "mrz": 3, "apr": 4, "avr": 4, "abr": 4, "may": 5,
    "mai": 5, "jun": 6, "juin": 6, "jul": 7, "juil": 7, "aug": 8, "aou": 8, "ago": 8, "sep": 9, "oct": 10, "okt": 10,
    "nov": 11, "dec": 12, "dez": 12, "dic": 12,
}  # fmt: skip


def without_clock(text: str) -> str:
    """Return a date without the time of day behind it."""
    return CLOCK_AFTER.sub("", text.strip())


def find_order(texts: Iterable[str]) -> Order | None:
    """Return whether days or months stand first in a column of dates written with slashes, points or hyphens.

    A first number above 12 is a day, a second one above 12 makes the first a month; both in one column leave it open.
    Points (03.04.2026) put the day first everywhere (common practice, no source).
    """
    day_first = month_first = 0
    is_pointed = True
    for text in texts:
        match = NUMERIC.fullmatch(without_clock(text))
        if match is None:
            continue
        first, second = int(match[1]), int(match[3])
        is_pointed = is_pointed and match[2] == "."
        day_first += first > 12 >= second
        month_first += second > 12 >= first
    if day_first and not month_first:
        return "day"
    if month_first and not day_first:
        return "month"
    return "day" if is_pointed and not month_first else None


def is_open(text: str) -> bool:
    """Return whether a date can be read with the day first and with the month first, and means two days."""
    match = NUMERIC.fullmatch(without_clock(text))
    return match is not None and int(match[1]) != int(match[3]) and max(int(match[1]), int(match[3])) <= 12


def read_date(  # noqa: PLR0911 - one for each way of writing a day
    text: str, order: Order | None, as_of: dt.date, day_zero: dt.date | None = None
) -> tuple[dt.date | None, str]:
    """Return the day a text means and "", or None and why not; (None, "") where it stands for nothing.

    A day number is read where the file says what its numbers are counted from (``day_zero``), and the day is possible.
    """
    if is_missing(text):
        return None, ""
    plain = without_clock(text)
    match = YEAR_FIRST.fullmatch(plain) or COMPACT.fullmatch(plain)
    if match:
        return _day(text, int(match[1]), int(match[2]), int(match[3]))
    match = NUMERIC.fullmatch(plain)
    if match:
        first, second, year = int(match[1]), int(match[3]), _year(match[4], as_of)
        if order is None and first != second and first <= 12 and second <= 12:
            return None, (
                f"'{text}' can be {first} {dt.date(2000, second, 1):%B} or {second} {dt.date(2000, first, 1):%B}, and "
                f"no date in this column tells which. {SET_ASIDE} "
                "Answer which, or load again with --date-order day or --date-order month."
            )
        if order is None:
            order = "month" if second > 12 else "day"
        return _day(text, year, second if order == "day" else first, first if order == "day" else second)
    words = fold(plain).split()
    months = [month for word in words if (month := _month(word)) is not None]
    numbers = [int(number) for word in words if (number := re.sub(r"(st|nd|rd|th|er)$", "", word)).isdigit()]
    if len(months) == 1 and len(numbers) == 2:
        day, year = sorted(numbers, key=lambda number: number > 31) if max(numbers) > 31 else numbers
        return _day(text, _year(str(year), as_of), months[0], day)
    if SHEET_DAY.fullmatch(plain):
        meant = (day_zero or SHEET_EPOCH) + dt.timedelta(days=int(float(plain)))
        if day_zero is not None and FIRST_DAY <= meant <= as_of + dt.timedelta(days=366):
            return meant, ""
        return None, (
            f"'{text}' is no date; it may be a spreadsheet's day number for {meant:%Y-%m-%d}. {SET_ASIDE} Format "
            "the column as a date and save again."
        )
    return None, f"'{text}' is not a date. {SET_ASIDE} Write it as year-month-day, like {as_of:%Y-%m-%d}."


def _month(word: str) -> int | None:
    if not word.isalpha() or len(word) < 3:
        return None
    return MONTH_STEMS.get(word) or MONTH_STEMS.get(word[:4]) or MONTH_STEMS.get(word[:3])


def _year(text: str, as_of: dt.date) -> int:
    """Return a year; one of two digits lies at most a year ahead of today, else in the century before."""
    if len(text) == 4:
        return int(text)
    year = as_of.year // 100 * 100 + int(text)
    return year if year <= as_of.year + 1 else year - 100


def _day(text: str, year: int, month: int, day: int) -> tuple[dt.date | None, str]:
    try:
        return dt.date(year, month, day), ""
    except ValueError:
        return None, f"'{text}' is a date that does not exist. {SET_ASIDE} Check day and month."
