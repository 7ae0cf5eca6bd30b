"""A reading proposed: cells first, then headers, then titles, sheet and file name. Certain, or asked."""

import dataclasses
import re
from collections.abc import Sequence

import polars as pl

from pipelines.cells.events import hurdles_in
from pipelines.cells.months import month_of
from pipelines.cells.spoken import group_inside, group_of, kind_of
from pipelines.cells.weekdays import is_weekday
from pipelines.layouts.reading.answered import as_long_jumps, as_told_by
from pipelines.layouts.reading.block_names import day_answered
from pipelines.layouts.reading.counted import with_counted_of_title
from pipelines.layouts.reading.jumps_told import jump_told
from pipelines.layouts.reading.no_home import attendance, flat_unsaid, touchdowns
from pipelines.layouts.reading.own_runs import without_doubted
from pipelines.layouts.reading.phrased import with_phrases
from pipelines.layouts.reading.questions import about_columns, about_day, about_scale, about_who, about_words
from pipelines.layouts.reading.remarks import with_remarks
from pipelines.layouts.reading.set_columns import with_set_columns, with_sets_counted
from pipelines.layouts.reading.side_trials import with_heights_of_jumps, with_side_trials
from pipelines.layouts.reading.sleds import without_doubted_loads
from pipelines.layouts.reading.something_else import is_of_something_else, planned_loads
from pipelines.layouts.rows.shapes import has_day, shape_of
from pipelines.layouts.rows.sheet_shape import SheetShape, as_block
from pipelines.layouts.rows.side_by_side import with_steps_counted
from pipelines.layouts.rows.wide import match_gates
from pipelines.layouts.sheets.groups import UNCLEAR
from pipelines.layouts.sheets.own_days import mixed_days
from pipelines.layouts.words import scales
from pipelines.layouts.words.by_cells import by_their_cells, said_by_headings
from pipelines.layouts.words.evidence import Evidence, looks_like_name
from pipelines.layouts.words.groups_said import group_and_sex
from pipelines.layouts.words.headings import Heading, read_heading, read_test, spellings
from pipelines.layouts.words.match import PROVENANCE, Match, assign, match_canonical, match_long
from pipelines.layouts.words.run_in import start_by_run_in, with_run_in
from pipelines.layouts.words.said import distances_in, said_by
from pipelines.layouts.words.said_by_file import said_by_file
from pipelines.layouts.words.titled import with_counted, with_keys, with_value_of_title
from schemas.intake import GROUPS, OF_SEVERAL, LayoutOptions, NotRead, Question, TextTable, fingerprint
from schemas.reading import NOT_USED, Block, Fact, Scale
from schemas.spelling import fold

OTHER = "other_measure"
SEVERAL_DISTANCES_M = 45.0  # distances up to here are gates of a run and no events; common practice, no source
NO_FACT = Fact("", "")
OF_A_START = ("gun", "first_movement", "hand_release")  # no flying run has its clock started so
PERSON_OR_DAY = {"athlete_id", "display_name", "first_name", "last_name", "date"}
HALF = 0.5
FEWEST_ASKED = 2  # rows of a sheet that is not understood, for its columns to be asked about; own choice
EFFORT_OF_TEN = (5.0, 10.0)  # the greatest effort seen, for a scale of ten that is not named to be believed
LEAST_BORG = 6.0
WORDY = 4  # words; a cell with so many is a sentence
LONGEST_TEXT, SAMPLE_ROWS = 500, 40  # lines of a file that may be a text, and those looked at; own choice
PLAIN_TABS = {"sheet", "tabelle", "feuil", "hoja", "foglio", "blad", "ark", "plan", "training", "log", "sessions",
              "data", "daten", "datos", "donnees", "dati", "test", "tests", "results", "resultados", "gym", "winter",
              "summer", "spring", "autumn", "fall", "season", "squad", "team", "men", "women", "legend",
              "info"}  # fmt: skip
Proposal = tuple[Block, list[Question]]


