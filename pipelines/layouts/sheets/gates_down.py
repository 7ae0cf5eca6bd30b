"""Gates down and runs across: '5 m', '10 m' below each other under 'Rep 1 | Rep 2'. Made a row for each run."""

import dataclasses

import polars as pl

from pipelines.layouts.sheets.blocks import PERSON
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.words.evidence import look, looks_like_name
from pipelines.layouts.words.headings import read_heading
from schemas.intake import TextTable
from schemas.reading import Fact

FEWEST, MOST = 2, 40
OF_GATES = {"distance_m", "athlete_id", "display_name"}


def runs_of_gates(table: TextTable, known: frozenset[str]) -> TextTable:  # noqa: PLR0911 - one for each thing it must have
    """Return a table of one person with a row for each run, where all columns but the first are numbered runs and the
    first holds gates; the person may stand in the corner. Any other table as it is.
    """
    if not FEWEST <= table.rows.height <= MOST or "c0" not in table.rows.columns or len(table.header) < FEWEST:
        return table
    corner, runs = table.header[0], [(n, read_heading(n, text)) for n, text in enumerate(table.header) if n and text]
    places = [n for n, one in runs if one.run_no is not None and one.gate_m is None and not one.names]
    gates = [read_heading(0, (cell or "").strip()) for cell in table.rows["c0"]]
    if len(places) != len(runs) or not places or any(one.gate_m is None or one.is_bare_number for one in gates):
        return table
    if len({(one.gate_m, one.from_m) for one in gates}) < len(gates):
        return table
    if not all(f"c{n}" in table.rows.columns and look(table.rows[f"c{n}"]).is_numeric for n in places):
        return table
    facts = dict(table.facts)
    if corner and not set(read_heading(0, corner).names) & OF_GATES:
        if not (is_known(corner, known) or is_part_of_one(corner, known) or looks_like_name(corner)):
            return table
        if facts.get("athlete_id", Fact(corner, "")).text != corner:
            return table
        facts["athlete_id"] = Fact(corner, "line above")
    elif "athlete_id" not in facts and set(read_heading(0, corner).names) & PERSON:
        return table
    columns = [pl.Series("c0", [str(one.run_no) for _, one in runs], dtype=pl.String)]
    for number in range(len(gates)):
        cells = [table.rows[f"c{n}"][number] for n in places]
        columns.append(pl.Series(f"c{number + 1}", cells, dtype=pl.String))
    line = pl.Series("_line", [table.rows["_line"][0]] * len(runs), dtype=pl.Int64)
    header = ["Rep", *((cell or "").strip() for cell in table.rows["c0"])]
    rows = pl.DataFrame([*columns, line])
    return dataclasses.replace(table, header=header, rows=rows, facts=facts, above=[], turned="gates")
