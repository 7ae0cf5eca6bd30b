"""Text files: CSV, TSV and their kin. Quoting as in RFC 4180; every row keeps the line it begins on."""

import csv
import dataclasses
import io
from collections import Counter

import polars as pl

from pipelines.errors import UnreadableSource
from pipelines.readers.budget import (
    BLANK_RUN,
    BLANKS,
    CELL_CHARACTERS,
    EMPTY_ROWS,
    GRID_CELLS,
    TEXT_ROWS,
    Budget,
)
from pipelines.readers.encoding import decode
from pipelines.readers.table import MOST_COLUMNS, Row, filled, header_position, to_table, trimmed
from schemas.intake import NotRead, TextTable

DELIMITERS = ",;\t|"
RARE_DELIMITERS = "^~"
SAMPLE_LINES = 80
FIELD_LIMIT = 1_000_000  # characters after which a quotation mark was never closed
NOTES_CHARACTERS = 40_000  # of a text that may be notes, line by line
FAST_CHARACTERS = 500_000  # longer texts go through the fast path where it gives the same answer


def read(name: str, content: bytes) -> tuple[list[TextTable], list[tuple[str, str]]]:
    """Read a delimited text file as one table.

    Raises:
        UnreadableSource: No text, nothing but a header, a quotation mark that is never closed, too many columns.
    """
    text = decode(name, content).lstrip("\ufeff")
    if not text or text.isspace():
        raise UnreadableSource(name, "the file is empty: it holds no letters or digits.", "Export it again.")
    _refuse_blank_lines(name, text)
    first_line = 1
    told = text[:8].lower()
    if told.startswith("sep=") and text[4:5] and text[5:6] in "\r\n":  # spreadsheet programs name the delimiter so
        delimiter, first_line = text[4], 2
        text = text.split("\n", 1)[1] if "\n" in text else ""
    else:
        delimiter = find_delimiter(text)
    # Plain letters are the same bytes in every encoding but the wide ones: no second copy of a long file is made.
    as_bytes = content if text.isascii() and len(text) == len(content) else None
    table = _read_fast(name, text, delimiter, first_line, as_bytes) if len(text) > FAST_CHARACTERS else None
    made = table if table is not None else to_table(name, "", _read_exact(name, text, delimiter, first_line))
    if len(text) <= NOTES_CHARACTERS and name.lower().endswith((".txt", ".text", ".md")):
        lines = tuple((first_line + n, line) for n, line in enumerate(text.splitlines()) if line.strip())
        made = _of_notes(name, made, lines)
    if isinstance(made, NotRead):
        raise UnreadableSource(name, f"the file {made.why}.", "Add the rows, or export it again.")
    return [made], []


def _of_notes(name: str, made: TextTable | NotRead, lines: tuple[tuple[int, str], ...]) -> TextTable | NotRead:
    """Return the table of a text file with its lines as written; one of two lines or more is a table in any case."""
    if isinstance(made, NotRead) and len(lines) > 1:
        made = to_table(name, "", [(line, [text]) for line, text in lines], header_at=0)
    return made if isinstance(made, NotRead) else dataclasses.replace(made, written=lines)


def rows_with_lines(name: str, text: str) -> list[int]:
    """Return the line on which each row of a text file begins, as its table counts them."""
    if text[:8].lower().startswith("sep=") and text[4:5] and text[5:6] in "\r\n":
        rest = text.split("\n", 1)[1] if "\n" in text else ""
        return [1, *(line for line, _ in _read_exact(name, rest, text[4], 2, blank_too=True))]
    return [line for line, _ in _read_exact(name, text, find_delimiter(text), 1, blank_too=True)]


def _refuse_blank_lines(name: str, text: str) -> None:
    """Refuse a text that is mostly blanks or line ends. Lines of delimiters alone are counted as they are read."""
    if BLANKS in text:
        line = text.count("\n", 0, text.index(BLANKS)) + 1
        raise UnreadableSource(name, f"line {line} holds more than {BLANK_RUN} blanks in a row.", "Mend the line.")
    ends = ("\n", "\r\n", "\r") if "\r" in text else ("\n",)
    blank = max(text.count(end + end) for end in ends)
    if blank > EMPTY_ROWS:
        raise UnreadableSource(name, f"it holds more than {EMPTY_ROWS:,} empty lines.", "Export it again.")