def propose(  # noqa: PLR0911, PLR0912, PLR0915 - one for each shape
    table: TextTable, options: LayoutOptions, known: frozenset[str], *, is_trial: bool = False
) -> Proposal | NotRead:
    """Propose what a plain table is, or say why it is not understood.

    ``is_trial`` says that only the header is tried, on the first rows.
    """
    headings = [
        read_heading(place, text)
        for place, text in enumerate(table.header)
        if f"c{place}" in table.rows.columns and text.lower() not in PROVENANCE and (text or place == 0)
    ]
    if not any(one.text for one in headings):
        return NotRead("the headers are empty.")
    if UNCLEAR in table.facts or (mixed := mixed_days(table)):
        return NotRead(table.facts[UNCLEAR].text if UNCLEAR in table.facts else mixed)
    if _is_prose(table):
        return NotRead("it is a text in sentences and no table: type in what counts of it.")
    answers = options.of(fingerprint(table.header))
    facts = facts_of(table, answers)
    own = match_canonical([one for one in headings if one.text], table.source, table.sheet)
    if own is not None:
        iso = facts.get("date")
        return as_block(SheetShape("own", own), table, {"date": iso} if iso and iso.place == "answer" else {}, {}), []
    if not answers.columns and (unkept := touchdowns(table) or attendance(table)) is not None:
        return unkept
    of_sets = with_sets_counted(with_set_columns(with_keys(headings, table)), table.rows)
    counted = with_steps_counted(with_run_in(of_sets, table), table.rows)
    headings = as_told_by(with_counted_of_title(with_counted(counted, table), table), answers.columns)
    headings, seen = by_their_cells(without_doubted(with_side_trials(headings), table), table, known)
    headings = without_doubted_loads(flat_unsaid(headings, table), seen, table)
    headings = with_remarks(with_heights_of_jumps(headings, seen), seen)
    headings = [one for one in headings if one.text or one.names]
    facts |= {k: Fact(v, "header") for k, v in said_by_headings(headings).items() if k not in facts}
    headings = as_long_jumps(with_value_of_title(headings, table))
    facts = start_by_run_in(headings, table, facts)
    zero = [one for one in headings if one.gate_m == 0]
    told = [one for one in headings if one not in zero and one.names not in ((NOT_USED,), (OTHER,))]
    if zero and all(seen[one.place].most == 0 for one in zero):
        facts.setdefault("clock_start", Fact("first_gate", "header"))
    facts |= {k: fact for k, fact in jump_told(headings, table).items() if k not in facts}
    given = frozenset(facts)
    kept = _kept(table, answers, known)
    found = _found(told, table, seen, facts, answers, kept)
    others = [one for one in headings if one.names == (OTHER,)]
    if found is not None and found.match.main == "athlete" and kept != "athlete" and len(told) < len(headings):
        found = None  # what is not used makes no roster of the rest
    planned = planned_loads(found)
    found = None if planned or is_of_something_else(found, table, seen) else found
    found = found or _as_others(headings, others, seen, facts)
    if found is None and not is_trial:
        found = _as_unknown(headings, table, seen, facts)
    if found is not None and planned:
        found.match.ignored = planned  # whether they were done is the one thing that is asked
    if found is None:
        unused = [one.text for one in headings if one.names == (NOT_USED,)]
        return NotRead(_why_not(told, table, given, unused))
    found = with_phrases(found)
    if "exercise" in found.match.of("lift_set") and table.turned != "exercises":  # a number of one exercise
        others = [dataclasses.replace(one, at=(("of", "exercise"),)) for one in others]
    if "what" in found.match.of(OTHER) and found.shape == "others":  # the values are those of what the row names
        others = [dataclasses.replace(one, at=(("of", "what"),)) for one in others]
    found = dataclasses.replace(found, zero=zero, others=others, group=_group_of(found.match, facts))
    if found.match.main == "race_result" and not {"event"} & {*found.match.of("race_result"), *facts}:
        timed = found.match.of("race_result")["time_s"]
        facts["event"] = Fact(dict(timed.at)["event"], "header")
    if found.match.main == "athlete" and found.match.of("body_measure") and "date" not in facts:
        facts["date"] = Fact("", "answer")
    if not _is_of_one_run(found, table):
        facts.pop("rep_no", None)
    if "start_kind" in found.match.of("rep") or facts.get("start_kind", NO_FACT).text != "rolling":
        facts.pop("run_in_m", None)  # said of the flying runs among others
    if found.shape != "runs" and not (found.match.main in ("split", "rep") and not found.gates):
        facts.pop("distance_m", None)
    questions: list[Question] = []
    found, scaled = _with_scales(found, table, answers, seen)
    if not is_trial:
        questions += scaled
        if "date" in facts and not facts["date"].text:
            questions.append(about_day(table, found.match.main))
        names_groups = found.group is not None or "group" in facts
        is_told = answers.who is not None and (answers.who != GROUPS or names_groups)
        if "athlete_id" in facts and not facts["athlete_id"].text and not is_told:
            is_for_several = found.match.main in OF_SEVERAL
            group = facts.get("group") if is_for_several else None
            questions.append(about_who(table, found.group, group, seen, is_for_several=is_for_several))
        questions += about_columns(table, found, seen)
    return as_block(found, table, dict(facts), {}), questions


