"""Groups of columns, told by a row above the header: days, kinds of start, people; and days that stand under gates.

A value is never read with a day that stands over another column: where it cannot be told which columns a day is over,
the table says so and nothing of it is read.
"""

import dataclasses
import datetime as dt
import re
from collections.abc import Sequence

import polars as pl

from pipelines.cells.dates import is_day
from pipelines.cells.weekdays import is_weekday, weekdays_named
from pipelines.layouts.sheets.blocks import GROUP_FACTS, PERSON, heads, is_heard
from pipelines.layouts.sheets.people import is_known, is_part_of_one, without_absent
from pipelines.layouts.sheets.weeks import UNCLEAR, days_of_week, week_texts
from pipelines.layouts.words.evidence import looks_like_name
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.said import distances_in, find_day, find_week, said_by
from pipelines.layouts.words.titled import OF_A_SESSION, QUANTITIES, side_of, texts_of
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.spelling import fold

FEWEST = 2
BLOCKS = re.compile(r"blocks? \d{1,3}")
Mark = tuple[int, dict[str, Fact]]  # column, what stands above it
Group = tuple[dict[str, Fact], int, int]  # what holds for it, first column, the one after its last


def by_groups(table: TextTable, known: frozenset[str]) -> list[TextTable]:
    """Return a table for each group of columns where a row above the header says what a group is; [] where none
    does.
    """
    if not _repeats(table.header):
        return []
    rows = [list(cells) for _, cells in reversed(table.titles)]
    if any(table.above) and list(table.above) not in rows:
        rows.insert(0, list(table.above))
    each = [[*row, *[""] * len(table.header)][: len(table.header)] for row in rows]
    told = _with_words_of_days([_marks(cells, known, table) for cells in each], each, table.header)
    for cells, marks in zip(each, told, strict=True):
        if marks is None:
            continue
        if not marks:
            if _says_apart(cells, table.header):
                said = ", ".join(f"'{text}'" for text in cells if text)
                why = f"its columns stand there more than once below {said}, and it is not understood what those say."
                return [dataclasses.replace(table, facts={**table.facts, UNCLEAR: Fact(why, "row above")})]
            continue
        groups = _bounds(table, marks) if len(marks) >= FEWEST else []
        if groups and (unheard := _begins_another(cells, table.header, groups)):
            why = f"'{unheard}' stands over some of its columns, and it is not understood what it says of them."
            return [dataclasses.replace(table, facts={**table.facts, UNCLEAR: Fact(why, "row above")})]
        if groups:
            first = marks[0][0]  # 'Step' left of the people, over a column that has no heading of its own
            header = [text or (cells[n] if n < first else "") for n, text in enumerate(table.header)]
            return _joined(_cut_apart(dataclasses.replace(table, header=header), groups))
        if any("date" in facts for _, facts in marks) and _is_over_some(table.header, marks):
            said = ", ".join(f"'{facts['date'].text}'" for _, facts in marks if "date" in facts)
            why = f"a day ({said}) stands over some of its columns, and it cannot be told which columns it is of."
            return [dataclasses.replace(table, facts={**table.facts, UNCLEAR: Fact(why, "row above")})]
    return []


def _with_words_of_days(
    said: Sequence[list[Mark]], each: Sequence[list[str]], header: Sequence[str]
) -> list[list[Mark] | None]:
    """Return what each row says, the nearest first, with None for a row of words below days that stand farther up:
    'blocks' below one of several days is of that day's work, and begins no group of its own. Over times it is told of
    that day's.
    """
    found: list[list[Mark] | None] = list(said)
    of_times = any(one is not None and (one.gate_m is not None or one.run_no is not None) for one in heads(header))
    for near, marks in enumerate(said):
        places = {place for place, text in enumerate(each[near]) if text}
        for far in range(near + 1, len(said)):
            dated = {place for place, facts in said[far] if "date" in facts}
            words = places <= dated and len(dated) >= FEWEST and not any("date" in facts for _, facts in marks)
            if places and words:
                found[near] = None
                if of_times:
                    found[far] = [(place, {**dict(marks).get(place, {}), **facts}) for place, facts in said[far]]
                break
    return found


def _repeats(header: Sequence[str]) -> bool:
    said = [fold(text) for text in header if text]
    return len(set(said)) < len(said)


