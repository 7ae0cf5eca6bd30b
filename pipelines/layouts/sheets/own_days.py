"""Blocks side by side that have a column of days each: lifts with their days, jumps with theirs, of the same people."""

from collections.abc import Sequence
from itertools import pairwise

from pipelines.cells.dates import is_day
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.tab_titles import Line
from schemas.intake import TextTable
from schemas.spelling import fold

MOST = 0.8  # of the filled cells
SAMPLE = 400  # rows looked at
NO_VALUES = {"date", "note", "side", "site", "kind", "pain_site", "returned_on", "onset_on", "athlete_id",
             "display_name", "first_name", "last_name"}  # fmt: skip


def begins_by_days(header: Sequence[str], rows: Sequence[Line], people: Sequence[int], gaps: set[int]) -> list[int]:
    """Return the first columns of blocks side by side that have a column of days each, [0] where it is one block.

    Blocks without a column of people begin at the empty column before them, which holds the names of the first block
    (``with_names``); without such a column they are one block as far as this tells.

    Args:
        header: Headings, as wide as the rows.
        rows: Lines below it.
        people: Columns of people.
        gaps: Columns in which nothing stands.
    """
    days = [place for place, text in enumerate(header) if text and _is_of_days(place, text, rows)]
    if len(days) < 2 or len(people) > 1 or (people and people[0] > days[1]):
        return [0]
    begins = [0]
    for before, place in pairwise(days):
        between = [gap for gap in gaps if before < gap < place]
        if people and not between:
            return [0]
        if not between and fold(header[before]) != fold(header[place]):
            return [0]
        begins.append(max(between) + (not people) if between else place)
    ends = [*begins[1:], len(header)]
    each = [header[first:last] for first, last in zip(begins, ends, strict=True)]
    return begins if all(any(_is_value(read_heading(0, text)) for text in one if text) for one in each) else [0]


def mixed_days(table: TextTable) -> str:
    """Return why a table cannot be read whose rows have two days below the same word: which of its values are of which
    is not known. "" for any other table.
    """
    width = len(table.header)
    rows = [(0, [cell or "" for cell in row]) for row in table.rows.drop("_line").head(SAMPLE).iter_rows()]
    days = [n for n, text in enumerate(table.header) if text and _is_of_days(n, text, rows)]
    same = [n for n in days if sum(1 for m in days if fold(table.header[m]) == fold(table.header[n])) > 1]
    said = [{cells[n] for n in same if n < min(width, len(cells)) and cells[n]} for _, cells in rows]
    if not any(len(one) > 1 for one in said):
        return ""
    word = table.header[same[0]]
    return f"'{word}' stands over more than one of its columns, and it is not said which values are of which day."


def with_names(header: Line, rows: list[Line], first: int, last: int) -> tuple[Line, list[Line]]:
    """Return a header and its rows with the names of the first block in the empty column where a block begins."""
    line, texts = header
    if not first or first >= len(texts) or texts[first]:
        return header, rows
    place = next(n for n, text in enumerate(texts) if text and _is_of_people(read_heading(n, text)))
    named = [(number, _put(cells, first, cells[place] if place < len(cells) else "")) for number, cells in rows]
    told = [
        one if any(cells[first + 1 : last]) else before
        for one, before, (_, cells) in zip(named, rows, rows, strict=True)
    ]  # fmt: skip
    return (line, _put(texts, first, texts[place])), told


def _put(cells: list[str], place: int, text: str) -> list[str]:
    return [*cells[:place], *[""] * (place - len(cells)), text, *cells[place + 1 :]]


def _is_of_days(place: int, text: str, rows: Sequence[Line]) -> bool:
    if read_heading(place, text).names[:1] != ("date",):
        return False
    said = [cells[place] for _, cells in rows if place < len(cells) and cells[place]]
    return bool(said) and sum(1 for one in said if is_day(one)) >= MOST * len(said)


def _is_value(heading: Heading) -> bool:
    numbered = (heading.gate_m, heading.number, heading.run_no)
    return bool(set(heading.names) - NO_VALUES) or any(one is not None for one in numbered)


def _is_of_people(heading: Heading) -> bool:
    return bool(set(heading.names) & {"athlete_id", "display_name", "first_name"})
