"""What is handed from room to room on the way in: a table of text, then the same cells under record columns."""

from dataclasses import dataclass, field
from typing import Literal

import polars as pl


@dataclass(frozen=True)
class TextTable:
    """One table of a file, every cell as it was written.

    ``rows`` has the columns c0 .. cN (text, empty cells null) and ``_line``, the 1-based line of the file or row of the
    sheet. N may reach beyond the header: a row with more cells than the header keeps them. Empty rows are left out.
    """

    sheet: str
    header: list[str]
    header_line: int
    rows: pl.DataFrame
    source: str = ""  # name of the file


@dataclass(frozen=True)
class LayoutOptions:
    """Answers to what a file can leave open."""

    date_order: Literal["day", "month"] | None = None  # 03/04/2026: the day first, or the month
    split_times: Literal["cumulative", "segment"] | None = None  # time since the start, or for each stretch


@dataclass(frozen=True)
class Cells:
    """Where the cells of one record column of a part came from."""

    header: str  # as the file writes it
    origin: str  # c-column of the source, "" where the value is not in a cell of its own
    unit: str | None = None  # unit name the header gives; None: it gives none
    unit_is_certain: bool = False  # the header is the record column's own name, so its unit is the record's


@dataclass(frozen=True)
class Part:
    """The cells of one record table, a row for every source row, as text. Null where a row says nothing."""

    table: str
    frame: pl.DataFrame
    cells: dict[str, Cells]
    is_main: bool = True  # a row of the source that leaves it empty is at fault; otherwise the part is only passed over
    stretch_from_m: float | None = None  # the time is for the stretch from here, as its header says


@dataclass(frozen=True)
class LaidOut:
    """One table of a file moved to record tables."""

    source: str
    sheet: str
    header: list[str]
    rows: pl.DataFrame  # as read: c0 .. cN and _line
    parts: list[Part]
    named: pl.DataFrame  # rows that are no data: _row, column, value, reason
    options: LayoutOptions = field(default_factory=LayoutOptions)
    is_canonical: bool = False
    ignored: list[str] = field(default_factory=list)  # headers nothing is taken from

    @property
    def tables(self) -> list[str]:
        """Names of the record tables this fills, parents first."""
        from schemas.records import RECORDS  # pandera takes a second to import

        filled = {part.table for part in self.parts}
        return [name for name in RECORDS if name in filled]


NAMED_SCHEMA = {"_row": pl.UInt32, "column": pl.String, "value": pl.String, "reason": pl.String}
