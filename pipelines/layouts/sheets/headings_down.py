"""Sheets turned on their side: people as columns, and below each what a sheet else has as headings: '0-5 m', 'RT'."""

import dataclasses

import polars as pl

from pipelines.layouts.sheets.blocks import PERSON, is_heard
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.words.evidence import to_number
from pipelines.layouts.words.headings import read_heading
from schemas.intake import TextTable
from schemas.spelling import fold

FEWEST, LONG = 2, 60


def with_people_as_rows(table: TextTable, known: frozenset[str]) -> TextTable:
    """Return a table of people as columns, whose first column holds headings of gates and what goes with a run, with a
    row for each person; any other as it is.

    So where the corner is empty or the word for people, all other columns are of people who are known, and each cell of
    the first column is a heading, of which at least two are gates and none stands there twice.
    """
    if not FEWEST <= table.rows.height <= LONG or "c0" not in table.rows.columns:
        return table
    corner, people = table.header[0], [(n, text) for n, text in enumerate(table.header) if n and text]
    if corner and not set(read_heading(0, corner).names) & PERSON:
        return table
    if len(people) < FEWEST or not all(is_known(text, known) or is_part_of_one(text, known) for _, text in people):
        return table
    said = [(cell or "").strip() for cell in table.rows["c0"]]
    heard = [read_heading(n, text) for n, text in enumerate(said) if text and to_number(text) is None]
    gates = [one for one in heard if one.gate_m is not None]
    are_headings = len(heard) == len(said) == len({fold(text) for text in said}) and all(map(is_heard, heard))
    if not are_headings or len(gates) < FEWEST or any(set(one.names) & {*PERSON, "date"} for one in heard):
        return table
    columns = [pl.Series("c0", [text for _, text in people], dtype=pl.String)]
    for number, row in enumerate(table.rows.iter_rows(named=True), start=1):
        columns.append(pl.Series(f"c{number}", [row.get(f"c{place}") for place, _ in people], dtype=pl.String))
    line = pl.Series("_line", [table.rows["_line"][0]] * len(people), dtype=pl.Int64)
    header = [corner or "Name", *said]
    return dataclasses.replace(table, header=header, rows=pl.DataFrame([*columns, line]), above=[], turned="athletes")
