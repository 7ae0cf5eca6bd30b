"""A column of tests beside one for each side: 'Test | Left (N) | Right (N)'; steps whose headings are bare numbers."""

import dataclasses

import polars as pl

from pipelines.layouts.sheets.named_tests import TEST_WORDS
from pipelines.layouts.words.headings import read_heading, read_test
from pipelines.layouts.words.titled import side_of
from schemas.intake import TextTable
from schemas.spelling import fold

MOST_ROWS, BOTH, FEWEST_STEPS = 20_000, 2, 2
NAMED = {"newton": "N", "kilogram": "kg", "pound": "lb"}
OF_STEPS = {"contact_s", "flight_s"}


def sides_down(table: TextTable) -> TextTable:
    """Return a table with a row for each side where a column names tests of force and two others are the sides they
    were done with; any other as it is.
    """
    if not 0 < table.rows.height <= MOST_ROWS:
        return table
    tests = [n for n, text in enumerate(table.header) if fold(text) in TEST_WORDS and f"c{n}" in table.rows.columns]
    sides = {n: side for n, text in enumerate(table.header) if text and (side := side_of(text)) is not None}
    if len(tests) != 1 or len(sides) != BOTH or {side for side, _ in sides.values()} != {"l", "r"}:
        return table
    named = [read_test(0, text) for text in table.rows[f"c{tests[0]}"].drop_nulls().unique()]
    units = {read_heading(n, table.header[n]).unit for n in sides}
    if not named or any(one is None or one.names != ("peak_force_n",) for one in named) or len(units) != 1:
        return table
    unit = next(iter(units))
    others = [n for n in range(len(table.header)) if n not in sides]
    width = len(others)
    parts = [
        table.rows.select(
            *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others) if f"c{old}" in table.rows.columns),
            pl.lit(side).alias(f"c{width}"), pl.col(f"c{place}").alias(f"c{width + 1}"), "_line",
            _order=pl.int_range(pl.len()) * BOTH + order,
        ).filter(pl.col(f"c{width + 1}").is_not_null())
        for order, (place, (side, _)) in enumerate(sides.items()) if f"c{place}" in table.rows.columns
    ]  # fmt: skip
    rows = pl.concat(parts).sort("_order").drop("_order")
    order = [*(f"c{n}" for n in range(width + BOTH) if f"c{n}" in rows.columns), "_line"]
    header = [*(table.header[n] for n in others), "Side", "Force"]
    if unit in NAMED:
        rows, order = (
            rows.with_columns(pl.lit(NAMED[unit]).alias(f"c{len(header)}")),
            [*order[:-1], f"c{len(header)}", "_line"],
        )
        header.append("Unit")
    return dataclasses.replace(table, header=header, rows=rows.select(order), above=[], turned="sides")


def steps_named(table: TextTable) -> TextTable:
    """Return a table whose headings are '1', '2', '3' over rows of contacts and flights with steps as headings."""
    numbers = [text for text in table.header[1:] if text]
    if len(numbers) < FEWEST_STEPS or table.header[0] or numbers != [str(n + 1) for n in range(len(numbers))]:
        return table
    cells = table.rows["c0"].to_list() if "c0" in table.rows.columns else []
    said = [set(read_heading(0, cell).names[:1]) if cell else set() for cell in cells]
    if len(said) < BOTH or not all(one & OF_STEPS for one in said):
        return table
    return dataclasses.replace(table, header=["", *(f"Step {text}" if text else "" for text in table.header[1:])])
