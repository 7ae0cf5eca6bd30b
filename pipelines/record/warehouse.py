"""The record as one DuckDB file: what was loaded, what was set aside, the current rows and every version of them."""

import datetime as dt
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import duckdb
import polars as pl

from pipelines.errors import ThirdstepError
from pipelines.home.durable import move_durably
from pipelines.home.trouble import plain_words
from pipelines.record import history, merge
from pipelines.record.looking import CODE, KEYS, LOG_ORDER, WAITING, record_code
from pipelines.record.migrations import SCHEMA_VERSION, migrate, refuse_foreign
from pipelines.record.rows import read_rows
from pipelines.record.shape import Shape, in_shape, record_shapes
from pipelines.record.sources import checksum
from pipelines.record.staging import stage, views
from schemas.phrase import phrase

SHAPES: dict[str, Shape] = record_shapes()
LOG_TABLES = tuple(LOG_ORDER)
Connection = duckdb.DuckDBPyConnection
OFFLINE: dict[str, str | bool | int | float | list[str]] = {
    "memory_limit": "400MB",  # what goes beyond waits on the disk beside the record; own choice
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
}
QUIET = "set enable_progress_bar = false"  # it would be printed among the answers of a command
_LOG = """
    create table if not exists info (name varchar, value varchar);
    create table if not exists load (
        load_no bigint, source_name varchar, source_sha256 varchar, kind varchar, tables varchar,
        loaded_at timestamp, loaded_by varchar, rows_read bigint, stored bigint, unchanged bigint, replaced bigint,
        set_aside bigint, is_whole boolean, undone_at timestamp, undone_by varchar);
    create table if not exists rejected (
        reject_no bigint, load_no bigint, source_name varchar, source_sheet varchar, source_line bigint,
        "column" varchar, value varchar, reason varchar, row_json varchar,
        resolved_at timestamp, resolved_by_load bigint, athlete_id varchar);
    create table if not exists mended (
        load_no bigint, source_name varchar, source_sheet varchar, source_line bigint, "column" varchar,
        was varchar, value varchar, row_json varchar, athlete_id varchar);
"""
# Every column of every table: a record made with fewer gets the new ones when it is opened.
_SHAPES_TOLD = checksum(repr([_LOG, *[(s.name, list(s.types.items())) for s in SHAPES.values()]]).encode())


@dataclass(frozen=True)
class Receipt:
    """What is noted of a load: which source, who brought it, when."""

    name: str
    sha256: str
    kind: str  # "file" or "entry"
    by: str
    at: dt.datetime


@dataclass(frozen=True)
class Stored:
    """What one load did, counted in rows of the source: each is in exactly one of the last four."""

    load_no: int | None  # null where nothing was there to log: all of it was in already
    rows_read: int
    stored: int
    unchanged: int
    replaced: int
    set_aside: pl.DataFrame
    set_aside_rows: int


def connect(path: Path, *, must_exist: bool = False) -> Connection:
    """Open a record file for writing, made and brought up to date where needed.

    Raises:
        ThirdstepError: The file is damaged, of another version, or may not be written.
    """
    if must_exist and not path.exists():
        raise ThirdstepError(f"There is no record in '{path.parent}' yet. Load a file first: thirdstep load PATH")
    with plain_words(path):
        if not path.exists():
            make(path)
        con = duckdb.connect(str(path), config=OFFLINE)
    try:
        con.execute(QUIET)
        with plain_words(path):
            bring_up_to_date(con, path)
    except BaseException:
        con.close()
        raise
    return con


def make(path: Path) -> None:
    """Make an empty record aside and move it into place: stopped in the middle, it would be no database at all."""
    aside = path.with_name(f"{path.name}.new")
    for left in (aside, aside.with_name(f"{aside.name}.wal"), path.with_name(f"{path.name}.wal")):
        left.unlink(missing_ok=True)
    with duckdb.connect(str(aside), config=OFFLINE) as con:
        bring_up_to_date(con, path)
    move_durably(aside, path)


def in_memory() -> Connection:
    """Open an empty record that is never written to a disk."""
    con = duckdb.connect(":memory:", config=OFFLINE)
    con.execute(QUIET)
    bring_up_to_date(con, Path(":memory:"))
    return con


