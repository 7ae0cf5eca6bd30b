"""A sheet as it stands in a folder: columns with a spelling of their own, written as text or as a workbook."""

import csv
import datetime as dt
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import xlsxwriter

Row = Mapping[str, Any]
KG_PER_LB = 0.45359237  # kg, exact by definition of the pound
CREATED = dt.datetime(2026, 11, 22, 18, 0)  # stamped into workbooks, so that their bytes never change


@dataclass(frozen=True)
class Column:
    """One column: its heading, the value it shows, and how it is spelled."""

    heading: str
    value: str | Callable[[Row], Any]
    form: str = ""  # "", a number format such as ".2f", or: dmy, dmy/, ms, lb, cm, cm1, yesno, time

    def of(self, row: Row) -> Any:
        """Return the value of a row, not yet spelled."""
        return self.value(row) if callable(self.value) else row.get(self.value)


@dataclass
class Sheet:
    """One sheet: title rows, heading, body. ``wrong`` holds place in the body and kind of each planted wrong row."""

    name: str
    columns: Sequence[Column]
    rows: Sequence[Row]
    titles: Sequence[str] = ()
    body: list[list[Any]] = field(default_factory=list)
    wrong: list[tuple[int, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.body = [[column.of(row) for column in self.columns] for row in self.rows]

    @property
    def headings(self) -> list[str]:
        """Return the heading cells."""
        return [column.heading for column in self.columns]

    @property
    def header_line(self) -> int:
        """Return the line the heading stands on; one empty row parts it from the titles."""
        return len(self.titles) + 2 if self.titles else 1


@dataclass(frozen=True)
class SeedFile:
    """One file: its name decides text or workbook; the rest is how its program exports."""

    name: str
    sheets: tuple[Sheet, ...]
    delimiter: str = ","
    decimal: str = "."
    encoding: str = "utf-8"
    line_end: str = "\n"

    def content(self) -> bytes:
        """Return the bytes of the file."""
        return _workbook(self) if self.name.endswith(".xlsx") else _text(self)


def spelled(value: Any, form: str, decimal: str = ".") -> str:
    """Return a value as text in the given form; nothing for an unknown value."""
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.datetime):
        return value.isoformat()
    if isinstance(value, dt.date):
        return value.strftime({"dmy": "%d.%m.%Y", "dmy/": "%d/%m/%Y"}.get(form, "%Y-%m-%d"))
    if form == "ms":
        return str(round(1000 * value))
    if form == "lb":
        text = f"{value / KG_PER_LB:.1f}"
    elif form in ("cm", "cm1"):
        text = f"{100 * value:.{1 if form == 'cm1' else 0}f}"
    elif form.startswith("."):
        text = f"{value:{form}}"
    else:
        text = f"{value:g}" if isinstance(value, float) else str(value)
    return text.replace(".", decimal)


def _text(file: SeedFile) -> bytes:
    (sheet,) = file.sheets
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=file.delimiter, lineterminator=file.line_end)
    for title in sheet.titles:
        writer.writerow([title])
    if sheet.titles:
        writer.writerow([])
    writer.writerow(sheet.headings)
    for cells in sheet.body:
        if all(cell is None for cell in cells):
            out.write(file.delimiter * (len(cells) - 1) + file.line_end)
            continue
        forms = (column.form for column in sheet.columns)
        writer.writerow([spelled(cell, form, file.decimal) for cell, form in zip(cells, forms, strict=True)])
    return out.getvalue().encode(file.encoding)


def _workbook(file: SeedFile) -> bytes:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    book.set_properties({"created": CREATED, "comments": "Everything in this workbook is invented."})
    bold = book.add_format({"bold": True})
    big = book.add_format({"bold": True, "font_size": 14})
    day = book.add_format({"num_format": "dd.mm.yyyy"})
    for sheet in file.sheets:
        page = book.add_worksheet(sheet.name)
        for line, title in enumerate(sheet.titles):
            page.merge_range(line, 0, line, len(sheet.columns) - 1, title, big if line == 0 else bold)
        top = sheet.header_line - 1
        for place, heading in enumerate(sheet.headings):
            page.write_string(top, place, heading, bold)
        for line, cells in enumerate(sheet.body, start=top + 1):
            for place, (cell, column) in enumerate(zip(cells, sheet.columns, strict=True)):
                _write_cell(page, line, place, cell, column, file.decimal, day)
        page.set_column(0, 0, 24)
        page.freeze_panes(top + 1, 0)
    book.close()
    return out.getvalue()


def _write_cell(page: Any, line: int, place: int, cell: Any, column: Column, decimal: str, day: Any) -> None:
    if cell is None:
        return
    if isinstance(cell, dt.date) and not column.form:
        page.write_datetime(line, place, dt.datetime.combine(cell, dt.time()), day)
    elif isinstance(cell, str | bool) or decimal == "," or column.form in {"dmy", "dmy/"}:
        # Decimal commas are text in a workbook made with another language set.
        text = spelled(cell, column.form, decimal)
        if decimal == "," and isinstance(cell, int) and not isinstance(cell, bool):
            page.write_number(line, place, cell)
        else:
            page.write_string(line, place, text)
    else:
        page.write_number(line, place, float(spelled(cell, column.form)))
