"""What a person types: rows of a table, and cells of rows that were set aside. Both are kept as sources."""

import dataclasses
from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from pipelines.derived.common.step_error import interval_sd_s
from pipelines.entry import batch
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.intake import answers, mending
from pipelines.intake.mending import BOTH, DISMISS, KEEP
from pipelines.intake.passage import (
    ENTRY_HELPERS,
    ENTRY_OPTIONS,
    Given,
    people_typed,
    read_given,
    read_mended,
    read_texts,
    write_entry,
)
from pipelines.record import opening, warehouse
from pipelines.record.loading import Outcome
from pipelines.record.rights import as_writer
from pipelines.record.sources import journal, read_source
from schemas.intake import LayoutOptions
from schemas.records import RECORDS
from schemas.rights import Writer
from schemas.shape import table_shape


def given_entry(table_name: str, rows: Sequence[Mapping[str, Any]], by: str, resolves: Sequence[int] = ()) -> Given:
    """Return typed rows as a source."""
    content = write_entry(table_name, rows, by, opening.now(to_the_second=False), resolves)
    given = read_given(f"typed: {table_name}", content, ENTRY_OPTIONS, "entry", known=people_typed(rows))
    return dataclasses.replace(given, options=ENTRY_OPTIONS)


def check_entry(home: Home, table_name: str, rows: Sequence[Mapping[str, Any]], by: str | Writer) -> Outcome:
    """Say what storing typed rows would do, by the same checks, and store nothing."""
    writer = as_writer(by)
    return batch.try_one(home, given_entry(table_name, rows, writer.name), writer)


def enter(
    home: Home,
    table_name: str,
    rows: Sequence[Mapping[str, Any]],
    by: str | Writer,
    resolves: Sequence[int] = (),
    then: batch.Then = lambda *_: None,
) -> Outcome:
    """Store typed rows; ``then`` is handed the record while it is still open."""
    writer = as_writer(by)
    return batch.store_one(home, given_entry(table_name, rows, writer.name, resolves), writer, say_nothing, then)


@dataclasses.dataclass(frozen=True)
class WaitingRow:
    """A row that was set aside, whole, as it was written."""

    load_no: int
    source_name: str
    sheet: str
    line: int
    cells: dict[str, str | None]  # every column of its table; null where the cell is empty
    faults: list[dict[str, Any]]  # reject_no, column, value, reason


def waiting_row(home: Home, reject_no: int, say: Say = say_nothing) -> WaitingRow:
    """Return the whole row that a waiting cell stands in.

    Raises:
        ThirdstepError: No such cell waits, or its source is not to be had.
    """
    with opening.record(home, say, to_look=True) as con:
        return _waiting_row(con, home, reject_no)[0]


def _waiting_row(con: warehouse.Connection, home: Home, reject_no: int) -> tuple[WaitingRow, dict[str, Any]]:
    waits = warehouse.waiting(con)
    found = waits.filter(pl.col("reject_no") == reject_no).to_dicts()
    if not found:
        raise ThirdstepError(f"No cell {reject_no} waits to be mended. 'thirdstep rejected' lists those that do.")
    place = {name: found[0][name] for name in ("load_no", "source_name", "source_sheet", "source_line")}
    here = pl.all_horizontal(pl.col(name).eq_missing(pl.lit(value)) for name, value in place.items())
    load = con.sql("select source_sha256, kind from load where load_no = $no", params={"no": place["load_no"]}).pl()
    told = {**place, **load.row(0, named=True)}
    texts, _, _ = read_texts(told["source_name"], read_source(home.sources, told["source_sha256"]), told["kind"])
    sheet, line = place["source_sheet"] or "", place["source_line"]
    written = mending.row_at(texts, sheet, line)
    cells = {name: written.get(name) for name in mending.columns_at(texts, sheet)}
    faults = waits.filter(here).select("reject_no", "column", "value", "reason").to_dicts()
    return WaitingRow(place["load_no"], place["source_name"], sheet, line, cells, faults), told


