"""A column that says which half of the day a row is of, 'AM' or 'PM': sessions of one day, told apart."""

import dataclasses
import itertools

import polars as pl

from pipelines.layouts.sheets.blocks import PARTS_OF_DAY, PERSON
from pipelines.layouts.words.headings import read_heading
from schemas.intake import TextTable
from schemas.spelling import fold

WHOSE_AND_WHEN = {*PERSON, "last_name", "date", "event_group", "squad"}
SESSION_NO = "session no"  # as a heading of the record's own


def with_sessions_of_day(table: TextTable) -> TextTable:
    """Return a table whose rows are numbered as sessions of their day by a column of 'AM' and 'PM', or the like.

    Who has one session on a day has the first, whenever it was: other files count them so. The numbers stand in the
    place of the words; a sheet of mornings alone stays as it is.
    """
    read = [read_heading(place, text) for place, text in enumerate(table.header)]
    if not any("date" in one.names for one in read) or any(one.is_exact and "session_no" in one.names for one in read):
        return table
    found = [one.place for one in read if one.text and _is_part_of_day(table, one.place)]
    if len(found) != 1:
        return table
    [place] = found
    part = pl.col(f"c{place}").map_elements(_part, return_dtype=pl.Int64)
    keys = [name for one in read if set(one.names) & WHOSE_AND_WHEN and (name := f"c{one.place}") in table.rows.columns]
    number = part.rank("dense").over([pl.col(key).fill_null("") for key in keys]).cast(pl.Int64).cast(pl.String)
    header = [SESSION_NO if at == place else text for at, text in enumerate(table.header)]
    return dataclasses.replace(table, header=header, rows=table.rows.with_columns(number.alias(f"c{place}")))


def _is_part_of_day(table: TextTable, place: int) -> bool:
    """Return whether every cell of a column is a part of the day, two parts or more, each row with one."""
    cells = table.rows[f"c{place}"].to_list() if f"c{place}" in table.rows.columns else []
    words = {text for text, _ in itertools.groupby(sorted(fold(cell) for cell in cells if cell))}
    parts = {_part(word) for word in words}
    return len(parts) > 1 and None not in parts


def _part(cell: str) -> int | None:
    return next((part for part, words in enumerate(PARTS_OF_DAY) if fold(cell) in words), None)
