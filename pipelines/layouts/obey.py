"""A reading obeyed: the cells of a plain table moved under the columns of the record. Nothing is decided here."""

import dataclasses
from collections.abc import Sequence
from typing import Literal

import polars as pl

from pipelines.cells.dates import SEASON, Year, orders_told
from pipelines.layouts.reading.jumps_told import jump_named
from pipelines.layouts.reading.propose import facts_of
from pipelines.layouts.rows.not_done import not_done
from pipelines.layouts.rows.parts import PartMaker, Source
from pipelines.layouts.rows.places import placed_of
from pipelines.layouts.rows.sheet_shape import SheetShape, from_block
from pipelines.layouts.rows.side_by_side import MEASURES, Measures, Runs, measure_parts, run_parts
from pipelines.layouts.rows.wide import numbered_parts, outcome_of, race_outcome_of, wide_parts
from pipelines.layouts.sheets.season import season_in
from pipelines.layouts.words.by_hand import is_short_for_hand, time_by_hand
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.lines import named_lines
from pipelines.layouts.words.match import Match, targets_of
from pipelines.layouts.words.said import days_written, find_year
from pipelines.layouts.words.titled import full_name, texts_of
from pipelines.layouts.words.told_units import with_told_units
from schemas.intake import NAMED_SCHEMA, Cells, LaidOut, LayoutOptions, Part, Question, TextTable, fingerprint
from schemas.reading import Block, Fact
from schemas.shape import table_shape
from schemas.spelling import fold

# Words of headers in languages that write the day first, and English ones; common practice, no source.
DAY_FIRST_WORDS = {
    "datum", "lauf", "zeit", "schlaf", "dauer", "anstrengung", "kraft", "ubung", "satze", "gewicht", "tag",
    "muskelkater",
    "einheit", "strecke", "prenom", "nom", "depart", "essai", "duree", "seance", "temps", "poids", "sommeil",
    "observations",
    "fecha", "atleta", "nombre", "salida", "tipo", "duracion", "esfuerzo", "peso", "tiempo", "prueba", "sueno", "marca",
    "giorno", "nome", "stanchezza", "sonno", "indolenzimento", "durata", "sforzo", "namn", "dag", "tid", "lopp", "vikt",
    "jour", "athlet", "sportler", "data", "geburtsdatum", "geschlecht", "naissance", "dormido", "cansancio", "agujetas",
    "courbatures", "ejercicio", "series", "charge", "exercice", "carga", "naam", "gewichten", "tijd", "afstand",
    "minuten", "slaap", "vermoeidheid", "spierpijn", "oefening", "opmerking",
    "opmerkingen", "atleet", "voornaam", "achternaam", "geboortedatum", "duur", "zwaarte", "herhalingen",
}  # fmt: skip
ENGLISH_WORDS = {
    "day",
    "time",
    "run",
    "sleep",
    "duration",
    "minutes",
    "weight",
    "mood",
    "soreness",
    "notes",
    "load",
    "exercise",
    "trial",
    "event",
    "mark",
    "the",
    "your",
    "how",
    "timestamp",
    "lift",
    "who",
    "tired",
    "height",
}
SHOWN_CELLS = 3  # of a column without a heading
SHOWN_TITLES = 2  # nearest above a table, quoted where it is asked about
SAID = ("title", "sheet name", "file name", "line above", "row above", "header")  # facts that each file says anew


def obey(table: TextTable, block: Block, options: LayoutOptions, questions: Sequence[Question] = ()) -> LaidOut:
    """Move the cells of a plain table to record tables as a block of a reading says."""
    answers = options.of(fingerprint(table.header))
    sheet = from_block(block)
    facts = _facts(table, block, answers)
    sheet = dataclasses.replace(sheet, match=dataclasses.replace(sheet.match, given=frozenset(facts)))
    rows, facts = _by_hand(table, sheet, facts, answers)
    maker = PartMaker(rows, sheet.match, facts, sheet.phrased, answers.words)
    named = _named(table, sheet)
    if sheet.shape == "others" and not sheet.others:
        named = _unsaid(table, named)
    parts = _parts(maker, sheet, table)
    if sheet.tests and sheet.shape != "long":
        parts += _test_parts(maker, sheet.tests)
    parts += [
        _other_part(maker, one, full_name(one.text, table), is_once=table.turned == "exercises")
        for one in sheet.others
    ]  # fmt: skip
    parts = with_told_units(parts, table)
    if "from_m" in {column for _, column in sheet.match.columns} and not answers.split_times:
        answers = dataclasses.replace(answers, split_times=_way_of(table, sheet.match))
    told = orders_told(slashed_days(table)) if table.turned == "notes" else set()
    if len(told) == 1:  # the days of a text are looked at together, though its runs are several tables
        answers = dataclasses.replace(answers, date_order=told.copy().pop())
    elif not answers.date_order and not told and speaks_day_first(table.header):
        answers = dataclasses.replace(answers, date_order="day")
    return LaidOut(
        source=table.source,
        sheet=table.sheet,
        header=table.header,
        rows=table.rows,
        parts=[part for part in parts if part.cells],
        named=named,
        options=answers,
        is_canonical=block.shape == "own",
        day_zero=table.day_zero,
        ignored=[one.text for one in sheet.match.ignored],
        unheaded=_unheaded(table, parts, sheet),
        block=block,
        asked=tuple(questions),
        facts=facts,
        year=table_year(table, facts),
        titles=tuple(text for _, cells in table.titles[-SHOWN_TITLES:] if (text := " / ".join(filter(None, cells)))),
        group_column=f"c{sheet.group.place}" if sheet.group is not None else "",
        days_differ=len(told) > 1,
    )


