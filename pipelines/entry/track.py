"""Entries from the track: a phone keeps them until they are confirmed and sends them again until then.

Each entry carries an id made on the phone. One that was seen is never stored again, whatever became of it since, so
that a line that drops between storing and confirming neither loses nor doubles anything. Entries are rows of hand
entries like any other; their ids stand in the kept source, so that a rebuild knows them too.
"""

import dataclasses
import datetime as dt
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import polars as pl

from pipelines.cells.spoken import read_word
from pipelines.entry import batch
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home
from pipelines.intake.passage import ENTRY_ID, ENTRY_OPTIONS, GATE, Given, people_typed, read_given, write_entry
from pipelines.record import loading, opening, warehouse
from pipelines.record.rights import as_writer, names_shown, refuse_undo
from pipelines.record.sources import read_source
from schemas.intake import LayoutOptions
from schemas.rights import Writer
from schemas.shape import table_shape

NAME = "typed: at the track"
ID = re.compile(r"[0-9a-z]{4,40}")
MOST = 400  # entries of one sending; a squad of 24 in a long session makes under 300
# What a phone may say of each table; times stand under the gate they were taken at ('10 m').
MAY_SAY = {
    "session": ("athlete_id", "session_date", "session_no", "kind", "surface", "footwear", "indoor", "duration_min",
                "effort_0_10"),
    "rep": ("athlete_id", "session_date", "session_no", "rep_no", "start_kind", "clock_start", "timing_kind",
            "resistance_kind", "resistance_load_kg", "outcome"),
}  # fmt: skip
MUST_SAY = {"session": ("athlete_id", "session_date", "session_no"),
            "rep": ("athlete_id", "session_date", "session_no", "rep_no")}  # fmt: skip
NOT_THEIRS = "This athlete is not one of yours to enter for. Ask the head coach."
LONGEST = 200  # signs of one cell
TOLD = {"session": ("duration_min", "effort_0_10"), "rep": ()}  # columns that another source may have said otherwise


@dataclass(frozen=True)
class Refused:
    """An entry that was not kept: why, and whether the same place holds something of another source already."""

    entry: str
    why: str
    is_there: bool = False


@dataclass(frozen=True)
class Receipt:
    """What became of one sending. Every entry of it is in exactly one of kept and refused."""

    kept: list[str] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)
    taken_back: list[str] = field(default_factory=list)


def keep(home: Home, told: Mapping[str, Any], by: str | Writer) -> Receipt:
    """Keep what a phone sends: its new entries, and what it takes back; what was seen before is only confirmed.

    Args:
        home: Whose record.
        told: ``sheet``: the sheet's id; ``entries``: each with ``id``, ``table``, ``row`` and, where it may take the
            place of what another source says, ``instead``; ``taken_back``: ids.
        by: Who sends it.

    Raises:
        ThirdstepError: It is no sending of ours.
    """
    writer = as_writer(by)
    sheet, entries, back = _read(told)
    shown_to = LayoutOptions(writer=writer.told)
    with opening.record(home) as con:
        theirs = names_shown(con, shown_to)
        seen = _seen(con, home, sheet)
        known = {entry for load in seen for entry in load.rows}
        new = [one for one in entries if one["id"] not in known]
        kept = [one["id"] for one in entries if one["id"] in known]
        # Of athletes who are not theirs nothing is told, not even that a run is there.
        refused = [Refused(one["id"], NOT_THEIRS) for one in new
                   if theirs is not None and one["row"].get("athlete_id") not in theirs]  # fmt: skip
        away = {one.entry for one in refused}
        new = [one for one in new if one["id"] not in away]
        for table in MAY_SAY:  # sessions before runs
            done, wrong = _store(con, home, sheet, table, [one for one in new if one["table"] == table], writer)
            kept += done
            refused += wrong
        taken = _take_back(con, home, sheet, back, writer) if back else []
    return Receipt(kept, refused, taken)


@dataclass(frozen=True)
class _Load:
    load_no: int
    table: str
    rows: Mapping[str, Mapping[str, Any]]  # by id of the entry
    is_in_force: bool
    taken_back: Sequence[str]


