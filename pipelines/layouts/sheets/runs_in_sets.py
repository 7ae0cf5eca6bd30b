"""Runs that count from one again in each set: 'Set | Rep | 30 m'. Counted through the day."""

import dataclasses

import polars as pl

from pipelines.layouts.sheets.blocks import PERSON, heads
from schemas.intake import TextTable

MOST_ROWS = 20_000
OF_A_DAY = {*PERSON, "last_name", "date", "session_no"}


def with_runs_of_sets(table: TextTable) -> TextTable:
    """Return a table of runs with their numbers counted through all sets of a person's day, where a column of sets
    stands beside one of runs that begins anew in each; any other as it is.
    """
    said = heads(table.header)
    if not 0 < table.rows.height <= MOST_ROWS or any(one is not None and "exercise" in one.names for one in said):
        return table
    timed = [one for one in said if one is not None and (one.gate_m is not None or one.names[:1] == ("elapsed_s",))]
    here = [one for one in said if one is not None and f"c{one.place}" in table.rows.columns]
    sets = [f"c{one.place}" for one in here if one.names[:1] == ("set_no",) and one.number is None]
    runs = [f"c{one.place}" for one in here if "rep_no" in one.names and one.gate_m is None]
    keys = [f"c{one.place}" for one in here if {*one.names[:1]} & OF_A_DAY]
    if not timed or len(sets) != 1 or len(runs) != 1 or not keys or table.rows[sets[0]].null_count():
        return table
    rows = table.rows.with_columns(pl.col(keys).forward_fill())
    counts = rows.select(pl.col(runs[0]).str.contains(r"^\d{1,2}(\.0)?$").all()).item()
    again = rows.select(pl.struct([*keys, *runs]).is_duplicated().any()).item()
    apart = not rows.select(pl.struct([*keys, *sets, *runs]).is_duplicated().any()).item()
    if not (counts and again and apart):
        return table
    number = pl.int_range(1, pl.len() + 1).over(keys).cast(pl.String).alias(runs[0])
    order = [f"c{n}" for n in range(len(table.header)) if f"c{n}" != sets[0]]
    made = rows.with_columns(number).select(
        *(pl.col(old).alias(f"c{new}") for new, old in enumerate(order) if old in rows.columns), "_line"
    )
    header = [text for n, text in enumerate(table.header) if f"c{n}" != sets[0]]
    return dataclasses.replace(table, header=header, rows=made, above=[], turned="sets")
