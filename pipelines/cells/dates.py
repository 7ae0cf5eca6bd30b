"""Dates: ISO, month names in many languages, day-first and month-first told from the whole column."""

import dataclasses
import datetime as dt
import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Literal

from pipelines.cells import SET_ASIDE
from pipelines.cells.months import month_of
from pipelines.cells.spoken import is_missing
from pipelines.cells.weekdays import ENGLISH, before_a_day, is_weekday, weekday_named, weekdays_named
from schemas.spelling import fold

Order = Literal["day", "month"]
ORDERS: tuple[Order, Order] = ("day", "month")

NUMERIC = re.compile(r"(\d{1,2})\s*([./\-])\s*(\d{1,2})\s*[./\-]\s*(\d{4}|\d{2})")
YEAR_FIRST = re.compile(r"(\d{4})\s*[./\-]\s*(\d{1,2})\s*[./\-]\s*(\d{1,2})")
COMPACT = re.compile(r"((?:19|20)\d\d)(\d\d)(\d\d)")
CLOCK_AFTER = re.compile(
    r"[T\s,]+\d{1,2}[:.h]\d{2}(?:[:.]\d{2}(?:[.,]\d+)?)?\s*(?:am|pm|uhr|h)?\s*(?:z|utc|gmt|[+-]\d{2}:?\d{2})?$", re.I
)
SHEET_DAY = re.compile(r"\d{5}(?:\.\d+)?")
SHEET_EPOCH = dt.date(1899, 12, 30)  # day 0 of spreadsheet day numbers from 1 March 1900 on (ECMA-376, from memory)
ORDINAL = r"(st|nd|rd|th|er|a|o)$"
FIRST_DAY = dt.date(1920, 1, 1)  # earlier nobody of a squad was born; own choice
DAY_MONTH = re.compile(r"(\d{1,2})\s*([./\-])\s*(\d{1,2})\s*\.?")
WEEKDAY_BEFORE = re.compile(r"^\s*([^\W\d_]{2,13})\.?,?\s+(?=\d|[^\W\d_]{3,}\.?\s+\d)")
SOME_DAY = -1  # a weekday, and which one is not known: 'ma' is Monday in Dutch and Tuesday in French
SMALL_WORDS = {"de", "den", "der", "the", "of", "le", "del", "el", "di", "e"}
SEASON, SEASON_BEGINS = "season ", 8  # a season of sprinters begins in August: common practice, no source
# a year; 'season 2025' for that from August on and the next before; 'last' for the last time a day of that name was;
# None where nothing says it
Year = int | str | None


@dataclasses.dataclass(frozen=True)
class DayMonth:
    """A day that is written without its year."""

    day: int
    month: int
    weekday: int | None
    is_open: bool = False  # 'Mon 3/2': with the day first here, as nothing in it says which stands first

    def in_order(self, order: Order | None) -> "DayMonth":
        """Return the day it is where days or months stand first."""
        is_other = self.is_open and order == "month"
        return DayMonth(self.month, self.day, self.weekday, is_open=True) if is_other else self

    def years(self, as_of: dt.date, *, ahead: bool = False) -> list[int]:
        """Return the years it may be of, the nearest first: those whose weekday fits, of the last six."""
        last = as_of.year + 1 if ahead else as_of.year
        found = []
        for year in range(last, last - 6, -1):
            try:
                meant = dt.date(year, self.month, self.day)
            except ValueError:
                continue
            if (ahead or meant <= as_of) and (self.weekday is None or meant.weekday() == self.weekday):
                found.append(year)
        return sorted(found, key=lambda year: abs((dt.date(year, self.month, self.day) - as_of).days))


def weekday_of(text: str) -> tuple[int | None, str]:
    """Return the weekday a text begins with, and the rest of it; SOME_DAY for a word that differs by language."""
    match = WEEKDAY_BEFORE.match(text)
    meant = before_a_day(match[1]) if match is not None else frozenset()
    if match is None or not meant:
        return None, text
    if not is_weekday(match[1]) and not re.match(r"\d{1,2}[./]\d", text[match.end() :]):  # 'ons 1/4', and no 'on 4'
        return None, text
    return next(iter(meant)) if len(meant) == 1 else SOME_DAY, text[match.end() :]


