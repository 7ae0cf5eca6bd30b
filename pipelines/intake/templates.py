"""Empty files to fill in: the right headers, and a sheet that explains each."""

from pathlib import Path

import polars as pl
from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter

from pipelines.errors import ThirdstepError
from schemas.dictionary import column_docs
from schemas.records import RECORDS

EXPLANATION = {"column": 24, "meaning": 70, "unit": 10, "range": 44, "must be filled": 14, "example": 22}


def write_template(table_name: str, path: Path) -> Path:
    """Write an empty file for one record table and return its path.

    A ``.csv`` holds the header line alone. An ``.xlsx`` holds a sheet named after the table with the header, and a
    sheet "explanation" with meaning, unit, range and an example for each column; that sheet is passed over when the
    file is loaded.

    Raises:
        ThirdstepError: There is no such table, or the ending is neither .csv nor .xlsx.
    """
    if table_name not in RECORDS:
        raise ThirdstepError(f"There is no table '{table_name}'. The tables are: {', '.join(RECORDS)}.")
    docs = column_docs({table_name: RECORDS[table_name]})
    header = docs["column_name"].to_list()
    ending = path.suffix.lower()
    if ending == ".csv":
        path.write_text(",".join(header) + "\r\n", encoding="utf-8", newline="")
    elif ending == ".xlsx":
        _workbook(table_name, header, docs).save(path)
    else:
        raise ThirdstepError(f"A template is a .csv or an .xlsx file, not '{path.name}'. Give --format csv or xlsx.")
    return path


def _workbook(table_name: str, header: list[str], docs: pl.DataFrame) -> Workbook:
    book = Workbook()
    sheet = book.active
    assert sheet is not None  # a new workbook always has one
    sheet.title = table_name
    sheet.append(header)
    sheet.freeze_panes = "A2"
    for position, name in enumerate(header, start=1):
        sheet.cell(row=1, column=position).font = Font(bold=True)
        sheet.column_dimensions[get_column_letter(position)].width = max(12, len(name) + 2)

    notes = book.create_sheet("explanation")
    notes.append(list(EXPLANATION))
    for row in docs.iter_rows(named=True):
        must = "no" if row["nullable"] else "yes"
        notes.append([row["column_name"], row["description"], row["unit"], row["range_text"], must, row["example"]])
    for position, width in enumerate(EXPLANATION.values(), start=1):
        notes.cell(row=1, column=position).font = Font(bold=True)
        notes.column_dimensions[get_column_letter(position)].width = width
    for cells in notes.iter_rows(min_row=2):
        for cell in cells:
            cell.alignment = Alignment(wrap_text=True, vertical="top")
    return book
