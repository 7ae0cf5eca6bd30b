"""Sheets with a column for each person: a row of them for each day, run or exercise, made a row for each person."""

import dataclasses
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import lru_cache

import polars as pl

from pipelines.cells.dates import is_day
from pipelines.cells.spoken import is_absent, is_missing
from pipelines.cells.weekdays import is_weekday
from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.words.evidence import BETWEEN_TIMES, TIMES, look, looks_like_name, weigh
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.run_words import ORDINAL
from pipelines.layouts.words.sets import holds_sets
from pipelines.layouts.words.titled import QUANTITIES, side_of, value_heading
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.spelling import fold
from schemas.unit_words import unit_word

DAYS = "Date"
FEWEST_TURNED = 2
MOST_BESIDE = 3  # columns that are nobody's
HALF = 0.5
SHORTEST = 3  # letters of a word that may be a name
# What numbers rows beside their day is nobody; a week's number says no more than the day. Common practice, no source
OF_A_WEEK = {
    "week",
    "wk",
    "week no",
    "week nr",
    "woche",
    "kw",
    "semaine",
    "semana",
    "settimana",
    "sett",
    "vecka",
    "uke",
}
OF_THE_CALENDAR = OF_A_WEEK | {"block", "cycle", "microcycle", "mesocycle", "zyklus", "bloc", "bloque", "ciclo",
                               "blocco", "month", "monat", "mois", "mes", "mese", "maand"}  # fmt: skip
SHOWN = 5  # cells named in a note
Columns = dict[str, dict[str, int]]  # person -> heading of the value, "" where the column says none -> its place


def people_down(table: TextTable, known: frozenset[str]) -> TextTable | None:
    """Return a table with a row for each day and athlete where people stand as columns; None where they do not.

    A column is somebody's where its heading is the name of somebody known, whole or the only one with that first or
    last name, or has the form of a name and is no heading that is known; at least two of them must be sure.
    """
    corner_unit = table.header[0] if table.header and unit_word(table.header[0]) is not None else ""
    table = _with_sides_named(_with_days_named(table))
    said = heads(table.header)
    if any(one is not None and set(one.names) & PERSON for one in said):
        return None
    has_sets = any(one is not None and "exercise" in one.names for one in said)
    people: Columns = {}
    sure = 0
    for place, one in _named(table.header, said, known).items():
        if _holds_values(table, place, is_known=one.is_known, has_sets=has_sets):
            people.setdefault(one.name, {}).setdefault(one.heading, place)
            sure += one.is_known or len(one.name.split()) >= FEWEST_TURNED
    places = {place for columns in people.values() for place in columns.values()}
    others = [place for place in range(len(table.header)) if place not in places and table.header[place]]
    corner = _day_in_corner(table, others, list(places))
    if corner is not None:
        return _down(corner, [0], people)
    dated = {place for place, one in enumerate(said) if one is not None and "date" in one.names}
    has_day = "date" in table.facts or bool(dated & set(others))
    if dated & set(others):
        others = [place for place in others if not _says_no_more_than_its_day(table, place, dated)]
    if len(people) < FEWEST_TURNED or not has_day or sure < FEWEST_TURNED or len(others) > MOST_BESIDE:
        return None
    return _down(table, others, people, corner_unit if table.header[0] == DAYS else "")


def _with_days_named(table: TextTable) -> TextTable:
    """Return a table whose first column, with a day in each cell and no heading but a unit of the others' ('kg'), is
    called one of days.
    """
    if not table.header or "c0" not in table.rows.columns or look(table.rows["c0"]).days < 1:
        return table
    if table.header[0] and unit_word(table.header[0]) is None:
        return table
    return dataclasses.replace(table, header=[DAYS, *table.header[1:]])


def _with_sides_named(table: TextTable) -> TextTable:
    """Return a table whose first column, without a heading but with a side in each cell, is called one of sides."""
    if not table.header or table.header[0] or "c0" not in table.rows.columns or table.rows["c0"].null_count():
        return table
    sides = [side_of(cell) for cell in table.rows["c0"]]
    if not sides or any(one is None or one[1] is not None for one in sides):
        return table
    return dataclasses.replace(table, header=["Side", *table.header[1:]])