def _read(told: Mapping[str, Any]) -> tuple[str, list[dict[str, Any]], list[str]]:
    entries: list[dict[str, Any]]
    try:
        sheet, back = str(told["sheet"]), [str(one) for one in told.get("taken_back") or []]
        entries = [
            {"id": str(one["id"]), "table": str(one["table"]), "row": dict(one["row"]),
             "instead": one.get("instead") is True}
            for one in told.get("entries") or []
        ]  # fmt: skip
    except (KeyError, TypeError, ValueError, AttributeError) as wrong:
        raise ThirdstepError("What the phone sent cannot be read. Open the page again; the phone keeps it.") from wrong
    if not all(ID.fullmatch(one) for one in (sheet, *back, *(entry["id"] for entry in entries))):
        raise ThirdstepError("What the phone sent carries no ids of ours. Open the page again; the phone keeps it.")
    if len(entries) + len(back) > MOST:
        raise ThirdstepError(f"These are more than {MOST} entries at once. The phone sends them in parts.")
    if unknown := {one["table"] for one in entries} - set(MAY_SAY):
        raise ThirdstepError(f"'{min(unknown)}' is not entered at the track.")
    return sheet, list({one["id"]: one for one in entries}.values()), back


def _name(sheet: str) -> str:
    return f"{NAME} {sheet}"


def _seen(con: warehouse.Connection, home: Home, sheet: str) -> list[_Load]:
    """Return the loads of a sheet, oldest first, undone ones too: an entry that was seen is never stored again."""
    query = "select load_no, source_sha256, undone_at from load where source_name = $name order by load_no"
    loads = []
    for load_no, sha256, undone_at in con.execute(query, {"name": _name(sheet)}).fetchall():
        told = json.loads(read_source(home.sources, sha256))
        rows = {row[ENTRY_ID]: row for row in told["rows"] if ENTRY_ID in row}
        loads.append(_Load(load_no, told["table"], rows, undone_at is None, told.get("taken_back", [])))
    return loads


def _store(
    con: warehouse.Connection, home: Home, sheet: str, table: str, entries: Sequence[Mapping[str, Any]], writer: Writer
) -> tuple[list[str], list[Refused]]:
    """Store those entries of one table that can be stored whole; say of the others why they cannot."""
    refused, good = [], []
    for one in entries:
        why = _fault(table, one["row"])
        if not why and not one["instead"] and (other := _other(con, sheet, table, one["row"])):
            refused.append(Refused(one["id"], other, is_there=True))
        elif why:
            refused.append(Refused(one["id"], why))
        else:
            good.append(one)
    while good:
        ready = _ready(con, home, sheet, table, good, writer)
        if ready.checked is None:
            return [], [*refused, *(Refused(one["id"], ready.problem) for one in good)]
        aside = {
            line: reason
            for line, reason in ready.checked.set_aside.select("source_line", "reason").iter_rows()
            if line is not None
        }
        if ready.checked.set_aside.is_empty():
            loading.store_ready(con, home, ready, by=writer.name, at=opening.now())
            return [one["id"] for one in good], refused
        if not aside:
            why = str(ready.checked.set_aside["reason"][0])
            return [], [*refused, *(Refused(one["id"], why) for one in good)]
        refused += [Refused(one["id"], aside[line]) for line, one in enumerate(good, 1) if line in aside]
        good = [one for line, one in enumerate(good, 1) if line not in aside]
    return [], refused


def _ready(
    con: warehouse.Connection, home: Home, sheet: str, table: str, entries: Sequence[Mapping[str, Any]], writer: Writer
) -> loading.Ready:
    rows = [{**one["row"], ENTRY_ID: one["id"]} for one in entries]
    return loading.make_ready(con, _given(sheet, table, rows, writer), opening.last_possible_day(home),
                              dataclasses.replace(ENTRY_OPTIONS, writer=writer.told))  # fmt: skip


