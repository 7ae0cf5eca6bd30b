"""What is handed from room to room on the way in: a table of text, then the same cells under record columns."""

import dataclasses
import datetime as dt
import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

import polars as pl

from schemas.reading import Block, Fact, Scale
from schemas.spelling import fold

LEAVE_UNKNOWN = "unknown"  # the answer that asks for nothing to be filled in, and not to be asked again
SQUAD = "squad"  # in place of a layout: answers that hold for every file to come
NEW_PERSON = "new"  # the answer that a name is of somebody not known yet
EVERYBODY = "everybody"  # the answer that rows without athletes hold for all of them
GROUPS = "groups"  # the answer that they hold for everybody of the group that a column, a tab or a title names
# Tables whose rows may hold for several people, and those of them whose rows hold from a day until another.
OF_SEVERAL = ("session", "plan", "season_phase", "rest_day")
OF_A_SPAN = ("season_phase", "rest_day")
NOBODY = "nobody"  # the answer that a word for a group means nobody of the squad


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
    above: list[str] = field(default_factory=list)  # row right above the header: a title, or the upper of two headers
    day_zero: dt.date | None = None  # what day numbers are counted from, where the format says it
    titles: tuple[tuple[int, tuple[str, ...]], ...] = ()  # the rows above the header: line, cells
    facts: dict[str, Fact] = field(default_factory=dict)  # what holds for all rows: 'date', a record column
    first_column: int = 0  # of the sheet, where the table is a part of one
    turned: str = ""  # "athletes" or "days" where those stood as columns and were made rows
    filled_down: tuple[int, ...] = ()  # columns in which an empty cell was given what stands above it
    written: tuple[tuple[int, str], ...] = ()  # of a short text file: its lines as they are written
    passed: str = ""  # which of its cells are no row, and why, where a person is to be told
    was: tuple[str, ...] = ()  # fingerprints of its headers before answers made columns of people or days rows


@dataclass(frozen=True)
class NotRead:
    """What stands in the place of a table, or of its reading, where there is none: why, as the end of a sentence."""

    why: str
    what_to_do: str = ""  # where another thing than with most of them


@dataclass(frozen=True)
class LayoutOptions:
    """Answers to what a file can leave open: for every table of it, or for the tables of one layout."""

    date_order: Literal["day", "month"] | None = None  # 03/04/2026: the day first, or the month
    split_times: Literal["cumulative", "segment"] | None = None  # time since the start, or for each stretch
    start_kind: str | None = None  # of runs whose file does not say; 'unknown' leaves it so
    clock_start: str | None = None
    timing_kind: str | None = None
    gate_offset: str | None = None  # how far the start line lies behind the first gate, where that starts the clock
    frame_rate: str | None = None  # pictures a second, where times are counted in pictures
    year: str | None = None  # of days written without one: a year, or 'last' for the last time that day was
    who: str | None = None  # whose rows a sheet without athletes holds: 'everybody', 'groups', a name
    days: dict[str, str] = field(default_factory=dict)  # file › sheet -> its day, where nothing in it says one
    scales: dict[str, str] = field(default_factory=dict)  # header -> '1 to 5, 5 is good'
    columns: dict[str, str] = field(default_factory=dict)  # header -> 'not_used', 'other_measure' or 'table.column'
    words: dict[str, str] = field(default_factory=dict)  # 'header: cell' -> word or number of the record
    readings: dict[str, Any] = field(default_factory=dict)  # layout -> the block of a reading that is obeyed
    each_block: bool = False  # the readings logged are those of each block: logs of before kept one a header
    units: dict[str, str] = field(default_factory=dict)  # header, or record column -> unit as people write it
    families: dict[str, str] = field(default_factory=dict)  # exercise -> the family it counts in, or 'unknown'
    athletes: dict[str, str] = field(default_factory=dict)  # name as written -> athlete_id, or 'new'
    groups: dict[str, str] = field(default_factory=dict)  # word for a group -> event group, 'squad: senior', names
    layouts: dict[str, dict[str, Any]] = field(default_factory=dict)  # layout -> answers for it alone
    corrections: list[dict[str, Any]] = field(
        default_factory=list
    )  # cells mended by hand: see ``pipelines.intake.mending``
    others: list[str] = field(default_factory=list)  # names of the files given together that are nobody's on the roster
    held: list[dict[str, Any]] = field(default_factory=list)  # cells on which another file given with it says otherwise
    rereads: list[int] = field(default_factory=list)  # loads of the same bytes in whose place this reading is stored
    for_groups: list[str] = field(default_factory=list)  # of loads logged before ``writer`` was: their writer's groups
    writer: dict[str, Any] = field(default_factory=dict)  # who brings it (``schemas.rights``): rows not theirs stay out

    def of(self, layout: str) -> "LayoutOptions":
        """Return the answers for one layout: its own where it has some, else those given for all."""
        own = {name: value for name, value in self.layouts.get(layout, {}).items() if name in ANSWERED}
        for name in OF_THE_SQUAD:
            own[name] = {**self.layouts.get(SQUAD, {}).get(name, {}), **own.get(name, {})}
        told = {name: value for name in ANSWERED if (value := getattr(self, name))}
        for name in NAMED:
            told[name] = {**told.get(name, {}), **own.pop(name, {})}
        return dataclasses.replace(self, **{**told, **own}, layouts={})

    @property
    def one_person(self) -> str:
        """The one athlete whose rows a sheet without athletes was said to hold, '' where nothing of the kind was."""
        return "" if self.who in (None, EVERYBODY, GROUPS) else self.who or ""

    def only_for(self, layouts: Iterable[str]) -> "LayoutOptions":
        """Return the answers without those for other layouts."""
        wanted = {SQUAD, *layouts}
        return dataclasses.replace(self, layouts={name: own for name, own in self.layouts.items() if name in wanted})


