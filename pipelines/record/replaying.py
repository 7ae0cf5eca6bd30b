"""The log carried out again: the whole of it into an empty record, or what an acknowledged load still lacks."""

from collections.abc import Callable, Sequence

import polars as pl

from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home
from pipelines.intake.mending import read_mend
from pipelines.intake.passage import Given, read_given, read_mended
from pipelines.record import known, warehouse
from pipelines.record.history import quoted
from pipelines.record.loading import load_given, set_undone
from pipelines.record.reading_code import note_made
from pipelines.record.sources import journal, read_source
from schemas.intake import LayoutOptions
from schemas.tolerance import are_alike


def replay(con: warehouse.Connection, home: Home, tell: Callable[[int, int, str], None]) -> list[str]:
    """Do everything in the log again on an empty record; return what did not come out as logged.

    Args:
        con: An empty record.
        home: Whose sources and log to replay.
        tell: Is told how many of how many events are done, and which comes next.
    """
    oddities = []
    doubts: dict[int, str] = {}
    total = journal.last_event_no(home.sources)
    for event in journal.read_events(home.sources):
        tell(event.event_no - 1, total, event.name or f"{event.what} {event.load_no}")
        with warehouse.transaction(con):
            try:
                if doubt := _replay_event(con, home, event):
                    doubts[event.load_no] = f"load {event.load_no} ({event.name}): {doubt}"
            except ThirdstepError as trouble:
                oddities.append(f"{event.what} {event.load_no}: {trouble.message}")
            warehouse.note_event(con, event.event_no)
    tell(total, total, "")
    note_made(con, total)
    in_force = con.execute("select load_no from load where undone_at is null").fetchall() if doubts else []
    return [*oddities, *(doubts[load_no] for (load_no,) in in_force if load_no in doubts)]


def catch_up(con: warehouse.Connection, home: Home) -> None:
    """Do what the log says and the record does not hold: a writer was stopped before its commit, or the file is older.

    Raises:
        ThirdstepError: The log lacks what the record holds, or something in it cannot be done again.
    """
    held, logged = warehouse.last_event(con), journal.last_event_no(home.sources)
    if held > logged:
        raise ThirdstepError(
            f"The record knows {held} loads and undos, its sources only {logged}: the folder '{home.sources}' is older "
            "than the record. Nothing was changed. Bring the folder back from a backup."
        )
    for event in journal.read_events(home.sources, after=held):
        try:
            with warehouse.transaction(con):
                _replay_event(con, home, event)
                warehouse.note_event(con, event.event_no)
        except ThirdstepError as trouble:
            raise ThirdstepError(
                f"The record lacks {event.what} {event.load_no} of its log, and it could not be done again: "
                f"{trouble.message} 'thirdstep rebuild' makes the record again from its sources."
            ) from trouble


def _replay_event(con: warehouse.Connection, home: Home, event: journal.Event) -> str:
    """Do one event again; return why it may not have come out as it did, "" where nothing says so."""
    if event.what in ("erased", "erase"):  # an empty place, or the receipt, that an erasure left
        return ""
    if event.what != "load":
        set_undone(con, None, event.load_no, event.what, event.by, event.at)
        return ""
    options = LayoutOptions(**event.options)
    names = known.known_names(known.athletes(con))
    given = given_again(home, event.name, event.sha256, event.kind, options, names)
    if given.problem:
        raise ThirdstepError(given.problem)
    as_of = event.as_of or event.at.date()
    load_given(con, None, given, by=event.by, at=event.at, as_of=as_of, options=options, replayed_as=event.load_no)
    return given.doubt


def given_again(
    home: Home, name: str, sha256: str, kind: str, options: LayoutOptions, names: frozenset[str] = frozenset()
) -> Given:
    """Return a kept source as it was given; a mended row with the source it is a row of."""
    content = read_source(home.sources, sha256)
    if kind != "mend":
        return read_given(name, content, options, kind, known=names)
    return read_mended(content, read_source(home.sources, read_mend(content).sha256), options)


def differing_rows(one: warehouse.Connection, other: warehouse.Connection) -> dict[str, pl.DataFrame]:
    """Return how two records differ, by table: load_no of each row that only one of them holds, and is_new where that
    is the other one.
    """
    found = {}
    for name in differing_tables(one, other):
        tables = [warehouse.table(con, name) for con in (one, other)]
        if set(tables[0].columns) == set(tables[1].columns):
            here, there = tables[0], tables[1].select(tables[0].columns)
            only = [here.join(there, on=here.columns, how="anti", nulls_equal=True),
                    there.join(here, on=here.columns, how="anti", nulls_equal=True)]  # fmt: skip
            found[name] = pl.concat([part.select("load_no", is_new=pl.lit(bool(n))) for n, part in enumerate(only)])
    return found


def differing_tables(one: warehouse.Connection, other: warehouse.Connection) -> list[str]:
    """Return the names of the tables that two records do not hold alike."""
    names: Sequence[str] = (*warehouse.SHAPES, *warehouse.LOG_TABLES)
    alike = {name for name, _ in _empty(one, names) & _empty(other, names)}  # most, in a small record: not read
    return [
        name
        for name in names
        if name not in alike and not _alike(warehouse.table(one, name), warehouse.table(other, name))
    ]


def _empty(con: warehouse.Connection, names: Sequence[str]) -> set[tuple[str, str]]:
    """Return the tables without a row, each with its columns and their types."""
    filled = " union all ".join(
        f"select {int(place)} where exists (from {quoted(name)})" for place, name in enumerate(names)
    )
    holds = {names[place] for (place,) in con.execute(filled).fetchall()}
    columns = con.execute(
        """select table_name, string_agg(concat(column_name, ' ', data_type) order by column_name) from duckdb_columns()
        where database_name = current_database() group by table_name"""
    ).fetchall()
    return {(name, told) for name, told in columns if name in names and name not in holds}


def _alike(one: pl.DataFrame, other: pl.DataFrame) -> bool:
    return set(one.columns) == set(other.columns) and are_alike(one, other.select(one.columns))
