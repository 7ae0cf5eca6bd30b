"""Workbooks (.xlsx): every sheet that holds a table, the values as stored, dates and times as ISO text."""

import datetime as dt
import io
import zipfile
import zlib
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree as Tree

from pipelines.errors import UnreadableSource
from pipelines.readers.budget import Budget, refuse_grid
from pipelines.readers.table import Row, filled, to_table
from schemas.intake import NotRead, TextTable
from schemas.spelling import fold

UNPACKED_LIMIT = 200_000_000  # bytes a workbook may unpack to
RATIO_LIMIT = 200  # times its packed size, for parts above RATIO_FROM bytes
RATIO_FROM = 20_000_000
PARTS_LIMIT = 10_000
XML_SIGNS = 8_000_000  # "<" in all parts: about two for each element
CHUNK = 1 << 20  # bytes of a part looked through at once
MERGE_COSTS = 50  # cells of the budget that each merged range costs
NUMBER_DIGITS = 15  # what a spreadsheet stores; the 16th digit of a double is noise
STRUCK_OUT = "(struck out)"  # behind what stands in a struck-out cell: a check sets it aside and shows it
NOTES_NAMES = {
    "explanation", "notes", "note", "notizen", "readme", "read me", "legend", "legende", "info", "instructions",
    "anleitung", "remarques", "notas", "leyenda",
}  # fmt: skip


def read(name: str, content: bytes) -> tuple[list[TextTable], list[tuple[str, str]]]:
    """Read every sheet of a workbook; sheets without a table come back with the reason.

    Formulas are not evaluated: the value the spreadsheet program stored is read, and a formula without one is kept as
    its text, so that the row is set aside and not taken as empty.

    Raises:
        UnreadableSource: Damaged, cut off, locked, or unpacking to far more than a table of figures.
    """
    has_formulas = _refuse_traps(name, content)
    values = _open(name, content)
    budget = Budget(name)
    tables: list[TextTable] = []
    skipped: list[tuple[str, str]] = []
    for sheet in values.worksheets:
        rows = _read_rows(name, sheet, budget, has_formulas=has_formulas)
        if getattr(sheet, "sheet_state", "visible") != "visible":
            skipped.append((sheet.title, "is hidden: it is read when it is shown"))
        elif fold(sheet.title) in NOTES_NAMES and len(values.worksheets) > 1:
            skipped.append((sheet.title, "holds notes, as its name says"))
        elif rows and max(filled(cells) for _, cells in rows) < 2:
            skipped.append((sheet.title, "holds single cells of text and no table"))
        else:
            made = to_table(name, sheet.title, rows, day_zero=values.epoch.date())
            if isinstance(made, NotRead):
                skipped.append((sheet.title, made.why))
            else:
                tables.append(made)
    return tables, skipped


def _refuse_traps(name: str, content: bytes) -> bool:
    """Refuse a workbook that would unpack to a flood or pulls in declarations; return whether it holds formulas."""
    damaged = "the workbook is damaged or was cut off"
    has_formulas = False
    signs = Budget(name, XML_SIGNS)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            refuse_flood(name, parts)
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    holds_formula = refuse_signs(archive, part.filename, name, signs)
                    has_formulas |= holds_formula and part.filename.startswith("xl/worksheets/")
            if "xl/workbook.xml" not in archive.namelist():
                raise UnreadableSource(name, f"{damaged}: it has no list of sheets.", "Save it again as .xlsx.")
    except (zipfile.BadZipFile, EOFError, OSError, NotImplementedError, RuntimeError, zlib.error) as error:
        raise UnreadableSource(name, f"{damaged} ({error}).", "Export or save it again.") from error
    return has_formulas


def refuse_signs(archive: zipfile.ZipFile, part: str, name: str, signs: Budget) -> bool:
    """Refuse a part of more elements than a table has, or with declarations; return whether it holds a formula."""
    has_formula = False
    with archive.open(part) as stream:
        piece = stream.read(CHUNK)
        if b"<!DOCTYPE" in piece or b"<!ENTITY" in piece:
            raise UnreadableSource(name, "it holds document declarations, as no table does: it is refused.")
        while piece:
            signs.take(piece.count(b"<"))
            has_formula = has_formula or _holds_formula(piece)
            end, piece = piece[-4:], stream.read(CHUNK)
            has_formula = has_formula or _holds_formula(end + piece[:4])
    return has_formula


def refuse_flood(name: str, parts: list[zipfile.ZipInfo]) -> None:
    """Refuse a zipped spreadsheet that would unpack to a flood."""
    total = sum(part.file_size for part in parts)
    steep = any(
        part.file_size > RATIO_FROM and part.file_size > RATIO_LIMIT * max(part.compress_size, 1) for part in parts
    )
    if len(parts) > PARTS_LIMIT or total > UNPACKED_LIMIT or steep:
        raise UnreadableSource(
            name,
            f"the workbook unpacks to {total / 1e6:,.0f} MB, far more than a table of figures: it is refused.",
            "Save the sheet as .csv and load that.",
        )


def _holds_formula(part: bytes) -> bool:
    return b"<f>" in part or b"<f " in part or b"<f/>" in part


def _open(name: str, content: bytes) -> Any:
    from openpyxl import load_workbook

    try:
        return load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
    except Exception as error:  # openpyxl raises whatever its parsers raise on a damaged part
        raise _damaged(name, error) from error


