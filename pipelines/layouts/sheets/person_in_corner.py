"""Blocks of one person each, whose name stands in the corner: 'Ana | step 1 | step 2' over 'contact', 'flight'."""

import dataclasses

from pipelines.cells.dates import is_day
from pipelines.layouts.sheets.blocks import is_heard
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.words.evidence import looks_like_name
from pipelines.layouts.words.headings import Heading, read_heading, read_test
from schemas.intake import TextTable
from schemas.reading import Fact

FEWEST = 2  # rows, and columns of values


def with_person_in_corner(table: TextTable, known: frozenset[str]) -> TextTable:
    """Return a table whose first heading names a person, over a column of what was measured, as that person's.

    Of somebody who is not known it is so only over steps: there no other heading can stand.
    """
    corner = table.header[0] if table.header else ""
    if not corner or "athlete_id" in table.facts or "c0" not in table.rows.columns or is_heard(_read(corner)):
        return table
    names = [text for text in table.header[1:] if text]
    cells = [cell or "" for cell in table.rows["c0"].to_list()]
    if len(names) < FEWEST or len(cells) < FEWEST:
        return table
    measured = {name for cell in cells if cell for name in _read(cell).names}
    are_steps = all(_is_step(text) for text in names) and bool(measured & {"contact_s", "flight_s", "step_length_m"})
    are_heard = all(is_heard(_read(cell)) for cell in cells if cell)
    if not are_steps and not (are_heard and all(is_day(text) or is_heard(_read(text)) for text in names)):
        return table
    if not (is_known(corner, known) or is_part_of_one(corner, known) or (are_steps and looks_like_name(corner))):
        return table
    facts = {**table.facts, "athlete_id": Fact(corner, "header")}
    return dataclasses.replace(table, header=["", *table.header[1:]], facts=facts)


def _read(text: str) -> Heading:
    return read_test(0, text) or read_heading(0, text)


def _is_step(text: str) -> bool:
    one = read_heading(0, text)
    return one.number is not None and "step_no" in (*one.names, *one.loose)
