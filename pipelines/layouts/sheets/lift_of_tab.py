"""A log of one exercise, which its title, tab or file names: 'Back squat' over 'Date | Athlete | Reps | Load (kg)'."""

import dataclasses
import re
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.sheets.blocks import heads
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.said import find_day
from pipelines.layouts.words.sets import is_exercise, parse_sets
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable
from schemas.spelling import fold

MOST_WORDS = 3
# Words that end the names of lifts whose family is asked; folded, common practice, no source
LIFTS = {"clean", "cleans", "snatch", "jerk", "press", "row", "rows", "pull", "thrust", "lunge", "lunges", "raise",
         "raises", "curl", "curls", "deadlift", "squat", "squats", "rdl", "umsetzen", "reissen", "stossen", "epaule",
         "arrache", "cargada", "arranque", "girata", "strappo", "frivandning", "ryck"}  # fmt: skip


def with_exercise_of_tab(table: TextTable) -> TextTable:
    """Return a table of repetitions and loads without a column of exercises with the one that its title, tab or file
    is named after, and nothing besides but a day; any other as it is.
    """
    said = [one for one in heads(table.header) if one is not None]
    names = {name for one in said for name in one.names}
    sets = [one for one in said if one.number is not None and one.names[:1] in (("set_no",), ("set_text",))]
    is_log = {"reps", "load_kg"} <= names or "set_text" in names or _hold_sets(table, sets)
    if not is_log or "exercise" in names or any(one.gate_m is not None or one.at for one in said):
        return table
    parts = (part for text in texts_of(table) for part in re.split(r"\s[-\u2013]\s|[:,]\s", text))
    bare = (text.replace(find_day(text) or "\n", " ").strip(" -\u2013,:;()") for text in parts)
    exercise = next((text for text in bare if is_exercise(text) or _is_lift_by_its_last_word(text)), None)
    if exercise is None:
        return table
    rows = table.rows.with_columns(pl.lit(exercise).alias(f"c{len(table.header)}"))
    order = [*(f"c{n}" for n in range(len(table.header) + 1) if f"c{n}" in rows.columns), "_line"]
    return dataclasses.replace(table, header=[*table.header, "Exercise"], rows=rows.select(order))


def _hold_sets(table: TextTable, sets: Sequence[Heading]) -> bool:
    """Return whether each cell below headings of sets says repetitions and a load: '5x70'."""
    cells = [
        cell for one in sets if f"c{one.place}" in table.rows.columns for cell in table.rows[f"c{one.place}"] if cell
    ]
    told = [parse_sets(cell, is_one_set=True) for cell in cells]
    return len(sets) > 1 and bool(told) and all(one is not None and one[0][1] is not None for one in told)


def _is_lift_by_its_last_word(text: str) -> bool:
    words = fold(text).split()
    return 0 < len(words) <= MOST_WORDS and words[-1] in LIFTS
