"""Logs of runs with a row a run, of which one column names it in words: 'Fly 10', '30 m blocks', '20m 3pt'."""

import dataclasses
import re

import polars as pl

from pipelines.cells.phrases import STARTS, word_said
from pipelines.layouts.sheets.blocks import heads
from pipelines.layouts.sheets.named_tests import TEST_WORDS
from pipelines.layouts.words.evidence import look
from pipelines.layouts.words.run_words import FLY
from pipelines.layouts.words.said import RUN_IN, distances_in
from schemas.intake import TextTable
from schemas.spelling import fold

# Headings over what was run, folded, beside those over tests; common practice, no source
RUN_HEADS = TEST_WORDS | {"drill", "run", "sprint", "type", "work", "set", "activity", "exercise", "ubung", "lauf",
                          "ejercicio", "exercice", "esercizio", "oefening", "ovning", "sprint type"}  # fmt: skip
# Words beside a distance and a start that say nothing more of a run; folded
PLAIN = {"from", "out", "of", "the", "a", "start", "starts", "sprint", "sprints", "run", "runs", "accel", "accels",
         "acceleration", "accelerations", "m", "aus", "dem", "de", "des", "den", "los", "les"}  # fmt: skip
FAR = re.compile(r"\d{1,3}\s*(?:m|mts?|yds?|metres?|meters?)?(?![a-z0-9])")
MOST_ROWS, LONGEST_M = 20_000, 400.0


def runs_named(table: TextTable) -> TextTable:
    """Return a table with the distance and the start of each run as columns, where one column names both in every row
    and another holds a time; itself where any name says more or less than that.
    """
    if not 0 < table.rows.height <= MOST_ROWS:
        return table
    said = heads(table.header)
    if any(one is not None and {"distance_m", "start_kind", "event", "set_text"} & {*one.names} for one in said):
        return table
    times = [one for one in said if one is not None and one.names[:1] == ("elapsed_s",)]
    if len(times) != 1 or not look(table.rows[f"c{times[0].place}"]).is_numeric:
        return table
    for place, text in enumerate(table.header):
        name = f"c{place}"
        if fold(text) not in RUN_HEADS or name not in table.rows.columns or table.rows[name].null_count():
            continue
        found = {cell: _run(cell) for cell in table.rows[name].unique().to_list()}
        if not all(found.values()):
            continue
        width = len(table.header)
        runs = {cell: run for cell, run in found.items() if run is not None}
        rows = table.rows.with_columns(
            pl.col(name).replace({cell: far for cell, (far, _) in runs.items()}),
            pl.col(name).replace_strict({cell: start for cell, (_, start) in runs.items()}, return_dtype=pl.String)
            .alias(f"c{width}"),
        )  # fmt: skip
        header = ["Distance" if n == place else one for n, one in enumerate(table.header)]
        order = [*(f"c{n}" for n in range(width + 1) if f"c{n}" in rows.columns), "_line"]
        return dataclasses.replace(table, header=[*header, "Start"], rows=rows.select(order))
    return table


def _run(text: str) -> tuple[str, str | None] | None:
    """Return how far a run was, as a cell, and how it began (None where that is not said); None for other texts."""
    plain = fold(RUN_IN.sub(" ", text))
    fly = FLY.fullmatch(plain)
    if fly is not None:
        return f"{fly['gate'] or fly['before']} m", "rolling"
    start = word_said(text, STARTS)
    spellings = STARTS[start] if start is not None else ()
    rest = f" {plain} "
    for one in sorted(map(fold, spellings), key=len, reverse=True):
        rest = rest.replace(f" {one} ", " ")
    far = FAR.findall(rest)
    words = FAR.sub(" ", rest).split()
    if len(far) != 1 or not set(words) <= PLAIN:
        return None
    told = distances_in(text) or ([f"{far[0].strip()} m"] if far[0].strip().isdigit() and start is not None else [])
    if len(told) != 1 or not 5 <= float(re.findall(r"\d+", told[0])[0]) <= LONGEST_M:
        return None
    return told[0], start
