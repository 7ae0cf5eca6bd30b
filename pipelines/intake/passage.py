"""From bytes to checked rows: reader, layout and checks in turn, for a file or for rows typed by hand."""

import dataclasses
import datetime as dt
import json
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import polars as pl

from pipelines.checks import Checked, Known, check
from pipelines.errors import ThirdstepError
from pipelines.intake import mending
from pipelines.intake.mending import Correction
from pipelines.intake.one_a_header import as_each_was, kept_one_a_header
from pipelines.layouts import lay_out, plain_tables
from pipelines.readers import read_with_skipped
from schemas.intake import LEAVE_UNKNOWN, LaidOut, LayoutOptions, TextTable, fingerprint
from schemas.records import FORMER_NAMES, RECORDS
from schemas.spelling import fold

ENTRY_FORMAT = "thirdstep-entry-1"
ENTRY_OPTIONS = LayoutOptions(split_times="cumulative", start_kind=LEAVE_UNKNOWN, clock_start=LEAVE_UNKNOWN,
                              timing_kind=LEAVE_UNKNOWN)  # fmt: skip
ENTRY_HELPERS = {"step": ("contact_frame", "toeoff_frame")}  # typed beside the table's own columns
ENTRY_ID = "_id"  # of a row made on a phone: says that it was seen, and is no column
GATE = re.compile(r"\d+(?:\.\d+)? m")  # a time since the start at a gate, typed beside its run


@dataclass(frozen=True)
class CheckedAs:
    """What a source was checked to, and against whom: against the same it comes out the same and is not done again."""

    athletes: pl.DataFrame
    others: frozenset[str]
    shown: frozenset[str] | None
    exercises: frozenset[str]
    as_of: dt.date
    checked: Checked

    def holds(
        self,
        athletes: pl.DataFrame,
        as_of: dt.date,
        others: frozenset[str],
        shown: frozenset[str] | None,
        exercises: frozenset[str],
    ) -> bool:
        """Return whether checking against these would give the same."""
        told = (self.others, self.shown, self.exercises, self.as_of)
        return told == (others, shown, exercises, as_of) and self.athletes.equals(athletes)


@dataclass(frozen=True)
class Given:
    """A source as it was given, read and laid out, or the reason why it could not be."""

    name: str
    content: bytes
    kind: str = "file"  # or "entry"
    texts: list[TextTable] = field(default_factory=list)
    laid: list[LaidOut] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)  # sheets that were passed over, and why
    problem: str = ""
    doubt: str = ""  # of a load that an earlier version logged: why it may not come out as it did
    resolves: list[int] = field(default_factory=list)  # set-aside rows that a hand entry mends
    only: tuple[str, int] | None = None  # the one row of it that is meant: sheet and line; else all
    mended: Correction | None = None  # the row mended by hand that this source is
    options: LayoutOptions = field(default_factory=LayoutOptions)  # answers it was read with
    known: tuple[str, ...] = ()  # who was known when it was read, folded, in order
    checked_as: CheckedAs | None = None  # where it was checked already, to be set against others given with it

    @property
    def tables(self) -> list[str]:
        """Names of the record tables it fills, parents first."""
        filled = {table for laid in self.laid for table in laid.tables}
        return [name for name in RECORDS if name in filled]

    @property
    def waits_for_names(self) -> bool:
        """Whether who is known may change what it is: its people stand elsewhere, or some of it is not understood."""
        return len(self.laid) < len(self.texts) or any(
            bool(laid.facts.get("athlete_id")) or (laid.block is not None and laid.block.shape == "others")
            for laid in self.laid
        )

    @property
    def layouts(self) -> list[str]:
        """What its tables are remembered by, those passed over too: that nothing of one is used is an answer."""
        before = (layout for text in self.texts for layout in text.was)
        return [*(laid.layout for laid in self.laid), *(fingerprint(text.header) for text in self.texts), *before]


def read_given(
    name: str,
    content: bytes,
    options: LayoutOptions,
    kind: str = "file",
    *,
    when_read: Callable[[], Any] = int,
    known: frozenset[str] = frozenset(),
) -> Given:
    """Read and lay out a source. A source that cannot be read says why and raises nothing.

    ``when_read`` is called between the two, so that a long file can say how far it is.
    """
    try:
        with _named_fault(name):
            read = _read(name, content, options, kind, when_read, known)
            return dataclasses.replace(read, known=tuple(sorted(known)))
    except ThirdstepError as trouble:
        return Given(name, content, kind, problem=trouble.message)


