"""Tables whose columns are what should be rows: people, days, groups of gates, several times in one cell."""

import dataclasses
import re
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.sheets.bests import bests_down
from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.sheets.cards import days_in_parts
from pipelines.layouts.sheets.cells_apart import cells_apart
from pipelines.layouts.sheets.explained import with_explained_headings
from pipelines.layouts.sheets.gates_down import runs_of_gates
from pipelines.layouts.sheets.group_rows import with_groups_named
from pipelines.layouts.sheets.groups import UNCLEAR, by_groups, day_columns, days_down
from pipelines.layouts.sheets.headings_down import with_people_as_rows
from pipelines.layouts.sheets.inside import days_of_pairs, flying_apart, steps_with_sides
from pipelines.layouts.sheets.items_down import items_down
from pipelines.layouts.sheets.lift_groups import exercises_between, exercises_over
from pipelines.layouts.sheets.lift_of_tab import with_exercise_of_tab
from pipelines.layouts.sheets.lifts import exercises_by_day, exercises_down
from pipelines.layouts.sheets.load_first import with_reps_first
from pipelines.layouts.sheets.named_tests import tests_across
from pipelines.layouts.sheets.names_unheaded import with_names_headed
from pipelines.layouts.sheets.parts_of_day import parts_of_day_down, with_parts_as_header
from pipelines.layouts.sheets.people import people_down
from pipelines.layouts.sheets.rounds_down import rounds_down
from pipelines.layouts.sheets.runs_in_sets import with_runs_of_sets
from pipelines.layouts.sheets.runs_named import runs_named
from pipelines.layouts.sheets.season import with_days_of_season
from pipelines.layouts.sheets.season_phases import season_phases
from pipelines.layouts.sheets.second_row import with_second_row
from pipelines.layouts.sheets.sessions_of_day import with_sessions_of_day
from pipelines.layouts.sheets.sides_down import sides_down, steps_named
from pipelines.layouts.sheets.speeds import with_times_of_speeds
from pipelines.layouts.sheets.stretches_across import stretches_across
from pipelines.layouts.sheets.sums import without_sums
from pipelines.layouts.sheets.tests_down import tests_below_people
from pipelines.layouts.sheets.trial_row import with_trial_row
from pipelines.layouts.sheets.values_across import values_across
from pipelines.layouts.sheets.week_grid import days_of_grid, with_numbered_weekdays
from pipelines.layouts.sheets.week_heads import are_loads, with_days_of_weeks
from pipelines.layouts.sheets.weeks import groups_down, weekdays_as_days, weeks_apart, without_week
from pipelines.layouts.sheets.worked_out import with_distance_of_work
from pipelines.layouts.words.evidence import BETWEEN_TIMES, TIMES, look, looks_like_name, to_number
from pipelines.layouts.words.headings import Heading, read_heading, read_test
from pipelines.layouts.words.plan_words import names_plan
from pipelines.layouts.words.said import distances_in
from pipelines.layouts.words.sets import KNOWN, TIMES_SIGNS, exercises_apart, is_lift
from pipelines.layouts.words.titled import BRACKETED, quantity_in, texts_of, value_heading
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.spelling import fold, slug

NOTES = "notes"  # lines of a text: one without a name or a day is nobody's
LONG = 20_000
DITTO = [
    '"',
    "''",
    "\u2033",
    "\u201d",
    "\u201c",
    "\u201e",
    ",,",
    "\u3003",
    "idem",
    "id.",
    "dito",
    "ditto",
    "do.",
    '-"-',
]
MOST_ARE, OF_ONE_TEST = 0.7, 1.35  # numbers; how far two trials of one person lie apart at most; own choice
FEWEST_TURNED = 2
FULL_ENOUGH = 0.9  # of the rows without a day or an athlete that must have values of their own; own choice
ONCE_A_PERSON = {"birth_date", "sex", "event_group", "squad", "joined_on"}  # one row a person where a sheet says it
PLANNED_SETS = (
    "by its title it is a plan of gym work, and sets that were planned are not sets that were done. Where these were "
    "done, take the word for a plan out of the title."
)