def _given(
    sheet: str, table: str, rows: Sequence[Mapping[str, Any]], writer: Writer, taken_back: Sequence[str] = ()
) -> Given:
    content = write_entry(table, rows, writer.name, opening.now(to_the_second=False), [])
    if taken_back:
        told = {**json.loads(content), "taken_back": list(taken_back)}
        content = json.dumps(told, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode("utf-8")
    given = read_given(_name(sheet), content, ENTRY_OPTIONS, "entry", known=people_typed(rows))
    return batch.brought_by(dataclasses.replace(given, options=ENTRY_OPTIONS), writer)


def _fault(table: str, row: Mapping[str, Any]) -> str:
    """Return why a row cannot be one of the track, '' where it can: a column that must be said is never made up."""
    for name in row:
        if name not in MAY_SAY[table] and not (table == "rep" and GATE.fullmatch(name)):
            return f"'{name}' is not entered at the track."
    shape = table_shape(table)
    for name in MUST_SAY[table]:
        if str(row.get(name) if row.get(name) is not None else "").strip() == "":
            return f"{name.replace('_', ' ')} is not said, and nothing is taken in its place. Say it first."
    for name, value in row.items():
        if len(str(value)) > LONGEST:
            return f"{name.replace('_', ' ')} is longer than {LONGEST} signs."
        if name in shape.columns and shape.columns[name].words and value not in (None, ""):
            _, why = read_word(str(value), shape.columns[name])
            if why:
                return why
    return ""


def _other(con: warehouse.Connection, sheet: str, table: str, row: Mapping[str, Any]) -> str:
    """Return what another source says in the place of a row, as a sentence; '' where none does or it says the same."""
    shape = table_shape(table)
    try:
        place = {name: _typed(row[name], shape.columns[name].dtype) for name in shape.key}
    except ValueError:
        return ""  # the checks say what is wrong with it
    where = " and ".join(f'r."{name}" = ?' for name in shape.key)
    names = ", ".join(f'r."{name}"' for name in TOLD[table])
    query = (
        f"select l.source_name, l.loaded_by{', ' + names if names else ''} from {table} r join load l using (load_no) "
        f"where {where}"
    )
    there = con.execute(query, list(place.values())).fetchall()
    if not there or there[0][0] == _name(sheet):
        return ""
    found = there[0]
    if table == "rep":
        return f"Run {place['rep_no']} of this session is on record already, from {found[1]}."
    differing = []
    for name, value in zip(TOLD[table], found[2:], strict=True):
        said = _number(row.get(name))
        if value is not None and said is not None and said != value:
            label = {"duration_min": "minutes", "effort_0_10": "effort"}[name]
            differing.append(f"{label} {value:g}, from {found[1]}")
    return f"On record already: {'; '.join(differing)}." if differing else ""


def _typed(value: Any, dtype: pl.DataType) -> Any:
    said = str(value).strip()
    return dt.date.fromisoformat(said) if dtype == pl.Date else int(said) if dtype == pl.Int64 else said


def _number(value: Any) -> float | None:
    try:
        return float(str(value).strip().replace(",", "."))
    except ValueError:
        return None


def _take_back(con: warehouse.Connection, home: Home, sheet: str, back: Sequence[str], writer: Writer) -> list[str]:
    """Take entries out of force; what came in the same sending stays, in a source of its own.

    Sent again after it was done halfway or wholly, it does what is left to do and nothing else.
    """
    for entry in back:
        loads = _seen(con, home, sheet)
        done = {one for load in loads for one in load.taken_back}
        holding = [load for load in loads if entry in load.rows]
        if entry in done or not holding:
            continue
        load = holding[-1]
        rest = {one: row for one, row in load.rows.items() if one != entry and one not in done
                and not _is_said_since(con, sheet, load, row)}  # fmt: skip
        # What the same sheet said later of the same places has to stay later.
        places = {_place(load.table, row) for row in rest.values()}
        later = [one for one in loads if one.load_no > load.load_no and one.is_in_force and one.table == load.table
                 and places & {_place(one.table, row) for row in one.rows.values()}]  # fmt: skip
        for one in (load, *later):
            if one.is_in_force:
                refuse_undo(con, one.load_no, "undo", writer)
                loading.set_undone(con, home, one.load_no, "undo", writer.name, opening.now())
        for rows, taken in ((rest, [entry]), *((one.rows, one.taken_back) for one in later)):
            if rows:
                given = _given(sheet, load.table, list(rows.values()), writer, taken)
                ready = loading.make_ready(con, given, opening.last_possible_day(home), given.options)
                loading.store_ready(con, home, ready, by=writer.name, at=opening.now())
    return list(back)


def _place(table: str, row: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(str(row.get(name)).strip() for name in table_shape(table).key)


def _is_said_since(con: warehouse.Connection, sheet: str, load: _Load, row: Mapping[str, Any]) -> bool:
    """Return whether another source has said something in the place of a row since: that stays as it is."""
    shape = table_shape(load.table)
    where = " and ".join(f'r."{name}" = ?' for name in shape.key)
    query = f"select l.load_no, l.source_name from {load.table} r join load l using (load_no) where {where}"
    found = con.execute(query, [_typed(row[name], shape.columns[name].dtype) for name in shape.key]).fetchall()
    return bool(found) and found[0][0] > load.load_no and found[0][1] != _name(sheet)
