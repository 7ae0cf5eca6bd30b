"""What a column that is not understood may be: the choices of its question, the likeliest first."""

from collections.abc import Collection, Sequence
from functools import cache

import polars as pl

from pipelines.cells.phrases import VOCABULARY, word_said
from pipelines.cells.spoken import kind_of, read_free, read_yes_no
from pipelines.layouts.rows.sheet_shape import SheetShape
from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.sheets.season import numbered_days
from pipelines.layouts.words.by_cells import MOST_STARTS
from pipelines.layouts.words.evidence import Evidence, looks_like_name
from pipelines.layouts.words.fitting import fits
from pipelines.layouts.words.headings import BRACKETS, Heading, spellings
from pipelines.layouts.words.match import Match, assign, targets_of
from pipelines.layouts.words.said import find_day
from pipelines.layouts.words.scales import ON_BOTH_SIDES, RATED
from pipelines.layouts.words.titled import side_of
from schemas.labels import RECORD_TITLES
from schemas.reading import ARE_DAYS, ARE_PEOPLE
from schemas.shape import ColumnShape, all_shapes, table_shape
from schemas.spelling import fold
from schemas.unit_words import unit_word
from schemas.vocabulary import FORCE_TESTS, JUMP_TESTS

MOST_MEANINGS = 4  # near a header; own choice
NEAR_ENOUGH = 0.5  # of the words: a record column further from the header is not offered; own choice
IN_SECONDS = ("second", "millisecond")
WORDY = 3  # words of a cell; one with more is a remark whatever numbers are in it
NEVER_BROUGHT = {"review_line", "reference_value", "trial_lot", "film", "consent"}  # written by the program alone
OTHER = "other_measure"
FEWEST = 2  # columns of people or days
MOSTLY = 0.8  # of the cells
INJURED = ("injury.site", "an injury that began on the day of the row: where, and in the words written there")
# In which parts of the record's unit people write a quantity: a contact of 112 is one in milliseconds.
PARTS_OF = {"s": (1.0, 0.001), "m": (1.0, 0.01, 0.001, 0.0254, 0.3048), "kg": (1.0, 0.4536), "min": (1.0, 1 / 60, 60.0)}
# What columns of coaches' sheets mostly are, where nothing says what a sheet holds. Common practice, no source.
COMMON = (
    ("session", "duration_min"), ("session", "effort_0_10"), ("body_measure", "body_mass_kg"),
    ("lift_set", "load_kg"), ("lift_set", "reps"), ("rep", "distance_m"), ("race_result", "time_s"),
    ("race_result", "event"), ("session", "kind"), ("checkin", "sleep_h"),
)  # fmt: skip
# As a heading would say it: what a test's column is, and between which numbers its cells lie.
OF_TESTS = (
    ("countermovement (cm)", "the height of a countermovement jump in centimetres", 10.0, 90.0),
    ("standing long jump (m)", "the length of a standing long jump in metres", 1.0, 4.0),
    ("standing long jump (cm)", "the length of a standing long jump in centimetres", 100.0, 400.0),
)
FREE_WORDS = ("event", "kind", "site", "pain_site")  # texts that hold words of ours nevertheless
WHOSE_AND_WHEN = {"athlete_id", "session_no", "plan_no", "date", *(
    shape.date for shape in all_shapes().values() if shape.date is not None
)}  # fmt: skip
NEVER_OF_A_COACH = NEVER_BROUGHT | {"decision", "week_template", "drill", "start_trial", "technique_note",
                                    "exercise", OTHER}  # fmt: skip
MEASURED = {"flight_s": "flight", "contact_s": "contact"}  # of a jump, besides its height
MOST_FURTHER, MOST_RATED = 7, 100.0  # own choice
LEAST_FORCE, MOST_FORCE = 60.0, 1500.0  # newtons of one leg; own choice
A_RUN = ("30 m", "the time of a run over 30 m; over another distance write that: '20 m', 'flying 30 m'")
RUN_S = (0.5, 90.0)  # seconds of a run in training; own choice


def _names_nobody(match: Match) -> bool:
    """Return whether no column of a sheet says whose its rows are."""
    return match.first_name is None and not {name for _, name in match.columns} & {"athlete_id", "display_name"}


