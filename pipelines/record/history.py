"""The SQL of a record table and its history.

``version_<table>`` holds what every load said, one row a key and load, blanks as null. ``<table>`` holds the current
rows: per column the last value said by a load that is not undone. A blank never erases. A row's place of origin is the
last version that changed it. Both are reached two ways that agree: step by step as files load (``merge_new``), and
from the versions alone (``recompute``), which is what undo and redo use.
"""

from collections.abc import Iterable

import duckdb
import polars as pl

from pipelines.record.shape import PROVENANCE, Shape

_SQL_TYPES = {"String": "VARCHAR", "Int64": "BIGINT", "Float64": "DOUBLE", "Boolean": "BOOLEAN", "Date": "DATE",
              "Datetime": "TIMESTAMP"}  # fmt: skip


def sql_type(kind: object) -> str:
    """Return the database type of a polars type."""
    return _SQL_TYPES[str(kind).split("(", maxsplit=1)[0]]


def quoted(name: str) -> str:
    """Return a name as SQL reads it."""
    return '"' + name.replace('"', '""') + '"'


def listed(names: list[str], alias: str = "") -> str:
    """Return names with commas between, each after an alias if one is given."""
    return ", ".join(f"{alias}.{quoted(n)}" if alias else quoted(n) for n in names)


def _on_key(shape: Shape, left: str, right: str) -> str:
    return " and ".join(f"{left}.{quoted(k)} = {right}.{quoted(k)}" for k in shape.key)


def create_tables(con: duckdb.DuckDBPyConnection, shapes: Iterable[Shape]) -> None:
    """Make the two tables of each record table, and add columns that a newer model has."""
    have: dict[str, set[str]] = {}
    for table, name in con.execute(
        "select table_name, column_name from duckdb_columns() where not internal"
    ).fetchall():
        have.setdefault(table, set()).add(name)
    made = []
    for shape in shapes:
        columns = {name: sql_type(kind) for name, kind in shape.types.items()}
        current = columns | {name: sql_type(kind) for name, kind in PROVENANCE.items()}
        version = columns | {"load_no": "BIGINT", "source_sheet": "VARCHAR", "source_line": "BIGINT"}
        for table, wanted in ((shape.name, current), (f"version_{shape.name}", version)):
            if table not in have:
                spelled = ", ".join(f"{quoted(n)} {k}" for n, k in wanted.items())
                made.append(f"create table {quoted(table)} ({spelled})")
                continue
            made += [
                f"alter table {quoted(table)} add column {quoted(name)} {kind}"
                for name, kind in wanted.items()
                if name not in have[table]
            ]
    if made:
        con.execute("; ".join(made))


def forget_what_was_said(con: duckdb.DuckDBPyConnection, shape: Shape, loads: list[int]) -> None:
    """Take out of the new rows what the same bytes, loaded before, have said already.

    A value that another file has since replaced is so not brought back by loading the old file again.
    """
    table, versions = quoted(f"new_{shape.name}"), quoted(f"version_{shape.name}")
    said = ", ".join(f"arg_max({quoted(c)}, load_no) as {quoted(c)}" for c in shape.values)
    if len(loads) == 1:  # one row a key and load: nothing to put together
        last_said = (
            f"select {listed(shape.key + shape.values)}, load_no from {versions} where load_no in (select unnest(?))"
        )
    else:
        last_said = f"""select {listed(shape.key)}, max(load_no) as load_no{"," if said else ""} {said}
            from {versions} where load_no in (select unnest(?)) group by {listed(shape.key)}"""
    kept = ", ".join(
        f"case when n.{quoted(c)} is not distinct from s.{quoted(c)} then null else n.{quoted(c)} end as {quoted(c)}"
        for c in shape.values
    )
    blank = " and ".join(f"n.{quoted(c)} is not distinct from s.{quoted(c)}" for c in shape.values) or "true"
    con.execute(
        f"""create or replace temp table {quoted("left_" + shape.name)} as
        select {listed(shape.key, "n")}, {kept}{"," if kept else ""} n.source_sheet, n.source_line
        from {table} n left join ({last_said}) s on {_on_key(shape, "n", "s")}
        where s.load_no is null or not ({blank})""",
        [loads],
    )
    con.execute(f"drop table {table}")
    con.execute(f"alter table {quoted('left_' + shape.name)} rename to {table}")


