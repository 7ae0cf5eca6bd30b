"""Values that are stored and marked: changed by much from one file to the next, or far from the athlete's own usual.

Nothing is kept of it: the marks follow from the versions of rows and the current rows, so that undo, redo and rebuild
need no rule of their own. A mark says to look; the value counts like any other.
"""

from collections.abc import Collection
from dataclasses import dataclass

import duckdb
import polars as pl

from pipelines.record.history import listed, quoted
from pipelines.record.shape import Shape, record_shapes
from schemas.phrase import phrase
from schemas.shape import table_shape

# Share of the value by which it must have changed, by unit: common practice, no source. A rating moves more easily.
LARGE_SHARE = {"s": 0.05, "m": 0.10, "kg": 0.15, "N": 0.20, "m/s": 0.25, "": 0.5}
OTHERWISE = 0.25
# Table -> value and what must be the same for values to be set against each other.
USUAL_OF: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "body_measure": (("body_mass_kg", ()), ("height_m", ())),
    "session": (("duration_min", ("kind",)),),
    "split": (("elapsed_s", ("distance_m",)),),
    "step": (("contact_s", ("step_no",)), ("step_length_m", ("step_no",))),
    "lift_set": (("load_kg", ("exercise", "side", "reps")),),
    "force_test": (("peak_force_n", ("test", "side")),),
    "jump_test": (("flight_s", ("test",)), ("contact_s", ("test",))),
    "race_result": (("time_s", ("event",)),),
    "checkin": (("sleep_h", ()),),
}
# What of a run must be the same as well: a time from the gun is no measure for one from a flying start.
ALIKE_RUNS = {"split": ("start_kind", "clock_start", "timing_kind", "resistance_kind", "run_in_m"),
              "step": ("start_kind", "resistance_kind")}  # fmt: skip
FEWEST = 8  # values of an athlete before one is called unusual; own choice
FAR = 6.0  # robust standard deviations (1.4826 MAD) from the median; own choice
FAR_SHARE = 0.10  # and at least so far from it, as a share of it; own choice
SCHEMA = {
    "load_no": pl.Int64, "tables": pl.String, "athlete_id": pl.String, "source_name": pl.String,
    "source_sheet": pl.String, "source_line": pl.Int64, "column": pl.String, "value": pl.Float64, "was": pl.Float64,
    "kind": pl.String, "reason": pl.String,
}  # fmt: skip
MOST_NAMED = 50  # athletes that are named in a query, which then reads their rows alone; own choice
SHAPES = record_shapes()


def marked(
    con: duckdb.DuckDBPyConnection,
    load_no: int | None = None,
    athletes: Collection[str] | None = None,
    tables: Collection[str] = tuple(SHAPES),
) -> pl.DataFrame:
    """Return the marked values of the record, or of one load, or of some athletes and tables: the newest load first.

    ``kind`` is 'large change' (``was`` is the value before) or 'unusual' (``was`` is the athlete's median).
    """
    often = _filled_by_several(con)
    if load_no is not None:  # only what it filled is looked at, and only whom it told of
        told = con.execute("select tables from load where load_no = ?", [load_no]).fetchall()
        tables = (told[0][0] or "").split(", ") if told else []
    shapes = {name: SHAPES[name] for name in SHAPES if name in tables and "athlete_id" in SHAPES[name].types}
    if load_no is not None:
        told_of = _athletes_of(con, shapes, load_no)
        athletes = told_of if len(told_of) <= MOST_NAMED else None  # of many, reading everybody takes less memory
    parts = [pl.DataFrame(schema=SCHEMA)]
    for name, shape in shapes.items():
        if name in often:
            parts.append(_changes(con, shape, _said(con, shape, load_no), load_no, athletes))
        if name in USUAL_OF and _has_many(con, shape, athletes):
            parts += [_unusual(con, shape, column, same, load_no, athletes) for column, same in USUAL_OF[name]]
    return in_order(pl.concat([part.select(list(SCHEMA)).cast(SCHEMA) for part in parts]))  # type: ignore[arg-type]


@dataclass(frozen=True)
class Around:
    """The marks of the athletes of a load in the tables it filled: its own, and what stands beside them."""

    load_no: int
    athletes: frozenset[str]
    tables: frozenset[str]
    marks: pl.DataFrame

    @property
    def own(self) -> pl.DataFrame:
        """Those of the load itself."""
        return self.marks.filter(pl.col("load_no") == self.load_no)


