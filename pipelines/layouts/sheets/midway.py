"""Rows in the midst of a table whose words read like headings, and which are rows all the same."""

from collections.abc import Sequence
from functools import cache

import polars as pl

from pipelines.cells.dates import is_day
from pipelines.cells.weekdays import is_weekday, weekdays_beside
from pipelines.layouts.words.evidence import is_run_time, looks_like_name, to_number
from pipelines.layouts.words.headings import read_heading
from pipelines.layouts.words.said import find_day
from schemas.intake import TextTable
from schemas.shape import all_shapes
from schemas.spelling import fold

Line = tuple[int, Sequence[str]]  # its number, its cells
PEOPLE = {"athlete_id", "display_name", "first_name", "last_name"}
FEWEST_NAMES = 2  # of columns, for a row to be a header of the record's own names
FEWEST_APART = 4  # the header, a row of values, the names and the header again
MOST_HEADS = 2  # rows below a title in which the header is looked for
FEWEST_DAYS = 2  # that head columns; one alone is the day of a row
MOST_WORDS = 2  # beside a day; more are a sentence about one
LEADING = PEOPLE | {"date"}
MOST = 0.8  # of all rows; own choice
OF_A_RACE = {"event", "distance_m"}


def head_of_weekdays(lines: Sequence[tuple[int, list[str]]], start: int) -> int:
    """Return where the header of a plan stands of which a row of a weekday was taken for it: right above the first of
    them, where the corner is empty and the rest is filled.
    """
    first = start
    while first and lines[first][1] and is_weekday(lines[first][1][0]):
        above = lines[first - 1][1]
        if above and not above[0] and sum(1 for text in above if text) >= FEWEST_DAYS:
            return first - 1
        first -= 1
    return start


def is_day_line(in_force: Sequence[str], cells: Sequence[str | None]) -> bool:
    """Return whether a line of several cells is the title of what stands below it: it begins with a day where the
    header in force has none, and holds no value: '2 April 2026 | 4 x 200 m | by hand'.
    """
    filled = [text for text in cells if text]
    day = find_day(cells[0]) if cells[0] and len(filled) >= FEWEST_DAYS else None
    if day is None or len(fold(cells[0] or "").replace(fold(day), " ").split()) > MOST_WORDS:
        return False
    if in_force and "date" in read_heading(0, in_force[0]).names:
        return False
    return not any(to_number(text) is not None or is_run_time(text) for text in filled[1:] if not is_day(text))


def is_titled_by_day(in_force: Sequence[str], lines: Sequence[Line], header: int, place: int) -> bool:
    """Return whether a line above a header is the day of what follows."""
    return not _follows_days(lines, header, place) and is_day_line(in_force, lines[place][1])


def _follows_days(lines: Sequence[Line], header: int, place: int) -> bool:
    """Return whether the row above a line begins with a day as well: the line is the last row of its block."""
    return place - 1 > header and _begins_with_day(lines, place - 1)


def _begins_with_day(lines: Sequence[Line], place: int) -> bool:
    cells = lines[place][1]
    return bool(cells) and bool(cells[0]) and find_day(cells[0]) is not None


def has_days(table: TextTable) -> bool:
    """Return whether the first column holds the day of each row, whatever its heading: 'Submitted on' over 3/2, 5/2; or
    the columns are weekdays. No row is then the title of those below it, also where all beside its day are words.
    """
    rows = table.rows
    if len(weekdays_beside([text for text in table.header if text])) >= FEWEST_DAYS:
        return True
    if "c0" not in rows.columns or not rows.height:
        return False
    return sum(1 for cell in rows["c0"].drop_nulls() if is_day(cell.strip())) >= MOST * rows.height


def begins_again(in_force: Sequence[str], lines: Sequence[Line], header: int, place: int) -> bool:
    """Return whether a line says the header in force once more, below a line that begins with a day: a further block of
    the same columns, on that day; not below one of several rows of days.
    """
    if not in_force or "date" in read_heading(0, in_force[0]).names:
        return False
    said = [text for text in lines[place][1] if text]
    is_same = said == [text for text in in_force if text] and len(said) > 1
    return is_same and _begins_with_day(lines, place - 1) and not _follows_days(lines, header, place - 1)