def keep_what_others_said(con: duckdb.DuckDBPyConnection, shape: Shape, loads: list[int]) -> None:
    """Empty the cells of the new rows which an earlier reading said alike and another source has replaced since."""
    if not shape.values:
        return
    table, versions = quoted(f"new_{shape.name}"), quoted(f"version_{shape.name}")
    said = ", ".join(f"arg_max({quoted(c)}, load_no) as {quoted(c)}" for c in shape.values)
    cells = ", ".join(
        f"case when s.{quoted(c)} is not distinct from n.{quoted(c)} and o.{quoted(c)} is distinct from n.{quoted(c)}"
        f" then null else n.{quoted(c)} end as {quoted(c)}"
        for c in shape.values
    )
    con.execute(
        f"""create or replace temp table {quoted("kept_" + shape.name)} as
        select {listed(shape.key, "n")}, {cells}, n.source_sheet, n.source_line from {table} n
        left join (select {listed(shape.key)}, {said} from {versions} where load_no in (select unnest(?))
            group by {listed(shape.key)}) s on {_on_key(shape, "n", "s")}
        left join {quoted(shape.name)} o on {_on_key(shape, "n", "o")}""",
        [loads],
    )
    con.execute(f"drop table {table}")
    con.execute(f"alter table {quoted('kept_' + shape.name)} rename to {table}")


def is_empty(con: duckdb.DuckDBPyConnection, table: str) -> bool:
    """Return whether a table has no rows."""
    return not con.execute(f"select 1 from {quoted(table)} limit 1").fetchall()


def effects(con: duckdb.DuckDBPyConnection, shape: Shape, places: str) -> pl.DataFrame:
    """Return the source lines that would do something to this table: source_sheet, source_line, adds, replaces."""
    replaces = " or ".join(f"coalesce(n.{quoted(c)} <> o.{quoted(c)}, false)" for c in shape.values) or "false"
    adds = " or ".join(f"(o.{quoted(c)} is null and n.{quoted(c)} is not null)" for c in shape.values) or "false"
    return con.sql(
        f"""select * from (
            select p.source_sheet, p.source_line, o.load_no is null or {adds} as adds,
                o.load_no is not null and ({replaces}) as replaces
            from {quoted("new_" + shape.name)} n join {quoted(places)} p on {_on_key(shape, "p", "n")}
            left join {quoted(shape.name)} o on {_on_key(shape, "n", "o")}) where adds or replaces"""
    ).pl()


