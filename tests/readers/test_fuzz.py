"""Readers on bytes nobody would write: a table or a sentence, never a crash, and no row lost in silence."""

import csv
import io

import polars as pl
from hypothesis import example, given
from hypothesis import strategies as st

from pipelines.errors import UnreadableSource
from pipelines.readers import SUPPORT, read_tables
from tests.examples import examples
from tests.readers.test_formats import HEADER, ods, parquet, sheet, text

NAMES = [f"fuzz{ending}" for form in SUPPORT.values() for ending in form.endings]
ROW = text("Ana Berg") + text("d") + text("1.85")
WHOLE = {
    "a.ods": ods(sheet("T", HEADER, ROW)),
    "a.parquet": parquet(pl.DataFrame({"a": [1.5, 2.5], "b": ["x", None]})),
    "a.jsonl": b'{"a": 1, "b": "x"}\n{"a": 2}\n',
    "a.csv": b"Name;Date;10m\r\nAna;2026-03-04;1,85\r\n",
}


def reads_or_says_why(name: str, content: bytes) -> None:
    tables, said = [], ""
    try:
        tables = read_tables(name, content)
    except UnreadableSource as why:
        said = why.message
    assert bool(tables) != said.startswith(name)  # a table, or a sentence that names the file
    for table in tables:
        assert table.rows.height > 0
        assert table.rows["_line"].is_sorted()


@examples(300)
@given(st.sampled_from(NAMES), st.binary(max_size=400))
@example("a.csv", b"\xff\xfe")
@example("a.json", b"\xef\xbb\xbf[{}]")
@example("a.csv", b'"')
@example("a.csv", b"a,b\n" + b"\r" * 50)
def test_any_bytes_under_any_name_are_read_or_refused_in_words(name: str, content: bytes):
    reads_or_says_why(name, content)


@examples(300)
@given(st.sampled_from(sorted(WHOLE)), st.data())
def test_a_file_with_a_few_bytes_changed_or_cut_is_read_or_refused_in_words(name: str, data: st.DataObject):
    content = bytearray(WHOLE[name])
    for _ in range(data.draw(st.integers(1, 4))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    reads_or_says_why(name, bytes(content[: data.draw(st.integers(1, len(content)))]))


cell = st.text(st.characters(exclude_categories=["Cs", "Cc"], include_characters='\n"'), max_size=6).map(str.strip)


@examples(150)
@given(st.lists(st.tuples(cell, cell, cell), min_size=1, max_size=6), st.sampled_from(",;\t|"))
def test_every_row_the_csv_module_writes_comes_back_cell_by_cell(rows: list[tuple[str, str, str]], delimiter: str):
    # RFC 4180 quoting, written by Python's own csv module
    told = io.StringIO(newline="")
    csv.writer(told, delimiter=delimiter, lineterminator="\r\n").writerows([("Name", "Day", "Note"), *rows])
    full = [tuple(cell or None for cell in row) for row in rows if any(row)]
    try:
        [table] = read_tables("a.csv", told.getvalue().encode())
    except UnreadableSource:
        assert not full or len(full) < 2  # a row or none: what is the header cannot be told
        return
    if table.header == ["Name", "Day", "Note"]:
        assert table.rows.drop("_line").rows() == full
