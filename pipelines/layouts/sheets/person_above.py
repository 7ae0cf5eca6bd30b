"""Blocks of one person each, who stands in the line above: 'Ana | 27/01/2026' over 'Step | 1 | 2 | 3'."""

import dataclasses
from collections.abc import Sequence

from pipelines.cells.dates import is_day
from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.words.evidence import looks_like_name
from schemas.intake import TextTable
from schemas.reading import Fact

MOST = 0.5  # of the cells of a column; above it the column is of people, whatever its heading
SAMPLE_ROWS = 50


def with_person_above(table: TextTable, known: frozenset[str]) -> TextTable:
    """Return a table without people of its own as that of the one known person in the line nearest above it, alone or
    beside a day, or whose name is that of the sheet.

    Where a line further up has somebody beside a day and the nearest has another word there, it is asked whose the rows
    are: they belong to nobody named above another block.
    """
    if "athlete_id" in table.facts or not known or _has_people(table, known):
        return table
    *further, nearest = [_beside_days(cells) for _, cells in table.titles] or [None]
    if nearest is None:
        is_theirs = _is_somebody(table.sheet, known)
        return _as_theirs(table, table.sheet, "sheet name") if is_theirs else table
    who, has_day = nearest
    if _is_somebody(who, known):
        return _as_theirs(table, who, "line above")
    others = [one for one in further if one is not None and one[1] and _is_somebody(one[0], known)]
    if has_day and others and looks_like_name(who):
        return _as_theirs(table, "", "answer")
    return table


def _as_theirs(table: TextTable, who: str, place: str) -> TextTable:
    return dataclasses.replace(table, facts={**table.facts, "athlete_id": Fact(who, place)})


def _beside_days(cells: Sequence[str]) -> tuple[str, bool] | None:
    """Return the one cell of a line that is no day, and whether a day stands beside it."""
    filled = [cell for cell in cells if cell]
    words = [cell for cell in filled if not is_day(cell)]
    return (words[0], len(filled) > 1) if len(words) == 1 else None


def _is_somebody(text: str, known: frozenset[str]) -> bool:
    return is_known(text, known) or is_part_of_one(text, known)


def _has_people(table: TextTable, known: frozenset[str]) -> bool:
    """Return whether a table has people of its own: a column of them by its heading or its cells, or as columns."""
    if any(one is not None and set(one.names) & PERSON for one in heads(table.header)):
        return True
    if any(text and _is_somebody(text, known) for text in table.header):
        return True
    for name in table.rows.columns:
        cells = [cell for cell in table.rows[name].head(SAMPLE_ROWS) if cell] if name != "_line" else []
        if sum(1 for cell in cells if _is_somebody(cell, known)) > MOST * len(cells):
            return True
    return False
