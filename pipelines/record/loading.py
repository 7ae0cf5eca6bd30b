"""One source into the record: checked, kept, stored and logged in one transaction, or tried only."""

import contextlib
import dataclasses
import datetime as dt
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import duckdb
import polars as pl

from pipelines.checks import Checked
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home
from pipelines.home.trouble import plain_words
from pipelines.intake.mending import BOTH, Correction
from pipelines.intake.one_a_header import is_one_reading, logged_blocks
from pipelines.intake.passage import CheckedAs, Given, cells_at, check_given
from pipelines.intake.readings import readings_of
from pipelines.record import known, warehouse
from pipelines.record import unusual as marking
from pipelines.record.gym_sessions import gym_apart
from pipelines.record.held import hold
from pipelines.record.left_rows import left_by
from pipelines.record.merge import rows_seen_again
from pipelines.record.outsiders import let_in
from pipelines.record.reading_code import reading_code
from pipelines.record.rereading import Left, left_behind, with_people_of
from pipelines.record.rereading import told as left_told
from pipelines.record.rights import names_shown, only_of_writer
from pipelines.record.run_sets import beside, set_of_their_own
from pipelines.record.sources import checksum, journal, keep
from schemas.intake import LayoutOptions, Question, fingerprint
from schemas.reading import Reading, reading_key

NOTHING_LEFT = Left()
CHECKED_ONCE_BYTES = 4_000_000  # of a file that is set against others given with it; own choice
ROWS_SHOWN = 20  # of each table, before it is stored


@dataclass(frozen=True)
class Outcome:
    """What became of one source. Every row read is in exactly one of stored, unchanged, replaced and set_aside."""

    file: str
    tables: list[str] = field(default_factory=list)
    rows_read: int = 0
    stored: int = 0
    unchanged: int = 0
    replaced: int = 0
    set_aside: int = 0
    reasons: list[dict[str, Any]] = field(default_factory=list)  # sheet, line, column, value, reason
    notes: list[str] = field(default_factory=list)
    load_no: int | None = None
    problem: str = ""  # why nothing of it could be loaded
    questions: list[Question] = field(default_factory=list)  # what it leaves open
    accepted: dict[str, pl.DataFrame] = field(default_factory=dict)  # first rows of each table, as they are stored
    readings: list[Reading] = field(default_factory=list)  # what its sheets are taken for
    around: marking.Around | None = field(default=None, repr=False, compare=False)  # of typed rows: for the board

    @property
    def kept(self) -> int:
        """Rows that say something the record did not: new ones and those that changed a value."""
        return self.stored + self.replaced


@dataclass(frozen=True)
class Ready:
    """What counts of a source once it is checked. Its text is not in here: a long file would stand in memory twice."""

    name: str
    content: bytes = b""
    kind: str = "file"
    tables: list[str] = field(default_factory=list)
    checked: Checked | None = None  # null where there is a problem
    settled: list[int] = field(default_factory=list)  # waiting rows it brings again
    shown: dict[str, pl.DataFrame] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    mended: Correction | None = None
    as_of: dt.date = dt.date.min
    options: LayoutOptions = field(default_factory=LayoutOptions)
    problem: str = ""
    readings: list[Reading] = field(default_factory=list)
    checked_as: CheckedAs | None = None
    left: Left = NOTHING_LEFT  # what earlier readings of the same bytes made and this one does not


def options_told(options: LayoutOptions) -> dict[str, Any]:
    """Return the answers given with a load, and who brings it, as they are written to the log."""
    return {name: value for name, value in vars(options).items() if value}


def load_given(
    con: warehouse.Connection,
    home: Home | None,
    given: Given,
    *,
    by: str,
    at: dt.datetime,
    as_of: dt.date,
    options: LayoutOptions,
    replayed_as: int | None = None,
) -> Outcome:
    """Check one source and store what is right of it. The writer lock is held.

    Args:
        con: The record.
        home: Where the source is kept and the event logged; null to try only (the caller rolls back) or to replay.
        given: The source, read and laid out.
        by: Who brings it.
        at: When.
        as_of: The day the checks look from.
        options: Answers given with it.
        replayed_as: The number the load had, when the log is replayed.
    """
    return store_ready(con, home, make_ready(con, given, as_of, options), by=by, at=at, replayed_as=replayed_as)


NO_EXERCISES: frozenset[str] = frozenset()


