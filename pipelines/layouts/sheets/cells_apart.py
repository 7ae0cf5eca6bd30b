"""Cells that hold two things of a run, race or set, made columns: '11.92 (+0.8)', '4.28 - 4.31', '3x5 @ 80 RPE 8'."""

import dataclasses
import re
from collections.abc import Callable, Sequence

import polars as pl

from pipelines.layouts.sheets.blocks import heads
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.sets import holds_sets
from schemas.intake import TextTable

MOST_ROWS, MOST = 20_000, 0.6  # own choice: the share of the cells that must be of the form
TIME = r"(?:\d{1,2}:)?\d{1,3}[.,]\d{1,3}"
# A wind has its sign; one against the runner stands in brackets: '4.2 - 4.3' are two times
BLOWN = re.compile(
    rf"({TIME}\s*[a-zA-Z]{{0,3}})(?:\s*[(\[]\s*(?:w(?:ind)?\s*:?\s*)?([+-]\d{{1,2}}[.,]\d)\s*(?:m/s)?\s*w?\s*[)\]]"
    r"|\s*[,;/]?\s*(?:w(?:ind)?\s*:?\s*)?(\+\d{1,2}[.,]\d)\s*(?:m/s)?\s*w?)",
    re.I,
)
UNBLOWN = re.compile(rf"{TIME}\s*[a-zA-Z]{{0,3}}|[A-Za-z]{{2,4}}")  # a time, or DNS, among them
EFFORT = re.compile(r"(.*\d.*?)[\s,;(@–-]*\bRPE\s*[:=]?\s*(\d{1,2}(?:[.,]5)?)\s*\)?", re.I)
TRIALS = re.compile(rf"({TIME})\s+[-–]\s+(?={TIME})")
LISTED = re.compile(rf"{TIME}(?:\s+[-–]\s+{TIME})+")


def cells_apart(table: TextTable) -> TextTable:
    """Return a table in which a wind behind a time, an effort behind sets, and times with dashes between are columns
    of their own. Left alone where a column says the same, or where fewer than six of ten cells are of the form.
    """
    if not 0 < table.rows.height <= MOST_ROWS:
        return table
    return _trials_apart(_effort_apart(_wind_apart(table)))


def _wind_apart(table: TextTable) -> TextTable:
    def of_race(text: str) -> tuple[str, str | None] | None:
        if (found := BLOWN.fullmatch(text)) is not None:
            return found[1].strip(), found[2] or found[3]
        return (text, None) if UNBLOWN.fullmatch(text) else None

    return _apart(table, of_race, "wind_ms", "Wind (m/s)")


def _effort_apart(table: TextTable) -> TextTable:
    def of_sets(text: str) -> tuple[str, str | None] | None:
        if (found := EFFORT.fullmatch(text)) is not None and holds_sets(found[1].strip()):
            return found[1].strip(), found[2]
        return (text, None) if holds_sets(text) else None

    return _apart(table, of_sets, "set_effort", "RPE")


def _apart(
    table: TextTable, take: Callable[[str], tuple[str, str | None] | None], column: str, heading: str
) -> TextTable:
    """Return a table with what stands second in the cells of its one such column in a new one."""
    said = heads(table.header)
    if any(one is not None and {column, "effort_0_10"} & {*one.names} for one in said):
        return table
    found: dict[int, dict[str, tuple[str, str | None]]] = {}
    for place in range(len(table.header)):
        name = f"c{place}"
        if name not in table.rows.columns or not table.header[place]:
            continue
        texts = [text for text in table.rows[name].drop_nulls().to_list() if text.strip()]
        told = {text: one for text in set(texts) if (one := take(text.strip())) is not None}
        second = sum(1 for text in texts if text in told and told[text][1] is not None)
        if texts and second >= 1 and sum(1 for text in texts if text in told) >= MOST * len(texts):
            found[place] = told
    runs = {place: _run_no(said[place]) for place in found}
    if len(found) > 1 and (None in runs.values() or {*runs.values()} != {*range(1, len(found) + 1)}):
        return table
    header, columns = list(table.header), []
    for place, told in found.items():  # of several it is that of each run
        cell = pl.col(f"c{place}")
        behind = {text: two for text, (_, two) in told.items()}
        columns += [
            cell.replace({text: one for text, (one, _) in told.items()}),
            cell.replace_strict(behind, default=None, return_dtype=pl.String).alias(f"c{len(header)}"),
        ]
        header.append(heading if len(found) == 1 else f"{heading.split(' (', maxsplit=1)[0]} {runs[place]}")
    rows = table.rows.with_columns(columns)
    order = [*(f"c{n}" for n in range(len(header)) if f"c{n}" in rows.columns), "_line"]
    return dataclasses.replace(table, header=header, rows=rows.select(order)) if found else table


def _run_no(one: Heading | None) -> int | None:
    """Return which run a heading is of that says nothing else: 'Run 2', or '2' alone."""
    if one is None or one.names:
        return None
    return int(one.gate_m) if one.is_bare_number and one.gate_m is not None else one.run_no


def _trials_apart(table: TextTable) -> TextTable:
    """Return a table in which '4.28 - 4.31' below one distance is a column for each run."""
    header: list[str] = []
    columns: list[pl.Expr] = []
    is_changed = False
    for place, text in enumerate(table.header):
        name = f"c{place}"
        cells = table.rows[name].to_list() if name in table.rows.columns else []
        texts = [cell.strip() for cell in cells if cell and cell.strip()]
        one = read_heading(place, text) if text else None
        runs = _most(texts) if one is not None and one.gate_m is not None and one.run_no is None else 0
        if not runs:
            columns.append((pl.col(name) if cells else pl.lit(None, pl.String)).alias(f"c{len(header)}"))
            header.append(text)
            continue
        is_changed = True
        for number in range(runs):
            told = [_nth(cell, number) for cell in cells]
            columns.append(pl.lit(pl.Series(told, dtype=pl.String)).alias(f"c{len(header)}"))
            header.append(f"{text} ({number + 1})")
    if not is_changed:
        return table
    return dataclasses.replace(table, header=header, rows=table.rows.select(*columns, "_line"))


def _most(texts: Sequence[str]) -> int:
    """Return how many times the longest of some lists holds, 0 where too few are lists."""
    lists = [text for text in texts if LISTED.fullmatch(text)]
    if len(lists) < MOST * len(texts) or not lists or not all(map(_is_time_or_list, texts)):
        return 0
    return max(len(TRIALS.findall(text)) + 1 for text in lists)


def _is_time_or_list(text: str) -> bool:
    return bool(LISTED.fullmatch(text) or re.fullmatch(TIME, text))


def _nth(cell: str | None, number: int) -> str | None:
    parts = re.split(r"\s+[-–]\s+", cell.strip()) if cell and cell.strip() else []
    return parts[number] if number < len(parts) else None