def is_row_midway(in_force: Sequence[str], cells: Sequence[str], *, is_close: bool, first: Sequence[str] = ()) -> bool:
    """Return whether a line that reads like a header is a row of the table above it: ', Plank, time, hold'.

    So where the header in force has a column of people or days, and the line names neither: right below the rows
    (``is_close``), or with somebody's name in the column of names. Gates, runs, steps, days and weekdays may head
    columns without the word for people; a distance below 'Event' is the race of its row, and heads nothing. Below rows
    that begin with a weekday (``first``) a line that begins so is the next day, also where its corner has no word.
    """
    if in_force and not is_weekday(in_force[0]) and all(one and is_weekday(one[0]) for one in (first, cells)):
        return True
    above = [set(read_heading(place, text).names) if text else set() for place, text in enumerate(in_force)]
    days = sum(1 for text in in_force if text and (is_day(text) or is_weekday(text)))
    if not any(names & LEADING for names in above) and days < FEWEST_DAYS:
        return False
    raced = {place for place, names in enumerate(above) if names & OF_A_RACE}
    said = [read_heading(place, text) for place, text in enumerate(cells) if text]
    here = [one for one in said if one.gate_m is None or one.place not in raced]
    if any(
        set(one.names) & LEADING or one.gate_m is not None or one.number is not None or one.run_no is not None
        for one in here
    ) or sum(1 for text in cells if text and (is_day(text) or is_weekday(text))) >= FEWEST_DAYS:  # fmt: skip
        return False
    people = [place for place, names in enumerate(above) if names & PEOPLE]
    is_named = any(
        place < len(cells) and cells[place] and looks_like_name(cells[place])
        and not read_heading(place, cells[place]).names
        for place in people
    )  # fmt: skip
    return is_close or is_named


def heads_people_again(in_force: Sequence[str], cells: Sequence[str]) -> bool:
    """Return whether a line heads another block by its word for people: 'Athlete' below 'Athlete' is nobody."""
    filled = sum(1 for text in cells if text)
    people = [
        place for place, text in enumerate(in_force) if text and set(read_heading(place, text).names[:1]) & PEOPLE
    ]
    again = [place for place in people if place < len(cells) and fold(cells[place]) == fold(in_force[place])]
    return bool(again) and filled > 1


def may_head(in_force: Sequence[str], cells: Sequence[str]) -> bool:
    """Return whether a line has no numbers, or heads its people again over runs counted from one: 'who | 1 | 2 | 3'."""
    numbers = [number for text in cells if text and (number := to_number(text)) is not None]
    counted = [float(n) for n in range(1, len(numbers) + 1)]
    return not numbers or (len(numbers) > 1 and numbers == counted and heads_people_again(in_force, cells))


def stands_again(lines: Sequence[Sequence[str]], head: int) -> bool:
    """Return whether the row of names above a header stands above it once more, right below rows of values: 'Step |
    Ana | Bea' over 'contact | air'. Below a title ``without_heads`` sees to it.

    Args:
        lines: Cells of the lines, to the header that stands there once more.
        head: Place of the header in force.
    """
    if head == 0 or len(lines) - head < FEWEST_APART:
        return False
    said = [[fold(text) for text in lines[n] if text] for n in (head - 1, -2)]
    return said[0] == said[1] and any(to_number(text) is not None for text in lines[-3] if text)


def without_heads(rows: pl.DataFrame, header: Sequence[str]) -> tuple[pl.DataFrame, list[tuple[int, tuple[str, ...]]]]:
    """Return the rows below a title without the header that stands there once more, and the lines above it as titles:
    a row of names over 'contact | air', which may name others than the first one did.
    """
    said = [fold(text) for text in header]
    while said and not said[-1]:
        said.pop()
    lines = [(row[-1], tuple(cell or "" for cell in row[:-1])) for row in rows.head(MOST_HEADS).iter_rows()]
    for number, (_, cells) in enumerate(lines):
        if len(set(said)) > 1 and [fold(text) for text in cells[: len(said)]] == said and not any(cells[len(said) :]):
            return rows.slice(number + 1), lines[:number]
    return rows, []


@cache
def _own_names() -> frozenset[frozenset[str]]:
    return frozenset(frozenset(shape.columns) for shape in all_shapes().values())


def are_own_names(cells: Sequence[str]) -> bool:
    """Return whether a row holds names of columns of one table of the record, and nothing else."""
    filled = {text.strip() for text in cells if text}
    return len(filled) >= FEWEST_NAMES and any(filled <= names for names in _own_names())
