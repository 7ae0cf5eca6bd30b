"""From rows of cells to a table of text: where the header is, and which rows are empty."""

import datetime as dt
from collections.abc import Sequence
from statistics import median

import polars as pl

from pipelines.readers.budget import BLANK_RUN, refuse_cell, refuse_grid
from schemas.intake import NotRead, TextTable

HEADER_ROWS = 60  # a header stands within so many rows that are not empty
HEADER_SHARE = 0.6  # of the cells of a usual row that a header row fills at least
MOST_COLUMNS = 1000

Row = tuple[int, Sequence[str]]  # line, cells


def filled(cells: Sequence[str]) -> int:
    """Return how many cells of a row hold something."""
    return sum(map(bool, map(str.strip, cells)))


def header_position(rows: Sequence[Row]) -> int:
    """Return which of the rows (none empty) is the header: the first that is nearly as full as a usual row.

    Rows above it are titles. A table of one column has its header first.
    """
    sample = rows[:HEADER_ROWS]
    counts = [filled(cells) for _, cells in sample]
    usual = median(counts[1:]) if len(counts) > 1 else counts[0]
    least = max(2.0, HEADER_SHARE * usual) if usual >= 2 else 1.0
    return next((place for place, count in enumerate(counts) if count >= least), 0)


def trimmed(header: Sequence[str]) -> list[str]:
    """Return the header cells without blanks around them and without empty cells at the end."""
    cells = [" ".join(cell.split()) for cell in header]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def width_of(cells: Sequence[str]) -> int:
    """Return how many cells a row has without the empty ones at its end."""
    width = len(cells)
    while width and not cells[width - 1].strip():
        width -= 1
    return width


def to_table(
    source: str, sheet: str, rows: list[Row], *, header_at: int | None = None, day_zero: dt.date | None = None
) -> TextTable | NotRead:
    """Make a table of the rows of a sheet or text file, or say why they make none.

    ``header_at`` is the place of the header where the format says it; else it is looked for. ``day_zero`` is what the
    format counts day numbers from.
    """
    rows = [row for row in rows if any(map(str.strip, row[1]))]
    if not rows:
        return NotRead("is empty")
    for line, cells in rows:
        if sum(map(len, cells)) > BLANK_RUN:
            for cell in cells:
                refuse_cell(source, line, cell)
    place = header_position(rows) if header_at is None else header_at
    line, cells = rows[place]
    header = trimmed(cells)
    data = rows[place + 1 :]
    if not data:
        return NotRead(f"has a header on line {line} and no rows below it")
    width = max(len(header), *(width_of(cells) for _, cells in data))
    if width > MOST_COLUMNS:
        return NotRead(f"has {width:,} columns; {MOST_COLUMNS:,} are read at most")
    refuse_grid(source, len(data), width)
    columns: list[list[str | None]] = [[None] * len(data) for _ in range(width)]
    for number, (_, row_cells) in enumerate(data):
        for column, cell in zip(columns, row_cells, strict=False):
            if cell.strip():
                column[number] = cell
    frame = pl.DataFrame(
        {f"c{number}": pl.Series(column, dtype=pl.String) for number, column in enumerate(columns)}
    ).with_columns(pl.Series("_line", [line for line, _ in data], dtype=pl.Int64))
    above = trimmed(rows[place - 1][1]) if place else []
    titles = tuple((number, tuple(trimmed(cells))) for number, cells in rows[:place])
    return TextTable(
        sheet=sheet, header=header, header_line=line, rows=frame, source=source, above=above, day_zero=day_zero,
        titles=titles,
    )  # fmt: skip