def merge_new(con: duckdb.DuckDBPyConnection, shape: Shape, load_no: int) -> None:
    """Write the new rows of a load to the versions, and what they change to the current rows."""
    new, current = quoted(f"new_{shape.name}"), quoted(shape.name)
    is_first = is_empty(con, f"version_{shape.name}")
    con.execute(
        f"""insert into {quoted("version_" + shape.name)} by name
        select {listed(shape.columns)}, {load_no}::bigint as load_no, source_sheet, source_line from {new}"""
    )
    if is_first:  # nothing to merge with: a long file is written once, without a join
        of = con.execute(f"select source_sha256, source_name, loaded_at from load where load_no = {load_no}").fetchall()
        con.execute(  # with the load's words as given values: joined, they would be written out for each row
            f"""insert into {current} by name select n.*, {load_no}::bigint as load_no, ?::varchar as source_sha256,
                ?::varchar as source_name, ?::timestamp as entered_at from {new} n""",
            of[0],
        )
        return
    merged = ", ".join(f"coalesce(n.{quoted(c)}, o.{quoted(c)}) as {quoted(c)}" for c in shape.values)
    changed = " or ".join(
        f"(n.{quoted(c)} is distinct from o.{quoted(c)} and n.{quoted(c)} is not null)" for c in shape.values
    )
    con.execute(
        f"""create or replace temp table changed as
        select {listed(shape.key, "n")}{"," if merged else ""} {merged}, l.load_no, l.source_sha256, l.source_name,
            n.source_sheet, n.source_line, l.loaded_at as entered_at, o.load_no is not null as is_known
        from {new} n left join {current} o on {_on_key(shape, "n", "o")}
        cross join (select * from load where load_no = {load_no}) l
        where o.load_no is null or {changed or "false"}"""
    )
    con.execute(f"delete from {current} o using changed c where c.is_known and {_on_key(shape, 'o', 'c')}")
    con.execute(f"insert into {current} by name select * exclude (is_known) from changed")
    is_hidden = bool(shape.required) and _has_hidden(con, shape, load_no)
    con.execute("drop table changed")
    if is_hidden:
        recompute(con, shape, load_no)


def _has_hidden(con: duckdb.DuckDBPyConnection, shape: Shape, load_no: int) -> bool:
    """Return whether a key of this load has earlier versions that were not enough for a row until now."""
    versions = quoted(f"version_{shape.name}")
    query = f"""
        select count(*) from (select * from changed where not is_known) n
        semi join (select v.* from {versions} v join load l using (load_no)
            where l.undone_at is null and v.load_no < {load_no}) v on {_on_key(shape, "n", "v")}"""
    return bool(con.execute(query).fetchall()[0][0])


def recompute(con: duckdb.DuckDBPyConnection, shape: Shape, load_no: int) -> None:
    """Make the current rows of every key that a load touched again from the versions of the loads in force."""
    current, versions = quoted(shape.name), quoted(f"version_{shape.name}")
    con.execute(
        f"create or replace temp table touched as "
        f"select distinct {listed(shape.key)} from {versions} where load_no = ?",
        [load_no],
    )
    con.execute(f"delete from {current} o using touched t where {_on_key(shape, 'o', 't')}")
    con.execute(f"insert into {current} by name {current_rows(shape, only='touched')}")
    con.execute("drop table touched")


def current_rows(shape: Shape, *, only: str = "") -> str:
    """Return the query that makes the current rows from the versions alone, for all keys or for those of one table."""
    key = listed(shape.key)
    told_anew = " or ".join(
        f"({quoted(c)} is not null and {quoted(c)} is distinct from last_value({quoted(c)} ignore nulls) over earlier)"
        for c in shape.values
    )
    last = ", ".join(f"arg_max({quoted(c)}, load_no) as {quoted(c)}" for c in shape.values)
    whole = " and ".join(f"v.{quoted(c)} is not null" for c in shape.required) or "true"
    narrowed = f"semi join {quoted(only)} using ({key})" if only else ""
    return f"""
        with said as (
            select * from {quoted("version_" + shape.name)} semi join (select load_no from load where undone_at is null)
                using (load_no) {narrowed}),
        told as (
            select *, row_number() over (partition by {key} order by load_no) = 1 or {told_anew or "false"} as is_change
            from said window earlier as (
                partition by {key} order by load_no rows between unbounded preceding and 1 preceding)),
        last as (
            select {key}{"," if last else ""} {last}, max(load_no) filter (where is_change) as load_no,
                arg_max(source_sheet, load_no) filter (where is_change) as source_sheet,
                arg_max(source_line, load_no) filter (where is_change) as source_line
            from told group by {key})
        select {listed(shape.columns, "v")}, v.load_no, l.source_sha256, l.source_name, v.source_sheet, v.source_line,
            l.loaded_at as entered_at
        from last v join load l using (load_no) where {whole}"""