def _damaged(name: str, error: Exception) -> UnreadableSource:
    return UnreadableSource(
        name, f"the workbook is damaged and cannot be opened ({type(error).__name__}).", "Save it again as .xlsx."
    )


def _read_rows(name: str, sheet: Any, budget: Budget, *, has_formulas: bool) -> list[Row]:
    try:
        return _rows(sheet, budget, has_formulas=has_formulas)
    except UnreadableSource:
        raise
    except Exception as error:  # as above
        raise _damaged(name, error) from error


def _rows(sheet: Any, budget: Budget, *, has_formulas: bool) -> list[Row]:
    """Return the rows of a sheet that hold something: a merged cell's value stands in each row it covers.

    The stored cells alone are read, one after the other: what a sheet says of its size or merges makes no cell.
    """
    cells: dict[int, dict[int, str]] = {}
    merges: list[str] = []
    widest = 0
    for line, column, text, _ in _stored(sheet, merges):
        if text:
            budget.take(1)
            cells.setdefault(line, {})[column] = text
            widest = max(widest, column)
            refuse_grid(budget.name, len(cells), widest)
    if has_formulas:
        for line, column, text, is_formula in _stored(sheet, [], stored_values=False):
            if is_formula and column not in cells.get(line, {}):
                budget.take(1)
                cells.setdefault(line, {})[column] = text
    _spread_merged(cells, merges, budget)
    return [(line, [row.get(column, "") for column in range(1, max(row) + 1)]) for line, row in sorted(cells.items())]


def _stored(sheet: Any, merges: list[str], *, stored_values: bool = True) -> Iterator[tuple[int, int, str, bool]]:
    """Yield line, column, text and whether it is a formula's text of each stored cell; note the merged ranges."""
    from openpyxl.cell.read_only import ReadOnlyCell
    from openpyxl.worksheet._reader import MERGE_TAG, ROW_TAG, WorkSheetParser

    book = sheet.parent
    struck = _struck_styles(book)
    with sheet._get_source() as source:
        parser = WorkSheetParser(
            source, sheet._shared_strings, data_only=stored_values, epoch=book.epoch,
            date_formats=book._date_formats, timedelta_formats=book._timedelta_formats,
        )  # fmt: skip
        for _, element in Tree.iterparse(source):
            if element.tag == ROW_TAG:
                line, row = parser.parse_row(element)
                for told in row:
                    if told["value"] is not None:
                        is_formula = told["data_type"] == "f"
                        text = cell_text(ReadOnlyCell(sheet, **told))
                        if told["style_id"] in struck and text:
                            text = f"{text} {STRUCK_OUT}"
                        yield line, told["column"], text, is_formula
                element.clear()
            elif element.tag == MERGE_TAG:
                merges += [one.get("ref", "") for one in element]
                element.clear()


def _struck_styles(book: Any) -> frozenset[int]:
    """Return the styles of cells that are struck out: what stands there is meant not to count."""
    return frozenset(
        number for number, style in enumerate(book._cell_styles) if getattr(book._fonts[style.fontId], "strike", False)
    )


def _spread_merged(cells: dict[int, dict[int, str]], merges: list[str], budget: Budget) -> None:
    """Let a cell merged down a column stand in each row that is there; across, it is a title. Nothing hides below."""
    from openpyxl.utils import range_boundaries

    lines = sorted(cells)
    bounds = []
    for merged in merges:
        left, top, right, bottom = range_boundaries(merged)
        first, end = bisect_left(lines, top), bisect_right(lines, bottom)
        budget.take(MERGE_COSTS + end - first)  # all of them, before the first is followed
        bounds.append((left, top, right, lines[first:end] if end - first < len(lines) else lines))
    for left, top, right, covered in bounds:
        text = cells.get(top, {}).get(left, "")
        for line in covered:
            row = cells[line]
            budget.take(len(row) if left != right else 0)
            hidden = [left] if left == right else [column for column in row if left <= column <= right]
            for column in hidden:
                if (line, column) != (top, left):
                    row.pop(column, None)
            if text and left == right:
                row[left] = text
    for line in [line for line, row in cells.items() if not row]:
        del cells[line]


def cell_text(cell: Any) -> str:  # noqa: PLR0911 - one line for each type a cell may hold
    """Return the stored value of a cell as text: ISO dates, numbers without float noise, percents with their sign."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.datetime):
        if value.time() == dt.time() and "h" not in str(cell.number_format).lower():
            return value.date().isoformat()
        return value.isoformat(sep=" ")
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, dt.time):
        return clock(value.hour * 3600 + value.minute * 60 + value.second + value.microsecond / 1e6)
    if isinstance(value, dt.timedelta):
        return clock(value.total_seconds())
    if isinstance(value, int):
        return f"{value * 100}%" if "%" in str(cell.number_format) else str(value)
    if isinstance(value, float):
        if "%" in str(cell.number_format):
            return f"{value * 100:.{NUMBER_DIGITS - 1}g}%"
        return f"{value:.{NUMBER_DIGITS}g}"
    return str(value)


def clock(seconds: float) -> str:
    """Return seconds as h:min:s."""
    whole = int(seconds)
    part = f"{seconds - whole:.6f}"[1:].rstrip("0").rstrip(".")
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}{part}"
