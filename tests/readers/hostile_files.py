"""Files made to flood who reads them, some bytes to 20 MB. Run as a program, it reads them under a limit of memory.

Invented here after the formats' own words for repeats and merges: OpenDocument 1.3, part 3 (number-rows-repeated,
number-columns-repeated, text:c), and SpreadsheetML (mergeCell, ECMA-376, part 1); names from memory.
"""

import io
import json
import time
import zipfile
from collections.abc import Callable

import openpyxl

_HEAD = (
    '<?xml version="1.0"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>'
    '<table:table table:name="S">'
)
_TAIL = "</table:table></office:spreadsheet></office:body></office:document-content>"
TEN = b"athlete,load\nAna,1\n"


def ods(rows: str) -> bytes:
    """Return a spreadsheet of some rows."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet", zipfile.ZIP_STORED)
        archive.writestr("content.xml", _HEAD + rows + _TAIL)
    return out.getvalue()


def cell(text: str, times: int = 1, more: str = "") -> str:
    """Return a cell of a spreadsheet, repeated."""
    told = f'office:value-type="string" table:number-columns-repeated="{times}" {more}'
    return f"<table:table-cell {told}><text:p>{text}</text:p></table:table-cell>"


def row(cells: str, times: int = 1) -> str:
    """Return a row of a spreadsheet, repeated."""
    return f'<table:table-row table:number-rows-repeated="{times}">{cells}</table:table-row>'


def xlsx(rows: str = "", merges: str = "") -> bytes:
    """Return a workbook of two rows, with more rows and merged ranges spelled out."""
    book, made, out = openpyxl.Workbook(), io.BytesIO(), io.BytesIO()
    for one in (["athlete", "load"], ["Ana", 100]):
        book.active.append(one)
    book.save(made)
    with zipfile.ZipFile(io.BytesIO(made.getvalue())) as archive, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as to:
        for part in archive.infolist():
            content = archive.read(part)
            if part.filename == "xl/worksheets/sheet1.xml":
                content = content.replace(b"</sheetData>", f"{rows}</sheetData>{merges}".encode())
            to.writestr(part.filename, content)
    return out.getvalue()


def numbered(last: int, *columns: str) -> str:
    """Return rows from the third on, with a 1 in each of some columns."""
    cells = "".join(f'<c r="{column}%d"><v>1</v></c>' for column in columns)
    return "".join(f'<row r="{n}">{cells % ((n,) * len(columns))}</row>' for n in range(3, last))


REFUSED: dict[str, Callable[[], bytes]] = {
    "rows.ods": lambda: ods(row(cell("a") + cell("b")) + row(cell("x") + cell("y"), 1_048_576)),
    "cells.ods": lambda: ods(row(cell("a", 5000)) + row(cell("y", 5000), 1_048_576)),
    "blocks.ods": lambda: ods(row(cell("a", 5000)) + row(cell("y", 5000), 1000) * 1000),
    "blanks.ods": lambda: ods(row(cell("a") + cell('<text:s text:c="2000000000"/>b')) + row(cell("x") + cell("y"))),
    "spans.ods": lambda: ods(
        row(cell("a") + cell("b"))
        + row(cell("x", more='table:number-rows-spanned="1000000"') * 900)
        + row(cell("x"), 1_000_000)
    ),
    "overlapping.xlsx": lambda: xlsx(
        numbered(8000, "A", "B"), "<mergeCells>" + "".join(f'<mergeCell ref="A{n}:A1048576"/>' for n in range(1, 3001))
        + "</mergeCells>",
    ),
    "far.xlsx": lambda: xlsx(numbered(30_000, "A", "XFD")),
    "corner.xlsx": lambda: xlsx('<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'),
    "lines.csv": lambda: TEN + b"\n" * 19_000_000,
    "lines_alone.csv": lambda: b"\n" * 19_000_000,
    "commas.csv": lambda: TEN + b",\n" * 9_500_000,
    "blanks.csv": lambda: b"athlete,load\nAna," + b" " * 19_000_000 + b"x\n",
    "many_blanks.csv": lambda: b"athlete,load\n" + (b"Ana,1" + b" " * 9000 + b"x\n") * 2000,
    "blank_header.csv": lambda: b"athlete,20" + b" " * 900_000 + b"m\nAna,1\n",
    "quote.csv": lambda: b'athlete,load\n"' + b"a" * 19_000_000,
    "quotes.csv": lambda: b"athlete,load\n" + b'"",""\n' * 1_900_000,
    "returns.csv": lambda: b"athlete,load\r" + b"a,b\r" * 4_700_000,
    "letters.csv": lambda: b"athlete,load\n" + b"\xe9" * 100 + b"\x81" * 19_000_000,
    "brackets.json": lambda: b"[" * 19_000_000,
    "names.jsonl": lambda: b"".join(b'{"a%d":1}\n' % n for n in range(4900)) + b'{"a1":1}\n' * 1_500_000,
}  # fmt: skip
# What says that it is huge and is not: read for what it holds.
HARMLESS: dict[str, Callable[[], bytes]] = {
    "whole_sheet.xlsx": lambda: xlsx(
        numbered(5, "A", "B"), '<mergeCells count="1"><mergeCell ref="D1:XFD1048576"/></mergeCells>'
    ),
    "edge.ods": lambda: ods(
        row(cell("a") + cell("b") + cell("", 16_000)) + row(cell("x") + cell("y")) + row(cell("", 16_000), 1_048_000)
    ),
}


def main() -> None:
    """Read each file and print what it cost: name, CPU seconds, what was said."""
    from pipelines.intake import apart
    from pipelines.readers import read_tables

    apart.MEMORY_BYTES = 500_000_000
    files = {name: make() for name, make in (REFUSED | HARMLESS).items()}
    apart.limit_memory()
    for name, content in files.items():
        began = time.process_time()
        try:
            said = f"read {sum(table.rows.height for table in read_tables(name, content))}"
        except Exception as refused:
            said = f"{type(refused).__name__}: {refused}"
        print(json.dumps([name, time.process_time() - began, said]), flush=True)


if __name__ == "__main__":
    main()