def _says_apart(cells: Sequence[str], header: Sequence[str]) -> bool:
    """Return whether a row tells columns of one quantity apart that stand there more than once: minutes and effort."""
    said = [fold(text) for text in header]
    again = [place for place, text in enumerate(said) if text and said.count(text) > 1]
    quantities = [place for place in again if set(read_heading(place, header[place]).names) & set(QUANTITIES)]
    return len(quantities) >= FEWEST and sum(1 for place in again if cells[place]) >= FEWEST


def _marks(cells: Sequence[str], known: frozenset[str], table: TextTable) -> list[Mark]:
    """Return what the cells of a row say of the columns below them, one that repeats itself once."""
    marks: list[Mark] = []
    counted = any(one.run_no is not None and one.gate_m is None for one in (read_heading(0, t) for t in table.header))
    week = find_week(week_texts(table))
    weekdays = weekdays_named(text for text in cells if text and is_weekday(text)) or {}
    for place, text in enumerate(cells):
        if not text:
            continue
        facts = {name: fact for name, fact in said_by(text, "row above").items() if name in GROUP_FACTS}
        if not facts and (weekday := weekdays.get(text)) is not None and week is not None:
            facts = {"date": Fact((week + dt.timedelta(days=weekday)).isoformat(), "row above")}
        if not facts and counted and BLOCKS.fullmatch(fold(text)) and _far_over(text, texts_of(table)):
            facts = {"start_kind": Fact("blocks", "row above")}  # no tenth block of a season: runs over 10 m
        if "start_kind" in facts and counted and (far := _far_over(text, texts_of(table))):
            facts["distance_m"] = Fact(far, "row above")
        if not facts and _is_person(text, known):
            facts = {"athlete_id": Fact(text, "row above")}
        if facts and not (marks and _told(marks[-1][1]) == _told(facts)):
            marks.append((place, facts))
    people = [facts for _, facts in marks if "athlete_id" in facts]
    named = any(one is not None and set(one.names) & PERSON for one in heads(table.header))
    if people and not named:
        marks = _with_further_people(cells, marks)
        people = [facts for _, facts in marks if "athlete_id" in facts]
    if people and (named or len(people) < len(marks)):
        marks = [mark for mark in marks if "athlete_id" not in mark[1]]
    return marks


def _with_further_people(cells: Sequence[str], marks: list[Mark]) -> list[Mark]:
    """Return marks with each further text of a row of people as somebody, or without the people where one cannot be:
    the columns below it are not those of the person left of it.
    """
    told = {fact.text for _, facts in marks for fact in facts.values()}
    taken = {place for place, _ in marks}
    first = min(place for place, facts in marks if "athlete_id" in facts)
    rest = [(n, text) for n, text in enumerate(cells) if n > first and n not in taken and text and text not in told]
    if any(not looks_like_name(text) or is_heard(read_heading(0, text)) for _, text in rest):
        return [mark for mark in marks if "athlete_id" not in mark[1]]
    return sorted([*marks, *((place, {"athlete_id": Fact(text, "row above")}) for place, text in rest)],
                  key=lambda mark: mark[0])  # fmt: skip


def _far_over(text: str, titles: Sequence[str]) -> str:
    """Return the distance of the runs that a cell over some columns names by their start: 'Block 10', 'Standing 30 m'.

    A number without a unit has the one that a title says of it; "" where none does, for it may be yards.
    """
    own = distances_in(text)
    number = re.fullmatch(r"[^\d]+(\d{1,3})", fold(text))
    if len(own) != 1 and number is not None:
        own = [far for title in titles for far in distances_in(title) if far.split()[0] == number[1]]
    return own[0] if len(set(own)) == 1 else ""


def _is_person(text: str, known: frozenset[str]) -> bool:
    is_unheard = not is_heard(read_heading(0, text))
    return is_known(text, known) or (
        is_unheard and (is_part_of_one(text, known) or (looks_like_name(text) and len(text.split()) >= FEWEST))
    )


def _told(facts: dict[str, Fact]) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((name, fact.text) for name, fact in facts.items()))


