"""Workbooks (.xlsx): every sheet that holds a table, the values as stored, dates and times as ISO text."""

import datetime as dt
import io
import zipfile
import zlib
from typing import Any

from pipelines.errors import UnreadableSource
from pipelines.readers.table import Row, filled, to_table
from schemas.intake import TextTable
from schemas.spelling import fold

UNPACKED_LIMIT = 400_000_000  # bytes a workbook may unpack to
RATIO_LIMIT = 200  # times its packed size, for parts above RATIO_FROM bytes
RATIO_FROM = 20_000_000
PARTS_LIMIT = 10_000
NUMBER_DIGITS = 15  # what a spreadsheet stores; the 16th digit of a double is noise
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
    values = _open(name, content, stored_values=True)
    formulas = _open(name, content, stored_values=False) if has_formulas else None
    tables: list[TextTable] = []
    skipped: list[tuple[str, str]] = []
    for sheet in values.worksheets:
        rows = _rows(sheet, formulas[sheet.title] if formulas is not None else None)
        if sheet.sheet_state != "visible":
            skipped.append((sheet.title, "is hidden: it is read when it is shown"))
        elif fold(sheet.title) in NOTES_NAMES and len(values.worksheets) > 1:
            skipped.append((sheet.title, "holds notes, as its name says"))
        elif rows and max(filled(cells) for _, cells in rows) < 2:
            skipped.append((sheet.title, "holds single cells of text and no table"))
        else:
            made = to_table(name, sheet.title, rows, day_zero=values.epoch.date())
            if isinstance(made, str):
                skipped.append((sheet.title, made))
            else:
                tables.append(made)
    return tables, skipped


def _refuse_traps(name: str, content: bytes) -> bool:
    """Refuse a workbook that would unpack to a flood or pulls in declarations; return whether it holds formulas."""
    damaged = "the workbook is damaged or was cut off"
    has_formulas = False
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            refuse_flood(name, parts)
            for part in parts:
                if part.filename.endswith((".xml", ".rels")):
                    with archive.open(part) as stream:
                        start = stream.read(4096)
                        if b"<!DOCTYPE" in start or b"<!ENTITY" in start:
                            raise UnreadableSource(name, "the workbook holds document declarations: it is refused.")
                        if part.filename.startswith("xl/worksheets/"):
                            has_formulas = has_formulas or _holds_formula(start + stream.read())
            if "xl/workbook.xml" not in archive.namelist():
                raise UnreadableSource(name, f"{damaged}: it has no list of sheets.", "Save it again as .xlsx.")
    except (zipfile.BadZipFile, EOFError, OSError, NotImplementedError, RuntimeError, zlib.error) as error:
        raise UnreadableSource(name, f"{damaged} ({error}).", "Export or save it again.") from error
    return has_formulas


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


def _open(name: str, content: bytes, *, stored_values: bool) -> Any:
    from openpyxl import load_workbook

    try:
        return load_workbook(io.BytesIO(content), data_only=stored_values, keep_links=False)
    except Exception as error:  # openpyxl raises whatever its parsers raise on a damaged part
        raise UnreadableSource(
            name, f"the workbook is damaged and cannot be opened ({type(error).__name__}).", "Save it again as .xlsx."
        ) from error


def _rows(sheet: Any, formulas: Any) -> list[Row]:
    """Return the rows of a sheet that hold something: a merged cell's value stands in each row it covers."""
    cells: dict[int, dict[int, str]] = {}
    # The stored cells alone: a stray cell in the last row of a sheet must not make a million empty ones.
    for (row, column), cell in sheet._cells.items():
        text = cell_text(cell)
        if not text and formulas is not None:
            formula = formulas._cells.get((row, column))
            text = str(formula.value) if formula is not None and formula.data_type == "f" else ""
        if text:
            cells.setdefault(row, {})[column] = text
    for merged in sheet.merged_cells.ranges:
        text = cells.get(merged.min_row, {}).get(merged.min_col, "")
        if text and merged.min_col == merged.max_col:  # down a column; across, it is a title
            for row in range(merged.min_row + 1, merged.max_row + 1):
                if row in cells:
                    cells[row].setdefault(merged.min_col, text)
    width = max((max(row) for row in cells.values()), default=0)
    if width > 16384 or width * len(cells) > 50_000_000:
        width = 16384
    return [(row, [cells[row].get(column, "") for column in range(1, width + 1)]) for row in sorted(cells)]


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
