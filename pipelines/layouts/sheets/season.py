"""Days written as two numbers, '11/3', in a sheet whose title or file name says the season, '25-26', or the year."""

import dataclasses
import datetime as dt
import re
from collections.abc import Iterable, Sequence

import polars as pl

from pipelines.cells.dates import SEASON_BEGINS
from pipelines.cells.months import month_of
from pipelines.cells.weekdays import is_weekday, weekdays_meant
from pipelines.layouts.sheets.blocks import heads
from pipelines.layouts.sheets.weeks import WEEK_HEADS
from pipelines.layouts.words.said import find_year
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable
from schemas.spelling import fold

BARE = re.compile(r"\s*(\d{1,2})\s*/\s*(\d{1,2})\s*")
SEASON = re.compile(r"(?<![\d./-])(?:20)?(\d\d)\s*[-/–]\s*(?:20)?(\d\d)(?![\d./-]|\s*(?:m|yd|kg|lb)\b)")
EARLIEST, LATEST = 15, 60  # the years 2015 to 2060, of two digits; '10/11' may be a day
FEWEST = 3  # different days, for their order to tell which number is the month; own choice
MOST_ROWS = 20_000


def season_in(texts: Iterable[str]) -> int | None:
    """Return the year in which the one season that texts name begins: 2025 for '25-26'; None where none is named."""
    found = set()
    for text in texts:
        for one in SEASON.finditer(text.replace("_", " ")):
            first, second = int(one[1]), int(one[2])
            if second == first + 1 and EARLIEST <= first <= LATEST:
                found.add(2000 + first)
    return found.pop() if len(found) == 1 else None


def with_days_of_season(table: TextTable) -> TextTable:
    """Return a table whose days like '11/3' have their month in words, as headings and in a column of days, where the
    season or the year is said and only one order of day and month can be meant.

    One number above twelve tells the order; else three days, in the order in which they stand, that rise in one order
    alone. Where neither tells, they stay as they are.
    """
    if table.rows.height > MOST_ROWS:
        return table
    texts = texts_of(table)
    season, year = season_in(texts), find_year(texts)
    is_calendar = any(is_weekday(text) or fold(text) in WEEK_HEADS for text in table.header if text)
    if (season is None and year is None) or is_calendar:
        return table
    named = [text for text in table.header if BARE.fullmatch(text)]
    meant = days_meant(named, season) if len(set(named)) >= 2 else {}
    rows = table.rows
    for place, one in enumerate(heads(table.header)):
        if one is None or "date" not in one.names or f"c{place}" not in rows.columns:
            continue
        cells = [cell for cell in rows[f"c{place}"].drop_nulls() if BARE.fullmatch(cell)]
        told = days_meant(cells, season)
        if told:
            rows = rows.with_columns(pl.col(f"c{place}").replace(told))
    if not meant and rows is table.rows:
        return table
    return dataclasses.replace(table, header=[meant.get(text, text) for text in table.header], rows=rows)


def days_meant(texts: Sequence[str], season: int | None) -> dict[str, str]:
    """Return days with the month in words, {} where it cannot be told which number it is."""
    pairs = [(int(one[1]), int(one[2])) for text in texts if (one := BARE.fullmatch(text)) is not None]
    fits = {order: days for order in ("day", "month") if (days := _days(pairs, order, season)) is not None}
    if len(fits) == 2 and len(set(pairs)) >= FEWEST:
        fits = {order: days for order, days in fits.items() if days == sorted(days)}
    if len(fits) != 1:
        return {}
    [days] = fits.values()
    return {text: f"{day.day} {day:%B}" for text, day in zip(texts, days, strict=True)}


def _days(pairs: Sequence[tuple[int, int]], order: str, season: int | None) -> list[dt.date] | None:
    """Return days in one order of day and month, those before August in the second year of a season; None where one
    is no day.
    """
    found = []
    for first, second in pairs:
        day, month = (first, second) if order == "day" else (second, first)
        begins = season or 2000
        try:
            found.append(dt.date(begins if season is None or month >= SEASON_BEGINS else begins + 1, month, day))
        except ValueError:
            return None
    return found or None


# 'dl 2', 'dt 3': a word and the number of a day, whatever language the word is of
WORD_AND_DAY = re.compile(r"\s*[^\W\d_]{1,13}\.?\s*(\d{1,2})\.?\s*")


def numbered_days(header: Iterable[str], texts: Iterable[str]) -> dict[str, str]:
    """Return headings of a word and a number as days of the one month and year that titles name; {} where the numbers
    do not rise or the titles name no month, or several.
    """
    said = list(texts)
    year = find_year(said)
    months = {month for text in said for word in re.findall(r"[^\W\d_]{3,12}", text) if (month := month_of(word))}
    numbers = {text: int(one[1]) for text in header if (one := WORD_AND_DAY.fullmatch(text)) is not None}
    rising = list(numbers.values())
    if year is None or len(months) != 1 or len(rising) < 2 or rising != sorted(set(rising)):
        return {}
    found = {}
    for text, number in numbers.items():
        try:
            day = dt.date(year, min(months), number)
        except ValueError:
            return {}
        weekdays = weekdays_meant(re.sub(r"[\d.\s]+", "", text))
        if weekdays and day.weekday() not in weekdays:
            return {}  # another month's, or another year's
        found[text] = day.isoformat()
    return found