def bring_up_to_date(con: Connection, path: Path) -> None:
    """Add what a record of an earlier version lacks."""
    found: dict[str, str] = {}
    with suppress(duckdb.CatalogException):  # to look first whether there is such a table takes three times as long
        found = dict(con.execute("select name, value from info").fetchall())
    is_ours = found.get("schema_version") == str(SCHEMA_VERSION) and found.get("shapes") == _SHAPES_TOLD
    if is_ours and found.get(CODE) == record_code():
        return
    with transaction(con):
        if found:
            migrate(con, found, path)
        else:
            refuse_foreign(con, path)
        con.execute(_LOG)
        if not found:
            con.execute("insert into info values ('schema_version', ?), ('last_event', '0')", [str(SCHEMA_VERSION)])
        con.execute("delete from info where name in ('shapes', ?, ?)", [CODE, KEYS])
        keys = json.dumps({name: shape.key for name, shape in SHAPES.items()})
        con.execute(
            "insert into info values ('shapes', ?), (?, ?), (?, ?)", [_SHAPES_TOLD, CODE, record_code(), KEYS, keys]
        )
        history.create_tables(con, SHAPES.values())


@contextmanager
def transaction(con: Connection) -> Iterator[None]:
    """Do everything in the block or nothing of it."""
    con.execute("begin")
    try:
        yield
    except BaseException:
        con.execute("rollback")
        raise
    con.execute("commit")


def last_event(con: Connection) -> int:
    """Return the number of the last event that the record holds."""
    return int(_one(con, "select value from info where name = 'last_event'"))


def note_event(con: Connection, event_no: int) -> None:
    """Note that the record now holds an event."""
    con.execute("update info set value = ? where name = 'last_event'", [str(event_no)])


def next_load_no(con: Connection) -> int:
    """Return the number the next load gets."""
    return int(_one(con, "select coalesce(max(load_no), 0) + 1 from load"))


def loads_of(con: Connection, sha256: str) -> pl.DataFrame:
    """Return the loads in force of some bytes, and of rows of theirs mended by hand: load_no."""
    query = """select load_no from load where undone_at is null and (source_sha256 = $sha or load_no in (
        select m.load_no from mended m
        join load l on l.source_sha256 = $sha and lower(l.source_name) = lower(m.source_name))) order by load_no"""
    return con.sql(query, params={"sha": sha256}).pl()


def waiting(con: Connection, name: str | None = None) -> pl.DataFrame:
    """Return the set-aside cells that still wait to be mended, of all sources or of those of one name."""
    where = "" if name is None else " and lower(r.source_name) = lower($name)"
    params = {} if name is None else {"name": name}
    return read_rows(con, f"{WAITING}{where} order by r.reject_no", params)


def table(con: Connection, name: str) -> pl.DataFrame:
    """Return a record or log table, in the order of its key."""
    order = history.listed(SHAPES[name].key) if name in SHAPES else LOG_ORDER[name]
    return read_rows(con, f"select * from {history.quoted(name)} order by {order}")


def record_frames(con: Connection) -> dict[str, pl.DataFrame]:
    """Return every record table with exactly the columns of its model, in the order of its key."""
    return {
        name: con.sql(
            f"select {history.listed(s.columns)} from {history.quoted(name)} order by {history.listed(s.key)}"
        ).pl()
        for name, s in SHAPES.items()
    }