def make_ready(con: warehouse.Connection, given: Given, as_of: dt.date, options: LayoutOptions) -> Ready:
    """Check one source against the record as it is. Who needs its text no more lets go of it after this."""
    if given.problem:
        return Ready(given.name, problem=given.problem)
    try:
        others = frozenset(options.others)
        listed = known.exercises(con) if "lift_set" in given.tables else NO_EXERCISES
        against = (known.athletes(con), as_of, others, names_shown(con, options), listed)
        before = given.checked_as
        checked = before.checked if before and before.holds(*against) else check_given(given, *against)
        people, _, _, shown, _ = against
        is_small = len(given.content) <= CHECKED_ONCE_BYTES  # a long file would stand in memory twice
        checked_as = CheckedAs(people, others, shown, listed, as_of, checked) if is_small else None
        sha256 = checksum(given.content)
        checked = gym_apart(con, given.name, set_of_their_own(con, given.name, checked, sha256), sha256)
        if given.mended and given.mended.get("settle") == BOTH:
            checked = beside(con, checked)
        checked = hold(only_of_writer(con, checked, options, given.kind), options.held)
    except ThirdstepError as trouble:
        return Ready(given.name, problem=trouble.message)
    left = NOTHING_LEFT
    if given.kind == "file" and not options.rereads:
        left = left_behind(con, sha256, checked.accepted, checked.set_aside)
        options = dataclasses.replace(options, rereads=list(left.loads))
    if options.rereads:
        checked = dataclasses.replace(checked, accepted=with_people_of(con, options.rereads, checked.accepted))
    return Ready(
        given.name,
        given.content,
        given.kind,
        given.tables,
        checked,
        given.resolves or [*_seen_again(con, given, checked, sha256), *let_in(con, given.name, sha256, checked)],
        {name: _first_rows(frame) for name, frame in checked.accepted.items()},
        given.notes,
        given.mended,
        as_of,
        _with_readings(given, options.only_for(given.layouts)),
        readings=readings_of(given.name, given.laid) if given.kind == "file" else [],
        left=left,
        checked_as=checked_as,
    )


def _with_readings(given: Given, options: LayoutOptions) -> LayoutOptions:
    """Return the answers with the readings that were obeyed, as they are logged: a replay obeys the same."""
    if given.kind != "file":
        return options
    readings = {}
    tables = Counter(fingerprint(table.header) for table in given.texts)
    for layout, blocks in logged_blocks(given.laid).items():
        if is_one_reading(blocks.values()) and len(blocks) == tables[layout]:  # one that was not read stays so
            readings[layout] = list(blocks.values())[-1]
        else:  # under one header, the title of one says how its runs start and that of the next does not
            readings |= {reading_key(layout, nth): one for nth, one in blocks.items()}
    return dataclasses.replace(options, readings=readings, each_block=bool(readings))


def store_ready(
    con: warehouse.Connection,
    home: Home | None,
    ready: Ready,
    *,
    by: str,
    at: dt.datetime,
    replayed_as: int | None = None,
    is_told: bool = True,
) -> Outcome:
    """Store what is right of a checked source. The writer lock is held, and nothing was stored since it was checked.

    ``is_told`` says that somebody reads what is remarkable in it.
    """
    checked = ready.checked
    if checked is None:
        return Outcome(ready.name, problem=ready.problem)
    if home:
        with plain_words(home.sources):
            sha256 = keep(home.sources, ready.name, ready.content, by, at)
    else:
        sha256 = checksum(ready.content)
    receipt = warehouse.Receipt(ready.name, sha256, ready.kind, by, at)
    with _one_step(con, home):
        stored = warehouse.store(
            con, receipt, checked.rows_read, checked.accepted, checked.set_aside, ready.settled, replayed_as,
            ready.options.rereads,
        )  # fmt: skip
        if ready.mended and stored.load_no is not None:
            warehouse.note_mended(con, stored.load_no, ready.name, ready.mended)
        if home and stored.load_no is not None:
            event_no = warehouse.last_event(con) + 1
            told = options_told(ready.options)
            event = journal.Event(
                event_no,
                "load",
                stored.load_no,
                by,
                at,
                sha256,
                ready.name,
                ready.kind,
                ready.as_of,
                told,
                reading_code(),
            )
            with plain_words(home.sources):
                journal.write_event(home.sources, event)
            warehouse.note_event(con, event_no)
        is_new = is_told and replayed_as is None and stored.load_no is not None and ready.kind == "file"
        left = left_by(con, ready.name, sha256, checked.accepted) if is_new else []
        marks, around = "", None
        if is_told and not replayed_as and stored.load_no is not None:
            around = marking.around(con, stored.load_no) if ready.kind == "entry" else None
            marks = marking.said(around.own if around else marking.marked(con, stored.load_no))
    if stored.load_no is not None and (ready.left or ready.left.is_waiting):
        left.append(left_told(ready.left, stored.load_no, ready.name))
    return dataclasses.replace(_outcome(ready, stored, checked, [*left, *([marks] if marks else [])]), around=around)


