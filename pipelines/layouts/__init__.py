"""Layouts: text cells moved under the columns of the record, from whatever shape the file has."""

import dataclasses
import re

import polars as pl

from pipelines.errors import NotUnderstood
from pipelines.layouts.header_rows import settle
from pipelines.layouts.headings import Heading, read_heading
from pipelines.layouts.lines import named_lines
from pipelines.layouts.match import (
    PROVENANCE,
    Match,
    match_canonical,
    match_long,
    targets_of,
)
from pipelines.layouts.parts import PartMaker
from pipelines.layouts.sets import is_set_texts
from pipelines.layouts.side_by_side import match_measures, match_runs, measure_parts, run_parts
from pipelines.layouts.wide import match_gates, match_numbered, numbered_parts, outcome_of, race_outcome_of, wide_parts
from schemas.intake import Cells, LaidOut, LayoutOptions, Part, TextTable, fingerprint
from schemas.shape import table_shape

__all__ = ["Cells", "LaidOut", "LayoutOptions", "NotUnderstood", "Part", "lay_out", "settled"]

ISO_DAY = re.compile(r"(?<!\d)((?:19|20)\d\d-\d\d-\d\d)(?!\d)")


def lay_out(table: TextTable, options: LayoutOptions | None = None) -> LaidOut:
    """Move the cells of a table to record tables, by its headers.

    First the record's own column names; then sheets with a column for each gate, step or set; then long tables in free
    spelling. Where the header is not understood, one of the next rows may be it (titles stood above).

    Raises:
        NotUnderstood: The headers do not say what the table holds; the message says what is missing.
    """
    options = options or LayoutOptions()
    laid = _try(settled(table), options)
    if isinstance(laid, LaidOut):
        return laid
    raise NotUnderstood(
        table.source, laid, "Give the columns headers of the template, or name the unknown ones.", table.sheet
    )


def settled(table: TextTable) -> TextTable:
    """Return the table with the header it is understood by: a single row, two rows, or a row below titles."""
    return settle(table, lambda one: _try(one, LayoutOptions()))


def _try(table: TextTable, options: LayoutOptions) -> LaidOut | str:  # noqa: PLR0911 - one for each layout
    """Lay a table out by its header row; a sentence saying why not where that fails."""
    headings = [
        read_heading(place, text)
        for place, text in enumerate(table.header)
        if text and text.lower() not in PROVENANCE and f"c{place}" in table.rows.columns
    ]
    if not headings:
        return "the headers are empty."
    headings = by_their_cells(headings, table.rows)
    day = ISO_DAY.search(table.sheet) or ISO_DAY.search(table.source)
    date_text = day[1] if day else None
    match = match_canonical(headings, table.source, table.sheet)
    if match is not None:
        return _finish(table, options, match, _long_parts(table, match, None), is_canonical=True)
    measures = match_measures(headings, table.rows, has_date=date_text is not None)
    if measures is not None and not measures.match.missing():
        return _finish(
            table, options, measures.match, measure_parts(PartMaker(table.rows, measures.match, date_text), measures)
        )
    runs = match_runs(headings, has_date=date_text is not None)
    if runs is not None and not runs.match.missing():
        return _finish(table, options, runs.match, run_parts(PartMaker(table.rows, runs.match, date_text), runs))
    gates = match_gates(headings, has_date=date_text is not None)
    if gates is not None and not gates[0].missing():
        parts = wide_parts(PartMaker(table.rows, gates[0], date_text), gates[1], gates[2])
        return _finish(table, options, gates[0], parts)
    numbered = match_numbered(headings, has_date=date_text is not None)
    if numbered is not None and not numbered[0].missing():
        parts = numbered_parts(PartMaker(table.rows, numbered[0], date_text), *numbered)
        return _finish(table, options, numbered[0], parts)
    plain = [heading for heading in headings if heading.gate_m is None and heading.number is None]
    long = match_long(plain, table.source, table.sheet, has_date=date_text is not None)
    if isinstance(long, Match):
        return _finish(table, options, long, _long_parts(table, long, date_text))
    tried = gates[0] if gates is not None else numbered[0] if numbered is not None else long[0] if long else None
    if tried is None:
        shown = ", ".join(f"'{text}'" for text in table.header[:8])
        return f"the headers {shown} do not say what the table holds."
    missing = ", ".join(tried.missing())
    return f"it looks like {table_title(tried.main)}, but no header names {missing or 'a value'}."


def by_their_cells(headings: list[Heading], rows: pl.DataFrame) -> list[Heading]:
    """Take a column whose cells say '3x5 @ 100 kg' for the sets of a gym log, whatever stands above it."""
    if any("set_text" in one.names for one in headings):
        return headings
    free = [
        one for one in headings
        if one.number is None and one.gate_m is None and (not one.names or one.names[0] == "set_count")
    ]  # fmt: skip
    found = next((one for one in free if is_set_texts(rows[f"c{one.place}"])), None)
    return [dataclasses.replace(one, names=("set_text",)) if one is found else one for one in headings]


def table_title(table: str) -> str:
    """Return the name of a table as a coach would say it."""
    from schemas.records import RECORDS

    return str((RECORDS[table].Config.metadata or {}).get("title", table)).lower()


def _long_parts(table: TextTable, match: Match, date_text: str | None) -> list[Part]:
    maker = PartMaker(table.rows, match, date_text)
    time = match.of("split").get("elapsed_s") if match.main == "split" else None
    ended = outcome_of(maker, [f"c{time.place}"]) if time is not None else {}
    implied = maker.implied(targets_of(table_shape(match.main))[1:], {"rep": ended})
    if match.main == "lift_set":
        return [*maker.lift_sets(), *implied]
    ended_race = race_outcome_of(maker) if match.main == "race_result" else {}
    return [maker.make(match.main, {**maker.values(match.main), **ended_race}), *implied]


def _finish(
    table: TextTable, options: LayoutOptions, match: Match, parts: list[Part], *, is_canonical: bool = False
) -> LaidOut:
    name: Heading | None = match.first_name or match.of(match.main).get("athlete_id")
    name = name or match.of(match.main).get("display_name")
    named = named_lines(
        table.rows,
        table.header,
        f"c{name.place}" if name is not None else None,
        is_text_file=not table.sheet,
        needs_more=match.main != "athlete",
    )
    return LaidOut(
        source=table.source,
        sheet=table.sheet,
        header=table.header,
        rows=table.rows,
        parts=parts,
        named=named,
        options=options.of(fingerprint(table.header)),
        is_canonical=is_canonical,
        day_zero=table.day_zero,
        ignored=[heading.text for heading in match.ignored],
    )