def _bounds(table: TextTable, marks: list[Mark]) -> list[Group]:
    """Return the columns of each group: those from its mark on, or, where marks stand in the middle of theirs, the
    parts of the header that repeat. [] where neither can be told.
    """
    if len({_told(facts) for _, facts in marks}) < len(marks):
        return []
    header = [fold(text) for text in table.header]
    places = [place for place, _ in marks]
    ends = [*places[1:], len(header)]
    parts = [[text for text in header[place:end] if text] for place, end in zip(places, ends, strict=True)]
    shared = {text for text in header[: places[0]] if text}
    is_aligned = all(set(part) & set(parts[0]) for part in parts) and not shared & {t for p in parts for t in p}
    if places[0] > 0 and is_aligned and not _values_before(table.header, places[0]):
        return [(facts, place, end) for (place, facts), end in zip(marks, ends, strict=True)]
    first = next((i for i, text in enumerate(header) if text and header.count(text) >= len(marks)), None)
    if not first or _values_before(table.header, first):
        return []
    width, left = divmod(len(header) - first, len(marks))
    cuts = [(first + n * width, first + (n + 1) * width) for n in range(len(marks))]
    alike = [header[begin:end] for begin, end in cuts]
    in_place = all(begin <= place < end for (begin, end), place in zip(cuts, places, strict=True))
    if left or not in_place or any(one != alike[0] for one in alike):
        return []
    return [(facts, begin, end) for (_, facts), (begin, end) in zip(marks, cuts, strict=True)]


def _begins_another(cells: Sequence[str], header: Sequence[str], groups: Sequence[Group]) -> str:
    """Return a text within a group from which on its headings come again: it says nothing of that group; else ""."""
    for _, begin, end in groups:
        for place in range(begin + 1, end):
            is_again = fold(header[place]) in {fold(text) for text in header[begin:place] if text}
            if is_again and cells[place] and fold(cells[place]) != fold(cells[begin]):
                return cells[place]
    return ""


def _values_before(header: Sequence[str], first: int) -> bool:
    """Return whether a column of measured values stands before the first group: it would belong to all of them."""
    return any(
        one.gate_m is not None or one.run_no is not None or one.number is not None or one.at
        for one in (read_heading(0, text) for text in header[:first] if text)
    )


def _is_over_some(header: Sequence[str], marks: list[Mark]) -> bool:
    """Return whether a mark stands over later columns only, of which like ones stand before it or beyond the next."""
    first = marks[0][0]
    before, after = ({fold(text) for text in some if text} for some in (header[:first], header[first:]))
    return bool(before & after) or len(marks) >= FEWEST


def _cut_apart(table: TextTable, groups: list[Group]) -> list[TextTable]:
    first = groups[0][1]
    made = []
    for facts, begin, end in groups:
        columns = [*range(first), *range(begin, end)]
        rows = table.rows.select(
            *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(columns) if f"c{old}" in table.rows.columns),
            "_line",
        )
        values = [f"c{new}" for new in range(first, len(columns)) if f"c{new}" in rows.columns]
        rows = rows.filter(pl.any_horizontal(pl.col(values).is_not_null())) if values else rows
        passed = ""
        if values and "athlete_id" in facts:
            rows, passed = without_absent(rows, values, who=facts["athlete_id"].text)
        if rows.height:
            header = [table.header[old] for old in columns]
            of_kind = "resistance_kind" in facts  # what is pulled, the group says: no load of another one's
            kept = {
                name: fact for name, fact in table.facts.items()
                if name not in facts and not (of_kind and name.startswith("resistance_"))
            }  # fmt: skip
            told = {**kept, **facts}
            made.append(dataclasses.replace(table, header=header, rows=rows, facts=told, above=[], turned="groups",
                                            passed=passed))  # fmt: skip
    return made


def _joined(parts: list[TextTable]) -> list[TextTable]:
    """Return tables that are of a person each, or of a day each, under one header as one with a column of them: what a
    scale is, or a day, is told by all of their cells.
    """
    for fact, heading in (("athlete_id", "Name"), ("date", "Date")):
        one = _as_one(parts, fact, heading)
        if one is not None:
            return [one]
    return parts