@contextmanager
def _named_fault(name: str) -> Iterator[None]:
    """Let a fault of ours stop the file it met and no other."""
    try:
        yield
    except ThirdstepError:
        raise
    except (Exception, pl.exceptions.PanicException) as fault:  # a panic of Polars is no Exception
        raise ThirdstepError(
            f"{name} could not be taken in ({type(fault).__name__}: {fault}). This is a fault of thirdstep, not of the "
            "file: please report it. Nothing of the file was stored."
        ) from fault


def _read(
    name: str, content: bytes, options: LayoutOptions, kind: str, when_read: Callable[[], Any], known: frozenset[str]
) -> Given:
    texts, skipped, resolves = read_texts(name, content, kind, known, options)
    when_read()
    laid = []
    notes = [f"{name}, sheet '{sheet}' {why}; it was passed over." for sheet, why in skipped]
    texts, unused = mending.use(texts, options.corrections)
    notes += [f"A correction matches no row of {name} any more and was not used: {mending.said(o)}." for o in unused]
    seen: Counter[str] = Counter()
    tables: dict[tuple[str, int], TextTable] = {}
    for text in texts:
        layout = fingerprint(text.header)
        nth, seen[layout] = seen[layout], seen[layout] + 1
        tables[layout, nth] = text
        place = f"{name}, sheet '{text.sheet}'" if text.sheet else name
        if text.passed:
            notes.append(f"{place}: {text.passed}")
        try:
            laid.append(dataclasses.replace(lay_out(text, options, known, nth), nth=nth))
            if laid[-1].ignored:
                notes.append(f"{place}: nothing was taken from {', '.join(map(repr, laid[-1].ignored))}.")
            for one in laid[-1].unheaded:
                notes.append(f"{place}: nothing was taken from the column without a heading {one}.")
        except ThirdstepError as trouble:
            notes.append(trouble.message)
    if not laid:
        return Given(name, content, kind, texts, problem=" ".join(notes) or f"{name} holds no table.")
    notes = list(dict.fromkeys(notes))  # blocks under one header say the same once
    doubt = ""
    unread = dataclasses.replace(options, readings={})

    def read(one: LaidOut) -> LaidOut:
        return dataclasses.replace(lay_out(tables[one.layout, one.nth], unread, known, one.nth), nth=one.nth)

    for layout in kept_one_a_header(options, [one.layout for one in laid]):
        laid, here = as_each_was(laid, layout, options.readings[layout], read)
        doubt = doubt or here
    return Given(name, content, kind, texts, laid, notes, resolves=resolves, doubt=doubt)


def read_texts(
    name: str, content: bytes, kind: str, known: frozenset[str] = frozenset(), options: LayoutOptions | None = None
) -> tuple[list[TextTable], list[tuple[str, str]], list[int]]:
    """Return the tables of a source as text, the sheets passed over with the reason, and the waiting rows it mends."""
    if kind == "entry":
        texts, resolves = read_entry(name, content)
        return texts, [], resolves
    texts, skipped = read_with_skipped(name, content)
    return [plain for text in texts for plain in plain_tables(text, known, options)], skipped, []


def read_mended(content: bytes, original: bytes, options: LayoutOptions) -> Given:
    """Read a row mended by hand: its source as it was given, with the mended cells in place, for that one row."""
    mend = mending.read_mend(content)
    options = dataclasses.replace(options, corrections=[*options.corrections, mend.correction], held=[])
    if mend.correction.get("settle") == mending.DISMISS:
        return Given(mend.name, content, "mend", resolves=mend.resolves, mended=mend.correction, options=options)
    given = read_given(mend.name, original, options, mend.kind)
    place = (mend.correction["sheet"] or "", mend.correction["line"])
    return dataclasses.replace(
        given, content=content, kind="mend", notes=[], resolves=mend.resolves, only=place, mended=mend.correction
    )