def _unheaded(table: TextTable, parts: Sequence[Part], sheet: SheetShape) -> tuple[str, ...]:
    """Return the columns with cells and without a heading that nothing is taken from, as a person would find them."""
    match = sheet.match
    said = (sheet.group, match.first_name, match.last_name, match.name_particle, *match.columns.values(),
            *match.ignored, *sheet.phrased.values())  # fmt: skip
    used = {cells.origin for part in parts for cells in part.cells.values()}
    used |= {f"c{one.place}" for one in said if one is not None}
    found = []
    for place, name in enumerate(f"c{n}" for n in range(len(table.rows.columns))):
        is_headed = place < len(table.header) and bool(table.header[place])
        if is_headed or name in used or name not in table.rows.columns:
            continue
        cells = [cell.strip() for cell in table.rows[name].drop_nulls() if cell.strip()]
        if cells:
            beside = next((text for text in reversed(table.header[:place]) if text), "")
            where = f"right of '{beside}'" if beside else "at the left"
            found.append(f"{where}, which holds {', '.join(map(repr, dict.fromkeys(cells[:SHOWN_CELLS])))}")
    return tuple(found)


def slashed_days(table: TextTable) -> list[str]:
    """Return the days that the lines of a text write with slashes or hyphens; '1.05.20' may be a time."""
    return [day for _, text in table.written for day in days_written(text) if "/" in day or "-" in day]


def speaks_day_first(header: Sequence[str]) -> bool:
    """Return whether headers are in a language whose dates never put the month first: two words of it and none
    English.
    """
    words = {word for text in header for word in fold(text).split()}
    return len(words & DAY_FIRST_WORDS) >= 2 and not words & ENGLISH_WORDS


def table_year(table: TextTable, facts: dict[str, Fact]) -> Year:
    """Return the one year that titles, sheet and file name give, for days without one; else the one season."""
    titles = [" ".join(cell for cell in cells if cell) for _, cells in table.titles]
    year = find_year([*titles, table.sheet, table.source])
    season = season_in(texts_of(table)) if year is None else None
    return year if season is None else f"{SEASON}{season}"


def _facts(table: TextTable, block: Block, answers: LayoutOptions) -> dict[str, Fact]:
    """Return the facts of a block: what titles and names say is read from this file, the rest stands in the reading."""
    now = facts_of(table, answers) if any(fact.place in (*SAID, "answer") for fact in block.facts.values()) else {}
    if "test" in block.facts and "test" not in now and (jump := jump_named(table)) is not None:
        now["test"] = Fact(jump, "title")
    made: dict[str, Fact] = {}
    for name, fact in block.facts.items():
        if fact.place == "header" or (fact.place not in SAID and fact.text):
            made[name] = fact
        elif name in now:
            made[name] = now[name]
        elif name == "athlete_id" and fact.place == "sheet name":
            made[name] = Fact(table.sheet, fact.place)
        else:
            made[name] = Fact("", "answer") if name in ("date", "athlete_id") else fact
    if "athlete_id" in made and not made["athlete_id"].text:
        made["athlete_id"] = Fact(answers.one_person, "answer")
    return {name: fact for name, fact in made.items() if fact.text or name in ("date", "athlete_id")}


