"""What a roster says, otherwise: a card for each person, its headings down; and a day in three columns."""

import dataclasses
import re

import polars as pl

from pipelines.cells.months import month_of
from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.words.headings import read_heading
from schemas.intake import TextTable
from schemas.spelling import fold

FEWEST, MOST_ROWS = 3, 30  # headings of a card; own choice
OF_A_PERSON = {
    "birth_date", "sex", "event_group", "squad", "code", "call_name", "joined_on", "body_mass_kg", "height_m",
}  # fmt: skip
# Folded; common practice, no source
DAY = {"day", "tag", "jour", "dia", "giorno", "dag", "dzien"}
MONTH = {"month", "monat", "mois", "mes", "mese", "maand", "manad", "maned", "miesiac"}
YEAR = {"year", "jahr", "annee", "ano", "anno", "jaar", "ar", "rok"}
YEARS = re.compile(r"(?:19|20)\d{2}")


def card_turned(table: TextTable) -> TextTable:
    """Return a sheet of two columns whose first holds headings of a roster, 'Name | Ana Berg' over 'Sex | F', as a
    table of that one person; any other as it is.
    """
    filled = [text for text in table.header if text]
    if len(filled) != 2 or not table.header[0] or not FEWEST - 1 <= table.rows.height <= MOST_ROWS:
        return table
    columns = [name for name in table.rows.columns if name != "_line" and table.rows[name].count()]
    if len(columns) != 2 or columns[0] != "c0":
        return table
    names = [table.header[0], *((cell or "").strip() for cell in table.rows["c0"])]
    said = [set(read_heading(place, text).names) for place, text in enumerate(names)]
    people = sum(1 for one in said if one & PERSON)
    if people != 1 or sum(1 for one in said if one & OF_A_PERSON) < 2 or len(set(map(fold, names))) < len(names):
        return table
    if not all(one & (OF_A_PERSON | PERSON) or text.count(" ") < FEWEST for one, text in zip(said, names, strict=True)):
        return table
    cells = [next(text for text in table.header[1:] if text), *table.rows[columns[1]].to_list()]
    rows = pl.DataFrame({f"c{n}": pl.Series([cell], dtype=pl.String) for n, cell in enumerate(cells)})
    line = pl.Series("_line", [table.header_line], dtype=pl.Int64)
    return dataclasses.replace(table, header=names, rows=rows.with_columns(line), above=[], turned="cards")


def days_in_parts(table: TextTable) -> TextTable:
    """Return a table whose day stands in three columns, 'Day | Month | Year', with it in one; any other as it is.

    In a list of people without another birth date it is that, as the column beside it asks: sex, group.
    """
    said = {fold(text): place for place, text in enumerate(table.header) if text}
    parts = [[place for text, place in said.items() if text in words] for words in (DAY, MONTH, YEAR)]
    if any(len(one) != 1 or f"c{one[0]}" not in table.rows.columns for one in parts):
        return table
    places = [one[0] for one in parts]
    days = [_day(row) for row in table.rows.select([f"c{place}" for place in places]).iter_rows()]
    if not days or any(day is None for day in days):
        return table
    known = {name for one in heads(table.header) if one is not None for name in one.names[:1]}
    is_birth = bool(known & {"sex", "event_group"}) and "birth_date" not in known
    header = ["" if place in places else text for place, text in enumerate(table.header)]
    header[places[0]] = "Born" if is_birth else "Date"
    rows = table.rows.with_columns(
        pl.Series(f"c{places[0]}", days, dtype=pl.String),
        *(pl.lit(None, pl.String).alias(f"c{place}") for place in places[1:]),
    )
    return dataclasses.replace(table, header=header, rows=rows)


def _day(parts: tuple[str | None, ...]) -> str | None:
    day, month, year = ((part or "").strip() for part in parts)
    number = month if month.isdigit() else str(month_of(month) or "")
    if not any((day, month, year)):
        return ""
    if not day.isdigit() or not number or YEARS.fullmatch(year) is None:
        return None
    return f"{year}-{int(number):02d}-{int(day):02d}"
