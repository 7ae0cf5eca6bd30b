"""A calendar as a sheet: a week in each row, the weekdays as columns, 'Week of | Mon | Tue | Wed'. Made days."""

import dataclasses
import datetime as dt
import re
from collections.abc import Sequence

import polars as pl

from pipelines.cells.months import month_of
from pipelines.cells.weekdays import is_weekday, weekdays_beside, weekdays_named
from pipelines.layouts.sheets.weeks import LONG, WEEK_HEADS, mondays
from pipelines.layouts.words.evidence import look
from pipelines.layouts.words.said import find_year
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable
from schemas.spelling import fold

FEWEST = 2  # weekdays as columns
# Weeks are known by their number in the year there; 'week 5' is one of a block. Common practice, no source.
CALENDAR_WEEKS = {"vecka", "v", "kw", "kalenderwoche", "uke", "uge", "viikko", "vk"}
LAST_WEEK = 52  # a year has it whatever its days are
WEEK_NO = re.compile(r"(?:v|kw|wk|w|s|u|uke|vk)?\.?\s?(\d{1,2})", re.I)  # '9', 'v.9', 'KW 9'
NUMBERED = re.compile(r"\s*([^\W\d_]{2,13})\.?,?\s*(\d{1,2})\.?\s*")


def days_of_grid(table: TextTable, value: str) -> TextTable | None:
    """Return a table with a row for each week and weekday that has words, None where it is no such calendar.

    The first day of each week stands in a column: with its year, or with the month and the year that the titles name;
    or its number in that year (ISO 8601, whose week 1 has the first Thursday). Where days are not all Mondays in one
    order of day and month, it is no such calendar.

    Args:
        table: A plain table.
        value: What its cells are called: a plan or what was done.
    """
    weekdays = weekdays_beside(table.header)
    named = {place: text for place, text in enumerate(table.header) if text in weekdays}
    if len(named) < FEWEST or not 0 < table.rows.height <= LONG:
        return None
    for weeks, text in enumerate(table.header):  # 'Week' may number them beside 'w/c', which has their days
        if fold(text) not in WEEK_HEADS or f"c{weeks}" not in table.rows.columns:
            continue
        cells = table.rows[f"c{weeks}"].fill_null(strategy="forward")
        said, year = cells.drop_nulls().unique(maintain_order=True).to_list(), find_year(texts_of(table))
        first = mondays(said, year)
        if first is None and fold(text) in CALENDAR_WEEKS:
            first = _numbered(said, year)
        if first is not None and not cells.null_count():
            break
    else:
        return None
    others = [
        place for place, text in enumerate(table.header)
        if text and place != weeks and place not in named and f"c{place}" in table.rows.columns
        and not (fold(text) in WEEK_HEADS and look(table.rows[f"c{place}"]).whole == 1)  # the weeks numbered beside
    ]  # fmt: skip
    parts = []
    for order, (place, text) in enumerate(named.items()):
        if f"c{place}" not in table.rows.columns:
            continue
        days = [(first[week] + dt.timedelta(days=weekdays[text])).isoformat() for week in cells]
        parts.append(
            table.rows.select(
                pl.Series("c0", days, dtype=pl.String),
                pl.col(f"c{place}").alias("c1"),  # before the week's own columns: 'Focus' is of all its days
                *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others, start=2)),
                "_line",
                _order=pl.int_range(pl.len()) * len(named) + order,
            ).filter(pl.col("c1").is_not_null())
        )
    rows = pl.concat(parts).sort("_order").drop("_order")
    header = ["Date", value, *(table.header[place] for place in others)]
    return dataclasses.replace(table, header=header, rows=rows, above=[], turned="weeks")


def _numbered(weeks: Sequence[str], year: int | None) -> dict[str, dt.date] | None:
    """Return the Monday of each week by its number in a year that is said, None where one is no such number or is the
    first: weeks of a block are counted from it.
    """
    numbers = {text: one[1] for text in weeks if (one := WEEK_NO.fullmatch(text.strip())) is not None}
    if year is None or not weeks or len(numbers) < len(set(weeks)):
        return None
    if any(not 1 < int(number) <= LAST_WEEK for number in numbers.values()):
        return None
    return {text: dt.date.fromisocalendar(year, int(number), 1) for text, number in numbers.items()}


def with_numbered_weekdays(table: TextTable) -> TextTable:
    """Return a table whose columns 'Mon 2', 'Tue 3' are the days of a month and year that its titles name.

    Each weekday must be that day's: in no other month named there, and in no other year, may all of them be so. The
    day of the title is then an end of its week, and of no row.
    """
    parts = {place: one for place, text in enumerate(table.header) if (one := NUMBERED.fullmatch(text)) is not None}
    parts = {place: one for place, one in parts.items() if is_weekday(one[1])}
    weekdays = weekdays_named(one[1] for one in parts.values()) if len(parts) >= FEWEST else None
    if weekdays is None:
        return table
    texts = texts_of(table)
    year = find_year(texts)
    months = {month for text in texts for word in re.findall(r"[^\W\d_]{3,12}", text) if (month := month_of(word))}
    if year is None or not months:
        return table
    days: dict[int, str] = {}
    for place, one in parts.items():
        fits = [day for month in months if (day := _day(year, month, int(one[2]))) is not None
                and day.weekday() == weekdays[one[1]]]  # fmt: skip
        if len(fits) != 1:
            return table
        days[place] = fits[0].isoformat()
    header = [days.get(place, text) for place, text in enumerate(table.header)]
    facts = {name: fact for name, fact in table.facts.items() if name != "date"}
    return dataclasses.replace(table, header=header, facts=facts)


def _day(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None