def _by_hand(
    table: TextTable, sheet: SheetShape, facts: dict[str, Fact], answers: LayoutOptions
) -> tuple[pl.DataFrame, dict[str, Fact]]:
    """Return rows whose times are all marked by hand ('3,8h') without the marks, and that all of them were.

    A sheet in which only some are marked keeps its marks: those are told, one by one. One that was timed by hand, as
    its title or an answer says, has no others.
    """
    rows = table.rows
    times = [*sheet.gates, *(one for some in sheet.runs.values() for one in some)]
    times += [one for column, one in sheet.match.of("split").items() if column == "elapsed_s"]
    names = [f"c{one.place}" for one in times if f"c{one.place}" in rows.columns]
    said = facts.get("timing_kind") or (Fact("hand", "answer") if answers.timing_kind == "hand" else None)
    if not names or ("rep", "timing_kind") in sheet.match.columns or "timing_kind" in sheet.phrased:
        return rows, facts
    if said is not None and said.text != "hand":
        return rows, facts
    cells = pl.concat([rows[name].alias("cell").unique(maintain_order=True) for name in names]).drop_nulls()
    if not cells.str.contains(r"\d\s*\(?[^\W\d]").any():
        return rows, facts
    timed = cells.filter(cells.str.contains(r"\d")).unique(maintain_order=True)
    is_short = is_short_for_hand(table.header)
    marked = {text: time for text in timed if (time := time_by_hand(text, is_short=is_short)) is not None}
    if not marked or not (len(marked) == timed.len() or said is not None):
        return rows, facts
    plain = [pl.col(name).replace(marked) for name in names]
    return rows.with_columns(plain), {**facts, "timing_kind": Fact("hand", "title")}


def _parts(maker: PartMaker, sheet: SheetShape, table: TextTable) -> list[Part]:
    match = sheet.match
    if sheet.shape == "measures" and sheet.named_by is not None:
        place = f"c{sheet.named_by.place}"
        texts = table.rows[place].drop_nulls().unique(maintain_order=True).to_list()
        read = {text: read_heading(sheet.named_by.place, text) for text in texts}
        known = {text: one for text, one in read.items() if set(one.names) & set(MEASURES)}
        return measure_parts(maker, Measures(match, sheet.named_by, known, dict(sorted(sheet.steps.items()))))
    if sheet.shape == "runs":
        return run_parts(maker, Runs(match, dict(sorted(sheet.runs.items())), sheet.distance, dict(sheet.beside)))
    if sheet.shape == "gates":
        return wide_parts(maker, sheet.gates, dict(sorted(sheet.numbered.items())))
    if sheet.shape == "numbered":
        numbered = {number: dict(columns) for number, columns in sorted(sheet.numbered.items())}
        return numbered_parts(maker, match, sheet.numbered_table, numbered)
    if sheet.shape in ("tests", "others"):  # their values are parts of their own
        return maker.implied(["body_measure"]) if sheet.shape == "tests" else []
    return _long_parts(maker, match)


def _long_parts(maker: PartMaker, match: Match) -> list[Part]:
    time = match.of("split").get("elapsed_s") if match.main == "split" else None
    ended = outcome_of(maker, [f"c{time.place}"]) if time is not None else {}
    implied = maker.implied(targets_of(table_shape(match.main))[1:], {"rep": ended})
    if match.main == "lift_set":
        return [*maker.lift_sets(), *implied]
    said = race_outcome_of(maker) if match.main == "race_result" else {}
    said |= placed_of(maker, said) if match.main == "race_result" else {}
    return [maker.make(match.main, {**maker.values(match.main), **said}), *implied]


def _test_parts(maker: PartMaker, tests: Sequence[Heading]) -> list[Part]:
    """Return a part for each column of a test: 'CMJ (cm)', 'Ecc ham L (N)'; columns of one test are one row.

    Two columns that give the same of one test ('Standing LJ', 'SBJ') are two trials of it.
    """
    groups: dict[tuple[str, tuple[tuple[str, str], ...], int | None, int], list[Heading]] = {}
    for one in tests:
        table = "force_test" if one.names[0] == "peak_force_n" else "jump_test"
        again = 0
        while any(other.names[0] == one.names[0] for other in groups.get((table, one.at, one.number, again), [])):
            again += 1
        groups.setdefault((table, one.at, one.number, again), []).append(one)
    parts = []
    counted = {table for table, _, number, _ in groups if number is not None}
    numbered = {(table, at) for table, at, number, _ in groups if number is not None}
    for (table, at, number, again), some in groups.items():
        said = {name: Source(pl.lit(word), Cells(some[0].text, "", None, True)) for name, word in at}
        if table == "force_test" and "side" not in said:  # a column of sides says which, else it is of both
            side = maker.match.of(table).get("side")
            both = Source(pl.lit("both"), Cells(some[0].text, "", None, True))
            said["side"] = maker.of(side, "side") if side is not None else both
        is_counted = number is not None or table in counted
        if is_counted and not again:  # one beside counted ones is the only one of its kind
            said["trial_no"] = Source(pl.lit(str(number or 1)), Cells("trial_no", "", None, True))
        elif is_counted and number is None and (table, at) not in numbered:  # two 'CMJ' beside 'jump 1', 'jump 2'
            said["trial_no"] = Source(pl.lit(str(1 + again)), Cells("trial_no", "", None, True))
        values = {one.names[0]: maker.of(one, one.names[0]) for one in some}
        parts.append(maker.make(table, {**said, **values}, is_main=False))
    return parts


