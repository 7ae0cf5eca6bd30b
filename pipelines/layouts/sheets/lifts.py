"""Gym sheets with exercises as columns: 'Squat' over '4x3 100', 'Clean 5x2 (kg)' over '70'. Made rows of a log."""

import dataclasses
import re
from collections.abc import Collection

import polars as pl

from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.words.evidence import look
from pipelines.layouts.words.sets import KNOWN, holds_sets, is_exercise
from schemas.intake import TextTable
from schemas.spelling import slug
from schemas.unit_words import unit_word

SETS_IN_HEADING = re.compile(r"(?<!\d)(\d{1,2})\s*[x×]\s*(\d{1,2})(?!\d)", re.I)
BRACKETS = re.compile(r"[\(\[]([^)\]]*)[\)\]]")
FEWEST = 2
MOST_ROWS = 20_000


@dataclasses.dataclass(frozen=True)
class Lift:
    """A column of one exercise: its place, name, the sets its heading gives, the unit of its cells."""

    place: int
    name: str
    sets: str
    unit: str


def exercises_down(table: TextTable) -> TextTable | None:
    """Return a table with a row for each exercise where those stand as columns; None where they do not.

    A column is of an exercise where its cells say sets ('3x5 @ 100'), or where its heading names a known exercise with
    the sets and its cells are loads. One-repetition maxima and tests are none.
    """
    said = heads(table.header)
    if table.rows.height > MOST_ROWS or any(one is not None and "exercise" in one.names for one in said):
        return None
    lifts = [one for place, text in enumerate(table.header) if (one := _lift(table, place, text)) is not None]
    places = {one.place for one in lifts}
    others = [place for place in range(len(table.header)) if place not in places and table.header[place]]
    has_day = "date" in table.facts or any(one is not None and "date" in one.names for one in said)
    has_person = "athlete_id" in table.facts or any(one is not None and set(one.names) & PERSON for one in said)
    if len(lifts) < FEWEST or not (has_day or has_person) or len(others) > max(4, len(lifts)):
        return None
    parts = []
    for order, one in enumerate(lifts):
        cell = pl.col(f"c{one.place}")
        if one.sets:
            load = pl.concat_str([pl.lit(f"{one.sets} @ "), cell, pl.lit(one.unit)])
            cell = pl.when(cell.str.contains("[x×X]")).then(cell).otherwise(load)
        parts.append(
            table.rows.select(
                *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others)),
                pl.lit(one.name).alias(f"c{len(others)}"),
                cell.alias(f"c{len(others) + 1}"),
                "_line",
                _order=pl.int_range(pl.len()) * len(lifts) + order,
            ).filter(pl.col(f"c{len(others) + 1}").is_not_null())
        )
    rows = pl.concat(parts).sort("_order").drop("_order")
    header = [*(table.header[place] for place in others), "Exercise", "Sets x reps"]
    return dataclasses.replace(table, header=header, rows=rows, above=[], turned="exercises")


def exercises_by_day(table: TextTable, days: Collection[int]) -> TextTable | None:
    """Return a table of exercises down and days across, '4x5 @ 120' in the cells, with its first column named so.

    The column is headed as exercises, or by nothing while half of its names are known exercises. Cells of other rows
    ('rest', a bar's load alone) do not hinder where most say sets.
    """
    if 0 in days or "c0" not in table.rows.columns or table.rows.height > MOST_ROWS:
        return None
    cells = [text for place in days for text in look(table.rows[f"c{place}"]).texts]
    if not cells or 2 * sum(1 for text in cells if holds_sets(text)) <= len(cells):
        return None
    head = heads(table.header[:1])[0]
    names = [cell for cell in table.rows["c0"] if cell and cell.strip()]
    is_named = head is not None and "exercise" in head.names
    is_bare = not table.header[0] and 2 * sum(1 for name in names if is_exercise(name)) > len(names)
    return dataclasses.replace(table, header=["Exercise", *table.header[1:]]) if is_named or is_bare else None


def _lift(table: TextTable, place: int, text: str) -> Lift | None:
    if not text or f"c{place}" not in table.rows.columns:
        return None
    seen = look(table.rows[f"c{place}"])
    unit = next((inside for inside in BRACKETS.findall(text) if unit_word(inside) in ("kilogram", "pound")), "")
    bare = BRACKETS.sub(" ", text)
    sets = SETS_IN_HEADING.search(bare)
    name = " ".join(SETS_IN_HEADING.sub(" ", bare).split()).strip(" -:@")
    if not name or not name[0].isalpha() or seen.is_empty:
        return None
    if 2 * sum(1 for one in seen.texts if holds_sets(one)) > len(seen.texts):
        is_log = slug(name, "_") in KNOWN or heads([name])[0] is None or bool(heads([name])[0].at)  # type: ignore[union-attr]
        return Lift(place, name, "", unit) if is_log else None
    if sets is not None and (unit or slug(name, "_") in KNOWN) and seen.numbers >= 0.8:
        return Lift(place, name, f"{sets[1]}x{sets[2]}", f" {unit}" if unit else "")
    return None
