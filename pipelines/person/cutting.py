"""One person's rows cut out of a source's bytes. Lines keep their numbers: a cut row is left empty, not taken out.

Every row of a source names its athlete, so a row belongs to the person when one of its cells names them, or when it
waits set aside and a cell nearly does. What is written of the person inside other rows is blotted out.
"""

import io
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import polars as pl
from rapidfuzz import fuzz

from pipelines.checks.names import name_key
from pipelines.person.naming import REDACTED, Named
from pipelines.person.traces import texts_in
from pipelines.readers.delimited import rows_with_lines
from pipelines.readers.encoding import decode
from pipelines.readers.formats import format_of
from schemas.intake import TextTable

_LINES = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")  # as the csv module counts lines
NEARLY = 88  # of 100: how alike a misspelled name that waits must be to count as the person's; own choice


@dataclass(frozen=True)
class Cut:
    """What is left of a source, and how many rows were cut. Null content: nothing is left of it."""

    content: bytes | None
    rows: int
    lines: frozenset[tuple[str, int]] = frozenset()


def all_text(name: str, content: bytes) -> Iterable[str]:
    """Return everything that is written in a file, titles, comments and the names of sheets included."""
    return texts_in(content) if format_of(name, content).name == "xlsx" else [decode(name, content)]


def lines_of(texts: Iterable[TextTable], who: Named, waiting: set[tuple[str, int]]) -> set[tuple[str, int]]:
    """Return sheet and line of the rows that are the person's; ``waiting`` are lines with a cell set aside."""
    found = set()
    for text in texts:
        sheet = text.sheet or ""
        for row in text.rows.iter_rows(named=True):
            line = row.pop("_line")
            cells = [cell for cell in row.values() if cell]
            if who.is_in(cells) or ((sheet, line) in waiting and is_nearly(cells, who)):
                found.add((sheet, line))
    return found


def is_nearly(cells: Iterable[str], who: Named) -> bool:
    """Return whether a cell of what waits is a misspelling of the person, or a part of the name of nobody else here."""
    cells = list(cells)
    if any(name_key(cell) in who.words for cell in cells):  # a first or last name alone, of nobody else here
        return True
    return any(fuzz.ratio(name_key(cell), key) >= NEARLY for cell in cells for key in who.keys if len(cell) > 4)


def cut_file(name: str, content: bytes, texts: list[TextTable], lines: set[tuple[str, int]], who: Named) -> Cut:
    """Cut lines out of a file and blot the name out of the rest."""
    rows_all = sum(text.rows.height for text in texts)
    if lines and len(lines) >= rows_all:
        return Cut(None, len(lines), frozenset(lines))
    if format_of(name, content).name == "xlsx":
        made = _cut_workbook(content, lines, who)
    else:
        made = _cut_text(name, content, {line for _, line in lines}, who)
    return Cut(made, len(lines), frozenset(lines))


def _cut_text(name: str, content: bytes, lines: set[int], who: Named) -> bytes:
    text = decode(name, content).lstrip("\ufeff")
    physical = _LINES.findall(text)
    starts = rows_with_lines(name, text)
    for place, begin in enumerate(starts):
        if begin in lines:
            end = starts[place + 1] if place + 1 < len(starts) else len(physical) + 1
            for number in range(begin, end):
                body = physical[number - 1]
                physical[number - 1] = body[len(body.rstrip("\r\n")) :]
    return who.redacted("".join(physical)).encode("utf-8")


def _cut_workbook(content: bytes, lines: set[tuple[str, int]], who: Named) -> bytes:
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(content), data_only=True, keep_links=False)
    formulas = load_workbook(io.BytesIO(content), keep_links=False)
    for sheet in book.worksheets:
        cut = {line for title, line in lines if title == sheet.title}
        for merged in list(sheet.merged_cells.ranges):
            covered = range(merged.min_row, merged.max_row + 1)
            if cut.intersection(covered):  # its value stands in the rows that stay, not only in the first
                value = sheet.cell(merged.min_row, merged.min_col).value
                sheet.unmerge_cells(str(merged))
                if merged.min_col == merged.max_col:
                    for row in covered:
                        sheet.cell(row, merged.min_col).value = value
        for (row, column), cell in list(sheet._cells.items()):
            if row in cut:
                cell.value = None
                cell.comment = None
                continue
            if cell.value is None:
                formula = formulas[sheet.title]._cells.get((row, column))
                if formula is not None and formula.data_type == "f":
                    cell.value = formula.value  # never computed, so it waits set aside as before
            elif isinstance(cell.value, str):
                cell.value = who.redacted(cell.value)
            if cell.comment is not None and who.redacted(cell.comment.text) != cell.comment.text:
                cell.comment = None
        sheet.title = who.redacted(sheet.title).replace("[", "").replace("]", "")
    told = io.BytesIO()
    book.properties.creator = book.properties.lastModifiedBy = None
    book.save(told)
    return told.getvalue()


def cut_entry(content: bytes, who: Named) -> Cut:
    """Cut rows out of a hand entry. Its rows move up; nothing else counts on their places."""
    told: dict[str, Any] = json.loads(content)
    kept = [row for row in told["rows"] if not who.is_in(row.values())]
    gone = len(told["rows"]) - len(kept)
    if not kept:
        return Cut(None, gone)
    told["rows"] = [{name: who.redacted(v) if isinstance(v, str) else v for name, v in row.items()} for row in kept]
    told["by"] = REDACTED if told.get("by") in who.signers else who.redacted(str(told.get("by", "")))
    return Cut(as_bytes(told), gone)


def cut_mend(content: bytes, who: Named, cut: dict[str, Cut], moved: dict[str, str]) -> Cut:
    """Cut a mended row with the row it mends; one that stays now names the source by its new checksum."""
    told: dict[str, Any] = json.loads(content)
    fix = told["correction"]
    place = (fix["sheet"] or "", fix["line"])
    source = cut.get(told["sha256"])
    is_theirs = who.is_in([*fix["row"].values(), *fix["fixes"].values()])
    if is_theirs or (source is not None and (source.content is None or place in source.lines)):
        return Cut(None, 1)
    told = who.pruned(told)
    told["sha256"] = moved.get(told["sha256"], told["sha256"])
    return Cut(as_bytes(told), 0)


def as_bytes(told: dict[str, Any]) -> bytes:
    """Return what was typed as the bytes that are kept of it."""
    return json.dumps(told, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode("utf-8")


def waiting_lines(rejected: pl.DataFrame) -> dict[int, set[tuple[str, int]]]:
    """Return sheet and line of the rows that were set aside, by load."""
    found: dict[int, set[tuple[str, int]]] = {}
    for row in rejected.select("load_no", "source_sheet", "source_line").unique().iter_rows(named=True):
        found.setdefault(row["load_no"], set()).add((row["source_sheet"] or "", row["source_line"] or 0))
    return found
