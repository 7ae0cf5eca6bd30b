"""Headings in two rows: tests over the two sides ('Nordic' over 'L', 'R'), tests over days, loads over their trials."""

import dataclasses
from collections.abc import Sequence

from pipelines.cells.dates import is_day
from pipelines.layouts.sheets.explained import explained
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.sheets.values_across import LOAD
from pipelines.layouts.words.evidence import looks_like_name
from pipelines.layouts.words.headings import read_heading, read_test
from pipelines.layouts.words.said import said_by
from pipelines.layouts.words.titled import QUANTITIES, side_of
from schemas.intake import TextTable
from schemas.spelling import fold

FEWEST = 2
WHOSE = {"athlete_id", "display_name", "first_name", "last_name", "date"}


def with_second_row(table: TextTable, known: frozenset[str] = frozenset()) -> TextTable:  # noqa: PLR0911 - one for each kind
    """Return a table whose headings of two rows are one: with the sides of tests in them, or the days as headings
    below what was measured; any other as it is.

    A side stands in the heading of each of its columns or of none: two columns of one test are never both of both legs.
    """
    if not table.header or table.rows.height < FEWEST:
        return _sides_of_header(table)
    width = len(table.rows.columns) - 1
    own = [*table.header, *[""] * (width - len(table.header))][:width]
    cells = [(table.rows[f"c{n}"][0] or "").strip() if f"c{n}" in table.rows.columns else "" for n in range(width)]
    places = [place for place, text in enumerate(cells) if text]
    over = _spread(own)
    if len(places) < FEWEST or any(set(read_heading(0, own[n]).names) & WHOSE for n in places if own[n]):
        return _sides_of_header(table)
    if not all(over[n] and not set(read_heading(0, over[n]).names) & WHOSE for n in places):
        return _sides_of_header(table)
    if all(is_day(cells[n]) for n in places):
        header = [cells[n] or own[n] for n in range(width)]
        above = [over[n] if cells[n] else "" for n in range(width)]
        return _below_first(table, header, above)
    if all(side_of(cells[n]) is not None for n in places):
        told = _with_sides(over, _spread([*table.above, *[""] * width][:width]), cells)
        return table if told is None else _below_first(table, [told.get(n, own[n]) for n in range(width)])
    if _are_trials(cells, over, places) and all(LOAD.fullmatch(over[n]) for n in places):
        return _below_first(table, [over[n] if cells[n] else own[n] for n in range(width)])
    if _are_trials(cells, over, places) and all(_is_person(over[n], known) for n in places):
        return _below_first(
            table, [cells[n] or own[n] for n in range(width)], [own[n] if cells[n] else "" for n in range(width)]
        )
    if _are_of_each(cells, over, places) and all(
        _is_person(over[n], known) or is_part_of_one(over[n], known) for n in places
    ):
        named = [explained(text, table) for text in cells]
        return _below_first(
            table, [named[n] or own[n] for n in range(width)], [own[n] if cells[n] else "" for n in range(width)]
        )
    if _are_trials(cells, over, places) and all("resistance_kind" in said_by(over[n], "row above") for n in places):
        above = [own[n] if cells[n] else "" for n in range(width)]
        return _below_first(table, [cells[n] or own[n] for n in range(width)], above)
    return _sides_of_header(table)


def _sides_of_header(table: TextTable) -> TextTable:
    """Return a table whose headings are sides below a row of tests with those tests in them."""
    width = len(table.header)
    above = [*table.above, *[""] * width][:width]
    sides = [text if text and side_of(text) is not None else "" for text in table.header]
    if sum(map(bool, sides)) <= FEWEST or sum(map(bool, above)) < FEWEST:  # one pair of sides: the title says the test
        return table
    told = _with_sides(_spread(above), [""] * width, sides)
    if told is None:
        return table
    return dataclasses.replace(table, header=[told.get(n, text) for n, text in enumerate(table.header)], above=[])


def _with_sides(over: Sequence[str], further: Sequence[str], cells: Sequence[str]) -> dict[int, str] | None:
    """Return the heading of each column of a side: what stands over it, and the side; None where not all of them are
    of a test, or two are the same.
    """
    told: dict[int, str] = {}
    for place, side in enumerate(cells):
        if not side:
            continue
        texts = (f"{over[place]} {side}", f"{further[place]} {over[place]} {side}")
        named = [text.strip() for text in texts if (one := read_test(0, text)) is not None and "side" in dict(one.at)]
        if not named:
            return None
        told[place] = named[0]
    return told if len(set(told.values())) == len(told) else None


def _is_person(text: str, known: frozenset[str]) -> bool:
    one = read_heading(0, text)
    is_unheard = not (one.names or one.gate_m or one.at or one.run_no or one.number)
    return is_known(text, known) or (is_unheard and looks_like_name(text) and len(text.split()) >= FEWEST)


def _are_trials(cells: Sequence[str], over: Sequence[str], places: Sequence[int]) -> bool:
    """Return whether the cells below each heading count from one."""
    counted: dict[str, int] = {}
    for place in places:
        counted[over[place]] = counted.get(over[place], 0) + 1
        if cells[place].removesuffix(".0") != str(counted[over[place]]):
            return False
    return True


def _are_of_each(cells: Sequence[str], over: Sequence[str], places: Sequence[int]) -> bool:
    """Return whether the same two or more words stand below each heading, one of them a quantity: 'min | RPE'."""
    each: dict[str, list[str]] = {}
    for place in places:
        each.setdefault(over[place], []).append(fold(cells[place]))
    first, *others = each.values()
    if len(first) < FEWEST or not others or any(some != first for some in others):
        return False
    return len(set(first)) == len(first) and any(
        set(read_heading(0, cells[place]).names) & set(QUANTITIES) for place in places
    )


def _spread(cells: Sequence[str]) -> list[str]:
    """Return a row of headings of which each also stands over the empty ones to its right."""
    made, over = [], ""
    for text in cells:
        over = text or over
        made.append(over)
    return made


def _below_first(table: TextTable, header: list[str], above: Sequence[str] = ()) -> TextTable:
    while header and not header[-1]:
        header.pop()
    return dataclasses.replace(
        table, header=header, header_line=table.rows["_line"][0], rows=table.rows.slice(1), above=list(above),
        titles=(*table.titles, (table.header_line, tuple(table.header))),
    )  # fmt: skip
