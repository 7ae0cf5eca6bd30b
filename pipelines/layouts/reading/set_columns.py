"""Columns of repetitions and loads set by set: 'Set 1 reps', 'Set 1 kg'; 'S1 reps', 'S1 kg'; 'Reps 1', 'Kg 1'."""

import dataclasses
import re
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.words.headings import BRACKETS, Heading, spellings
from schemas.spelling import fold
from schemas.unit_words import unit_word

OF_A_SET = {"set", "sets", "s", "satz", "serie", "sett", "reeks"}  # what is counted; common practice, no source
LETTERS_AND_NUMBER = re.compile(r"([a-z]+?)(\d{1,2})|(\d{1,2})([a-z]+)")
WEIGHTS = ("kilogram", "pound")
OF_AN_EXERCISE = {"athlete_id", "display_name", "first_name", "last_name", "date", "exercise"}


def with_set_columns(headings: Sequence[Heading]) -> list[Heading]:
    """Name the columns of sets beside a column of exercises where at least two sets have both reps and a load, or a
    load where one column holds the reps of all.
    """
    if not any("exercise" in one.names for one in headings):
        return list(headings)
    headings = _without_bare(headings)
    said = {one.place: told for one in headings if not one.is_told and (told := _of_a_set(one)) is not None}
    numbers = {name: {number for told, number in said.values() if told == name} for name in ("reps", "load_kg")}
    is_shared = not numbers["reps"] and any("reps" in one.names and one.place not in said for one in headings)
    both = numbers["load_kg"] if is_shared else numbers["reps"] & numbers["load_kg"]
    if len(both) < 2 or len({*said.values()}) < len(said):
        return list(headings)
    return [
        dataclasses.replace(one, names=(said[one.place][0],), number=said[one.place][1], run_no=None, gate_m=None,
                            unit=_unit(one), loose=())
        if one.place in said else one
        for one in headings
    ]  # fmt: skip


def _without_bare(headings: Sequence[Heading]) -> list[Heading]:
    """Return 'Set 1', 'Set 2' beside a column of reps as columns that are asked about: loads, or reps done."""
    if not any("reps" in one.names and one.number is None for one in headings):
        return list(headings)
    bare = [one for one in headings if one.number is not None and one.unit is None and not one.is_told
            and {*fold(one.text).split()} - {str(one.number)} <= OF_A_SET]  # fmt: skip
    return [dataclasses.replace(one, names=(), number=None) if one in bare else one for one in headings]


def _of_a_set(one: Heading) -> tuple[str, int] | None:
    """Return whether a heading is of the reps or of the load of a set, and of which: one number, and words of both."""
    words = LETTERS_AND_NUMBER.sub(r"\1\4 \2\3", fold(BRACKETS.sub(" ", one.text))).split()
    numbers = [int(word) for word in words if word.isdigit()]
    left = [word for word in words if not word.isdigit() and word not in OF_A_SET]
    if len(numbers) != 1 or len(left) > 1:
        return None
    if not left or unit_word(left[0]) in WEIGHTS:
        return ("load_kg", numbers[0]) if _unit(one) in WEIGHTS else None
    names = spellings().get(left[0], ())
    return next(((name, numbers[0]) for name in ("reps", "load_kg") if name in names), None)


def _unit(one: Heading) -> str | None:
    words = LETTERS_AND_NUMBER.sub(r"\1\4 \2\3", fold(one.text)).split()
    return one.unit or next((unit for word in words if (unit := unit_word(word)) in WEIGHTS), None)


def with_sets_counted(headings: Sequence[Heading], rows: pl.DataFrame) -> list[Heading]:
    """Say of a column that may number the sets or count them ('Serie') that it counts, where its rows can only be so.

    A number of a set goes up from row to row of one exercise; where no exercise of a person and a day has a second
    row with another number, nor one that begins with 1, '4' beside '5' repetitions is four sets of five.
    """
    either = [one for one in headings if {"set_no", "set_count"} <= {*one.names}]
    names = {name for one in headings for name in one.names}
    if len(either) != 1 or not {"exercise", "reps"} <= names or f"c{either[0].place}" not in rows.columns:
        return list(headings)
    keys = [f"c{one.place}" for one in headings if {*one.names} & OF_AN_EXERCISE and f"c{one.place}" in rows.columns]
    column = f"c{either[0].place}"
    numbers = rows.select(
        *(pl.col(key).forward_fill() for key in keys if key != column),
        pl.col(column).str.strip_chars().str.strip_suffix(".0").cast(pl.Int64, strict=False).alias("said"),
    )
    filled = numbers["said"].drop_nulls()
    if not filled.len() or filled.len() < rows[column].drop_nulls().len() or filled.max() == 1:
        return list(headings)
    apart = numbers.drop_nulls("said").group_by([key for key in keys if key != column])
    seen = apart.agg(pl.col("said").n_unique().alias("many"), pl.col("said").min().alias("least"))
    if (seen["many"] > 1).any() or (seen["least"] == 1).any():
        return list(headings)
    return [dataclasses.replace(one, names=("set_count",)) if one is either[0] else one for one in headings]