def _says_no_more_than_its_day(table: TextTable, place: int, dated: set[int]) -> bool:
    """Return whether a column gives nothing but the number of the week or, beside a column of days, the weekday."""
    if f"c{place}" not in table.rows.columns:
        return False
    cells = table.rows[f"c{place}"].drop_nulls()
    if dated - {place} and cells.len() and all(is_weekday(cell) for cell in cells):
        return True
    if fold(table.header[place]) not in OF_A_WEEK:
        return False
    return all(re.fullmatch(r"\s*\d{1,2}(?:\.0)?\s*", cell) for cell in cells)


@dataclasses.dataclass(frozen=True)
class Named:
    """Whose a column is, and what its heading says of the values besides, "" where nothing."""

    name: str
    heading: str
    is_known: bool


def _named(header: Sequence[str], said: Sequence[Heading | None], known: frozenset[str]) -> dict[int, Named]:
    """Return whose each column is, by its place: 'Ana', 'Ana Berg', 'RPE Ana', 'Ana min'."""
    found: dict[int, Named] = {}
    open_: dict[int, list[tuple[str, str]]] = {}
    for place, text in enumerate(header):
        if not text:
            continue
        if is_known(text, known) or (said[place] is None and is_part_of_one(text, known)):
            found[place] = Named(text, "", is_known=True)
            continue
        parted = [] if said[place] is not None and said[place].names else _parted(text, known)  # type: ignore[union-attr]
        told = [(name, rest) for name, rest in parted if _is_value(read_heading(0, rest))]
        if told:
            found[place] = Named(*told[0], is_known=True)
        elif said[place] is None and looks_like_name(text) and fold(text) not in OF_THE_CALENDAR:
            open_[place] = parted
            found[place] = Named(text, "", is_known=False)
    if sum(1 for one in found.values() if one.is_known and not one.heading) >= FEWEST_TURNED:
        for place, text in enumerate(header):  # 'Ben' is a leg in Swedish, and beside 'Tama' and 'Aroha' somebody
            if text and place not in found and " " not in text.strip() and is_part_of_one(text, known):
                found[place] = Named(text, "", is_known=True)
    again = Counter(rest for parted in open_.values() for rest in {fold(rest) for _, rest in parted})
    for place, parted in open_.items():  # a word that stands beside several people is nobody's name
        shared = [(name, rest) for name, rest in parted if again[fold(rest)] >= FEWEST_TURNED]
        if shared:
            found[place] = Named(*shared[0], is_known=True)
    return found


def _parted(text: str, known: frozenset[str]) -> list[tuple[str, str]]:
    """Return a heading as the name of somebody known and what stands before or behind it, in each way it may be."""
    words = text.split()
    cuts = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
    both = [*cuts, *((behind, before) for before, behind in cuts)]
    return [(name, rest) for name, rest in both if is_known(name, known) or is_part_of_one(name, known)]


def _is_value(one: Heading) -> bool:
    """Return whether a heading is of a measured value."""
    return bool(set(one.names) & set(QUANTITIES)) or bool(one.at) or (one.gate_m is not None and not one.is_bare_number)


def is_known(text: str, known: frozenset[str]) -> bool:
    """Return whether a text is the whole name of somebody known, or what somebody is called."""
    return fold(text) in known or " ".join(sorted(fold(text).split())) in known


def is_part_of_one(text: str, known: frozenset[str]) -> bool:
    """Return whether a text is a first or last name, with at most initials beside it, of one person known alone."""
    words = fold(text).split()
    whole = [word for word in words if len(word) >= SHORTEST]
    if not whole or any(char.isdigit() for char in text):
        return False
    people = set.intersection(*(set(_by_word(known).get(word, ())) for word in whole))
    initials = [word for word in words if word not in whole]
    fits = [one for one in sorted(people) if all(any(own.startswith(word) for own in one) for word in initials)]
    whole_names = [one for one in fits if not any(set(one) < set(other) for other in fits)]
    return len({"".join(sorted("".join(one))) for one in whole_names}) == 1  # a key is a name too: "O'Hara", 'o-hara'