NAMED = (
    "days",
    "scales",
    "columns",
    "words",
    "units",
    "families",
    "athletes",
    "groups",
)  # answers about one header, cell, sheet or name
ANSWERED = ("date_order", "year", "split_times", "who", "start_kind", "clock_start", "timing_kind", "gate_offset",
            "frame_rate", *NAMED)  # fmt: skip
OF_THE_SQUAD = ("athletes", "families", "groups")  # asked once for all files


def fingerprint(header: Iterable[str]) -> str:
    """Return what a layout is remembered by: a short checksum of its headers, however they are spelled."""
    return hashlib.sha256("\n".join(fold(text) for text in header).encode()).hexdigest()[:12]


def cell_names(header: list[str], width: int) -> list[str]:
    """Return a name for each column: its header, 'column 4' where it has none, told apart where they repeat."""
    names: list[str] = []
    for place in range(width):
        text = (header[place] if place < len(header) else "") or f"column {place + 1}"
        names.append(text if text not in names else f"{text} ({place + 1})")
    return names


@dataclass(frozen=True)
class Question:
    """What a table of a file leaves open, with the answers it would take."""

    layout: str  # fingerprint of the headers the answer is remembered for
    ask: str  # one of ANSWERED
    about: str  # header or name it is about; "" where it is about the whole table
    sentence: str  # the question, in a coach's words
    answers: tuple[tuple[str, str], ...]  # answer, and what it means
    rows: int  # rows it is about
    holds_rows: bool = True  # rows are set aside until it is answered; else a value only stays unknown
    header: tuple[str, ...] = ()  # headers of the layout
    source: str = ""
    sheet: str = ""
    is_free: bool = False  # the answers are examples: another of their form is taken too
    cells: tuple[str, ...] = ()  # some of the cells it is about
    more: tuple[tuple[str, str], ...] = ()  # further answers it would take, less likely ones
    also: tuple[tuple[str, str, str], ...] = ()  # other layouts that the answer is for: layout, source, headers

    @property
    def is_weighty(self) -> bool:
        """Whether it is to be seen at once: rows wait for it, or a column whose meaning the record has a place for."""
        kept = ("other_measure", "not_used")
        is_known = self.ask == "columns" and bool(self.answers) and self.answers[0][0] not in kept
        return self.holds_rows or is_known or self.ask in ("scales", "clock_start")


@dataclass(frozen=True)
class Cells:
    """Where the cells of one record column of a part came from."""

    header: str  # as the file writes it
    origin: str  # c-column of the source, "" where the value is not in a cell of its own
    unit: str | None = None  # unit name the header gives; None: it gives none
    unit_is_certain: bool = False  # the header is the record column's own name, so its unit is the record's
    scale: Scale | None = None  # of a rating, as the file writes it
    is_canonical: bool = False  # the header is the record column's own name
    words: dict[str, str] = field(default_factory=dict)  # cell as written -> what it was said to mean
    unit_word: str = ""  # of a unit that a title or name says and no heading: its word as written there
    open_units: tuple[str, ...] = ()  # units that title or cells name, of which bare cells may have any: asked


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
    day_zero: dt.date | None = None  # what day numbers are counted from, where the format says it
    ignored: list[str] = field(default_factory=list)  # headers nothing is taken from
    unheaded: tuple[str, ...] = ()  # columns without a header nothing is taken from: where they stand, what they hold
    block: Block | None = None  # the reading it was laid out by
    asked: tuple[Question, ...] = ()  # what the layout leaves open
    facts: dict[str, Fact] = field(default_factory=dict)  # what titles and names say of all rows
    year: int | str | None = None  # of days without one, where titles or names say it; 'season 2025' of one of two
    group_column: str = ""  # c-column that names the group each row is for
    titles: tuple[str, ...] = ()  # what stands above it, the nearest last
    nth: int = 0  # of the tables of the file under the same headers, from 0
    is_of_several: bool = False  # its rows hold for several people, and were made one for each of them
    days_differ: bool = False  # some days of the text put the day first and others the month

    @property
    def layout(self) -> str:
        """What the layout is remembered by."""
        return fingerprint(self.header)

    @property
    def tables(self) -> list[str]:
        """Names of the record tables this fills, parents first."""
        from schemas.records import RECORDS  # pandera takes a second to import

        filled = {part.table for part in self.parts}
        return [name for name in RECORDS if name in filled]


NAMED_SCHEMA = {"_row": pl.UInt32, "column": pl.String, "value": pl.String, "reason": pl.String}