def mend(
    home: Home,
    reject_no: int,
    fixes: Mapping[str, str],
    by: str | Writer,
    *,
    check_only: bool = False,
    say: Say = say_nothing,
) -> Outcome:
    """Put right what stands in cells of a row that waits. The row must come out whole, or nothing is stored.

    The fix is a source of its own, with who and when; the row as it was written stays beside it. A newer file of the
    same name in which the row still reads so gets the same fix.

    Args:
        home: Whose record.
        reject_no: Number of one of the waiting cells of the row.
        fixes: Column as its header is written -> what should stand there; "" empties the cell.
        by: Who mends it.
        check_only: Say what it would do and store nothing.
        say: Is told when another writer is waited for.

    Raises:
        ThirdstepError: The row has no such column, nothing would change, or the row would still not be whole.
    """
    writer = as_writer(by)
    with opening.record(home, say, to_look=True) as con:
        row, told = _waiting_row(con, home, reject_no)
        corrections = warehouse.corrections(con).get(row.source_name.lower(), [])
    fixes = {_column(name, row): value.strip() for name, value in fixes.items()}
    fixes = {name: value for name, value in fixes.items() if value != (row.cells[name] or "").strip()}
    if not fixes:
        raise ThirdstepError("Nothing would change: the cells read so already. Type what should stand there.")
    at = opening.now(to_the_second=False)
    correction = {
        "sheet": row.sheet,
        "line": row.line,
        "row": {name: cell for name, cell in row.cells.items() if cell is not None},
        "fixes": fixes,
        "by": writer.name,
        "on": at.date().isoformat(),
    }
    resolves = [fault["reject_no"] for fault in row.faults]
    mended = mending.Mend(row.source_name, told["source_sha256"], told["kind"], correction, resolves)
    options = dataclasses.replace(_options_of(home, row.load_no, corrections), for_groups=[])
    content = mending.write_mend(mended, writer.name, at)
    given = read_mended(content, read_source(home.sources, told["source_sha256"]), options)
    given = dataclasses.replace(given, options=options)
    tried = batch.try_one(home, given, writer, say)
    if tried.problem or tried.reasons or not tried.rows_read:
        why = tried.problem or " ".join(dict.fromkeys(str(one["reason"]) for one in tried.reasons))
        raise ThirdstepError(f"The row would still be set aside, so nothing was stored. {why}")
    return tried if check_only else batch.store_one(home, given, writer, say)


CONFLICT = "with different values of"  # what the reason of every conflict says
WAYS = (KEEP, BOTH, DISMISS)


