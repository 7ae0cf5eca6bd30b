"""Logs with a row for each stretch of a run: '0-10', '10-20', '20-30' over one time. Made a column for each stretch."""

import dataclasses

import polars as pl

from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.words.evidence import look
from pipelines.layouts.words.headings import STRETCH
from schemas.intake import TextTable

MOST_ROWS, MOST, FEWEST = 20_000, 12, 2
OF_A_RUN = {*PERSON, "last_name", "date", "rep_no", "session_no", "start_kind"}


def stretches_across(table: TextTable) -> TextTable:
    """Return a table with a column for each stretch, where each cell of one column names the stretch whose time stands
    beside it, and all else says whose run it is, of which day and which; any other as it is.
    """
    if not FEWEST <= table.rows.height <= MOST_ROWS:
        return table
    said = heads(table.header)
    times = [one.place for one in said if one is not None and one.names[:1] == ("elapsed_s",) and one.gate_m is None]
    if len(times) != 1 or not look(table.rows[f"c{times[0]}"]).is_numeric:
        return table
    rest = [place for place, text in enumerate(table.header) if text and place != times[0]]
    named = [place for place in rest if f"c{place}" in table.rows.columns and _are_stretches(table.rows[f"c{place}"])]
    keys = [place for place in rest if place not in named]
    whose = [said[place] for place in keys]
    if len(named) != 1 or not keys or any(one is None or not set(one.names) & OF_A_RUN for one in whose):
        return table
    stretch, time = f"c{named[0]}", f"c{times[0]}"
    kinds = table.rows[stretch].unique(maintain_order=True).to_list()
    columns = [f"c{place}" for place in keys if f"c{place}" in table.rows.columns]
    if len(kinds) > MOST or table.rows.select(pl.struct([*columns, stretch]).is_duplicated().any()).item():
        return table  # two times of one stretch: which is of which run is not said
    values = [
        pl.col(time).filter(pl.col(stretch) == kind).first().alias(f"_{len(columns) + n}")
        for n, kind in enumerate(kinds)
    ]
    of_runs = [pl.col(name).alias(f"_{n}") for n, name in enumerate(columns)]
    rows = table.rows.group_by(of_runs, maintain_order=True).agg(*values, pl.col("_line").first())
    rows = rows.rename({f"_{n}": f"c{n}" for n in range(len(columns) + len(kinds))})
    header = [*(table.header[int(name[1:])] for name in columns), *(f"{_bare(kind)} m" for kind in kinds)]
    order = [*(f"c{n}" for n in range(len(header))), "_line"]
    return dataclasses.replace(table, header=header, rows=rows.select(order), above=[], turned="stretches")


def _bare(text: str) -> str:
    return text.strip().lower().removesuffix("m").strip()


def _are_stretches(column: pl.Series) -> bool:
    texts = column.unique().to_list()
    if not FEWEST <= len(texts) <= MOST or None in texts:
        return False
    found = [STRETCH.fullmatch(text.strip().lower()) for text in texts]
    return all(one is not None and float(one["from"]) < float(one["to"]) for one in found if one) and all(found)