def check_given(
    given: Given,
    athletes: pl.DataFrame,
    as_of: dt.date,
    others: frozenset[str] = frozenset(),
    shown: frozenset[str] | None = None,
    exercises: frozenset[str] = frozenset(),
) -> Checked:
    """Check what a source holds against the models and against who is known; only names ``shown`` may be told."""
    with _named_fault(given.name):
        checked = check(
            given.laid, Known(athletes=athletes, as_of=as_of, others=others, exercises=exercises, shown=shown)
        )
    return checked if given.only is None else _only_row(checked, *given.only)


def _only_row(checked: Checked, sheet: str, line: int) -> Checked:
    here = (pl.col("source_sheet").fill_null("") == sheet) & (pl.col("source_line") == line)
    accepted = {name: one for name, frame in checked.accepted.items() if (one := frame.filter(here)).height}
    return dataclasses.replace(checked, rows_read=1, accepted=accepted, set_aside=checked.set_aside.filter(here))


def cells_at(given: Given, places: Sequence[tuple[str, int]]) -> dict[tuple[str, int], list[str]]:
    """Return the filled cells of some lines of a source, by sheet and line."""
    wanted: dict[str, list[int]] = {}
    for sheet, line in places:
        wanted.setdefault(sheet, []).append(line)
    found: dict[tuple[str, int], list[str]] = {}
    for text in given.texts:
        rows = text.rows.filter(pl.col("_line").is_in(wanted.get(text.sheet or "", [])))
        for row in rows.iter_rows(named=True):
            line = row.pop("_line")
            # A line may give rows to several tables, or several rows to one whose columns are days.
            here = found.setdefault((text.sheet or "", line), [])
            here += [str(cell) for cell in row.values() if cell is not None]
    return found


def write_entry(
    table: str, rows: Sequence[Mapping[str, Any]], by: str, at: dt.datetime, resolves: Sequence[int]
) -> bytes:
    """Return rows typed by hand as the bytes of a source.

    Who and when are part of the bytes: the same value typed again later is a new statement, not the same file again.
    """
    told = {
        "format": ENTRY_FORMAT,
        "table": table,
        "by": by,
        "at": at.isoformat(),
        "resolves": list(resolves),
        "rows": [{name: _as_text(value) for name, value in row.items()} for row in rows],
    }
    return json.dumps(told, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode("utf-8")


def people_typed(rows: Sequence[Mapping[str, Any]]) -> frozenset[str]:
    """Return the keys of athletes in typed rows, as names that are known: one with a digit looks like no name."""
    return frozenset(fold(str(row["athlete_id"])) for row in rows if row.get("athlete_id"))


def read_entry(name: str, content: bytes) -> tuple[list[TextTable], list[int]]:
    """Return rows typed by hand as a table of text under the record's own column names, and the rows they mend."""
    told = json.loads(content)
    table, rows = told["table"], told["rows"]
    if table not in RECORDS:
        raise ThirdstepError(f"There is no table '{table}'. The tables are: {', '.join(RECORDS)}.")
    if not rows:
        raise ThirdstepError("Nothing was typed. Fill in a row first.")
    named = {column for row in rows for column in row if column != ENTRY_ID}
    known = RECORDS[table].to_schema().columns
    former = (name for name, now in FORMER_NAMES.items() if now in known)
    header = [column for column in (*known, *former, *ENTRY_HELPERS.get(table, ())) if column in named]
    gates = sorted(
        (one for one in named if table == "rep" and GATE.fullmatch(one)), key=lambda one: float(one.split()[0])
    )
    header += gates
    unknown = sorted(named - set(header))
    if unknown:
        raise ThirdstepError(f"Table '{table}' has no column '{unknown[0]}'.")
    cells: dict[str, list[str | None]] = {
        f"c{place}": [row.get(column) for row in rows] for place, column in enumerate(header)
    }
    frame = pl.DataFrame(cells, schema=dict.fromkeys(cells, pl.String)).with_columns(
        pl.int_range(1, pl.len() + 1, dtype=pl.Int64).alias("_line")
    )
    return [TextTable(sheet=table, header=header, header_line=0, rows=frame, source=name)], told["resolves"]


def _as_text(value: Any) -> str | None:
    if value is None or value == "":
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.date):
        return value.isoformat()
    return str(value)
