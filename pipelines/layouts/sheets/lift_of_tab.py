"""A log of one exercise, which its title, tab or file names: 'Back squat' over 'Date | Athlete | Reps | Load (kg)'."""

import dataclasses

import polars as pl

from pipelines.layouts.sheets.blocks import heads
from pipelines.layouts.words.said import find_day
from pipelines.layouts.words.sets import is_exercise
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
    is_log = {"reps", "load_kg"} <= names or "set_text" in names
    if not is_log or "exercise" in names or any(one.gate_m is not None or one.at for one in said):
        return table
    bare = (text.replace(find_day(text) or "\n", " ").strip(" -\u2013,:;()") for text in texts_of(table))
    exercise = next((text for text in bare if is_exercise(text) or _is_lift_by_its_last_word(text)), None)
    if exercise is None:
        return table
    rows = table.rows.with_columns(pl.lit(exercise).alias(f"c{len(table.header)}"))
    order = [*(f"c{n}" for n in range(len(table.header) + 1) if f"c{n}" in rows.columns), "_line"]
    return dataclasses.replace(table, header=[*table.header, "Exercise"], rows=rows.select(order))


def _is_lift_by_its_last_word(text: str) -> bool:
    words = fold(text).split()
    return 0 < len(words) <= MOST_WORDS and words[-1] in LIFTS