def turned(table: TextTable, known: frozenset[str]) -> list[TextTable]:
    """Return a table with its rows as rows: one for each group of columns, or itself."""
    table = with_reps_first(with_names_headed(with_explained_headings(table), known))
    table = with_runs_of_sets(
        stretches_across(runs_of_gates(with_second_row(steps_named(sides_down(table)), known), known))
    )
    table = items_down(with_parts_as_header(days_in_parts(table)), known)
    table = with_exercise_of_tab(exercises_between(exercises_over(season_phases(table))))
    table = values_across(with_days_of_season(with_days_of_weeks(with_numbered_weekdays(table))))
    table = with_times_of_speeds(without_sums(with_trial_row(table)))
    table = flying_apart(runs_named(cells_apart(steps_with_sides(without_dittos(_trials_named(table))))))
    table = tests_across(tests_below_people(rounds_down(bests_down(table)), known))
    table = with_people_as_rows(table, known)
    made = [one for week in weeks_apart(filled_down(_lists_apart(table))) for one in _turned(week, known)]
    made = [parts_of_day_down(one, _plan_or_log(one)) for one in made]
    return [with_sessions_of_day(with_distance_of_work(without_week(one))) for one in made]


def _turned(table: TextTable, known: frozenset[str]) -> list[TextTable]:
    table = _exercises_apart(groups_down(weekdays_as_days(table)))
    groups = by_groups(table, known)
    if groups:
        return groups
    return [
        exercises_down(table)
        or days_of_grid(table, _plan_or_log(table))
        or _days_down(table, known)
        or people_down(table, known)
        or table
    ]


def without_dittos(table: TextTable) -> TextTable:
    """Return a table in which a ditto mark below a name or a day is that name or day."""
    if table.rows.height > LONG:
        return table
    columns = []
    for place, one in enumerate(heads(table.header)):
        name = f"c{place}"
        is_first = place == 0 and not table.header[place]
        if name not in table.rows.columns or not (is_first or (one is not None and set(one.names) & {*PERSON, "date"})):
            continue
        cells = table.rows[name]
        marks = cells.str.strip_chars().str.to_lowercase().is_in(DITTO).fill_null(value=False)
        if marks.any() and not marks[0]:
            columns.append(pl.Series(name, [None if mark else cell for mark, cell in zip(marks, cells, strict=True)],
                                     dtype=pl.String).fill_null(strategy="forward").zip_with(marks, cells))  # fmt: skip
    return dataclasses.replace(table, rows=table.rows.with_columns(columns)) if columns else table


def _trials_named(table: TextTable) -> TextTable:
    """Return a table in which a column of numbers without a heading, beside one of a test, has that test's: a heading
    merged over both. So has one beside a heading that nobody knows, where its numbers are alike.
    """
    header = list(table.header)
    for place in range(1, len(header)):
        left, name = header[place - 1], f"c{place}"
        if header[place] or not left or not {name, f"c{place - 1}"} <= set(table.rows.columns):
            continue
        said = read_heading(place, left)
        is_open = not (said.names or said.gate_m or said.run_no or said.number) and bool(re.search(r"[(\[]", left))
        one, other = look(table.rows[f"c{place - 1}"]), look(table.rows[name])
        numeric = one.numbers >= MOST_ARE and other.numbers >= MOST_ARE
        if numeric and (read_test(place, left) is not None or is_open) and _are_alike(table.rows, place):
            header[place] = left
    return table if header == list(table.header) else dataclasses.replace(table, header=header)


def _are_alike(rows: pl.DataFrame, place: int) -> bool:
    """Return whether a column and the one left of it hold trials of one test: in each row the two are near."""
    left, right = ([to_number(cell) if cell else None for cell in rows[f"c{n}"].to_list()] for n in (place - 1, place))
    both = [(one, other) for one, other in zip(left, right, strict=True) if one and other and min(one, other) > 0]
    return bool(both) and all(max(pair) <= OF_ONE_TEST * min(pair) for pair in both)


