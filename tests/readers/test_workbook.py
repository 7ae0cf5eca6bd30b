"""Workbooks: stored values as text, every sheet, nothing evaluated, nothing that floods."""

import datetime as dt
import io
import zipfile

import openpyxl
import openpyxl.styles
import pytest

from pipelines.readers import UnreadableSource, read_tables, read_with_skipped


def book(**sheets) -> bytes:
    made = openpyxl.Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def test_dates_times_and_numbers_come_out_as_text_without_noise():
    day = dt.date(2026, 3, 3)
    rows = [["a", "b", "c", "d", "e"], [day, dt.datetime(2026, 3, 3, 7, 30), dt.time(0, 1, 2, 350000), 0.1 + 0.2, True]]
    [table] = read_tables("w.xlsx", book(S=rows))
    # 0.1 + 0.2 is 0.30000000000000004 in binary; 15 digits, as a spreadsheet stores, give 0.3
    assert table.rows.row(0) == ("2026-03-03", "2026-03-03 07:30:00", "0:01:02.35", "0.3", "yes", 2)


def test_title_rows_stand_above_the_header_and_lines_stay_right():
    rows = [["Gym log"], [], ["athlete", "load"], ["Ana", 100], [], ["Bea", 90]]
    [table] = read_tables("w.xlsx", book(S=rows))
    assert (table.header, table.header_line, table.rows["_line"].to_list()) == (["athlete", "load"], 3, [4, 6])


def test_every_sheet_is_read_and_notes_are_passed_over_with_a_reason():
    rows = [["athlete", "load"], ["Ana", 100]]
    tables, skipped = read_with_skipped(
        "w.xlsx", book(A=rows, Notes=[["a", "b"], ["c", "d"]], Empty=[], B=rows, C=[["x"]])
    )
    assert [table.sheet for table in tables] == ["A", "B"]
    assert dict(skipped) == {
        "Notes": "holds notes, as its name says", "Empty": "is empty", "C": "holds single cells of text and no table",
    }  # fmt: skip


def test_a_merged_name_stands_in_every_row_it_covers():
    made = openpyxl.Workbook()
    for row in (["athlete", "set", "load"], ["Ana", 1, 100], [None, 2, 105], ["Bea", 1, 90]):
        made.active.append(row)
    made.active.merge_cells("A2:A3")
    out = io.BytesIO()
    made.save(out)
    [table] = read_tables("w.xlsx", out.getvalue())
    assert table.rows["c0"].to_list() == ["Ana", "Ana", "Bea"]


def test_a_formula_is_never_evaluated():
    [table] = read_tables("w.xlsx", book(S=[["a", "b"], [1, "=1+1"]]))
    assert table.rows.row(0) == ("1", "=1+1", 2)  # no stored value: kept as written, so that it is set aside later


def test_a_percent_keeps_its_sign():
    made = openpyxl.Workbook()
    made.active.append(["a", "b"])
    made.active.append(["x", 0.45])
    made.active["B2"].number_format = "0%"
    out = io.BytesIO()
    made.save(out)
    [table] = read_tables("w.xlsx", out.getvalue())
    assert table.rows["c1"].to_list() == ["45%"]


def test_what_is_struck_out_says_so_and_is_no_number():
    made = openpyxl.Workbook()
    made.active.append(["a", "b"])
    made.active.append(["x", 4.28])
    made.active["B2"].font = openpyxl.styles.Font(strike=True)
    out = io.BytesIO()
    made.save(out)
    [table] = read_tables("w.xlsx", out.getvalue())
    assert table.rows.row(0) == ("x", "4.28 (struck out)", 2)


def test_a_stray_cell_in_the_last_row_makes_no_flood():
    made = openpyxl.Workbook()
    made.active.append(["a", "b"])
    made.active.append(["x", 1])
    made.active.cell(row=1_048_576, column=1, value="end")
    out = io.BytesIO()
    made.save(out)
    [table] = read_tables("w.xlsx", out.getvalue())
    assert table.rows["_line"].to_list() == [2, 1_048_576]


def test_a_workbook_named_csv_says_what_it_is():
    with pytest.raises(UnreadableSource, match=r"named \.csv but is a spreadsheet workbook.*Rename"):
        read_tables("w.csv", book(S=[["a", "b"], [1, 2]]))


def test_a_workbook_that_was_cut_off_is_damaged():
    whole = book(S=[["a", "b"], [1, 2]])
    for length in (4, 100, len(whole) // 2, len(whole) - 10):
        with pytest.raises(UnreadableSource, match="damaged"):
            read_tables("w.xlsx", whole[:length])


def test_a_zip_bomb_is_refused_before_it_is_unpacked():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 60_000_000)
    assert len(out.getvalue()) < 100_000
    with pytest.raises(UnreadableSource, match="unpacks to 60 MB"):
        read_tables("bomb.xlsx", out.getvalue())


def test_declarations_in_a_workbook_are_refused():
    source, out = zipfile.ZipFile(io.BytesIO(book(S=[["a", "b"], [1, 2]]))), io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for part in source.infolist():
            text = source.read(part)
            if part.filename == "xl/workbook.xml":
                text = b'<!DOCTYPE x [<!ENTITY a "ha">]>' + text
            archive.writestr(part.filename, text)
    with pytest.raises(UnreadableSource, match="declarations"):
        read_tables("w.xlsx", out.getvalue())


def test_a_workbook_without_a_table_says_why_for_each_sheet():
    with pytest.raises(UnreadableSource, match="sheet 'A' is empty; sheet 'B' has a header on line 1"):
        read_tables("w.xlsx", book(A=[], B=[["athlete", "load"]]))