def with_plain_weekdays(texts: Iterable[str]) -> dict[str, str]:
    """Return days of a column that begin with a short weekday as they read in English: 'di 22.9.' beside 'mi 23.9.' is
    'Tuesday 22.9.'. Only those whose word differs by language, where the others of the column say which it is.
    """
    found = {text: match[1] for text in texts if (match := WEEKDAY_BEFORE.match(text)) and is_weekday(match[1])}
    if all(weekday_named(word) is not None for word in found.values()):
        return {}
    said = weekdays_named(found.values()) or {}
    return {
        text: f"{ENGLISH[said[word]]} {text[WEEKDAY_BEFORE.match(text).end() :]}"  # type: ignore[union-attr]
        for text, word in found.items() if word in said and weekday_named(word) is None
    }  # fmt: skip


@lru_cache(maxsize=65536)
def without_year(text: str) -> DayMonth | None:
    """Return a day written without a year ('21.9.', 'Mo 21.9.', '5 Oct', '7 de noviembre'), None where it is none.

    Two numbers alone are a day only with points between them (the day first, as points put it everywhere).
    """
    weekday, rest = weekday_of(without_clock(text))
    match = DAY_MONTH.fullmatch(rest.strip())
    which = None if weekday == SOME_DAY else weekday
    if match is not None:
        day, month = int(match[1]), int(match[3])
        said = match[2] == "." and (rest.strip().endswith(".") or weekday is not None or len(match[3]) == 2)
        is_slashed = weekday is not None and match[2] == "/"
        if is_slashed and month > 12 >= day:  # the month stands first
            day, month = month, day
        if (said or is_slashed) and 1 <= day <= 31 and 1 <= month <= 12:
            return DayMonth(day, month, which, is_open=is_slashed and max(day, month) <= 12 and day != month)
        return None
    words = [word for word in fold(rest).split() if word not in SMALL_WORDS]
    months = [named for word in words if (named := month_of(word)) is not None]
    numbers = [int(number) for word in words if (number := re.sub(ORDINAL, "", word)).isdigit()]
    if len(words) == 2 and len(months) == 1 and len(numbers) == 1 and 1 <= numbers[0] <= 31:
        return DayMonth(numbers[0], months[0], which)
    return None


@lru_cache(maxsize=65536)
def is_day(text: str) -> bool:
    """Return whether a text is a day in some spelling, with or without its year."""
    if re.fullmatch(r"[-+]?\d+(?:[.,]\d+)?", text.strip()):
        return False
    return read_date(text, "day", dt.date(2100, 1, 1))[0] is not None or read_date(
        text, "month", dt.date(2100, 1, 1)
    )[0] is not None or without_year(text) is not None  # fmt: skip


def without_clock(text: str) -> str:
    """Return a date without the time of day behind it."""
    return CLOCK_AFTER.sub("", text.strip())


def find_order(texts: Iterable[str]) -> Order | None:
    """Return whether days or months stand first in a column of dates written with slashes, points or hyphens.

    A first number above 12 is a day, a second one above 12 makes the first a month; both in one column leave it open.
    Points (03.04.2026) put the day first everywhere (common practice, no source).
    """
    said = list(texts)
    told = orders_told(said)
    if told:
        return told.pop() if len(told) == 1 else None
    matches = (NUMERIC.fullmatch(without_clock(text)) for text in said)
    return "day" if all(match[2] == "." for match in matches if match is not None) else None


def orders_told(texts: Iterable[str]) -> set[Order]:
    """Return the orders that some dates can only have, both where they contradict each other."""
    told: set[Order] = set()
    for text in texts:
        plain = without_clock(text)
        weekday, rest = weekday_of(plain)
        match = NUMERIC.fullmatch(plain) or (DAY_MONTH.fullmatch(rest) if weekday is not None and "/" in rest else None)
        if match is not None and (int(match[1]) > 12) != (int(match[3]) > 12):
            told.add("day" if int(match[1]) > 12 else "month")
    return told


def order_of_weekdays(texts: Iterable[str], year: Year, as_of: dt.date, *, ahead: bool) -> Order | None:
    """Return the order in which alone all days without a year have their weekday, in one year: 'Mon 3/2', 'Tue 3/3' of
    2026 are days of March. None where both fit, or neither.
    """
    days = (without_year(text) for text in texts)
    bare = [one for one in days if one is not None and one.is_open and one.weekday is not None]
    fits: list[Order] = []
    for order in ORDERS if bare else ():
        meant = [one.in_order(order) for one in bare]
        if isinstance(year, int):
            is_so = all(_weekday(year, one) == one.weekday for one in meant)
        elif year is not None and year.startswith(SEASON):
            is_so = all(_weekday(_of_season(year, one.month), one) == one.weekday for one in meant)
        else:
            is_so = bool(set.intersection(*(set(one.years(as_of, ahead=ahead)) for one in meant)))
        fits += [order] if is_so else []
    return fits[0] if len(fits) == 1 else None