def settle(home: Home, reject_no: int, how: str, by: str | Writer, *, say: Say = say_nothing) -> Outcome:
    """Settle a conflict in one step: keep what this row says, keep both, or dismiss it.

    Args:
        home: Whose record.
        reject_no: Number of the waiting cell whose row is meant; the other sides of the conflict are found by it.
        how: 'keep' stores this row and drops the others; 'both' stores this one as a run, set or trial of its own
            beside the others; 'dismiss' stores none of them.
        by: Who settles it.
        say: Is told when another writer is waited for.

    Raises:
        ThirdstepError: No such cell waits, it is no conflict, or both cannot be kept.
    """
    writer = as_writer(by)
    with opening.record(home, say, to_look=True) as con:
        row, told = _waiting_row(con, home, reject_no)
        waits = warehouse.waiting(con)
        corrections = warehouse.corrections(con).get(row.source_name.lower(), [])
    reasons = [fault["reason"] for fault in row.faults if CONFLICT in str(fault["reason"])]
    if not reasons:
        raise ThirdstepError(f"Cell {reject_no} is no conflict: it waits for another reason. Mend it, or dismiss it.")
    sides = waits.filter(pl.col("reason").is_in(reasons))
    here = (pl.col("load_no") == row.load_no) & (pl.col("source_line") == row.line)
    here &= pl.col("source_sheet").fill_null("") == row.sheet
    others = sides.filter((pl.col("load_no") == row.load_no) & ~here)
    at = opening.now(to_the_second=False)
    correction = {
        "sheet": row.sheet, "line": row.line, "row": {k: cell for k, cell in row.cells.items() if cell is not None},
        "fixes": {}, "by": writer.name, "on": at.date().isoformat(), "settle": how,
        "drop": sorted(set(others["source_line"].to_list())) if how != DISMISS else [],
    }  # fmt: skip
    mended = mending.Mend(
        row.source_name, told["source_sha256"], told["kind"], correction,
        sides["reject_no"].to_list() if how != BOTH else sides.filter(here)["reject_no"].to_list(),
    )  # fmt: skip
    options = dataclasses.replace(_options_of(home, row.load_no, corrections), for_groups=[], held=[])
    content = mending.write_mend(mended, writer.name, at)
    given = read_mended(content, read_source(home.sources, told["source_sha256"]), options)
    given = dataclasses.replace(given, options=options)
    if how != DISMISS:
        tried = batch.try_one(home, given, writer, say)
        if tried.problem or not tried.rows_read or any(CONFLICT in str(one["reason"]) for one in tried.reasons):
            why = tried.problem or " ".join(dict.fromkeys(str(one["reason"]) for one in tried.reasons))
            raise ThirdstepError(f"The conflict could not be settled so, and nothing was stored. {why}")
    return batch.store_one(home, given, writer, say)


def _column(name: str, row: WaitingRow) -> str:
    if name in row.cells:
        return name
    near = [column for column in row.cells if column.strip().lower() == name.strip().lower()]
    if len(near) != 1:
        raise ThirdstepError(f"The row has no column '{name}'. It has: {', '.join(row.cells)}.")
    return near[0]


def _options_of(home: Home, load_no: int, corrections: list[mending.Correction]) -> LayoutOptions:
    """Return the answers a load was read with, and newer ones on top of them."""
    for event in journal.read_events(home.sources):
        if event.what == "load" and event.load_no == load_no:
            then = LayoutOptions(**event.options)
            made = answers.with_remembered(LayoutOptions(layouts=answers.remembered(home)), then.layouts)
            return dataclasses.replace(then, layouts=made.layouts, corrections=corrections)
    return LayoutOptions(corrections=corrections)


def entry_columns(table_name: str) -> list[dict[str, Any]]:
    """Return what may be typed in the rows of a table: name, label, unit, kind, words, least, most, must, help."""
    shape = table_shape(table_name)
    fields = RECORDS[table_name].to_schema().columns
    told = []
    for name, column in shape.columns.items():
        field = fields[name]
        told.append(
            {
                "name": name,
                "label": str((field.metadata or {}).get("label") or name.replace("_", " ")),
                "unit": column.unit,
                "kind": _KINDS[str(column.dtype).split("(", maxsplit=1)[0]],
                "words": list(column.words),
                "least": column.least,
                "most": column.most,
                "must": name in shape.must_have or name in shape.key,
                "help": str(field.description or ""),
            }
        )
    for name in ENTRY_HELPERS.get(table_name, ()):
        told.append(
            {
                "name": name, "label": name.replace("_", " ").replace("toeoff", "toe-off"), "unit": "", "kind": "whole",
                "words": [], "least": 0.0, "most": None, "must": False,
                "help": "Number of the picture in which it is first seen.",
            }
        )  # fmt: skip
    return told


def frame_error_s(frame_rate_hz: float) -> float:
    """Return how well a time between two pictures is known: one standard deviation, 1 / (frame rate * sqrt 6), in s.

    Source: two events, each late by a uniform error on one picture (variance 1 / (12 rate^2)).
    """
    return float(pl.select(interval_sd_s(pl.lit(frame_rate_hz))).item())


_KINDS = {
    "String": "text", "Int64": "whole", "Float64": "number", "Boolean": "yes_no", "Date": "day", "Datetime": "moment",
}  # fmt: skip