def find_delimiter(text: str) -> str:
    """Return the sign between cells: the one that cuts most lines into the same number of cells."""
    sample = [line for line in text[: 400 * SAMPLE_LINES].splitlines() if line.strip()][:SAMPLE_LINES]

    def score(sign: str) -> tuple[float, float]:
        counts = [len(row) for row in csv.reader(sample, delimiter=sign) if row]
        wide = Counter(count for count in counts if count > 1)
        if not wide:
            return (0.0, 0.0)
        usual, lines = wide.most_common(1)[0]
        near = sum(times for count, times in wide.items() if abs(count - usual) <= 1)
        return (round((lines + near) / (2 * len(counts)), 1), float(usual))

    csv.field_size_limit(FIELD_LIMIT)
    try:
        best = max(DELIMITERS, key=score)
        # Commas are decimals where semicolons cut too, or stand in titles; not where they cut all lines, and those some
        if best == "," and score(";") >= (0.5, 3.0) and not score(";")[0] < score(",")[0] == 1.0:
            return ";"
        return best if score(best)[0] else max("," + RARE_DELIMITERS, key=score)
    except csv.Error:  # a cell without end: reading it exactly says where
        return max(DELIMITERS, key=lambda sign: sum(line.count(sign) for line in sample))


def _read_exact(name: str, text: str, delimiter: str, first_line: int, *, blank_too: bool = False) -> list[Row]:
    """Read row by row with the csv module, which counts lines inside quoted cells. Empty rows are left out."""
    lines = max(text.count("\n"), text.count("\r"))
    if lines > TEXT_ROWS:
        why = f"it has {lines:,} lines in a shape that is read line by line; {TEXT_ROWS:,} are read at most."
        raise UnreadableSource(name, why, "Load it in parts.")
    csv.field_size_limit(FIELD_LIMIT)
    for strict in (True, False):
        rows: list[Row] = []
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=strict)
        line = empty = 0
        budget = Budget(name, GRID_CELLS)
        try:
            for cells in reader:
                if blank_too or any(map(str.strip, cells)):
                    rows.append((first_line + line, cells))
                    budget.take(len(cells))
                else:
                    empty += 1
                    if empty > EMPTY_ROWS:
                        why = f"it holds more than {EMPTY_ROWS:,} empty rows."
                        raise UnreadableSource(name, why, "Export it again.")
                line = reader.line_num
            return rows
        except csv.Error as error:
            begin = first_line + line
            if "unexpected end of data" in str(error) or "field limit" in str(error):
                raise UnreadableSource(
                    name,
                    f"a quotation mark opened on line {begin} is never closed: the file was cut off, or the mark is "
                    "missing.",
                    "Mend the line, or export the file again.",
                ) from error
            if not strict:
                raise UnreadableSource(name, f"line {begin} cannot be read ({error}).", "Mend the line.") from error
    raise AssertionError("both ways end above")


def _read_fast(  # noqa: PLR0911 - each a reason to read exactly instead
    name: str, text: str, delimiter: str, first_line: int, as_bytes: bytes | None
) -> TextTable | None:
    """Read a long text with polars; None where its answer might differ from the exact one.

    That is: lines that end in a lone carriage return, rows with more cells than the header, cells that span lines.
    """
    if "\r" in text and text.count("\r") != text.count("\r\n"):
        return None
    try:
        head = _read_exact(name, "\n".join(text[: 400 * SAMPLE_LINES].splitlines()[:SAMPLE_LINES]), delimiter, 1)
    except UnreadableSource:
        return None
    full = [row for row in head if filled(row[1])]
    if len(full) < 2:
        return None
    place = header_position(full)
    line, cells = full[place]
    titles = tuple((number, tuple(trimmed(above))) for number, above in full[:place])
    header = trimmed(cells)
    if len(header) > MOST_COLUMNS:
        return None
    lines = text.count("\n") + (0 if text.endswith("\n") else 1)
    if lines * len(cells) > TEXT_ROWS and len(text) < 2 * lines * len(cells):  # mostly empty cells
        return None
    names = [f"c{number}" for number in range(len(cells))]
    try:
        frame = pl.read_csv(
            io.BytesIO(text.encode() if as_bytes is None else as_bytes),
            separator=delimiter,
            has_header=False,
            skip_lines=line - 1,
            schema=dict.fromkeys(names, pl.String()),
            infer_schema=False,
        )
    except pl.exceptions.PolarsError:
        return None
    if frame.height != lines - (line - 1):  # a quoted cell spans lines
        return None
    frame = frame.with_columns(pl.int_range(line, line + frame.height, dtype=pl.Int64).alias("_line") + first_line - 1)
    frame = frame.slice(1)
    blank = pl.col("c0").is_null() | (pl.col("c0").str.strip_chars() == "")
    if frame.select(blank.any()).item():
        others = [pl.col(name).str.strip_chars().fill_null("") == "" for name in names]
        frame = frame.filter(~pl.all_horizontal(others))
    if frame.height == 0:
        return None
    if frame.select(pl.max_horizontal(pl.exclude("_line").str.len_chars().max())).item() > CELL_CHARACTERS:
        return None
    frame = frame.rechunk()  # else every selection of columns later would copy them
    return TextTable(sheet="", header=header, header_line=line + first_line - 1, rows=frame, source=name, titles=titles)
