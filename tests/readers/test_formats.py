"""Workbooks of other programs and files of other tools: ODS, Parquet, JSON lines."""

import datetime as dt
import io
import zipfile

import polars as pl
import pytest

from pipelines.errors import UnreadableSource
from pipelines.readers import read_tables, read_with_skipped

OFFICE = "urn:oasis:names:tc:opendocument:xmlns"
HEAD = (
    f'<office:document-content xmlns:office="{OFFICE}:office:1.0" xmlns:table="{OFFICE}:table:1.0" '
    f'xmlns:text="{OFFICE}:text:1.0"><office:body><office:spreadsheet>'
)
TAIL = "</office:spreadsheet></office:body></office:document-content>"


def text(said: str, more: str = "") -> str:
    return f'<table:table-cell office:value-type="string"{more}><text:p>{said}</text:p></table:table-cell>'


def value(kind: str, told: str, name: str = "value") -> str:
    return (
        f'<table:table-cell office:value-type="{kind}" office:{name}="{told}"><text:p>shown</text:p></table:table-cell>'
    )


def sheet(title: str, *rows: str) -> str:
    body = "".join(f"<table:table-row>{row}</table:table-row>" for row in rows)
    return f'<table:table table:name="{title}">{body}</table:table>'


def ods(*sheets: str, content: str | None = None) -> bytes:
    told = io.BytesIO()
    with zipfile.ZipFile(told, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet", zipfile.ZIP_STORED)
        archive.writestr("content.xml", content if content is not None else HEAD + "".join(sheets) + TAIL)
    return told.getvalue()


def cells(content: bytes, name: str) -> list[tuple]:
    [table] = read_tables(name, content)
    return [tuple(table.header), *table.rows.drop("_line").rows()]


HEADER = text("Name") + text("Date") + text("Time")


def test_the_stored_values_of_an_opendocument_sheet_are_read_not_what_is_shown():
    # OpenDocument 1.3, part 3, 19.385 to 19.391: office:value-type and its value attributes (from memory)
    row = text("Ana Berg") + value("date", "2026-03-04", "date-value") + value("float", "1.85")
    other = (
        text("Bea Lund")
        + value("date", "2026-03-05T00:00:00", "date-value")
        + value("time", "PT00H01M02.5S", "time-value")
    )
    assert cells(ods(sheet("Times", HEADER, row, other)), "times.ods")[1:] == [
        ("Ana Berg", "2026-03-04", "1.85"),
        ("Bea Lund", "2026-03-05", "0:01:02.5"),
    ]


def test_a_cell_merged_down_stands_in_every_row_it_covers():
    first = (
        text("Ana Berg", ' table:number-rows-spanned="2" table:number-columns-spanned="1"') + text("d1") + text("1.85")
    )
    second = "<table:covered-table-cell/>" + text("d1") + text("1.80")
    rows = cells(ods(sheet("Times", HEADER, first, second)), "times.ods")[1:]
    assert [row[0] for row in rows] == ["Ana Berg", "Ana Berg"]


def test_empty_rows_and_columns_to_the_edge_of_the_sheet_cost_nothing():
    blank = '<table:table-cell table:number-columns-repeated="16384"/>'
    far = f'<table:table-row table:number-rows-repeated="1048000">{blank}</table:table-row>'
    content = ods(
        sheet("Times", HEADER, text("Ana Berg") + text("d") + text("1.85") + blank).replace(
            "</table:table>", far + "</table:table>"
        )
    )
    assert len(cells(content, "times.ods")) == 2


def test_a_formula_is_never_evaluated():
    formula = '<table:table-cell table:formula="of:=1+1"/>'
    rows = cells(ods(sheet("Times", HEADER, text("Ana Berg") + text("d") + formula)), "times.ods")
    assert rows[1][2] == "=1+1"


def test_sheets_of_notes_are_passed_over_and_told():
    row = text("Ana Berg") + text("d") + text("1.85")
    tables, skipped = read_with_skipped(
        "a.ods", ods(sheet("Notes", text("hello") + text("you"), row), sheet("T", HEADER, row))
    )
    assert [table.sheet for table in tables] == ["T"]
    assert skipped == [("Notes", "holds notes, as its name says")]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (ods(content=HEAD), "damaged or was cut off"),
        (ods(content='<!DOCTYPE x [<!ENTITY a "b">]>' + HEAD + TAIL), "declarations"),
        (ods(sheet("T", HEADER))[:-40], "damaged or was cut off"),
    ],
)
def test_a_damaged_or_hostile_spreadsheet_is_refused(content: bytes, says: str):
    with pytest.raises(UnreadableSource, match=says):
        read_tables("squad.ods", content)


def test_a_spreadsheet_that_unpacks_to_far_more_is_refused():
    with pytest.raises(UnreadableSource, match="far more than a table of figures"):
        read_tables("squad.ods", ods(content=HEAD + " " * 90_000_000 + TAIL))


def parquet(frame: pl.DataFrame) -> bytes:
    told = io.BytesIO()
    frame.write_parquet(told)
    return told.getvalue()


def test_parquet_gives_every_type_as_the_text_that_says_the_same():
    frame = pl.DataFrame(
        {
            "name": ["Ana", None],
            "on": [dt.date(2026, 3, 4), None],
            "s": [1.85, 2.0],
            "ill": [True, False],
            "n": [3, None],
        }
    )
    assert cells(parquet(frame), "a.parquet")[1:] == [
        ("Ana", "2026-03-04", "1.85", "yes", "3"),
        (None, None, "2", "no", None),
    ]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"PAR1 and no more", "damaged"),
        (parquet(pl.DataFrame({"a": [[1, 2]]})), "lists or bytes"),
        (parquet(pl.DataFrame({"a": []}, schema={"a": pl.Int64})), "no rows"),
        (parquet(pl.DataFrame({f"c{n}": [1] for n in range(5001)})), "5,001 columns"),
    ],
)
def test_parquet_that_holds_no_table_is_refused(content: bytes, says: str):
    with pytest.raises(UnreadableSource, match=says):
        read_tables("a.parquet", content)


def test_json_lines_keep_their_lines_and_a_missing_name_is_an_empty_cell():
    [table] = read_tables("a.jsonl", b'{"name":"Ana","s":1.85}\n\n{"name":"Bea","note":"a\\u2028b","ill":true}\n')
    assert table.header == ["name", "s", "note", "ill"]
    assert table.rows["_line"].to_list() == [1, 3]
    assert table.rows.drop("_line").rows() == [("Ana", "1.85", None, None), ("Bea", None, "a\u2028b", "yes")]


def test_a_list_of_objects_is_a_table_too():
    assert cells(b'[{"a": 1, "b": {"c": 2}}, {"a": 3}]', "a.json") == [("a", "b c"), ("1", "2"), ("3", None)]


@pytest.mark.parametrize("content", [b'{"a": [1]}\n', b"[" * 100_000, b'"text"\n', b"{}\n{}\n", b'{"a": 1}\n{"a"'])
def test_json_that_holds_no_table_is_refused(content: bytes):
    with pytest.raises(UnreadableSource):
        read_tables("a.json", content)