def likely_meanings(
    one: Heading, cells: Evidence, found: SheetShape, *, is_first_name: bool = True
) -> list[tuple[str, str]]:
    """Return the record columns a column may be, the likeliest first: free ones of the tables the sheet fills, whose
    cells fit, by the share of words that their names and the header have in common; a remark is last.
    """
    taken = set(found.match.columns)
    is_open = found.shape == "others"  # what the sheet holds is not known: any table may be meant
    own = (
        [name for name in all_shapes() if name not in NEVER_BROUGHT]
        if is_open
        else [name for name, _ in taken] + targets_of(table_shape(found.match.main))
    )
    tables = list(dict.fromkeys([found.match.main, *own]))
    said = " ".join(word for word in fold(BRACKETS.sub(" ", one.text)).split() if unit_word(word) is None)
    near: list[tuple[float, str, str]] = []
    for name in tables:
        shape = table_shape(name)
        for column in shape.values:
            if (
                (name, column) in taken
                or (is_open and name == OTHER)
                or column == "note"
                or (column.endswith("_kg") and any("%" in text for text in (one.text, *cells.texts)))
                or not fits(column, cells)
                or not _in_range(cells, shape.columns[column])
                or _is_of_words(shape.columns[column], cells)
                or (column.endswith("_min") and one.unit in IN_SECONDS)
            ):
                continue
            near.append((max(_nearness(said, word) for word in _words_of(column)), name, column))
    names_whose = cells.names >= NEAR_ENOUGH and is_first_name and _names_nobody(found.match)
    if is_open and names_whose and not found.match.has_athlete:
        return [("athlete_id", "whose row it is")]
    if is_open and cells.days >= 0.5:
        return [("date", "the day of the row")]
    best = [one for one in sorted(near, key=lambda told: -told[0]) if one[0] >= NEAR_ENOUGH][:MOST_MEANINGS]
    made = [(f"{name}.{column}", _meant_by(name, column)) for _, name, column in best]
    for whole, sides in ON_BOTH_SIDES.items():  # one number and no side: it may be of both
        if {*sides} <= {column for _, _, column in best}:
            name = next(table for _, table, column in best if column in sides)
            made.insert(0, (f"{name}.{whole}", "one number for both sides: kept on the left and on the right"))
    if is_open:
        made = _likelier(one, cells, made)
    if names_whose:
        made.insert(0, ("athlete_id", "whose row it is"))
    if _may_count_runs(cells, found):
        made = [("rep.rep_no", "the number of the run or start of that athlete and day")]
    note = next((name for name in tables if "note" in table_shape(name).columns and (name, "note") not in taken), None)
    notes = ["session", "checkin"] if is_open and found.match.has_athlete else [note] if note is not None else []
    if cells.words >= 0.5 or any(len(text.split()) > WORDY for text in cells.texts):
        made += [(f"{name}.note", f"a remark beside the {title_of(name)}") for name in notes]
    return made