@lru_cache(maxsize=8)
def _by_word(known: frozenset[str]) -> dict[str, list[tuple[str, ...]]]:
    """Return who has each word in a name of several words: a name in another order is the same person's."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for words in {tuple(sorted(name.split())) for name in known}:
        for word in words if len(words) > 1 else ():
            found.setdefault(word, []).append(words)
    return found


def _holds_values(table: TextTable, place: int, *, is_known: bool, has_sets: bool) -> bool:
    """Return whether a column may hold somebody's values: numbers, times of several runs, sets beside exercises; for
    somebody known nothing but words for absence.
    """
    if f"c{place}" not in table.rows.columns:
        return False
    cells = [cell.strip() for cell in table.rows[f"c{place}"].drop_nulls()]
    values = [cell for cell in cells if cell and not is_absent(cell) and not is_missing(cell)]
    if not values:
        return is_known and bool(cells)
    if has_sets:
        return sum(1 for cell in values if holds_sets(cell)) >= HALF * len(values)
    seen = weigh(values, frozenset())
    return seen.is_numeric or seen.lists >= HALF


def _day_in_corner(table: TextTable, others: Sequence[int], people: Sequence[int]) -> TextTable | None:
    """Return a table of people beside a day, whose rows are counted ('1e', '2e'), as one of runs on that day."""
    filled = [place for place in others if not look(table.rows[f"c{place}"]).is_empty]
    if filled != [0] or len(people) < FEWEST_TURNED or not is_day(table.header[0]):
        return None
    counted = [ORDINAL.fullmatch(cell.strip()) or cell.strip().isdigit() for cell in table.rows["c0"].drop_nulls()]
    if not counted or not all(counted):
        return None
    above = table.facts.get("date")  # a further block of the same people says its own day
    day = above if above is not None and above.place == "line above" else Fact(table.header[0], "header")
    facts = {**table.facts, "date": day}
    number = table.rows["c0"].str.extract(r"(\d+)", 1)
    rows = table.rows.with_columns(number.alias("c0"))
    return dataclasses.replace(table, header=["Run", *table.header[1:]], rows=rows, facts=facts)


def each_of(table: TextTable, others: Sequence[int], people: Mapping[str, int]) -> TextTable:
    """Return a table with a row for each row and person, whose columns stand at these places.

    Args:
        table: A plain table.
        others: Its columns that are nobody's.
        people: Place of the column of each.
    """
    return _down(table, others, {name: {"": place} for name, place in people.items()})


def _down(table: TextTable, others: Sequence[int], people: Columns, unit: str = "") -> TextTable:
    places = [place for columns in people.values() for place in columns.values()]
    has_sets = any(one is not None and "exercise" in one.names for one in heads(table.header))
    unsaid = "Sets x reps" if has_sets else value_heading(table, places) or "value"
    if unit and not re.search(r"[(\[]", unsaid):
        unsaid = f"{unsaid} ({unit})"
    headings = list(dict.fromkeys(heading or unsaid for columns in people.values() for heading in columns))
    if len(headings) == 1:
        table, others = _with_runs_counted(table, others, places, headings[0])
    first = len(others) + 1
    parts = []
    for order, (name, columns) in enumerate(people.items()):
        own = {heading or unsaid: place for heading, place in columns.items()}
        parts.append(
            table.rows.select(
                *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others)),
                pl.lit(name).alias(f"c{len(others)}"),
                *(
                    (pl.col(f"c{own[heading]}") if heading in own else pl.lit(None, pl.String)).alias(f"c{first + n}")
                    for n, heading in enumerate(headings)
                ),
                "_line",
                _order=pl.int_range(pl.len()) * len(people) + order,
            )
        )
    rows = pl.concat(parts).sort("_order").drop("_order")
    rows, passed = without_absent(rows, [f"c{first + n}" for n in range(len(headings))], f"c{len(others)}")
    header = [*(table.header[place] for place in others), "Name", *headings]
    apart = rows
    for n in range(len(headings)):
        apart = _runs_apart(apart, f"c{first + n}")
    said = heads(table.header)
    is_counted = any((one := said[place]) is not None and "rep_no" in one.names for place in others)
    if apart.height > rows.height and not is_counted:  # two runs in the same time are two runs
        days = [
            f"c{new}" for new, old in enumerate(others) if (one := said[old]) is not None and "date" in one.names
        ]  # fmt: skip
        count = pl.int_range(1, pl.len() + 1).over([*days, f"c{len(others)}"]).cast(pl.String)
        apart = apart.with_columns(count.alias(f"c{len(header)}")).select(
            *(f"c{n}" for n in range(len(header) + 1)), "_line"
        )
        header.append("Run")
    told = " ".join(one for one in (table.passed, passed) if one)
    return dataclasses.replace(table, header=header, rows=apart, above=[], turned="athletes", passed=told)


def _with_runs_counted(
    table: TextTable, others: Sequence[int], places: Sequence[int], heading: str
) -> tuple[TextTable, list[int]]:
    """Return a table with the runs of a day counted, and its columns that are nobody's: where times of one distance
    stand below people and a day has several rows, each of them is a run. The same row once more is the same run.
    """
    columns = [name for name in table.rows.columns if name != "_line"]
    beside = [f"c{place}" for place in others if f"c{place}" in columns]
    one, said = read_heading(0, heading), heads(table.header)
    is_counted = any((told := said[place]) is not None and "rep_no" in told.names for place in others)
    if one.gate_m is None or one.is_bare_number or is_counted or not beside or any(
        look(table.rows[f"c{place}"]).lists > 0 for place in places
    ):  # fmt: skip
        return table, list(others)
    numbered = table.rows.with_row_index("_place")
    first = numbered.select(pl.struct(beside).alias("day"), pl.col("_place").min().over(columns).alias("first"))
    if first.height == first["day"].n_unique():
        return table, list(others)
    run = first.select(pl.col("first").rank("dense").over("day").cast(pl.String)).to_series()
    width = len(table.header)
    rows = table.rows.with_columns(run.alias(f"c{width}"))
    return dataclasses.replace(table, header=[*table.header, "Run"], rows=rows), [*others, width]


def _runs_apart(rows: pl.DataFrame, column: str) -> pl.DataFrame:
    """Return rows with one for each time of a cell that holds the times of several runs: '3,41 / 3,38'."""
    texts = [text for text in rows[column].drop_nulls().unique() if TIMES.fullmatch(text.strip())]
    if not texts:
        return rows
    apart = {text: re.split(BETWEEN_TIMES, text.strip()) for text in texts}
    listed = pl.Series(column, [apart.get(text, [text]) for text in rows[column]], dtype=pl.List(pl.String))
    return rows.with_columns(listed).explode(column)


def without_absent(
    rows: pl.DataFrame, values: Sequence[str], name: str = "", who: str = ""
) -> tuple[pl.DataFrame, str]:
    """Return rows of people without those whose every value is missing or says that the person was not there, and a
    sentence that names those words: what holds for all who were there (the minutes of the session) is not theirs.

    Args:
        rows: A row for each person.
        values: The person's own columns.
        name: The column with the person's name, "" where none is.
        who: The person whose all rows are.
    """
    said = {cell for column in values for cell in rows[column].drop_nulls().unique() if is_absent(cell)}
    gone = pl.all_horizontal(pl.col(column).is_null() | pl.col(column).is_in(list(said)) for column in values)
    words = {cell for cell in said if any(map(str.isalpha, cell))}
    spoken = pl.any_horizontal(pl.col(column).is_in(list(words)) for column in values)
    told = rows.filter(gone & spoken.fill_null(False))
    left = rows.filter(~gone)
    if not told.height:
        return left, ""
    cell = pl.coalesce(pl.when(pl.col(column).is_in(list(words))).then(pl.col(column)) for column in values)
    each = told.select(cell.alias("said"), (pl.col(name) if name else pl.lit(who)).alias("who"), "_line").rows()
    shown = ", ".join(f"'{said}' ({who + ', ' if who else ''}line {line})" for said, who, line in each[:SHOWN])
    more = f" and {len(each) - SHOWN} more" if len(each) > SHOWN else ""
    return left, f"no row is made where a cell says that somebody was not there: {shown}{more}."
