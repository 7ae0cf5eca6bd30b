"""OpenDocument spreadsheets (.ods): every sheet that holds a table, the values as stored; formulas are not evaluated.

The file is read with the standard library: a zip archive whose content.xml is described in OpenDocument 1.3, part 3.
"""

import datetime as dt
import io
import zipfile
import zlib
from collections.abc import Iterator
from typing import IO
from xml.etree import ElementTree as Tree

from pipelines.errors import UnreadableSource
from pipelines.readers.budget import BLANK_RUN, Budget
from pipelines.readers.table import Row, filled, to_table
from pipelines.readers.workbook import NOTES_NAMES, XML_SIGNS, clock, refuse_flood, refuse_signs
from schemas.intake import NotRead, TextTable
from schemas.spelling import fold

TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
MOST_REPEATED = 5000  # columns a cell with a value may be repeated over; empty ones to the edge of the sheet are cut
DAY_ZERO = dt.date(1899, 12, 30)  # null date of OpenDocument 1.3, part 3, where the file names none (from memory)
MOST_ROWS = 1_048_576  # of a sheet
MOST_CELLS_A_ROW = 16_384
ROW_COSTS = 1  # cells of the budget that each row of the file costs, empty or not


def read(name: str, content: bytes) -> tuple[list[TextTable], list[tuple[str, str]]]:
    """Read every sheet; sheets without a table come back with the reason.

    Raises:
        UnreadableSource: Damaged, cut off, locked, or holding far more than a table of figures, repeats counted.
    """
    damaged = "the spreadsheet is damaged or was cut off"
    tables: list[TextTable] = []
    skipped: list[tuple[str, str]] = []
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            refuse_flood(name, archive.infolist())
            if "manifest:encryption-data" in _start(archive, "META-INF/manifest.xml"):
                raise UnreadableSource(name, "the spreadsheet is locked with a password.", "Save it without one.")
            refuse_signs(archive, "content.xml", name, Budget(name, XML_SIGNS))
            with archive.open("content.xml") as part:
                sheets = list(_sheets(part, Budget(name)))
    except KeyError as error:
        raise UnreadableSource(name, f"{damaged}: it holds no content.", "Save it again.") from error
    except (zipfile.BadZipFile, EOFError, OSError, NotImplementedError, RuntimeError, zlib.error) as error:
        raise UnreadableSource(name, f"{damaged} ({error}).", "Export or save it again.") from error
    except (Tree.ParseError, ValueError) as error:
        raise UnreadableSource(name, f"{damaged} ({error}).", "Save it again.") from error
    for title, rows in sheets:
        if fold(title) in NOTES_NAMES and len(sheets) > 1:
            skipped.append((title, "holds notes, as its name says"))
        elif rows and max(filled(cells) for _, cells in rows) < 2:
            skipped.append((title, "holds single cells of text and no table"))
        else:
            made = to_table(name, title, rows, day_zero=DAY_ZERO)
            if isinstance(made, NotRead):
                skipped.append((title, made.why))
            else:
                tables.append(made)
    return tables, skipped


def _start(archive: zipfile.ZipFile, part: str) -> str:
    return archive.read(part).decode("utf-8", "replace") if part in archive.namelist() else ""


def _sheets(part: IO[bytes], budget: Budget) -> Iterator[tuple[str, list[Row]]]:
    """Yield the name and the filled rows of each sheet. Rows are taken as they come, so that few stand in memory."""
    within: list[Tree.Element] = []
    open_sheets: list[_Sheet] = []
    for event, element in Tree.iterparse(part, events=("start", "end")):
        if event == "start":
            within.append(element)
            if element.tag == f"{TABLE}table":
                open_sheets.append(_Sheet(element.get(f"{TABLE}name") or "", budget))
            continue
        within.pop()
        if element.tag == f"{TABLE}table-row" and open_sheets:
            open_sheets[-1].take(element)
            within[-1].clear()
        elif element.tag == f"{TABLE}table":
            sheet = open_sheets.pop()
            yield sheet.title, sheet.rows
            element.clear()
        elif not open_sheets:
            element.clear()