def _likelier(one: Heading, cells: Evidence, made: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return what a column may be with what its heading names, or its cells say by themselves, first."""
    named = [(f"{name}.{column}", _meant_by(name, column)) for name, column in _named_by(one, cells)]
    made = [*named, *(meaning for meaning in made if meaning not in named)]
    if _says(cells, "site") and not _is_wordy(cells) and "exercise" not in one.names:
        made = [INJURED, *(meaning for meaning in made if meaning[0] not in ("injury.kind", INJURED[0]))]
    if "elapsed_s" in one.names and _may_be_run(cells):
        made = [A_RUN, *(meaning for meaning in made if not meaning[0].endswith("_min"))]
    return made[:MOST_MEANINGS]


def _named_by(one: Heading, cells: Evidence) -> list[tuple[str, str]]:
    """Return the record columns that a heading names and its cells may be, where no sheet is known for them yet: the
    first table of each.
    """
    found = []
    for column in one.names:
        tables = [name for name, shape in all_shapes().items() if name not in NEVER_OF_A_COACH
                  and column in shape.columns and column not in WHOSE_AND_WHEN]  # fmt: skip
        where = next((name for name in tables if fits(column, cells)), None)
        if where is not None:
            found.append((where, column))
    return found


def _meant_by(table: str, column: str) -> str:
    if column == "jump_length_m":  # no other jump of the record has a length
        return "the length of a standing long jump"
    return f"{column.replace('_', ' ')} of {title_of(table)}"


def _may_count_runs(cells: Evidence, found: SheetShape) -> bool:
    """Return whether a column may hold the numbers of runs: it counts from one, and nothing else of the sheet does."""
    is_of_runs = found.match.main == "rep" and ("rep", "rep_no") not in found.match.columns
    return is_of_runs and cells.numbers == cells.whole == 1 and cells.least == 1 and cells.most <= MOST_STARTS


def _nearness(text: str, word: str) -> float:
    """Return the share of the shorter one's words that the other has too, or begins with four letters of."""
    some, others = sorted((text.split(), word.split()), key=len)
    if not some:
        return 0.0
    return sum(1 for one in some if any(one == other or one[:4] == other[:4] != "" for other in others)) / len(some)


@cache
def _words_of(column: str) -> tuple[str, ...]:
    return (column.replace("_", " "), *(word for word, names in spellings().items() if column in names))


def title_of(table: str) -> str:
    """Return what people call a record table."""
    return RECORD_TITLES.get(table, table.replace("_", " "))


def _is_of_words(column: ColumnShape, cells: Evidence) -> bool:
    """Return whether a column of the record holds words and the cells are numbers."""
    return column.dtype == pl.String and cells.numbers >= NEAR_ENOUGH


def _in_range(cells: Evidence, column: ColumnShape) -> bool:
    """Return whether the numbers of a column, in some unit, lie where the record's may; other cells always fit."""
    if cells.numbers < 0.5:
        return True
    if column.name in RATED:  # whatever the ends of its scale are, they are asked
        return cells.least >= 0 and cells.most <= MOST_RATED
    return any(
        (column.least is None or cells.least * part >= column.least)
        and (column.most is None or cells.most * part <= column.most)
        for part in PARTS_OF.get(column.unit, (1.0,))
    )


def further_meanings(
    one: Heading, cells: Evidence, found: SheetShape, offered: Sequence[tuple[str, str]]
) -> list[tuple[str, str]]:
    """Return what a column may be besides by its cells alone: other columns of the sheet's table, or, where nothing
    says what it holds, what columns mostly are; a test or a run is written as a heading would say it.
    """
    said = {answer for answer, _ in offered}
    taken = set(found.match.columns)
    is_open = found.shape == "others"
    main = found.match.main
    own = COMMON if is_open else [(main, column) for column in table_shape(main).values]
    own = [] if found.shape == "tests" else own  # a column of a test names it
    made = [
        (f"{name}.{column}", _meant_by(name, column)) for name, column in own
        if (name, column) not in taken and column != "note" and _may_hold(name, column, one, cells)
    ][:MOST_FURTHER]  # fmt: skip
    if is_open or found.shape == "tests":
        made = [*_of_a_test(one, cells), *made]
    if is_open and cells.words >= NEAR_ENOUGH and not _is_wordy(cells):
        made.append((f"{OTHER}.what", "the name of the test or measure of the row, whose value stands beside"))
    return [meaning for meaning in made if meaning[0] not in said]


def other_meanings(
    one: Heading, cells: Evidence, found: SheetShape, offered: Sequence[tuple[str, str]]
) -> list[tuple[str, str]]:
    """Return all other columns of the record that the cells may be of, so that the true one is always on offer: of the
    sheet's own tables, or of all where nothing says what it holds; and tests and runs as a heading would say them.
    """
    said = {answer for answer, _ in offered}
    taken = set(found.match.columns)
    is_open = found.shape == "others"
    tables = list(all_shapes()) if is_open else _tables_beside(found)
    made = [
        (f"{name}.{column}", _meant_by(name, column)) for name in tables if name not in NEVER_OF_A_COACH
        for column in table_shape(name).columns
        if column not in WHOSE_AND_WHEN and (name, column) not in taken and _may_hold(name, column, one, cells)
    ]  # fmt: skip
    if not is_open:
        made += _of_a_test(one, cells)
    return [meaning for meaning in made if meaning[0] not in said]


def _tables_beside(found: SheetShape) -> list[str]:
    """Return the tables a sheet fills, and those its rows belong to."""
    tables = [found.match.main, *(name for name, _ in found.match.columns), *targets_of(table_shape(found.match.main))]
    return list(dict.fromkeys(tables))


def _may_hold(name: str, column: str, one: Heading, cells: Evidence) -> bool:  # noqa: PLR0911 - for each kind
    shape = table_shape(name).columns[column]
    if column.endswith("_se") or _is_of_words(shape, cells):
        return False
    if column == "note" or (shape.dtype == pl.String and not shape.words and column not in FREE_WORDS):
        return not cells.is_numeric and cells.days < NEAR_ENOUGH
    if shape.dtype == pl.Boolean:
        return all(read_yes_no(text)[0] is not None for text in cells.texts)
    if shape.dtype == pl.Date:
        return cells.days >= NEAR_ENOUGH
    if column == "event" and sum(1 for text in cells.texts if read_free(text, shape)[0]) < MOSTLY * len(cells.texts):
        return False
    if column in ("site", "pain_site"):
        return _says(cells, "site") and not _is_wordy(cells)
    if column == "kind" and not any(kind_of(text) for text in cells.texts):
        return False
    if (cells.numbers < NEAR_ENOUGH and not cells.is_numeric) and shape.dtype != pl.String:
        return False
    return fits(column, cells) and _in_range(cells, shape) and _may_have_unit(one.unit, column)


def _is_wordy(cells: Evidence) -> bool:
    """Return whether texts are sentences: of those no diagnosis is made, and they name no test."""
    return sum(1 for text in cells.texts if len(text.split()) > WORDY) >= NEAR_ENOUGH * len(cells.texts)


def _says(cells: Evidence, name: str) -> bool:
    """Return whether most of the texts of a column say something of a column of the vocabulary: a place that hurts."""
    said = sum(1 for text in cells.texts if word_said(text, VOCABULARY[name]) is not None)
    return bool(cells.texts) and said >= NEAR_ENOUGH * len(cells.texts)


def _may_have_unit(unit: str | None, column: str) -> bool:
    """Return whether a column whose heading gives a unit may be of a record column with another kind of unit."""
    kinds = {"second": "s", "millisecond": "s", "minute": "min", "hour": "min", "kilogram": "kg", "pound": "kg",
             "meter": "m", "centimeter": "m", "millimeter": "m", "inch": "m", "foot": "m", "newton": "n"}  # fmt: skip
    return unit not in kinds or column.endswith(f"_{kinds[unit]}")


def _of_a_test(one: Heading, cells: Evidence) -> list[tuple[str, str]]:
    if cells.numbers < NEAR_ENOUGH:
        return []
    may_jump = side_of(one.text) is None and _may_have_unit(one.unit, "jump_height_m")
    jumps = OF_TESTS if may_jump else ()
    made = [(text, meant) for text, meant, least, most in jumps if least <= cells.least and cells.most <= most]
    if _may_have_unit(one.unit, "peak_force_n") and cells.least >= LEAST_FORCE and cells.most <= MOST_FORCE:
        side, number = side_of(one.text) or ("", None)
        for name, word in (("eccentric hamstring", "eccentric hamstring force"), ("adductor", "force of adduction")):
            for which in (side,) if side else ("l", "r"):
                leg = "left" if which == "l" else "right"
                text = f"{name} {which} {number}" if number else f"{name} {which}"
                made.append((f"{text} (N)", f"{word}, {leg}, in newtons"))
    if _may_be_run(cells) and _may_have_unit(one.unit, "elapsed_s"):
        made.append(A_RUN)
    return made


def _may_be_run(cells: Evidence) -> bool:
    """Return whether numbers may be the times of runs in training."""
    return cells.numbers >= NEAR_ENOUGH and RUN_S[0] <= cells.least and cells.most <= RUN_S[1] and cells.whole < 1


def completed(one: Heading, needs: str) -> list[tuple[str, str]]:
    """Return what a heading would say of a column whose answer left open which test, or over which distance."""
    if "test" in needs and one.told_table == "force_test":
        return [(f"{_spoken(test)} {side} (N)", f"{_spoken(test)}, {leg}, in newtons")
                for test in FORCE_TESTS for side, leg in (("l", "left"), ("r", "right"))]  # fmt: skip
    if "test" in needs and one.told_table == "jump_test":
        measure = MEASURED.get(one.names[0], "")
        tests = JUMP_TESTS if one.names[0] != "jump_length_m" else JUMP_TESTS[-1:]
        return [(f"{_spoken(test)} {measure}".strip(), f"of the {_spoken(test)}") for test in tests]
    return [A_RUN] if "distance m" in needs else []


def _spoken(test: str) -> str:
    """Return a test as a heading names it."""
    return {"squat": "squat jump", "drop": "drop jump", "repeated_hop": "repeated hops"}.get(
        test, test.replace("_", " ")
    )


def needed_beside(one: Heading, found: SheetShape) -> str:
    """Return what the table that was answered for a column needs besides and no column gives; "" where nothing."""
    if one.told_table not in all_shapes() or one.told_table == found.match.main:
        return ""
    headings = [*found.match.columns.values(), *found.match.ignored]
    match = assign(one.told_table, targets_of(table_shape(one.told_table)), headings, given=found.match.given)
    return ", ".join(name.replace("_", " ") for name in match.missing())


def columns_of_people(found: SheetShape) -> list[Heading]:
    """Return the columns not understood whose headings have the form of names, where no column says whose rows are."""
    if not _names_nobody(found.match) or "athlete_id" in found.match.given:
        return []
    named = [one for one in found.match.ignored if _is_open(one) and looks_like_name(one.text)]
    return named if len(named) >= FEWEST else []


def columns_of_days(found: SheetShape, numbered: Collection[str]) -> list[Heading]:
    """Return the columns not understood whose headings are days, or numbered like days of the month a title names,
    where no column says the day of a row.
    """
    dated = [
        one for one in found.match.ignored
        if one.text in numbered or (_is_open(one) and day_in_heading(one.text))
    ]  # fmt: skip
    return dated if len(dated) >= FEWEST else []


def day_in_heading(text: str) -> str | None:
    """Return the day that a heading is of, also '11/3'."""
    bare = text.strip()
    parts = bare.replace(".", "/").strip("/").split("/")
    if len(parts) == 2 and all(part.isdigit() and 1 <= int(part) <= 31 for part in parts):
        return bare
    return find_day(text)


def alike(one: Heading, found: SheetShape, texts: Sequence[str]) -> tuple[str, str, list[Heading]] | None:
    """Return what several columns may all be, with its words and those columns: people, or days; None for others."""
    numbered = numbered_days([other.text for other in found.match.ignored], texts)
    people, days = columns_of_people(found), columns_of_days(found, numbered)
    for answer, some, each in ((ARE_PEOPLE, people, "people"), (ARE_DAYS, days, "days")):
        if any(one is other for other in some):
            shown = ", ".join(f"'{other.text}'" for other in some[:MOST_MEANINGS])
            more = f" and {len(some) - MOST_MEANINGS} more" if len(some) > MOST_MEANINGS else ""
            return answer, f"{shown}{more} are {each}: each has a column of values", some
    return None


def columns_like(
    header: Sequence[str], told: Sequence[str], answer: str, others: Collection[str], numbered: Collection[str]
) -> list[int]:
    """Return the places of the columns that were said to be people, or days, and of those like them.

    Args:
        header: The headings of a table.
        told: Those of which it was said.
        answer: What was said.
        others: Headings of which something else was said.
        numbered: Headings that are numbered like days of the month that a title names.
    """
    if answer == ARE_DAYS:
        found = {text for text in header if text and (text in numbered or day_in_heading(text))}
    else:
        found = {text for text in header if text and looks_like_name(text) and heads([text])[0] is None}
    return [place for place, text in enumerate(header) if text in told or (text in found and text not in others)]


def _is_open(one: Heading) -> bool:
    return heads([one.text])[0] is None and not set(one.names) & PERSON