def filled_down(table: TextTable) -> TextTable:
    """Return a table in which an empty cell for the athlete or the day is what stands above it, where that is the
    habit.

    It is where the first row has one, and every row without one has values of its own. A name is never filled down in
    a sheet of nothing but people, nor where the row says something else of its person (id, birth date, sex, group)
    than the row above: there an empty cell is somebody whose name is missing, and no row may join two people.
    """
    if table.rows.height > 5000 or table.rows.height < 3 or table.filled_down or table.turned == NOTES:
        return table
    filled = []
    rows = table.rows
    said_of = [set(one.names) if one is not None else set() for one in heads(table.header)]
    said = [one for one in heads(table.header) if one is not None]
    in_gym = any("exercise" in one.names for one in said)
    of_runs = not in_gym and any(one.gate_m is not None or one.names[:1] == ("elapsed_s",) for one in said)
    for place, one in enumerate(heads(table.header)):
        name = f"c{place}"
        if one is None or name not in rows.columns or not set(one.names) & {*PERSON, "date"}:
            continue
        if said_of[place] & PERSON and _is_of_somebody_else(rows, said_of, place):
            continue
        column = rows[name]
        gaps = column.null_count()
        if not gaps or column[0] is None or gaps < 0.25 * rows.height:
            continue
        others = [other for other in rows.columns if other not in (name, "_line")]
        keyed = [f"c{n}" for n, names in enumerate(said_of) if f"c{n}" in others and names & {*PERSON, "date"}]
        empty = pl.all_horizontal(pl.lit(value=True), *(pl.col(o).is_null() for o in others if o not in keyed))
        of_nobody = empty & pl.any_horizontal(pl.lit(value=False), *(pl.col(o).is_not_null() for o in keyed))
        # A row of a name or a day alone is somebody who was not there: it says nothing of whose the others are.
        full = rows.filter(pl.col(name).is_null() & ~of_nobody).select(
            pl.sum_horizontal(pl.col(o).is_not_null() for o in others)
        )
        if full.height and (full.to_series() >= 2).mean() >= FULL_ENOUGH:  # type: ignore[operator]
            filled.append(place)
            gone = column.is_null()
            runs = [
                f"c{other}" for other, said in enumerate(heads(table.header))
                if said is not None and f"c{other}" in rows.columns
                and _goes_with(said, rows[f"c{other}"], gone, of_runs=of_runs)
            ]  # fmt: skip
            rows = rows.with_columns(pl.col([name, *runs]).fill_null(strategy="forward"))
            filled += [int(other[1:]) for other in runs]
    return dataclasses.replace(table, rows=rows, filled_down=tuple(filled)) if filled else table


def _goes_with(said: Heading, column: pl.Series, gone: pl.Series, *, of_runs: bool) -> bool:
    """Return whether a column is written where a day or a name is, and like it holds for the rows below: the number of
    a run, or what was pulled in runs, in each of those rows, a distance at least there.
    """
    empty = column.is_null()
    is_pulled = of_runs and {"resistance_load_kg", "load_kg"} & {*said.names}  # a load of the gym is of its exercise
    if said.names[:1] == ("rep_no",) or is_pulled:
        return bool((empty == gone).all())
    return said.names[:1] == ("distance_m",) and bool(empty.any()) and not bool((empty & ~gone).any())


def _is_of_somebody_else(rows: pl.DataFrame, said_of: Sequence[set[str]], place: int) -> bool:
    """Whether a row without a name may be of somebody else than the one above it.

    Args:
        rows: Cells of the sheet, columns c0, c1, ...
        said_of: What each column's header may mean.
        place: The column of names with gaps.
    """
    people = {*PERSON, *ONCE_A_PERSON}
    others = [f"c{other}" for other, names in enumerate(said_of) if other != place and names & people]
    others = [other for other in others if other in rows.columns]
    if others and all(names & people for names in said_of if names):
        return True
    gone = rows[f"c{place}"].is_null()
    return any(bool((gone & (rows[other] != rows[other].shift(1)).fill_null(False)).any()) for other in others)