def _found(
    told: Sequence[Heading], table: TextTable, seen: dict[int, Evidence], facts: dict[str, Fact],
    answers: LayoutOptions, kept: str = "",
) -> SheetShape | None:  # fmt: skip
    """Return how a table is laid out, with its day or whose it is left to be asked where only that is missing.

    What is left to be asked is put into the facts.
    """
    given = frozenset(facts)
    found = shape_of(told, table, seen, given, kept)
    if found is None and "date" not in given:
        found = shape_of(told, table, seen, given | {"date"}, kept)
        if found is not None:
            facts["date"] = Fact("", "answer")
    if found is not None or "athlete_id" in given:
        return found
    more = given | {"athlete_id"} | ({"date"} if "date" not in given else set())
    found = shape_of(told, table, seen, given | {"athlete_id"}, kept) or shape_of(told, table, seen, more, kept)
    if found is None:
        return None
    is_dated = has_day(found.match) or "date" in given
    if found.match.main in ("session", "plan") and is_dated:
        facts["athlete_id"] = Fact(answers.one_person, "answer")
    elif is_dated and _is_first_name(table.sheet):
        facts["athlete_id"] = Fact(table.sheet, "sheet name")  # whose it is is asked where the roster is not sure
    elif is_dated and found.match.main not in ("athlete", "exercise"):
        facts["athlete_id"] = Fact(answers.one_person, "answer")
    else:
        return None
    return found


def _kept(table: TextTable, answers: LayoutOptions, known: frozenset[str]) -> str:
    """Return the table a sheet is of without what was answered of its columns; "" where that was not understood.

    An answer says what one column is, and never turns a sheet of check-ins into one of sessions.
    """
    if not any(answers.columns.get(text) for text in table.header):
        return ""
    said = propose(table, dataclasses.replace(answers, columns={}, layouts={}), known, is_trial=True)
    return "" if isinstance(said, NotRead) or said[0].shape == "others" else said[0].table


def _is_of_one_run(found: SheetShape, table: TextTable) -> bool:
    """Return whether a run that a title names can be the one of all rows: steps, each of them once for an athlete."""
    match = found.match
    if any(column == "rep_no" for _, column in match.columns):
        return False
    if found.shape == "measures" or (found.shape == "numbered" and found.numbered_table == "step"):
        whose = [one for one in (match.of("rep").get("athlete_id"), found.named_by) if one is not None]
    elif match.main == "step" and "step_no" in match.of("step"):
        whose = [one for name, one in match.of("step").items() if name in ("athlete_id", "step_no")]
    else:
        return False
    places = [f"c{one.place}" for one in whose]
    return not places or not table.rows.select(pl.struct(places).is_duplicated().any()).item()


def _as_others(
    headings: Sequence[Heading], others: Sequence[Heading], seen: dict[int, Evidence], facts: dict[str, Fact]
) -> SheetShape | None:
    """Return a sheet of people, days and numbers that no table has: each is asked about, and kept if wished."""
    own = [one for one in headings if set(one.names) & PERSON_OR_DAY or (one.is_told and one.names == ("what",))]
    match = assign(OTHER, (OTHER,), own, given=frozenset(facts))
    has_day = "date" in facts or (OTHER, "measured_on") in match.columns
    open_ = [
        one for one in headings
        if set(one.names) <= {"test"} and not one.loose and one.text and one.place in seen
        and seen[one.place].numbers >= HALF and one.gate_m is None
    ]  # fmt: skip
    if not match.has_athlete or not has_day or not (open_ or others):
        return None
    match.ignored += _not_taken(headings, match, seen) if open_ else open_
    return SheetShape("others", match)


