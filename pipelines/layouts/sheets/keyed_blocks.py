"""Blocks that say whose they are in lines of two cells: 'Name | Ana', 'Date | 3 March', then a header and its rows."""

import dataclasses
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.sheets.blocks import LONG, PERSON, blocks_of
from pipelines.layouts.words.evidence import looks_like_name
from pipelines.layouts.words.headings import read_heading
from schemas.intake import TextTable
from schemas.reading import Fact

FEWEST, PAIR = 2, 2
OF_A_RUN = {*PERSON, "date", "rep_no", "session_no", "frame_rate_hz", "start_kind", "distance_m", "sex"}
Line = tuple[int, list[str]]


def keyed_blocks(table: TextTable) -> list[TextTable]:
    """Return the blocks of a sheet; where at least two of them begin with somebody's name behind the word for it, each
    is of that person, and what stands behind other words above it is said of that block alone.
    """
    lines = _lines(table) if table.header and table.rows.height <= LONG else []
    named = [n for n, (_, cells) in enumerate(lines) if _name_behind_word(cells)]
    if len(named) < FEWEST:
        return blocks_of(table)
    begins = [_first_of_pairs(lines, n) for n in named]
    heads = [_first_below_pairs(lines, n) for n in named]
    ends = [*begins[1:], len(lines)]
    if any(head + 1 >= end or sum(map(bool, lines[head][1])) <= PAIR for head, end in zip(heads, ends, strict=True)):
        return blocks_of(table)
    found: list[TextTable] = []
    for place, begin, head, end in zip(named, begins, heads, ends, strict=True):
        part = _cut(table, [*lines[: begins[0]], *lines[begin:head]], lines[head], lines[head + 1 : end])
        whose = Fact(_name_behind_word(lines[place][1]), "line above")
        found += [dataclasses.replace(one, facts={**one.facts, "athlete_id": whose}) for one in blocks_of(part)]
    return found


def _lines(table: TextTable) -> list[Line]:
    columns = [name for name in table.rows.columns if name != "_line"]
    rows = table.rows.select("_line", *columns).iter_rows()
    return [
        *((line, list(cells)) for line, cells in table.titles),
        (table.header_line, list(table.header)),
        *((row[0], [(cell or "").strip() for cell in row[1:]]) for row in rows),
    ]


def _pair(cells: Sequence[str]) -> tuple[str, str] | None:
    filled = [cell for cell in cells if cell]
    return (filled[0], filled[1]) if len(filled) == PAIR and cells[0] else None


def _is_pair(cells: Sequence[str]) -> bool:
    """Return whether a line says one thing of what is below it: a word for that, and its value."""
    pair = _pair(cells)
    return pair is not None and bool(set(read_heading(0, pair[0]).names[:1]) & OF_A_RUN)


def _name_behind_word(cells: Sequence[str]) -> str:
    pair = _pair(cells)
    if pair is None or not set(read_heading(0, pair[0]).names[:1]) & PERSON:
        return ""
    return pair[1] if looks_like_name(pair[1]) and not read_heading(1, pair[1]).names else ""


def _first_of_pairs(lines: Sequence[Line], place: int) -> int:
    while place and _is_pair(lines[place - 1][1]):
        place -= 1
    return place


def _first_below_pairs(lines: Sequence[Line], place: int) -> int:
    while place < len(lines) - 1 and _is_pair(lines[place][1]):
        place += 1
    return place


def _cut(table: TextTable, titles: Sequence[Line], header: Line, rows: Sequence[Line]) -> TextTable:
    width = max(len(cells) for _, cells in (header, *rows))
    padded = [[*cells, *[""] * (width - len(cells))] for _, cells in rows]
    columns = {f"c{n}": pl.Series([cells[n] or None for cells in padded], dtype=pl.String) for n in range(width)}
    frame = pl.DataFrame({**columns, "_line": pl.Series([line for line, _ in rows], dtype=pl.Int64)})
    names = [*header[1]]
    while names and not names[-1]:
        names.pop()
    return dataclasses.replace(
        table, header=names, header_line=header[0], rows=frame, above=[], facts={},
        titles=tuple((line, tuple(cells)) for line, cells in titles),
    )  # fmt: skip