def _exercises_apart(table: TextTable) -> TextTable:
    """Return a table with a row for each exercise where a cell names several with their sets."""
    named = any(one is not None and "exercise" in one.names for one in heads(table.header))
    if named or table.rows.height > 20_000 or day_columns(table):  # below days stand whole sessions
        return table
    for place, text in enumerate(table.header):
        name = f"c{place}"
        if not text or name not in table.rows.columns:
            continue
        cells = table.rows[name].to_list()
        parts = {cell: exercises_apart(cell) for cell in set(cells) if cell and TIMES_SIGNS & set(cell)}
        apart = [parts.get(cell) for cell in cells]  # no sets without the sign between their two numbers
        said = [one for one in apart if one]
        if len(said) < 0.6 * max(1, sum(1 for cell in cells if cell)):
            continue
        if 2 * sum(1 for one in said if any(is_lift(*lift) for lift in one)) < len(said):  # 'Tempo 10x100' are runs
            continue
        width = len(table.header)
        listed = [one or [(None, cell)] for one, cell in zip(apart, cells, strict=True)]  # type: ignore[list-item]
        rows = table.rows.with_columns(
            pl.Series(f"c{width}", [[a for a, _ in one] for one in listed], dtype=pl.List(pl.String)),
            pl.Series(name, [[b for _, b in one] for one in listed], dtype=pl.List(pl.String)),
        ).explode(f"c{width}", name)
        order = [*(f"c{n}" for n in range(width + 1) if f"c{n}" in rows.columns), "_line"]
        return dataclasses.replace(
            table, header=[*table.header, "Exercise"], rows=rows.select(order), turned="exercises"
        )
    return table


def _days_down(table: TextTable, known: frozenset[str]) -> TextTable | None:
    """Return a table with a row for each athlete and day where days stand as columns."""
    days = day_columns(table)
    places = {one.place for one in days}
    others = [place for place in range(len(table.header)) if place not in places and table.header[place]]
    if len(days) < FEWEST_TURNED or len(others) > max(3, len(days)):
        return None
    is_of_known = _are_known(table, places, known)
    if is_of_known:
        others = [0, *others]
    pairs = days_of_pairs(table, others, days)
    if pairs is not None:
        return pairs
    lifted = exercises_by_day(table, places)
    if lifted is not None and _plan_or_log(table) == "Plan":
        return dataclasses.replace(table, facts={**table.facts, UNCLEAR: Fact(PLANNED_SETS, "title")})
    if lifted is not None:
        return days_down(lifted, sorted({0, *others}), days, "Sets x reps")
    if are_loads(table, places):
        return days_down(table, others, days, "Load")
    table, value = _corner_named(table, places, value_heading(table, [one.place for one in days]))
    if not is_of_known and value is not None and _are_people(table, places):
        others = [0, *others]
    if value is None and not any(look(table.rows[f"c{one.place}"]).is_numeric for one in days):
        value = _plan_or_log(table)
        if (grouped := with_groups_named(table, places)) is not table and not is_of_known:
            table, others = grouped, [0, *others]
    return days_down(table, others, days, value or "value")


def _plan_or_log(table: TextTable) -> str:
    """Return what the words of a calendar are: a plan where a title, the tab or the file calls it so, else done."""
    return "Plan" if names_plan(texts_of(table)) else "Session"


def _corner_named(table: TextTable, days: set[int], value: str | None) -> tuple[TextTable, str | None]:
    """Return a table whose corner, over names, says what stands below the days ('Weight (kg)'), with 'Name' there; and
    what stands below them.
    """
    corner = table.header[0]
    named = quantity_in(corner) if corner else None
    if named is None or 0 in days:
        return table, value
    plain = dataclasses.replace(table, header=["", *table.header[1:]])
    if not _are_people(plain, days):
        return table, value
    return dataclasses.replace(table, header=["Name", *table.header[1:]]), named


