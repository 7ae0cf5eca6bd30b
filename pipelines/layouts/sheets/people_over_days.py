"""Blocks below each other that are of a person each, over days: 'Ana Berg | 16/10 | 30/10' over exercises and sets."""

import dataclasses
from collections.abc import Sequence

import polars as pl

from pipelines.cells.dates import is_day
from pipelines.layouts.sheets.season import BARE, days_meant, season_in
from pipelines.layouts.words.evidence import looks_like_name
from pipelines.layouts.words.headings import read_heading
from pipelines.layouts.words.sets import KNOWN, holds_sets
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable
from schemas.spelling import fold, slug

FEWEST_DAYS, LONG, HALF = 2, 5000, 0.5
HEADER = ["Name", "Exercise", "Date", "Sets x reps"]
Line = tuple[int, list[str]]


def people_over_days(table: TextTable, known: frozenset[str]) -> TextTable | None:
    """Return a table with a row for each person, exercise and day where names stand left of days, over exercises with
    their sets; None where none does.

    A line is such a header where its first cell has the form of a name, all others are days, at least two, and most
    cells of the lines below it say sets: 'Ana Berg | 3/11 | 17/11' among injuries is a row. One line alone is one where
    the person is known.
    """
    if not 0 < table.rows.height <= LONG or "athlete_id" in table.facts:
        return None
    columns = [name for name in table.rows.columns if name != "_line"]
    lines: list[Line] = [(table.header_line, [*table.header])]
    lines += [(row[0], [cell or "" for cell in row[1:]]) for row in table.rows.select("_line", *columns).iter_rows()]
    bare = list(dict.fromkeys(text for _, cells in lines for text in cells[1:] if BARE.fullmatch(text)))
    meant = days_meant(bare, season_in(texts_of(table))) if len(bare) >= FEWEST_DAYS else {}
    lines = [(number, [cells[0], *(meant.get(text, text) for text in cells[1:])]) for number, cells in lines if cells]
    begins = [n for n, (_, cells) in enumerate(lines) if _is_person_over_days(cells)]
    if not begins or begins[0] != 0 or (len(begins) == 1 and fold(lines[0][1][0]) not in known):
        return None
    found: list[Line] = []
    for begin, end in zip(begins, [*begins[1:], len(lines)], strict=True):
        rows = [(number, cells) for number, cells in lines[begin + 1 : end] if any(cells)]
        if not _hold_sets(rows):
            return None
        name, *days = lines[begin][1]
        found += [
            (line, [name, cells[0], day, text])
            for line, cells in rows for day, text in zip(days, cells[1:], strict=False) if day and text
        ]  # fmt: skip
    places = [pl.Series(f"c{n}", [cells[n] for _, cells in found], dtype=pl.String) for n in range(len(HEADER))]
    frame = pl.DataFrame([*places, pl.Series("_line", [line for line, _ in found], dtype=pl.Int64)])
    return dataclasses.replace(table, header=HEADER, rows=frame, above=[], turned="exercises")


def _is_person_over_days(cells: Sequence[str]) -> bool:
    days = [text for text in cells[1:] if text]
    return (
        len(days) >= FEWEST_DAYS and all(is_day(text) for text in days) and looks_like_name(cells[0])
        and not read_heading(0, cells[0]).names and slug(cells[0], "_") not in KNOWN
    )  # fmt: skip


def _hold_sets(rows: Sequence[Line]) -> bool:
    said = [text for _, cells in rows for text in cells[1:] if text]
    named = all(cells[0] for _, cells in rows)
    return bool(said) and named and sum(1 for text in said if holds_sets(text)) > HALF * len(said)
