"""Sets written with the load first, 'kg x reps': '75x4' is four repetitions with 75. Turned round, '4 @ 75'."""

import dataclasses
import re
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.sheets.blocks import heads
from pipelines.layouts.words.sets import MOST_REPS
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable

MOST_ROWS = 20_000
PAIR = re.compile(r"\s*(\d{1,3}(?:[.,]\d{1,2})?)\s*(kgs?|lbs?|kilos?)?\s*[x×X*]\s*(\d{1,2}(?:[.,]\d{1,2})?)\s*", re.I)
# 'kg x reps per set', 'Gewicht x Wdh'. Common practice, no source.
SAID = re.compile(
    r"(?<![^\W\d_])(kgs?|lbs?|load|weight|gewicht|last|charge|poids|peso|carga|carico|vikt)\s*[x×*/]\s*"
    r"(?:reps?|wdh|wiederholungen|r[ée]p[ée]titions|repeticiones|repeti[cç][õo]es|ripetizioni|herhalingen|repetitioner)"
    r"(?![^\W\d_])", re.I,
)  # fmt: skip
UNITS = {"kg": " kg", "kgs": " kg", "lb": " lb", "lbs": " lb"}


def with_reps_first(table: TextTable) -> TextTable:
    """Return a gym log with its sets written the other way round where a title or heading says the load first, or
    where the first numbers of some sets can be no repetitions (or have the unit of a load) and no second one can be a
    load; any other as it is.
    """
    if not 0 < table.rows.height <= MOST_ROWS:
        return table
    if not any(one is not None and "exercise" in one.names for one in heads(table.header)):
        return table
    places = [n for n in range(len(table.header)) if f"c{n}" in table.rows.columns and _are_pairs(table.rows[f"c{n}"])]
    if not places:
        return table
    said = next((found[1] for text in (*table.header, *texts_of(table)) if (found := SAID.search(text))), None)
    cells = [cell for n in places for cell in table.rows[f"c{n}"].drop_nulls()]
    if said is None and not _can_only_be_loads(cells):
        return table
    unit = UNITS.get((said or "").lower(), "")
    rows = table.rows.with_columns(
        pl.Series(f"c{n}", [None if cell is None else _turned(cell, unit) for cell in table.rows[f"c{n}"]],
                  dtype=pl.String) for n in places
    )  # fmt: skip
    return dataclasses.replace(table, rows=rows)


def _are_pairs(column: pl.Series) -> bool:
    cells = [cell for cell in column.drop_nulls() if any(map(str.isdigit, cell))]
    return bool(cells) and all(all(map(PAIR.fullmatch, re.split(r"[,;]\s+|;", cell))) for cell in cells)


def _can_only_be_loads(cells: Sequence[str]) -> bool:
    pairs = [
        found.groups() for cell in cells for part in re.split(r"[,;]\s+|;", cell) if (found := PAIR.fullmatch(part))
    ]
    numbers = [(float(one.replace(",", ".")), float(other.replace(",", "."))) for one, _, other in pairs]
    heavy = any(unit for _, unit, _ in pairs) or any(one > MOST_REPS or one % 1 for one, _ in numbers)
    return heavy and all(other <= MOST_REPS and not other % 1 for _, other in numbers)


def _turned(cell: str, unit: str) -> str:
    parts = [PAIR.fullmatch(part) for part in re.split(r"[,;]\s+|;", cell)]
    return ", ".join(f"{one[3]} @ {one[1]}{one[2] or unit}" for one in parts if one) if all(parts) else cell
