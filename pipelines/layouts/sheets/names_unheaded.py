"""A first column of names without a heading, each written once over its runs: called one of names."""

import dataclasses

from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.words.evidence import looks_like_name
from pipelines.layouts.words.headings import read_heading
from schemas.intake import TextTable

MOST_ROWS, WORDS = 5000, 2


def with_names_headed(table: TextTable, known: frozenset[str]) -> TextTable:
    """Return a table of runs whose first column has no heading and names people, with gaps, with 'Name' over it; any
    other as it is.
    """
    if not table.header or table.header[0] or "c0" not in table.rows.columns or "athlete_id" in table.facts:
        return table
    if not 0 < table.rows.height <= MOST_ROWS:
        return table
    said = [one for one in heads(table.header) if one is not None]
    if any({*one.names} & PERSON for one in said) or not any(one.gate_m is not None for one in said):
        return table
    cells = table.rows["c0"].to_list()
    filled = [cell.strip() for cell in cells if cell and cell.strip()]
    if not cells[0] or len(filled) == len(cells) or len({*filled}) < len(filled):
        return table
    if not all(_is_somebody(cell, known) for cell in filled):
        return table
    return dataclasses.replace(table, header=["Name", *table.header[1:]])


def _is_somebody(text: str, known: frozenset[str]) -> bool:
    if is_known(text, known) or is_part_of_one(text, known):
        return True
    one = read_heading(0, text)
    is_unheard = not (one.names or one.at or one.gate_m is not None or one.run_no or one.number)
    return is_unheard and looks_like_name(text) and len(text.split()) >= WORDS
