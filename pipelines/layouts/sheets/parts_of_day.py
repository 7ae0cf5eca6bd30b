"""Plans and logs with the parts of a day as columns, 'am | pm' over words. Made a row for each of them."""

import dataclasses

import polars as pl

from pipelines.cells.dates import is_day
from pipelines.cells.weekdays import is_weekday
from pipelines.layouts.sheets.blocks import PARTS_OF_DAY
from pipelines.layouts.words.evidence import look
from schemas.intake import TextTable
from schemas.spelling import fold

FEWEST = 2


def with_parts_as_header(table: TextTable) -> TextTable:
    """Return a table whose header is days over a row of parts of the day, 'Mon |  | Tue | ' over 'am | pm | am | pm',
    with that row as its header and the days above it; any other as it is.
    """
    if not table.rows.height or not table.header:
        return table
    cells = table.rows.row(0, named=True)
    row = [(cells.get(f"c{place}") or "").strip() for place in range(len(table.rows.columns) - 1)]
    parts = [place for place, text in enumerate(row) if _is_part(text)]
    first = parts[0] if parts else 0
    over = [*table.header, *[""] * len(row)][: len(row)]
    days = sum(1 for text in over if text and (is_day(text) or is_weekday(text)))
    if len(parts) < 2 * FEWEST or days < FEWEST or any(not _is_part(text) for text in row[first:] if text):
        return table
    row[:first] = [text or over[place] for place, text in enumerate(row[:first])]
    return dataclasses.replace(
        table, header=row, header_line=cells["_line"], rows=table.rows.slice(1), above=over, titles=table.titles
    )  # fmt: skip


def _is_part(text: str) -> bool:
    return any(fold(text) in part for part in PARTS_OF_DAY)


def parts_of_day_down(table: TextTable, value: str) -> TextTable:
    """Return a table with a row for each part of the day that has words; any other as it is.

    Args:
        table: A plain table of one day or with a column of days.
        value: What its cells are called: a plan or what was done.
    """
    places = [place for place, text in enumerate(table.header) if _is_part(text)]
    filled = [look(table.rows[f"c{place}"]) for place in places if f"c{place}" in table.rows.columns]
    if len(places) < FEWEST or len(filled) < len(places) or not all(one.is_empty or not one.numbers for one in filled):
        return table
    others = [place for place, text in enumerate(table.header) if place not in places and text]
    others = [place for place in others if f"c{place}" in table.rows.columns]
    parts = [
        table.rows.select(
            *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others)),
            pl.col(f"c{place}").alias(f"c{len(others)}"), "_line",
            _order=pl.int_range(pl.len()) * len(places) + order,
        ).filter(pl.col(f"c{len(others)}").is_not_null())
        for order, place in enumerate(places)
    ]  # fmt: skip
    rows = pl.concat(parts).sort("_order").drop("_order")
    return dataclasses.replace(table, header=[*(table.header[place] for place in others), value], rows=rows, above=[])