def _as_one(parts: list[TextTable], fact: str, heading: str) -> TextTable | None:
    first = parts[0] if len(parts) >= FEWEST else None
    if first is None or any(fact not in one.facts or one.header != first.header for one in parts):
        return None
    facts = {name: told for name, told in first.facts.items() if name != fact}
    if any({name: told for name, told in one.facts.items() if name != fact} != facts for one in parts):
        return None
    name = f"c{len(first.header)}"
    said = [
        one.rows.with_columns(pl.lit(one.facts[fact].text).alias(name), _order=pl.lit(order))
        for order, one in enumerate(parts)
    ]
    rows = pl.concat(said, how="diagonal").sort("_line", "_order")
    order = [*(f"c{n}" for n in range(len(first.header) + 1) if f"c{n}" in rows.columns), "_line"]
    passed = " ".join(dict.fromkeys(one.passed for one in parts if one.passed))
    return dataclasses.replace(
        first, header=[*first.header, heading], rows=rows.select(order), facts=facts, passed=passed
    )  # fmt: skip


# --- days as columns, below what was measured ------------------------------------------------------------------------


@dataclasses.dataclass(frozen=True)
class DayColumn:
    """A column of one day: its place, the day, and the heading of what was measured ('' where nothing says it)."""

    place: int
    day: str
    heading: str


def day_columns(table: TextTable) -> list[DayColumn]:
    """Return the columns that are of a day each: '10 Oct' alone, below '20 m', or '20 m (10 Oct)' in one cell."""
    above = [*table.above, *[""] * len(table.header)][: len(table.header)]
    if [place for place, text in enumerate(above) if text] == [0]:  # a title, and no heading of a group
        above[0] = ""
    weekdays = weekdays_named(text for text in table.header if text and is_weekday(text)) or {}
    week_days = days_of_week(table, weekdays) if weekdays else {}
    found: list[DayColumn] = []
    over = ""
    for place, text in enumerate(table.header):
        over = above[place] or over
        heading = over if over and is_heard(read_heading(place, over)) else ""
        if not text:
            continue
        if is_day(text):
            found.append(DayColumn(place, text, heading))
            continue
        day = week_days.get(text)
        if day is not None:
            found.append(DayColumn(place, day, heading))
            continue
        day = find_day(text)
        rest = re.sub(r"[(\[]\s*[)\]]", " ", text.replace(day, " ")).strip(" –,:;-") if day else ""
        if day and rest and (_is_measured(read_heading(place, rest)) or side_of(rest) is not None):
            found.append(DayColumn(place, day, rest))
    return found if len({one.day for one in found}) >= FEWEST else []


def _is_measured(one: Heading) -> bool:
    return one.gate_m is not None or one.run_no is not None or bool(one.at) or bool(set(one.names) & set(QUANTITIES))


def _column(table: TextTable, place: int | None) -> pl.Expr:
    return pl.col(f"c{place}") if f"c{place}" in table.rows.columns else pl.lit(None, pl.String)


def days_down(table: TextTable, others: Sequence[int], days: Sequence[DayColumn], value: str) -> TextTable:
    """Return a table with a row for each row, day and repeat, and a column for each thing that was measured."""
    headings = list(dict.fromkeys(one.heading or value for one in days))
    seen: dict[tuple[str, str], int] = {}
    groups: dict[tuple[str, int], dict[str, int]] = {}
    for one in days:
        heading = one.heading or value
        seen[one.day, heading] = seen.get((one.day, heading), 0) + 1
        groups.setdefault((one.day, seen[one.day, heading]), {})[heading] = one.place
    parts = []
    for order, ((day, _), places) in enumerate(groups.items()):
        values = [
            _column(table, places.get(heading)).alias(f"c{len(others) + 1 + n}") for n, heading in enumerate(headings)
        ]  # fmt: skip
        part = table.rows.select(
            *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others)),
            pl.lit(day).alias(f"c{len(others)}"), *values, "_line",
            _order=pl.int_range(pl.len()) * len(groups) + order,
        )  # fmt: skip
        some = [f"c{len(others) + 1 + n}" for n in range(len(headings))]
        parts.append(part.filter(pl.any_horizontal(pl.col(some).is_not_null())))
    rows, passed = pl.concat(parts).sort("_order").drop("_order"), ""
    header = [*(table.header[place] for place in others), "Date", *headings]
    if all(set(read_heading(0, one).names) & set(OF_A_SESSION) for one in headings):
        rows, passed = without_absent(rows, [f"c{len(others) + 1 + n}" for n in range(len(headings))])
    said = " ".join(one for one in (table.passed, passed) if one)
    return dataclasses.replace(table, header=header, rows=rows, above=[], turned="days", passed=said)