def _other_part(maker: PartMaker, one: Heading, full: str, *, is_once: bool) -> Part:
    """Return the part of a column that no table has: its header is what was measured, ``full`` with the title where
    the header alone does not say it.

    ``is_once`` says that a line of the source became several rows, of which each repeats the cell: it counts once.
    """
    told = dict(one.at).get("of", "")
    of = maker.match.of("lift_set").get(told) or maker.match.of("other_measure").get(told)
    name: pl.Expr = pl.lit(full)
    if of is not None:  # 'e1RM: Back squat'
        name = pl.concat_str(pl.lit(f"{one.text}: "), pl.col(f"c{of.place}").str.strip_chars())
    what = Source(name, Cells(one.text, "", None, True))
    cell = pl.col(f"c{one.place}")
    if is_once:
        cell = pl.when(pl.int_range(pl.len()).over("_line") == 0).then(cell)
    said = {"what": what, "value": Source(cell, Cells(one.text, f"c{one.place}"))}
    if one.unit:
        said["unit"] = Source(pl.when(cell.is_not_null()).then(pl.lit(one.unit)), Cells(one.text, ""))
    return maker.make("other_measure", said, is_main=False)


def _way_of(table: TextTable, match: Match) -> Literal["cumulative", "segment"]:
    """Return whether times with the place they are counted from are since the start or for each stretch."""
    column = next(one for (_, name), one in match.columns.items() if name == "from_m")
    starts = table.rows[f"c{column.place}"].drop_nulls().str.replace(",", ".").str.extract(r"(\d+(?:\.\d+)?)")
    return "segment" if bool((starts.cast(pl.Float64, strict=False) > 0).any()) else "cumulative"


def _named(table: TextTable, sheet: SheetShape) -> pl.DataFrame:
    match = sheet.match
    name: Heading | None = match.first_name or match.of(match.main).get("athlete_id")
    name = name or match.of(match.main).get("display_name")
    named = named_lines(
        table.rows,
        table.header,
        f"c{name.place}" if name is not None else None,
        is_text_file=not table.sheet and not table.first_column and not table.turned,
        needs_more=match.main != "athlete",
    )
    start = _starts(table, match)
    more = [not_done(table, match), *([] if start is None else [start])]
    return pl.concat([named, *more]).unique("_row", keep="first", maintain_order=True)


def _unsaid(table: TextTable, named: pl.DataFrame) -> pl.DataFrame:
    """Return all rows of a table as waiting for what its columns are."""
    why = "what its columns hold is not said yet. Row set aside. Answer what they are, or that they are not used."
    rows = table.rows.with_row_index("_row").select(
        "_row", column=pl.lit(""), value=pl.lit(None, pl.String), reason=pl.lit(why)
    )
    return pl.concat([named, rows.cast(NAMED_SCHEMA)]).unique("_row", keep="first", maintain_order=True)  # type: ignore[arg-type]


def _starts(table: TextTable, match: Match) -> pl.DataFrame | None:
    """Return the rows of a long sheet that are the gate at 0 m at 0 s: there the clock starts, and nothing is
    measured.
    """
    of = match.of("split")
    if match.main != "split" or "distance_m" not in of or "elapsed_s" not in of:
        return None
    zero = r"^0+(?:[.,]0*)?\s*(?:m|s)?$"
    both = [pl.col(f"c{of[name].place}").str.contains(zero).fill_null(False) for name in ("distance_m", "elapsed_s")]
    rows = table.rows.with_row_index("_row").filter(pl.all_horizontal(both))
    if rows.is_empty():
        return None
    why = "this is the gate at 0 m, where the clock starts: nothing is measured there. Row set aside. Nothing to do."
    return rows.select(
        "_row", column=pl.lit(of["elapsed_s"].text), value=pl.col(f"c{of['elapsed_s'].place}"), reason=pl.lit(why)
    ).cast(NAMED_SCHEMA)  # type: ignore[arg-type]