def _as_unknown(
    headings: Sequence[Heading], table: TextTable, seen: dict[int, Evidence], facts: dict[str, Fact]
) -> SheetShape | None:
    """Return a sheet of which people or days are understood and what was measured is not: its columns are asked about.

    None where neither is understood: a legend, a letter, a page of formulas asks nothing.
    """
    known = {name for one in headings for name in one.names} | {name for name in facts if facts[name].text}
    is_short = table.rows.height < FEWEST_ASKED and table.turned != "notes"
    match = assign(OTHER, (OTHER,), [one for one in headings if set(one.names) & PERSON_OR_DAY], given=frozenset())
    open_ = _not_taken(headings, match, seen)
    is_told_off = any(one.names == (NOT_USED,) for one in headings) and not any(
        seen[one.place].numbers >= HALF or one.is_told for one in open_
    )  # what was measured is said to be of no use, and remarks are left
    if is_short or not open_ or not known & PERSON_OR_DAY or is_told_off:
        return None
    match.ignored += open_
    return SheetShape("others", match)


def _not_taken(headings: Sequence[Heading], match: Match, seen: dict[int, Evidence]) -> list[Heading]:
    """Return the filled columns of a sheet that nothing is taken from, but those of which just that was said."""
    taken = [*match.columns.values(), *match.ignored, match.first_name, match.last_name, match.name_particle]
    places = {one.place for one in taken if one is not None}
    return [
        one for one in headings
        if one.place not in places and one.text and one.names not in ((NOT_USED,), (OTHER,))
        and one.place in seen and not seen[one.place].is_empty
    ]  # fmt: skip


def _group_of(match: Match, facts: dict[str, Fact]) -> Heading | None:
    """Return the column that says for which group a row is, where no column says whose it is; else take out what names
    say of groups.
    """
    asked = facts.get("athlete_id")
    if asked is None or asked.text:
        facts.pop("group", None)
        return None
    found = next(
        (one for one in match.ignored if set(spellings().get(fold(one.text), ())) & {"event_group", "squad"}), None
    )
    if found is not None:
        match.ignored.remove(found)
        facts.pop("group", None)
    return found


def _is_prose(table: TextTable) -> bool:
    """Return whether a file is a text in sentences, cut at its commas."""
    if table.sheet or table.rows.height > LONGEST_TEXT:
        return False
    cells = [cell for row in table.rows.drop("_line").head(SAMPLE_ROWS).iter_rows() for cell in row if cell]
    wordy = sum(1 for cell in [*table.header, *cells] if len(cell.split()) >= WORDY)
    return bool(cells) and wordy >= 0.4 * len([*(h for h in table.header if h), *cells]) and not any(
        read_heading(0, text).names for text in table.header if text and len(text.split()) < WORDY
    )  # fmt: skip


def facts_of(table: TextTable, answers: LayoutOptions) -> dict[str, Fact]:
    """Return what file name, sheet name and titles say of all rows, what was answered on top of them."""
    stem = re.sub(r"\.[A-Za-z0-9]{1,5}$", "", table.source.rsplit("/", maxsplit=1)[-1])
    titles = [" ".join(cell for cell in cells if cell) for _, cells in reversed(table.titles)]
    whose = group_and_sex([*((text, "title") for text in titles), (table.sheet, "sheet name")])
    facts = {**said_by_file(stem, table.sheet), **said_by(table.sheet, "sheet name"), **whose, **table.facts}
    for text in (*titles, table.sheet, stem):
        if (hurdles := hurdles_in(text)) is not None:  # no run over so many metres of the flat
            facts["event"] = Fact(hurdles, "title")
            break
        distances = distances_in(text)
        if len(distances) == 1:
            facts.setdefault("distance_m", Fact(distances[0], "title"))
            break
    group = next((word for text in (*titles, table.sheet, stem) if (word := group_inside(text))), "")
    if group or (table.sheet and looks_like_name(table.sheet) and fold(table.sheet) not in PLAIN_TABS):
        facts["group"] = Fact(group or table.sheet, "title" if group else "sheet name")
    if "athlete_id" not in facts and _is_person(table.sheet):
        facts["athlete_id"] = Fact(table.sheet, "sheet name")
    if facts.get("start_kind", NO_FACT).text == "rolling" and facts.get("clock_start", NO_FACT).text in OF_A_START:
        del facts["clock_start"]  # said of the runs from the start beside them
    said = bool(facts.get("date", Fact("", "")).text) or any(
        "date" in read_heading(0, text).names for text in table.header
    )
    if day := day_answered(table, answers, says_day=said):
        facts["date"] = Fact(day, "answer")
    return facts


def _is_person(sheet: str) -> bool:
    words = sheet.split()
    return looks_like_name(sheet) and len(words) >= 2 and all(word[0].isupper() for word in words) and not any(
        read_heading(0, text).names for text in (sheet, *words)
    )  # fmt: skip