def store(
    con: Connection,
    receipt: Receipt,
    rows_read: int,
    accepted: Mapping[str, pl.DataFrame],
    set_aside: pl.DataFrame,
    settled: Sequence[int] = (),
    replayed_as: int | None = None,
    instead_of: Sequence[int] = (),
) -> Stored:
    """Store what one source brings. To be called inside a transaction.

    Args:
        con: The record.
        receipt: Which source it is.
        rows_read: Data rows of the source.
        accepted: Checked rows by record table.
        set_aside: Cells that kept their row out: source_sheet, source_line, column, value, reason, row_json.
        settled: Numbers of waiting rows that this source brings again.
        replayed_as: The number this load had, when the record is made again from its sources; else null.
        instead_of: Earlier readings of the same bytes, in whose place it stands whole.
    """
    rows, set_aside = _whole_rows(con, accepted, set_aside)
    before = loads_of(con, receipt.sha256)["load_no"].to_list()
    shapes = [SHAPES[name] for name in rows]
    fresh: list[pl.DataFrame] = []  # rows of tables that hold nothing yet: each adds something
    effects: list[pl.DataFrame] = []
    with views(con) as view:
        for shape in shapes:
            places = rows[shape.name]
            once = merge.one_row_a_key(places, shape)
            if not before and not instead_of and history.is_empty(con, shape.name):
                view(f"new_{shape.name}", once)  # nothing to compare with: a long file is not written down twice
                fresh.append(places)
                continue
            stage(con, f"new_{shape.name}", once)
            if instead_of:
                history.keep_what_others_said(con, shape, list(instead_of))
            elif before:
                history.forget_what_was_said(con, shape, before)
            if not history.is_empty(con, f"new_{shape.name}"):
                stage(con, "places", places.select(*shape.key, *merge.PLACE))
                effects.append(history.effects(con, shape, "places"))
        stored, replaced = merge.count_effects(fresh, effects)
        aside_rows = merge.lines_without(set_aside, rows.values())
        unchanged = rows_read - stored - replaced - aside_rows
        if unchanged < 0:
            raise ValueError(f"{receipt.name}: {rows_read} rows read do not add up to what became of them")
        has_new = not all(history.is_empty(con, f"new_{shape.name}") for shape in shapes)
        load_no = replayed_as
        if load_no is None and not (before and not has_new and _all_waiting(con, before, set_aside)):
            load_no = next_load_no(con)
        if load_no is not None:
            is_whole = (not before or bool(instead_of)) and set_aside.is_empty()
            counts = [rows_read, stored, unchanged, replaced, aside_rows, is_whole]
            told = [
                load_no, receipt.name, receipt.sha256, receipt.kind, ", ".join(rows), receipt.at, receipt.by, *counts,
            ]  # fmt: skip
            con.execute("insert into load values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, null, null)", told)
            for shape in shapes:
                history.merge_new(con, shape, load_no)
            if settled:
                con.execute(
                    "update rejected set resolved_at = ?, resolved_by_load = ? where reject_no in (select unnest(?))",
                    [receipt.at, load_no, list(settled)],
                )
            _note_set_aside(con, load_no, receipt.name, set_aside)
    for name in ("places", *(f"new_{shape.name}" for shape in shapes)):
        con.execute(f"drop table if exists temp.{history.quoted(name)}")
    return Stored(load_no, rows_read, stored, unchanged, replaced, set_aside, aside_rows)


def _whole_rows(
    con: Connection, accepted: Mapping[str, pl.DataFrame], set_aside: pl.DataFrame
) -> tuple[dict[str, pl.DataFrame], pl.DataFrame]:
    """Return the rows to store, in the order tables need each other, and all cells that keep a row out."""
    shaped = {name: in_shape(frame, SHAPES[name]) for name, frame in accepted.items() if frame.height}
    lacks = [set_aside]
    for name, frame in shaped.items():
        shape = SHAPES[name]
        if not shape.required or frame.select(shape.required).null_count().sum_horizontal()[0] == 0:
            continue
        once = merge.one_row_a_key(frame, shape)
        if once.select(shape.required).null_count().sum_horizontal()[0] == 0:
            continue
        known = con.sql(f"select {history.listed(shape.key)} from {history.quoted(name)}").pl()
        lacks.append(
            merge.lacking(once, shape, known).with_columns(
                value=pl.lit(None, pl.String),
                reason=phrase("{} is missing, and a row of '{}' means nothing without it.", "column", pl.lit(name)),
                row_json=pl.lit(None, pl.String),
            )
        )
    if len(lacks) > 1:
        set_aside = pl.concat(lacks, how="diagonal_relaxed")
        shaped = merge.without_lines(shaped, pl.concat([one.select(merge.PLACE) for one in lacks[1:]]))
    return merge.with_parents(shaped, SHAPES), set_aside


def _all_waiting(con: Connection, loads: list[int], set_aside: pl.DataFrame) -> bool:
    """Return whether every cell set aside now waits already, and none that waits has been mended."""
    columns = ["source_sheet", "source_line", "column", "value", "reason"]
    known = waiting(con).filter(pl.col("load_no").is_in(loads)).select(columns).unique()
    now = set_aside.select(columns).cast(known.schema).unique() if set_aside.height else known.clear()
    return known.height == now.height and known.join(now, on=columns, how="anti", nulls_equal=True).is_empty()


