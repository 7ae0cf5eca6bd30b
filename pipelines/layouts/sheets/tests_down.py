"""Tests below each other and people side by side: the sheet of a testing day, made a row for each result."""

import dataclasses
import re
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.sheets.blocks import GROUP_FACTS, heads
from pipelines.layouts.sheets.named_tests import TEST_WORDS, UNIT_HEADS
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.words.evidence import looks_like_name, to_number
from pipelines.layouts.words.headings import read_heading, read_test
from pipelines.layouts.words.said import distances_in, said_by
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.spelling import fold

FEWEST, MOSTLY, MOST_ROWS = 2, 0.5, 200
FEET_AND_INCHES = re.compile(r"(\d)\s*-\s*(\d{1,2}(?:\.\d+)?)")  # '8-07.5' under '(ft-in)': 8 ft 7.5 in
IN_FEET = re.compile(r"\bft\s*-\s*in\b|\bfeet\s*(?:and|-)\s*inch", re.I)


def tests_below_people(table: TextTable, known: frozenset[str]) -> TextTable:
    """Return a table with a row for each test and person, where people stand over columns and tests before the rows.

    The names may have been taken for a title, and the first test for the header: the corner over the tests is empty.
    Some of the names must be known, and half of the rows must be tests or distances; what else stands there is asked
    about like any column.
    """
    if not 0 < table.rows.height <= MOST_ROWS or any(text and one for text, one in _other_heads(table.header)):
        return table
    lines = [(int(row["_line"]), [row.get(f"c{n}") or "" for n in range(len(table.header))])
             for row in table.rows.iter_rows(named=True)]  # fmt: skip
    names, titles = list(table.header), table.titles
    if not _are_people(names, known):
        above = list(table.titles[-1][1]) if table.titles else []
        names = [*above, *[""] * len(table.header)][: len(table.header)]
        if not _are_people(names, known):
            return table
        lines.insert(0, (table.header_line, list(table.header)))
        titles = table.titles[:-1]
    unit = next((place for place, text in enumerate(names) if fold(text) in UNIT_HEADS), None)
    people = [place for place, text in enumerate(names) if place and text and place != unit]
    tests = [cells[0] for _, cells in lines if cells[0]]
    if len(tests) < FEWEST or sum(1 for text in tests if _is_test(text)) < MOSTLY * len(tests):
        return table
    made = [
        (cells[0], names[place], _written(cells[place], cells[0]), cells[unit] if unit else "", line)
        for line, cells in lines for place in people if cells[0] and cells[place]
    ]  # fmt: skip
    if not made:
        return table
    rows = pl.DataFrame(made, schema={**{f"c{n}": pl.String for n in range(4)}, "_line": pl.Int64}, orient="row")
    header = ["Test", "Name", "Result", *(["Unit"] if unit else [])]
    rows = rows if unit else rows.drop("c3")
    named, facts = _of_runs(tests)
    rows = rows.with_columns(pl.col("c0").replace(named))
    table = dataclasses.replace(table, facts={**table.facts, **facts})
    return dataclasses.replace(table, header=header, rows=rows, titles=titles, above=[], turned="tests")


def _of_runs(tests: Sequence[str]) -> tuple[dict[str, str], dict[str, Fact]]:
    """Return runs among tests by their distance alone, '30 m' for '30 m, 3-point, beams', with what they say of start
    and clock; nothing where they do not all say the same.
    """
    far = {text: found[0] for text in tests if read_test(0, text) is None and len(found := distances_in(text)) == 1}
    said = [
        {name: fact for name, fact in said_by(text, "row above").items() if name in GROUP_FACTS} for text in far
    ]  # fmt: skip
    if not said or any(one != said[0] for one in said):
        return {}, {}
    return {text: distance for text, distance in far.items() if text != distance}, said[0]


def _other_heads(header: Sequence[str]) -> list[tuple[str, bool]]:
    """Return headings that say whose or of which day a row is: such a sheet has its people in rows."""
    return [(text, bool(set(one.names) & {"athlete_id", "display_name", "first_name", "date"}))
            for text, one in zip(header, heads(header), strict=True) if one is not None]  # fmt: skip


def _are_people(cells: Sequence[str], known: frozenset[str]) -> bool:
    """Return whether a row holds nothing but names behind its corner, most of them of people who are known."""
    corner = cells[0] if cells else ""
    names = [text for text in cells[1:] if text and fold(text) not in UNIT_HEADS]
    if len(names) < FEWEST or (corner and fold(corner) not in TEST_WORDS) or len(set(names)) < len(names):
        return False
    sure = sum(1 for text in names if is_known(text, known) or is_part_of_one(text, known))
    return all(looks_like_name(text) for text in names) and sure >= FEWEST and sure > MOSTLY * len(names)


def _is_test(text: str) -> bool:
    bare = re.sub(r"\s*\(.*?\)", "", text)
    one = read_test(0, text) or read_test(0, bare) or read_heading(0, bare)
    is_gate = one.gate_m is not None and not one.is_bare_number
    return bool(one.at) or is_gate or len(distances_in(text)) == 1


def _written(cell: str, test: str) -> str:
    feet = FEET_AND_INCHES.fullmatch(cell.strip()) if IN_FEET.search(test) and to_number(cell) is None else None
    return f"{feet[1]}'{feet[2]}\"" if feet is not None else cell