def _are_known(table: TextTable, days: set[int], known: frozenset[str]) -> bool:
    """Return whether the first column, without a heading, holds a known name, or first name, in each row."""
    if table.header[0] or 0 in days or "c0" not in table.rows.columns or "athlete_id" in table.facts:
        return False
    names = known | {name.split()[0] for name in known if name}
    return bool(names) and all(cell is not None and fold(cell) in names for cell in table.rows["c0"])


def _are_people(table: TextTable, days: set[int]) -> bool:
    """Return whether the first column, without a heading, names a person in each row beside numbers below days.

    A word that is known over a column (a test, a part of the day), or an exercise, is nobody.
    """
    if table.header[0] or 0 in days or "c0" not in table.rows.columns or "athlete_id" in table.facts:
        return False
    cells = [cell.strip() for cell in table.rows["c0"] if cell and cell.strip()]
    if any(slug(cell, "_") in KNOWN for cell in cells):
        return False
    numeric = sum(1 for place in days if look(table.rows[f"c{place}"]).is_numeric)
    return (
        2 * numeric > len(days) and len(cells) == table.rows.height == len(set(cells))
        and all(looks_like_name(cell) and heads([cell])[0] is None and read_test(0, cell) is None for cell in cells)
    )  # fmt: skip


def _lists_apart(table: TextTable) -> TextTable:
    """Return a table in which cells like '1.88/3.12/4.26' are a column each, where header or title name the
    distances.
    """
    listed = [
        place for place, text in enumerate(table.header)
        if f"c{place}" in table.rows.columns and text and look(table.rows[f"c{place}"]).lists >= 0.5
    ]  # fmt: skip
    if not listed or table.rows.height > 20_000:
        return table
    titles = [" ".join(cell for cell in cells if cell) for _, cells in reversed(table.titles)]
    header: list[str] = []
    columns: list[pl.Expr] = []
    for place, text in enumerate(table.header):
        source = pl.col(f"c{place}") if f"c{place}" in table.rows.columns else pl.lit(None, pl.String)
        gates = next(
            (
                found
                for one in (text, *BRACKETED.findall(text), *titles, table.sheet, table.source)
                if len(found := distances_in(one) or _gates_listed(one)) >= 2
            ),
            None,
        )
        if place not in listed or gates is None:
            columns.append(source.alias(f"c{len(header)}"))
            header.append(text)
            continue
        cells = table.rows[f"c{place}"].to_list()
        apart = [
            re.split(BETWEEN_TIMES, cell.strip()) if cell and TIMES.fullmatch(cell.strip()) else None for cell in cells
        ]
        run = re.sub(r"\s*\(?\d{1,3}(?:\s*/\s*\d{1,3})+\s*m?\)?", "", text).strip()
        for number, gate in enumerate(gates):
            told = [
                one[number] if one is not None and len(one) == len(gates) else cell if number == 0 else None
                for one, cell in zip(apart, cells, strict=True)
            ]
            columns.append(pl.lit(pl.Series(told, dtype=pl.String)).alias(f"c{len(header)}"))
            header.append(f"{run} {gate}" if run and fold(run) not in ("times", "zeiten", "temps") else gate)
    return dataclasses.replace(table, header=header, rows=table.rows.select(*columns, "_line"))


def _gates_listed(text: str) -> list[str]:
    """Return the gates of a list without a unit in brackets, '5/10/20/30': they rise, each a multiple of five."""
    is_list = re.fullmatch(r"\d{1,3}(?:\s*[/,]\s*\d{1,3}){2,}", text)
    far = [int(one) for one in re.findall(r"\d+", text)] if is_list else []
    return [f"{one} m" for one in far] if far == sorted(set(far)) and not any(one % 5 for one in far) else []
