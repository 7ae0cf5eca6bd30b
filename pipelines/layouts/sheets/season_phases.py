"""Phases of a season as coaches list them: a day of beginning and of end, both in one cell, the weeks of a year, or
the phases as columns.
"""

import dataclasses
import datetime as dt
import re
from collections.abc import Sequence

import polars as pl

from pipelines.cells.dates import is_day
from pipelines.cells.spoken import is_phase
from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.words.match import says_work
from schemas.intake import TextTable
from schemas.spelling import fold

MOST_ROWS, FEWEST, MOST, MOST_WEEKS = 200, 2, 0.75, 53  # own choice; phases are few, and nearly all of them are named
UNTIL = re.compile(r"\s+(?:[-–—]|to|till?|until|bis|au|à|a|al|até|hasta|t/m|tot|do)\s+|\s*[–—]\s*", re.I)
WEEKS = re.compile(r"(?:\D{0,6}\s)?(\d{1,2})\s*(?:-|–|to|bis|à|a)\s*(\d{1,2})")
YEAR = re.compile(r"20\d{2}")


def season_phases(table: TextTable) -> TextTable:
    """Return a table of phases of a season with its phase, first and last day under the names of the record; any other
    as it is.

    It is one where a column, or all headings but the first, name at least two phases, and where what stands beside or
    below them is days: one or two columns of them, from and until in one cell, or weeks with their year. A log of what
    was done, which says of each session in which phase it was, is none.
    """
    if not 0 < table.rows.height <= MOST_ROWS or _is_log(table):
        return table
    turned = _turned(table)
    place = _place_of(turned)
    if place is None:
        return table
    days = _days(turned, place)
    return table if days is None else days


def _is_log(table: TextTable) -> bool:
    """Return whether a heading is of a measure, or of a session and its work: so no list of phases is headed. Nor does
    one of people say a phase of somebody twice.
    """
    said = [one for one in heads(table.header) if one is not None]
    if says_work(said):
        return True
    people = [f"c{one.place}" for one in said if set(one.names) & PERSON and f"c{one.place}" in table.rows.columns]
    place = _place_of(table)
    if not people or place is None:
        return False
    told = table.rows.select(pl.col(people).forward_fill(), pl.col(f"c{place}").alias("phase")).drop_nulls("phase")
    return told.n_unique() < told.height


def _are_phases(texts: Sequence[str]) -> bool:
    said = [text for text in texts if is_phase(text)]
    return len({fold(text) for text in said}) >= FEWEST and len(said) >= MOST * len(texts)


def _cells(table: TextTable, place: int) -> list[str | None]:
    name = f"c{place}"
    return table.rows[name].to_list() if name in table.rows.columns else []


def _filled(table: TextTable, place: int) -> list[str]:
    return [cell.strip() for cell in _cells(table, place) if cell and cell.strip()]


def _place_of(table: TextTable) -> int | None:
    found = [place for place in range(len(table.header)) if _are_phases(_filled(table, place))]
    return found[0] if len(found) == 1 else None


def _turned(table: TextTable) -> TextTable:
    """Return a table with its phases as rows where they head its columns, over a row of beginnings, of ends or both."""
    named = [(place, text) for place, text in enumerate(table.header) if place and text]
    if not _are_phases([text for _, text in named]) or table.rows.height > FEWEST:
        return table
    said = [(cell or "").strip() for cell in _cells(table, 0)] or [""] * table.rows.height
    rows = [[(row.get(f"c{place}") or "").strip() or None for place, _ in named]
            for row in table.rows.iter_rows(named=True)]  # fmt: skip
    columns = [pl.Series("c0", [text for _, text in named], dtype=pl.String)]
    columns += [pl.Series(f"c{n}", cells, dtype=pl.String) for n, cells in enumerate(rows, start=1)]
    line = pl.Series("_line", [table.rows["_line"][0]] * len(named), dtype=pl.Int64)
    return dataclasses.replace(
        table, header=["Phase", *said], rows=pl.DataFrame([*columns, line]), above=[], turned="phases"
    )  # fmt: skip


def _days(table: TextTable, phase: int) -> TextTable | None:
    header, rows = list(table.header), table.rows
    filled = {place: _filled(table, place) for place in range(len(header)) if place != phase}
    dated = [place for place, texts in filled.items() if texts and all(map(is_day, texts))]
    if not dated:
        pairs = {place: _pairs(table, place) for place, texts in filled.items() if texts}
        found = {place: told for place, told in pairs.items() if told is not None}
        if len(found) != 1:
            return None
        [(place, told)] = found.items()
        width = len(header)
        rows = rows.with_columns(
            pl.Series(f"c{place}", [one and one[0] for one in told], dtype=pl.String),
            pl.Series(f"c{width}", [one and one[1] for one in told], dtype=pl.String),
        ).select(*(f"c{n}" for n in range(width + 1) if f"c{n}" in {*rows.columns, f"c{width}"}), "_line")
        header.append("")
        dated = [place, width]
    if len(dated) > FEWEST:
        return None
    if (year_at := _year_at(table)) is not None:  # it is in the days
        rows = rows.with_columns(pl.lit(None, pl.String).alias(f"c{year_at}"))
        header[year_at] = ""
    for place, name in zip((phase, *dated), ("phase", "from_on", "until_on"), strict=False):
        header[place] = name
    return dataclasses.replace(table, header=header, rows=rows)


def _pairs(table: TextTable, place: int) -> list[tuple[str, str] | None] | None:
    """Return the first and last day that each cell of a column says; None where one says something else."""
    year_at = _year_at(table)
    beside = _cells(table, year_at) if year_at is not None else [None] * table.rows.height
    made: list[tuple[str, str] | None] = []
    for cell, year in zip(_cells(table, place), beside, strict=True):
        text = (cell or "").strip()
        said = first_and_last(text, (year or "").strip()) if text else None
        if text and said is None:
            return None
        made.append(said)
    return made


def _year_at(table: TextTable) -> int | None:
    found = [n for n in range(len(table.header)) if (texts := _filled(table, n)) and all(map(YEAR.fullmatch, texts))]
    return found[0] if len(found) == 1 else None


def first_and_last(text: str, year: str = "") -> tuple[str, str] | None:
    """Return the first and the last day that a text says, '14 Sep 2026 - 8 Nov 2026', or '38-45', weeks of a year by
    ISO 8601; None for others.
    """
    parts = UNTIL.split(text)
    if len(parts) == FEWEST and all(map(is_day, parts)):
        return parts[0].strip(), parts[1].strip()
    weeks = WEEKS.fullmatch(text)
    if weeks is None or not year or not 1 <= int(weeks[1]) <= int(weeks[2]) <= MOST_WEEKS:
        return None
    try:
        first = dt.date.fromisocalendar(int(year), int(weeks[1]), 1)
        last = dt.date.fromisocalendar(int(year), int(weeks[2]), 7)
    except ValueError:  # the 53rd week of a year without one
        return None
    return str(first), str(last)
