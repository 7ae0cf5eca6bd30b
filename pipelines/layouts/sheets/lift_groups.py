"""Gym sheets whose exercises stand over groups of columns, 'Squat' over 'sets | reps | kg', or alone above their rows.

Made rows of a log.
"""

import dataclasses
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.sheets.blocks import heads
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.sets import is_exercise
from schemas.intake import TextTable
from schemas.spelling import fold

FEWEST, MOST_ROWS = 2, 20_000
OF_SETS = {"reps", "set_text"}  # one of them is in every group; own choice


def exercises_over(table: TextTable) -> TextTable:
    """Return a table with a row for each exercise that stands over columns of sets; any other as it is.

    So where each text above the header stands over the first of some columns that repeat, and repetitions are among
    them: what is done for sets and repetitions is an exercise, also one that nobody knows.
    """
    said = heads(table.header)
    rows = [list(cells) for _, cells in reversed(table.titles)]
    rows = [list(table.above), *rows] if any(table.above) else rows
    if table.rows.height > MOST_ROWS or _names_exercise(said):
        return table
    for row in rows[:1]:
        cells = [*row, *[""] * len(table.header)][: len(table.header)]
        marks = [place for place, text in enumerate(cells) if text and (not place or text != cells[place - 1])]
        groups = _groups(table.header, said, marks)
        if groups:
            return _made(table, groups, [cells[place] for place in marks])
    return table


def _names_exercise(said: Sequence[Heading | None]) -> bool:
    return any(one is not None and "exercise" in one.names for one in said)


def _groups(header: Sequence[str], said: Sequence[Heading | None], marks: list[int]) -> list[range]:
    if len(marks) < FEWEST:
        return []
    groups = [range(begin, end) for begin, end in zip(marks, [*marks[1:], len(header)], strict=True)]
    parts = [[fold(header[n]) for n in group if header[n]] for group in groups]
    shared = {fold(text) for text in header[: marks[0]] if text}
    has_sets = all(
        any((one := said[n]) is not None and set(one.names) & OF_SETS for n in group) for group in groups
    )  # fmt: skip
    is_alike = all(set(part) & set(parts[0]) for part in parts) and not shared & {
        text for part in parts for text in part
    }
    return groups if has_sets and is_alike and marks[0] > 0 else []


def _made(table: TextTable, groups: Sequence[range], names: Sequence[str]) -> TextTable:
    first = groups[0].start
    columns = list(dict.fromkeys(fold(table.header[n]) for group in groups for n in group if table.header[n]))
    shown = {fold(table.header[n]): table.header[n] for group in reversed(groups) for n in group}
    parts = []
    for order, (group, name) in enumerate(zip(groups, names, strict=True)):
        places = {fold(table.header[n]): n for n in group}
        values = [
            (pl.col(f"c{places[text]}") if text in places and f"c{places[text]}" in table.rows.columns
             else pl.lit(None, pl.String)).alias(f"c{first + 1 + n}")
            for n, text in enumerate(columns)
        ]  # fmt: skip
        part = table.rows.select(
            *(f"c{n}" for n in range(first) if f"c{n}" in table.rows.columns), pl.lit(name).alias(f"c{first}"),
            *values, "_line", _order=pl.int_range(pl.len()) * len(groups) + order,
        )  # fmt: skip
        some = [f"c{first + 1 + n}" for n in range(len(columns))]
        parts.append(part.filter(pl.any_horizontal(pl.col(some).is_not_null())))
    rows = pl.concat(parts, how="diagonal").sort("_order").drop("_order")
    header = [*table.header[:first], "Exercise", *(shown[text] for text in columns)]
    titles = tuple(one for one in table.titles if not set(one[1]) >= set(names))
    return dataclasses.replace(table, header=header, rows=rows, titles=titles, above=[], turned="exercises")


def exercises_between(table: TextTable) -> TextTable:
    """Return a table of sets with the exercises that stand alone between its rows as a column; any other as it is."""
    said = heads(table.header)
    has_sets = any(one is not None and set(one.names) & OF_SETS for one in said)
    if not has_sets or _names_exercise(said) or not 1 < table.rows.height <= MOST_ROWS:
        return table
    cells = [name for name in table.rows.columns if name != "_line"]
    lone = table.rows.select(
        pl.when(pl.sum_horizontal(pl.col(cells).is_not_null()) == 1).then(pl.coalesce(cells)).alias("lone")
    ).to_series()
    names = pl.Series([text if text and is_exercise(text) else None for text in lone], dtype=pl.String)
    if names[0] is None or lone.is_not_null().sum() != names.is_not_null().sum():
        return table
    width = len(table.header)
    rows = table.rows.with_columns(names.fill_null(strategy="forward").alias(f"c{width}")).filter(names.is_null())
    order = [*(f"c{n}" for n in range(width + 1) if f"c{n}" in rows.columns), "_line"]
    return dataclasses.replace(table, header=[*table.header, "Exercise"], rows=rows.select(order))
