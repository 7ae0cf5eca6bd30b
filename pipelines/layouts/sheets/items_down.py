"""What was asked or measured of a day, down the sheet: 'Sleep (h)', 'Mood 1-5' below days, or 'Question | Answer'.

Made columns. Each line stays a row with the one cell it has, so that each is accounted for: rows of one person and day
come together when they are stored.
"""

import dataclasses
from collections.abc import Sequence

import polars as pl

from pipelines.cells.dates import is_day
from pipelines.cells.weekdays import is_weekday
from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.words.headings import read_heading
from schemas.checkin import BY_NAME
from schemas.intake import TextTable
from schemas.spelling import fold

FEWEST, MOST_ITEMS, MOST_ROWS = 2, 20, 20_000
OF_A_DAY = frozenset({*BY_NAME, "body_mass_kg", "height_m", "duration_min", "effort_0_10", "pain", "pain_site", "ill"})
KEYS = {*PERSON, "date"}


def items_down(table: TextTable, known: frozenset[str]) -> TextTable:
    """Return a table with a column for each thing that was asked or measured of a day; itself where they stand so.

    Below days as columns all rows must be such things, at least two; of two columns, one must hold nothing else, and
    the other what was said. Over people as columns who are known, each must stand over the same people.
    """
    if not 0 < table.rows.height <= MOST_ROWS or "c0" not in table.rows.columns:
        return table
    return _below_days(table) or _asked_and_said(table) or _over_people(table, known) or table


def _is_item(text: str) -> bool:
    one = read_heading(0, text)
    return bool(OF_A_DAY & ({*one.names[:1]} or {*one.loose[:1]})) and one.gate_m is None


def _below_days(table: TextTable) -> TextTable | None:
    days = {place: text for place, text in enumerate(table.header) if place and text}
    items = [(cell or "").strip() for cell in table.rows["c0"]]
    if len(days) < FEWEST or not all(is_day(text) or is_weekday(text) for text in days.values()):
        return None
    if len(set(map(fold, items))) < len(items) or not all(text and _is_item(text) for text in items):
        return None
    parts = [
        table.rows.select(
            pl.lit(text).alias("day"), pl.col("c0").alias("item"), pl.col(f"c{place}").alias("value"), "_line",
            _order=pl.int_range(pl.len()) * len(days) + order,
        )
        for order, (place, text) in enumerate(days.items()) if f"c{place}" in table.rows.columns
    ]  # fmt: skip
    long = pl.concat(parts).sort("_order").drop("_order")
    return _spread(table, long.rename({"day": "c0"}), ["Date"])


def _asked_and_said(table: TextTable) -> TextTable | None:
    said = heads(table.header)
    whose = [place for place, one in enumerate(said) if one is not None and set(one.names) & KEYS]
    others = [place for place, text in enumerate(table.header) if place not in whose and text]
    if not whose or len(others) != FEWEST or any(f"c{place}" not in table.rows.columns for place in others):
        return None
    items = [place for place in others if _are_items(table.rows[f"c{place}"].drop_nulls().unique().to_list())]
    if len(items) != 1:
        return None
    [value] = [place for place in others if place not in items]
    long = table.rows.select(
        *(pl.col(f"c{place}").alias(f"c{new}") for new, place in enumerate(whose) if f"c{place}" in table.rows.columns),
        pl.col(f"c{items[0]}").alias("item"), pl.col(f"c{value}").alias("value"), "_line",
    )  # fmt: skip
    return _spread(table, long, [table.header[place] for place in whose])


def _over_people(table: TextTable, known: frozenset[str]) -> TextTable | None:
    rows = [list(table.above)] if any(table.above) else [list(cells) for _, cells in table.titles[-1:]]
    over = [*(rows[0] if rows else []), *[""] * len(table.header)][: len(table.header)]
    people = {n: text for n, text in enumerate(table.header) if is_known(text, known) or is_part_of_one(text, known)}
    marks = [n for n, text in enumerate(over) if text and (not n or text != over[n - 1])]
    if len(marks) < FEWEST or not people or marks[0] != min(people) or not _are_items([over[n] for n in marks]):
        return None
    item_of = {n: over[max(mark for mark in marks if mark <= n)] for n in people}
    groups = {item: [fold(people[n]) for n in people if item_of[n] == item] for item in item_of.values()}
    if len({tuple(sorted(group)) for group in groups.values()}) != 1 or set(table.header[marks[0] :]) - {
        *people.values(), ""
    }:  # fmt: skip
        return None
    first = marks[0]
    parts = [
        table.rows.select(
            *(f"c{n}" for n in range(first) if f"c{n}" in table.rows.columns), pl.lit(name).alias(f"c{first}"),
            pl.lit(item_of[n]).alias("item"), pl.col(f"c{n}").alias("value"), "_line",
            _order=pl.int_range(pl.len()) * len(people) + order,
        )
        for order, (n, name) in enumerate(people.items()) if f"c{n}" in table.rows.columns
    ]  # fmt: skip
    long = pl.concat(parts).sort("_order").drop("_order")
    return _spread(table, long, [*table.header[:first], "Name"])


def _are_items(texts: Sequence[str]) -> bool:
    return FEWEST <= len(texts) <= MOST_ITEMS and all(map(_is_item, texts))


def _spread(table: TextTable, long: pl.DataFrame, whose: Sequence[str]) -> TextTable:
    items = long["item"].drop_nulls().unique(maintain_order=True).to_list()
    columns = [
        pl.when(pl.col("item") == text).then(pl.col("value")).alias(f"c{len(whose) + n}")
        for n, text in enumerate(items)
    ]
    keys = [f"c{n}" for n in range(len(whose)) if f"c{n}" in long.columns]
    rows = long.select(*keys, *columns, "_line").filter(
        pl.any_horizontal(pl.col(f"c{len(whose) + n}").is_not_null() for n in range(len(items)))
    )
    return dataclasses.replace(table, header=[*whose, *items], rows=rows, above=[], turned="items")