def _weekday(year: int, one: DayMonth) -> int | None:
    try:
        return dt.date(year, one.month, one.day).weekday()
    except ValueError:
        return None


def _of_season(season: str, month: int) -> int:
    return int(season[len(SEASON) :]) + (month < SEASON_BEGINS)


def order_by_today(texts: Iterable[str], as_of: dt.date, *, ahead: bool) -> Order | None:
    """Return the order that some dates can only have because the other would lie in the future; None where open.

    ``ahead`` says that days to come are possible, so that nothing follows.
    """
    if ahead:
        return None
    past: set[Order] = set()
    for text in texts:
        if not is_open(text):
            continue
        by_day, by_month = (read_date(text, order, as_of)[0] for order in ORDERS)
        if by_day is not None and by_month is not None and (by_day <= as_of) != (by_month <= as_of):
            past.add("day" if by_day <= as_of else "month")
    return past.pop() if len(past) == 1 else None


def of_no_year(
    texts: Iterable[str], year: Year, as_of: dt.date, order: Order | None = None, *, ahead: bool
) -> list[str]:
    """Return the days whose year nothing says: not the file, not an answer, not a weekday."""
    if year is not None:
        return []
    bare = [(text, found) for text in texts if (found := without_year(text)) is not None]
    days = [(text, found.in_order(order)) for text, found in bare]
    return [text for text, found in days if found.weekday is None or not found.years(as_of, ahead=ahead)]


def is_serial(text: str, as_of: dt.date) -> bool:
    """Return whether a text is the day number of a spreadsheet for a day of the last twenty years."""
    plain = text.strip()
    if not SHEET_DAY.fullmatch(plain):
        return False
    meant = SHEET_EPOCH + dt.timedelta(days=int(float(plain)))
    return as_of - dt.timedelta(days=20 * 366) <= meant <= as_of + dt.timedelta(days=366)


def is_open(text: str) -> bool:
    """Return whether a date can be read with the day first and with the month first, and means two days."""
    match = NUMERIC.fullmatch(without_clock(text))
    return match is not None and int(match[1]) != int(match[3]) and max(int(match[1]), int(match[3])) <= 12


def read_date(  # noqa: PLR0911 - one for each way of writing a day
    text: str,
    order: Order | None,
    as_of: dt.date,
    day_zero: dt.date | None = None,
    year: Year = None,
    *,
    ahead: bool = False,
) -> tuple[dt.date | None, str]:
    """Return the day a text means and "", or None and why not; (None, "") where it stands for nothing.

    A day number is read where the file says what its numbers are counted from (``day_zero``), and the day is possible.
    A day without a year is of ``year``; where that is not said, of the one year whose weekday fits. ``ahead`` allows
    days to come.
    """
    if is_missing(text):
        return None, ""
    plain = without_clock(text)
    bare = without_year(plain)
    if bare is not None:
        return _in_year(text, bare.in_order(order), year, as_of, ahead)
    weekday, rest = weekday_of(plain)
    plain = rest if weekday is not None and rest[:1].isdigit() else plain
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
    words = fold(weekday_of(plain)[1]).split()
    months = [month for word in words if (month := month_of(word)) is not None]
    numbers = [int(number) for word in words if (number := re.sub(ORDINAL, "", word)).isdigit()]
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


def _in_year(text: str, bare: DayMonth, year: Year, as_of: dt.date, ahead: bool) -> tuple[dt.date | None, str]:
    if isinstance(year, int):
        return _day(text, year, bare.month, bare.day)
    if year is not None and year.startswith(SEASON):
        return _day(text, _of_season(year, bare.month), bare.month, bare.day)
    fitting = bare.years(as_of, ahead=ahead)
    if fitting and (year == "last" or bare.weekday is not None):
        return _day(text, fitting[0], bare.month, bare.day)
    return None, f"'{text}' gives no year, and nothing in the file says it. {SET_ASIDE} Say which year it is."


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