def _is_first_name(sheet: str) -> bool:
    """Return whether a tab may be named by one word for a person: a first name, a nickname; no word of the trade."""
    heading, said = read_heading(0, sheet), fold(sheet)
    is_word = bool(heading.names or heading.loose) or said in PLAIN_TABS or is_weekday(sheet)
    named = (read_test(0, sheet), kind_of(sheet), group_of(sheet), month_of(sheet))
    return len(sheet.split()) == 1 and looks_like_name(sheet) and not is_word and all(one is None for one in named)


def _with_scales(
    found: SheetShape, table: TextTable, answers: LayoutOptions, seen: dict[int, Evidence]
) -> tuple[SheetShape, list[Question]]:
    """Give ratings their scale: the one answered, else the one that header, title or a sister column says; or ask."""
    rated = {key: one for key, one in found.match.columns.items() if key[1] in scales.RATED and not one.is_exact}
    rated |= {key: one for key, one in found.match.columns.items() if key[1] in scales.RATED and one.is_exact}
    if not rated:
        return found, []
    titles = " ".join(scales.without_days(cell) for _, cells in table.titles for cell in cells if cell)
    said = {key: scales.read_scale(one.text, key[1], titles) for key, one in rated.items()}
    told = [scales.with_sisters(one, list(said.values())) for one in said.values()]
    said = {key: scales.open_beside(one, told) for key, one in zip(said, told, strict=True)}
    questions = []
    for key, one in rated.items():
        cells = seen.get(one.place)
        answer = answers.scales.get(one.text)
        scale = as_scale(answer) if answer else said[key].scale
        if scale is None and key[1] in scales.EFFORTS and cells is not None and _is_of_ten(one, cells):
            scale = Scale(0, 10, "high")
        if cells is not None:
            questions += about_words(table, one, key[1], cells, answers)
        only_words = cells is not None and cells.words >= 0.95 and cells.filled > 0
        if scale is None and not only_words and cells is not None and cells.filled:
            questions.append(about_scale(table, one, said[key], cells))
        found.match.columns[key] = dataclasses.replace(one, scale=scale, is_exact=False)
    return found, questions


def _is_of_ten(one: Heading, cells: Evidence) -> bool:
    """Return whether efforts can only be of a scale of ten: written '7/10', or rising above 5 and beginning below 6."""
    words = set(fold(one.text).split())
    if cells.of_ten > 0.5 or words & {"cr10", "srpe"} or scales.said_in(one.text, "high").most == 10:
        return True
    low, high = EFFORT_OF_TEN
    return low < cells.most <= high and cells.least < LEAST_BORG


def as_scale(told: str) -> Scale | None:
    """Return a scale from an answer: '1 to 5, 5 is good'; None where it is none."""
    match = re.fullmatch(
        r"\s*(-?\d+(?:\.\d+)?)\s*(?:to|-|bis)\s*(-?\d+(?:\.\d+)?)\s*,?\s*(-?\d+(?:\.\d+)?)\s*(?:is good)?\s*", told
    )
    if match is None or float(match[1]) >= float(match[2]) or float(match[3]) not in (float(match[1]), float(match[2])):
        return None
    return Scale(float(match[1]), float(match[2]), "high" if float(match[3]) == float(match[2]) else "low")


def table_title(table: str) -> str:
    """Return the name of a table as a coach would say it."""
    from schemas.records import RECORDS

    return str((RECORDS[table].Config.metadata or {}).get("title", table)).lower()


def _why_not(headings: Sequence[Heading], table: TextTable, given: frozenset[str], unused: Sequence[str]) -> str:
    """Say what a table lacks to be understood."""
    if unused:
        return f"nothing is taken from {', '.join(repr(text) for text in unused)}, as was said, and it holds no more."
    gates = match_gates(list(headings), given=given)
    rest = [one for one in headings if one.gate_m is None and one.number is None]
    long = match_long(rest, table.source, table.sheet, given=given)
    tried = gates[0] if gates is not None else long[0] if isinstance(long, list) and long else None
    if tried is None:
        shown = ", ".join(f"'{text}'" for text in table.header[:8])
        return f"the headers {shown} do not say what the table holds."
    missing = ", ".join(tried.missing())
    return f"it looks like {table_title(tried.main)}, but no header names {missing or 'a value'}."