def around(con: duckdb.DuckDBPyConnection, load_no: int) -> Around | None:
    """Return the marks around a load of few athletes; null where they are many."""
    [(told,)] = con.execute("select tables from load where load_no = ?", [load_no]).fetchall()
    tables = frozenset(name for name in (told or "").split(", ") if name)
    if not all("athlete_id" in SHAPES[name].types for name in tables):
        return None
    athletes = frozenset(_athletes_of(con, tables, load_no))
    if len(athletes) > MOST_NAMED:
        return None
    return Around(load_no, athletes, tables, marked(con, athletes=athletes, tables=tables))


def in_order(marks: pl.DataFrame) -> pl.DataFrame:
    """Return marks with the newest load first."""
    rest = ["tables", "source_line", "column", "source_sheet", "athlete_id", "kind", "value", "was"]  # no ties are left
    return marks.sort("load_no", *rest, descending=[True, *[False] * len(rest)])


def said(marks: pl.DataFrame) -> str:
    """Return in a sentence how many values of a load were marked, with the first of them; "" where none was."""
    if marks.is_empty():
        return ""
    first = marks.row(0, named=True)
    place = f"line {first['source_line']}, " if first["source_line"] is not None else ""
    count = f"{marks.height:,} value{'s were' if marks.height > 1 else ' was'} stored and marked"
    return f"{count}: {place}{first['column']}: {first['reason']}{' ...' if marks.height > 1 else ''}"


def _filled_by_several(con: duckdb.DuckDBPyConnection) -> set[str]:
    rows = con.execute("select tables from load where undone_at is null").fetchall()
    names = [name for (told,) in rows for name in (told or "").split(", ")]
    return {name for name in names if names.count(name) > 1}


def _numbers(shape: Shape) -> list[str]:
    return [name for name in shape.values if shape.types[name] in (pl.Float64(), pl.Int64())]


def _said(con: duckdb.DuckDBPyConnection, shape: Shape, load_no: int | None) -> list[str]:
    """Return the number columns of a table; of a load, those that it says something in."""
    numbers = _numbers(shape)
    if load_no is None or not numbers:
        return numbers
    counts = ", ".join(f"count({quoted(column)})" for column in numbers)
    query = f"select {counts} from {quoted('version_' + shape.name)} where load_no = ?"
    return [column for column, count in zip(numbers, con.execute(query, [load_no]).fetchall()[0], strict=True) if count]


def _athletes_of(con: duckdb.DuckDBPyConnection, tables: Collection[str], load_no: int) -> list[str]:
    query = " union ".join(
        f"select athlete_id from {quoted('version_' + name)} where load_no = $load_no" for name in tables
    )
    return sorted(who for (who,) in con.execute(query, {"load_no": load_no}).fetchall()) if tables else []


def _unit(shape: Shape, column: str) -> str:
    return table_shape(shape.name).columns[column].unit


def _changes(
    con: duckdb.DuckDBPyConnection,
    shape: Shape,
    columns: list[str],
    load_no: int | None,
    athletes: Collection[str] | None,
) -> pl.DataFrame:
    if not columns:
        return pl.DataFrame(schema=SCHEMA)
    key, versions = listed(shape.key), quoted(f"version_{shape.name}")
    touched = f"semi join (select {key} from {versions} where load_no = {load_no}) t using ({key})" if load_no else ""
    in_force = f"""{versions} semi join (select load_no from load where undone_at is null) f using (load_no) {touched}
            where true{_some(athletes)}"""
    several = f"select 1 from {in_force} group by {key} having count(*) > 1 limit 1"
    if not con.execute(several, _named(athletes) or None).fetchall():
        return pl.DataFrame(schema=SCHEMA)  # most rows are said once; to see that takes a tenth of looking
    # Rows said more than once, a line a value, each beside the one before: one query however many columns there are.
    numbers = ", ".join(f"{quoted(column)}::double as {quoted(column)}" for column in columns)
    said = f"select {key}, load_no, source_sheet, source_line, {numbers} from {in_force}"
    if athletes is not None:
        said += f" qualify count(*) over (partition by {key}) > 1"
    else:  # a window over all rows of a large record would not stay in memory
        said = f"""select * from ({said})
            semi join (select {key} from {in_force} group by {key} having count(*) > 1) s using ({key})"""
    shares = " ".join(f"when '{column}' then {LARGE_SHARE.get(_unit(shape, column), OTHERWISE)}" for column in columns)
    query = f"""
        select p.load_no, p.athlete_id, l.source_name, p.source_sheet, p.source_line, p."column", p.value, p.was
        from (select *, lag(value) over (partition by {key}, "column" order by load_no) as was
            from (unpivot ({said}) on {listed(columns)} into name "column" value value)
            qualify abs(value - was) > (case "column" {shares} end) * greatest(abs(value), abs(was))) p
        join load l using (load_no) {f"where load_no = {load_no}" if load_no else ""}"""
    found = _found(con, query, athletes)
    if found.is_empty():
        return pl.DataFrame(schema=SCHEMA)
    units = {column: _unit(shape, column) for column in columns}
    why = phrase(
        "was {} {}, now {} {}: a large change.", _short("was"), pl.col("column").replace_strict(units, default=""),
        _short("value"), pl.col("column").replace_strict(units, default=""),
    )  # fmt: skip
    return _told(found, shape, pl.col("column"), "large change", why)