def _note_set_aside(con: Connection, load_no: int, name: str, set_aside: pl.DataFrame) -> None:
    if set_aside.is_empty():
        return
    first = int(_one(con, "select coalesce(max(reject_no), 0) + 1 from rejected"))
    if "athlete_id" not in set_aside.columns:
        set_aside = set_aside.with_columns(athlete_id=pl.lit(None, pl.String))
    numbered = set_aside.with_columns(
        reject_no=pl.int_range(first, first + pl.len(), dtype=pl.Int64),
        load_no=pl.lit(load_no),
        source_name=pl.lit(name),
    ).select("reject_no", "load_no", "source_name", *merge.PLACE, "column", "value", "reason", "row_json", "athlete_id")
    con.register("incoming", numbered)
    con.execute("insert into rejected by name select * from incoming")
    con.unregister("incoming")


def note_mended(con: Connection, load_no: int, name: str, correction: Mapping[str, Any]) -> None:
    """Note what a row mended by hand read before and reads now, with the athlete it was found to be of."""
    row = json.dumps(correction["row"], ensure_ascii=False, sort_keys=True)
    who = con.execute(
        "select max(athlete_id) from rejected where resolved_by_load = ? and athlete_id is not null", [load_no]
    ).fetchall()[0][0]
    for column, value in sorted(correction["fixes"].items()):
        place = [correction["sheet"], correction["line"], column, correction["row"].get(column), value]
        con.execute("insert into mended values (?, ?, ?, ?, ?, ?, ?, ?, ?)", [load_no, name, *place, row, who])


def corrections(con: Connection) -> dict[str, list[dict[str, Any]]]:
    """Return the corrections in force, by lower-case name of the source they mend."""
    found: dict[str, list[dict[str, Any]]] = {}
    rows = con.sql(
        """select m.*, l.loaded_by, cast(l.loaded_at as date) as day from mended m join load l using (load_no)
        where l.undone_at is null order by m.load_no, m."column" """
    ).pl()
    for (_, name), some in rows.group_by("load_no", "source_name", maintain_order=True):
        first = some.row(0, named=True)
        found.setdefault(str(name).lower(), []).append(
            {
                "sheet": first["source_sheet"],
                "line": first["source_line"],
                "row": json.loads(first["row_json"]),
                "fixes": dict(some.select("column", "value").iter_rows()),
                "by": first["loaded_by"],
                "on": first["day"].isoformat(),
            }
        )
    return found


def set_undone(con: Connection, load_no: int, undone: dt.datetime | None, by: str) -> None:
    """Take a load out of force, or put it back, and make the rows it touched again. To be called inside a transaction.

    Raises:
        ThirdstepError: There is no such load, it is in that state already, or rows of other loads need its athletes.
    """
    found = con.execute("select source_name, undone_at, tables from load where load_no = ?", [load_no]).fetchall()
    if not found:
        raise ThirdstepError(f"There is no load {load_no}. 'thirdstep loads' lists them.")
    name, was_undone, filled = found[0]
    if (was_undone is None) == (undone is None):
        state = "in force" if undone is None else "undone"
        raise ThirdstepError(f"Load {load_no} ({name}) is {state} already. Nothing was changed.")
    con.execute(
        "update load set undone_at = ?, undone_by = ? where load_no = ?", [undone, by if undone else None, load_no]
    )
    for touched in filled.split(", ") if filled else []:
        history.recompute(con, SHAPES[touched], load_no)
    _need_athletes(con, load_no, undone is not None)


def _need_athletes(con: Connection, load_no: int, is_undo: bool) -> None:
    """Refuse a state in which rows belong to nobody."""
    orphans: set[int] = set()
    for name, shape in SHAPES.items():
        if "athlete" in shape.parents:
            query = f"select distinct load_no from {history.quoted(name)} anti join athlete using (athlete_id)"
            orphans |= {row[0] for row in con.execute(query).fetchall()}
    if not orphans:
        return
    if is_undo:
        named = ", ".join(str(n) for n in sorted(orphans, reverse=True))
        raise ThirdstepError(
            f"Load {load_no} brought athletes that rows of other loads belong to. Undo those first: {named}."
        )
    raise ThirdstepError(f"Rows of load {load_no} belong to athletes who are not in the record. Redo their load first.")


def _one(con: Connection, query: str) -> int:
    return con.execute(query).fetchall()[0][0]
