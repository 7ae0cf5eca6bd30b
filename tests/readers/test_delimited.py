"""Text files: every cell as written, at its own line, whatever the delimiter, quoting, line ending and encoding."""

import contextlib
import csv
import io

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pipelines.readers import UnreadableSource, read_tables
from pipelines.readers.delimited import FAST_CHARACTERS


def cells(content: bytes, name: str = "f.csv") -> list[tuple]:
    [table] = read_tables(name, content)
    return table.rows.rows()


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_any_delimiter(sign):
    assert cells(f"name{sign}load\nAna{sign}100\n".encode()) == [("Ana", "100", 2)]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_any_line_ending(end):
    assert cells(f"a,b{end}1,2{end}{end}3,4".encode()) == [("1", "2", 2), ("3", "4", 4)]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_any_encoding(encoding):
    text = "Größe;Name\n1,80;Jérôme Müßig\n1,75;Søren Åkerlund\n"
    [table] = read_tables("f.csv", text.encode(encoding))
    assert table.header == ["Größe", "Name"]
    assert table.rows["c1"].to_list() == ["Jérôme Müßig", "Søren Åkerlund"]


def test_decimal_commas_do_not_hide_the_semicolon():
    assert cells(b"name;10m;20m\nAna;1,80;2,90\n") == [("Ana", "1,80", "2,90", 2)]


def test_a_line_break_in_quotes_keeps_the_lines_right():
    # RFC 4180 section 2, rules 6 and 7: line breaks and doubled quotation marks inside a quoted field
    assert cells(b'a,note\n1,"wet\nlane"\n2,"he said ""go"""\n') == [("1", "wet\nlane", 2), ("2", 'he said "go"', 4)]


def test_an_inch_mark_in_a_cell_is_no_quotation():
    assert cells(b"name,height\nAna,5'7\"\nBea,5'9\"\n") == [("Ana", "5'7\"", 2), ("Bea", "5'9\"", 3)]


def test_the_delimiter_a_spreadsheet_program_names_in_the_first_line():
    [table] = read_tables("f.csv", b"sep=;\r\na;b\r\n1,5;2\r\n")
    assert (table.header, table.header_line, table.rows.rows()) == (["a", "b"], 2, [("1,5", "2", 3)])


def test_title_lines_stand_above_the_header():
    [table] = read_tables("f.csv", b"Squad test\n\nname,10m,20m\nAna,1.80,2.90\n")
    assert (table.header, table.header_line) == (["name", "10m", "20m"], 3)


def test_cells_beyond_the_header_are_kept():
    assert cells(b"a,b\n1,2,3\n") == [("1", "2", "3", 2)]


def test_the_fast_path_gives_what_the_exact_one_gives():
    body = "".join(f'a{n},"x ""{n}""",{n / 7:.4f}\n' + ("\n" if n % 1000 == 5 else "") for n in range(40_000))
    content = f"Title\nname,said,value\n{body}".encode()
    assert len(content) > FAST_CHARACTERS
    [table] = read_tables("f.csv", content)
    text = content.decode()
    reader = csv.reader(io.StringIO(text))
    expected = [(*row, reader.line_num) for row in reader if row][2:]
    assert table.rows.rows() == expected


def test_a_long_file_with_line_breaks_in_quotes_goes_the_exact_way():
    body = "".join(f'a{n},"x\n{n}"\n' for n in range(60_000))
    [table] = read_tables("f.csv", f"name,note\n{body}".encode())
    assert table.rows.height == 60_000
    assert table.rows.row(-1) == ("a59999", "x\n59999", 2 + 2 * 59_999)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("empty.csv", b"", "0 bytes"),
        ("blank_lines_only.csv", b"\n \n", "empty"),
        ("header_only.csv", b"athlete_id,session_date\n", "header on line 1 and no rows"),
        ("cut_off_in_quotes.csv", b'a,b\n1,"2\n3,4\n', "opened on line 2 is never closed"),
        ("picture_named.csv", b"\x89PNG\r\n\x1a\n0000", "is a picture (PNG)"),
        ("pdf_named.csv", b"%PDF-1.7 ...", "is a PDF document"),
        ("nul_bytes.csv", b"a,b\n1,\x002\n", "zero (NUL) bytes, the first on line 2"),
        ("all_zero_bytes.csv", b"\x00" * 64, "zero"),
        ("text_named.xlsx", b"a,b\n1,2\n", "is named .xlsx but is a text file"),
        ("web_page_named.xls", b"<html><table></table></html>", "is a web page"),
        ("cut_off.json", b'{"a": 1', "line 1 is no JSON object"),
        ("values_alone.jsonl", b"1\n2\n", "line 1 is no object"),
        ("old.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1....", "password-protected workbook"),
    ],
)
def test_what_cannot_be_read_says_why_and_what_to_do(name, content, says):
    with pytest.raises(UnreadableSource) as caught:
        read_tables(name, content)
    assert caught.value.message.startswith(f"{name}: ")
    assert says in caught.value.message
    assert caught.value.next_step


def test_a_million_columns_are_refused():
    content = (",".join(f"c{n}" for n in range(1_000_000)) + "\n" + "1," * 999_999 + "1\n").encode()
    with pytest.raises(UnreadableSource, match="1,000,000 columns"):
        read_tables("wide.csv", content)


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_by_name(content):
    with contextlib.suppress(UnreadableSource):  # the one way to refuse; anything else fails the test
        assert all(table.rows.height for table in read_tables("any.csv", content))


cell = st.text(st.characters(codec="utf-8", exclude_characters="\x00", exclude_categories=("Cc", "Cs")), max_size=8)


@example([["", ";", ";"]], "\n")
@given(st.lists(st.lists(cell, min_size=3, max_size=3), min_size=1, max_size=8), st.sampled_from(["\n", "\r\n"]))
def test_what_a_csv_writer_writes_comes_back(table, end):
    # outside: Python's csv writer, RFC 4180 quoting
    written = io.StringIO()
    csv.writer(written, lineterminator=end, quoting=csv.QUOTE_ALL).writerows([["h one", "h two", "h three"], *table])
    kept = [row for row in table if any(one.strip() for one in row)]
    try:
        [read] = read_tables("t.csv", written.getvalue().encode())
    except UnreadableSource:
        assert not kept
        return
    got = [[one or "" for one in row[:-1]] for row in read.rows.rows()]
    blank = [[one if one.strip() else "" for one in row] for row in kept]
    assert [row + [""] * (3 - len(row)) for row in got] == blank