class _Sheet:
    """One sheet being read: the rows that hold something; a cell merged down stands in each row it covers."""

    def __init__(self, title: str, budget: Budget) -> None:
        self.title = title
        self.rows: list[Row] = []
        self._budget = budget
        self._line = 1
        self._below: dict[int, tuple[int, str]] = {}  # column -> rows it still covers, its text

    def take(self, row: Tree.Element) -> None:
        """Take the next row as often as it is repeated; what it would hold is taken of the budget first."""
        if self._line > MOST_ROWS:
            return
        times = _count(row, f"{TABLE}number-rows-repeated")
        cells, spans = _cells(row, self._budget)
        held = filled(cells)
        self._budget.take(ROW_COSTS + len(self._below))
        if held:
            times = min(times, MOST_ROWS - self._line + 1)
            self._budget.take(times * (len(cells) + len(self._below)))
            for _ in range(times):
                merged = list(cells)
                for column, (_, text) in self._below.items():
                    if column < len(merged) and not merged[column]:
                        merged[column] = text
                self.rows.append((self._line, merged))
                self._cover(1)
                self._line += 1
        else:
            self._line += times
            self._cover(times)
        self._below |= spans

    def _cover(self, times: int) -> None:
        if self._below:
            self._below = {column: (left - times, text) for column, (left, text) in self._below.items() if left > times}


def _cells(row: Tree.Element, budget: Budget) -> tuple[list[str], dict[int, tuple[int, str]]]:
    cells: list[str] = []
    spans: dict[int, tuple[int, str]] = {}
    for cell in row:
        if cell.tag not in (f"{TABLE}table-cell", f"{TABLE}covered-table-cell"):
            continue
        text = cell_text(cell)
        times = min(_count(cell, f"{TABLE}number-columns-repeated"), MOST_REPEATED)
        down, across = (_count(cell, f"{TABLE}number-{way}-spanned") for way in ("rows", "columns"))
        if text and down > 1 and across == 1:  # down a column; across, it is a title
            spans[len(cells)] = (down - 1, text)
        if text:
            budget.take(times)
        if len(cells) + times > MOST_CELLS_A_ROW:
            times = MOST_CELLS_A_ROW - len(cells)
        cells += [text] * times
    while cells and not cells[-1]:
        cells.pop()
    return cells, spans


def _count(element: Tree.Element, name: str) -> int:
    told = element.get(name, "1")
    return max(1, int(told)) if told.isdigit() else 1


def cell_text(cell: Tree.Element) -> str:
    """Return the stored value of a cell as text: ISO dates, plain numbers, percents with their sign, clock times."""
    kind = cell.get(f"{OFFICE}value-type")
    value = cell.get(f"{OFFICE}value")
    if kind == "percentage" and value is not None:
        return f"{float(value) * 100:.14g}%"
    if kind in ("float", "currency") and value is not None:
        return f"{float(value):.15g}"
    if kind == "date":
        told = cell.get(f"{OFFICE}date-value") or ""
        return told.removesuffix("T00:00:00").replace("T", " ")
    if kind == "time":
        return _duration(cell.get(f"{OFFICE}time-value") or "")
    if kind == "boolean":
        return "yes" if cell.get(f"{OFFICE}boolean-value") == "true" else "no"
    said = "\n".join(_paragraph(one) for one in cell if one.tag == f"{TEXT}p")
    formula = cell.get(f"{TABLE}formula")
    return said or (f"={formula.partition('=')[2]}" if formula else "")


def _paragraph(paragraph: Tree.Element) -> str:
    parts = [paragraph.text or ""]
    for one in paragraph:
        blanks = min(_count(one, f"{TEXT}c"), BLANK_RUN + 1)  # one more is refused, so no more are made
        parts.append(" " * blanks if one.tag == f"{TEXT}s" else _paragraph(one))
        parts.append(one.tail or "")
    return "".join(parts)


def _duration(told: str) -> str:
    """Return 'PT01H02M03.5S' (ISO 8601) as a clock time."""
    seconds, number = 0.0, ""
    for sign in told.removeprefix("PT"):
        if sign in "HMS":
            seconds += float(number.replace(",", ".") or 0) * {"H": 3600, "M": 60, "S": 1}[sign]
            number = ""
        else:
            number += sign
    return clock(seconds)