def _has_many(con: duckdb.DuckDBPyConnection, shape: Shape, athletes: Collection[str] | None) -> bool:
    """Return whether an athlete has rows enough for one to be unusual; to see that takes a tenth of looking."""
    query = f"""select 1 from {quoted(shape.name)} where true{_some(athletes)}
        group by athlete_id having count(*) >= {FEWEST} limit 1"""
    return bool(con.execute(query, _named(athletes) or None).fetchall())


def _unusual(
    con: duckdb.DuckDBPyConnection,
    shape: Shape,
    column: str,
    same: tuple[str, ...],
    load_no: int | None,
    athletes: Collection[str] | None,
) -> pl.DataFrame:
    unit, value, alike = _unit(shape, column), quoted(column), ALIKE_RUNS.get(shape.name, ())
    rows = quoted(shape.name)
    run = listed(["athlete_id", "session_date", "session_no", "rep_no"])
    beside = f"left join rep p using ({run})" if alike else ""
    # What is alike as one number, hashed once: a long file has millions of values and few ways of running.
    group = ", ".join([listed(["athlete_id", *same], "t"), *([listed(list(alike), "p")] if alike else [])])
    of_load = f"t.load_no = {load_no} and" if load_no else ""
    query = f"""
        with r as materialized (
            select t.rowid as _row, t.{value}::double as _value, hash({group}) as _group from {rows} t {beside}
            where t.{value} is not null{_some(athletes, "t.")}),
        u as (
            select _group, median(_value) as was, mad(_value) as spread, count(*) as many from r
            group by _group having count(*) >= {FEWEST}),
        far as (
            select _row, was, many from r join u using (_group)
            where spread > 0 and abs(_value - was) > {FAR} * 1.4826 * spread
                and abs(_value - was) > {FAR_SHARE} * abs(was))
        select t.load_no, t.athlete_id, t.source_name, t.source_sheet, t.source_line, t.{value} as value, far.was,
            far.many
        from {rows} t join far on t.rowid = far._row where {of_load} true{_some(athletes, "t.")}"""
    why = phrase(
        f"{{}} {unit} is far from this athlete's usual {{}} {unit} ({{}} values).",
        _short("value"), _short("was"), "many",
    )  # fmt: skip
    found = _found(con, query, athletes)
    return pl.DataFrame(schema=SCHEMA) if found.is_empty() else _told(found, shape, pl.lit(column), "unusual", why)


def _found(con: duckdb.DuckDBPyConnection, query: str, athletes: Collection[str] | None) -> pl.DataFrame:
    """Return what a query finds; mostly nothing, which costs no table and no sentences."""
    told = con.execute(query, _named(athletes) or None)
    names = [str(name) for name, *_ in told.description or ()]
    rows = told.fetchall()
    return pl.DataFrame(rows, schema=names, orient="row", infer_schema_length=None) if rows else pl.DataFrame()


def _some(athletes: Collection[str] | None, of: str = "") -> str:
    if athletes is None:
        return ""
    if not 0 < len(athletes) <= MOST_NAMED:
        return f" and {of}athlete_id in (select unnest($athletes::varchar[]))"
    return f" and {of}athlete_id in ({', '.join(f'$athlete_{place}' for place in range(len(athletes)))})"


def _named(athletes: Collection[str] | None) -> dict[str, list[str] | str]:
    if athletes is None:
        return {}
    if not 0 < len(athletes) <= MOST_NAMED:
        return {"athletes": sorted(athletes)}
    return {f"athlete_{place}": who for place, who in enumerate(sorted(athletes))}


def _short(column: str) -> pl.Expr:
    return pl.col(column).cast(pl.Float64).round_sig_figs(4).cast(pl.String).str.strip_suffix(".0")


def _told(found: pl.DataFrame, shape: Shape, column: pl.Expr, kind: str, why: pl.Expr) -> pl.DataFrame:
    return found.with_columns(
        tables=pl.lit(shape.name), column=column, kind=pl.lit(kind), reason=why.str.replace_all("  ", " ")
    )