@contextlib.contextmanager
def _one_step(con: warehouse.Connection, home: Home | None) -> Iterator[None]:
    """Do a step and log it in one transaction; without a home the caller has one.

    A step that fails takes its event out of the log again. Where only the commit fails, nobody knows how far it came:
    the event stays, and the next opening of the record does what it says.
    """
    if home is None:
        yield
        return
    event_no = warehouse.last_event(con) + 1
    is_logged = False
    try:
        with warehouse.transaction(con):
            try:
                yield
            except BaseException:
                journal.take_away(home.sources, event_no)
                raise
            is_logged = journal.event_path(home.sources, event_no).exists()
    except (duckdb.Error, OSError) as trouble:
        if not is_logged:
            raise
        raise ThirdstepError(
            f"'{home.record}' could not take it up just now ({str(trouble).strip().splitlines()[0]}), but it is kept "
            "and logged: it will be stored at the next start, once the disk has room. Do not load it again."
        ) from trouble


def _seen_again(con: warehouse.Connection, given: Given, checked: Checked, sha256: str) -> list[int]:
    """Return the waiting cells that a source brings again.

    Of a conflict the record keeps the key and not the row's cells: of the same bytes they are known by place.
    """
    if not con.execute("select 1 from rejected limit 1").fetchall():  # as mostly, and quicker to see
        return []
    waits = warehouse.waiting(con, given.name)
    rows = waits.to_dicts()
    places = [(row["source_sheet"] or "", row["source_line"]) for row in rows if row["source_line"] is not None]
    if not places:
        return []
    own = warehouse.loads_of(con, sha256)["load_no"]
    here = waits.filter(pl.col("load_no").is_in(own.implode()))
    cell = ["source_sheet", "source_line", "column", "value"]
    now = checked.set_aside.select(cell).cast({name: waits.schema[name] for name in cell})
    same = here.join(now, on=cell, how="semi", nulls_equal=True)["reject_no"].to_list()
    return sorted({*rows_seen_again(rows, cells_at(given, places)), *same})


def _first_rows(frame: pl.DataFrame) -> pl.DataFrame:
    """Return a copy of the first rows: a slice would keep the whole of a long file in memory."""
    return pl.DataFrame(frame.head(ROWS_SHOWN).to_dicts(), schema=frame.schema)


def _outcome(ready: Ready, stored: warehouse.Stored, checked: Checked, told: Sequence[str]) -> Outcome:
    reasons = stored.set_aside.select(
        sheet="source_sheet", line="source_line", column="column", value="value", reason="reason"
    ).to_dicts()
    notes = [*ready.notes, *checked.notes, *told]
    if stored.load_no is None:
        notes.append("The same file was loaded before; nothing in it is new.")
    return Outcome(
        ready.name,
        ready.tables,
        stored.rows_read,
        stored.stored,
        stored.unchanged,
        stored.replaced,
        stored.set_aside_rows,
        reasons,
        notes,
        stored.load_no,
        questions=checked.questions,
        accepted=ready.shown,
        readings=ready.readings,
    )


def loaded_whole(con: warehouse.Connection, since: dt.datetime) -> dict[str, Outcome]:
    """Return, by checksum, what loading the same bytes again gives where every row of them is in: nothing new.

    A file loaded before ``since`` is left out: something asked of its layout may have been answered then.
    """
    rows = con.sql(
        "select source_sha256, tables, rows_read, source_name from load "
        "where is_whole and undone_at is null and kind = 'file' and loaded_at >= $since",
        params={"since": since},
    ).pl()
    return {
        row["source_sha256"]: Outcome(
            row["source_name"],
            row["tables"].split(", ") if row["tables"] else [],
            rows_read=row["rows_read"],
            unchanged=row["rows_read"],
            notes=["The same file was loaded before; nothing in it is new."],
        )
        for row in rows.iter_rows(named=True)
    }


def set_undone(con: warehouse.Connection, home: Home | None, load_no: int, what: str, by: str, at: dt.datetime) -> None:
    """Undo or redo a load and log it in one transaction. The writer lock is held."""
    with _one_step(con, home):
        warehouse.set_undone(con, load_no, at if what == "undo" else None, by)
        if home:
            event_no = warehouse.last_event(con) + 1
            with plain_words(home.sources):
                journal.write_event(home.sources, journal.Event(event_no, what, load_no, by, at))
            warehouse.note_event(con, event_no)
