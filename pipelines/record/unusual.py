"""Values that are stored and marked: changed by much from one file to the next, or far from the athlete's own usual.

Nothing is kept of it: the marks follow from the versions of rows and the current rows, so that undo, redo and rebuild
need no rule of their own. A mark says to look; the value counts like any other.
"""

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
FEWEST = 8  # values of an athlete before one is called unusual; own choice
FAR = 6.0  # robust standard deviations (1.4826 MAD) from the median; own choice
FAR_SHARE = 0.10  # and at least so far from it, as a share of it; own choice
SCHEMA = {
    "load_no": pl.Int64, "tables": pl.String, "athlete_id": pl.String, "source_name": pl.String,
    "source_sheet": pl.String, "source_line": pl.Int64, "column": pl.String, "value": pl.Float64, "was": pl.Float64,
    "kind": pl.String, "reason": pl.String,
}  # fmt: skip
SHAPES = record_shapes()


def marked(con: duckdb.DuckDBPyConnection, load_no: int | None = None) -> pl.DataFrame:
    """Return the marked values of the record, or of one load: the newest load first.

    ``kind`` is 'large change' (``was`` is the value before) or 'unusual' (``was`` is the athlete's median).
    """
    often = _filled_by_several(con)
    parts = [pl.DataFrame(schema=SCHEMA)]
    for name, shape in SHAPES.items():
        if "athlete_id" not in shape.types:
            continue
        if name in often:
            parts += [_changes(con, shape, column, load_no) for column in _numbers(shape)]
        parts += [_unusual(con, shape, column, same, load_no) for column, same in USUAL_OF.get(name, ())]
    every = pl.concat([part.select(list(SCHEMA)).cast(SCHEMA) for part in parts])  # type: ignore[arg-type]
    rest = ["tables", "source_line", "column", "source_sheet", "athlete_id", "kind", "value", "was"]  # no ties are left
    return every.sort("load_no", *rest, descending=[True, *[False] * len(rest)])


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


def _unit(shape: Shape, column: str) -> str:
    return table_shape(shape.name).columns[column].unit


def _changes(con: duckdb.DuckDBPyConnection, shape: Shape, column: str, load_no: int | None) -> pl.DataFrame:
    unit, key, value = _unit(shape, column), listed(shape.key), quoted(column)
    versions = quoted(f"version_{shape.name}")
    touched = f"semi join (select {key} from {versions} where load_no = {load_no}) t using ({key})" if load_no else ""
    query = f"""
        select p.load_no, p.athlete_id, l.source_name, p.source_sheet, p.source_line, p.value, p.was from (
            select {key}, load_no, source_sheet, source_line, {value} as value,
                lag({value}) over (partition by {key} order by load_no) as was
            from {versions} semi join (select load_no from load where undone_at is null) f using (load_no) {touched}
            where {value} is not null) p join load l using (load_no)
        where p.was is not null and abs(p.value - p.was) > $share * greatest(abs(p.value), abs(p.was))
            {f"and p.load_no = {load_no}" if load_no else ""}"""
    found = con.sql(query, params={"share": LARGE_SHARE.get(unit, OTHERWISE)}).pl()
    why = phrase(f"was {{}} {unit}, now {{}} {unit}: a large change.", _short("was"), _short("value"))
    return _told(found, shape, column, "large change", why)


def _unusual(
    con: duckdb.DuckDBPyConnection, shape: Shape, column: str, same: tuple[str, ...], load_no: int | None
) -> pl.DataFrame:
    unit, value = _unit(shape, column), quoted(column)
    group = listed(["athlete_id", *same])
    on = " and ".join(f"r.{quoted(name)} is not distinct from u.{quoted(name)}" for name in ("athlete_id", *same))
    of_load = f"r.load_no = {load_no} and" if load_no else ""
    query = f"""
        select r.load_no, r.athlete_id, r.source_name, r.source_sheet, r.source_line, r.{value} as value, u.was, u.many
        from {quoted(shape.name)} r join (
            select {group}, median({value}) as was, mad({value}) as spread, count({value}) as many
            from {quoted(shape.name)} group by {group} having count({value}) >= {FEWEST}) u on {on}
        where {of_load} u.spread > 0 and abs(r.{value} - u.was) > {FAR} * 1.4826 * u.spread
            and abs(r.{value} - u.was) > {FAR_SHARE} * abs(u.was)"""
    why = phrase(
        f"{{}} {unit} is far from this athlete's usual {{}} {unit} ({{}} values).",
        _short("value"), _short("was"), "many",
    )  # fmt: skip
    return _told(con.sql(query).pl(), shape, column, "unusual", why)


def _short(column: str) -> pl.Expr:
    return pl.col(column).cast(pl.Float64).round_sig_figs(4).cast(pl.String).str.strip_suffix(".0")


def _told(found: pl.DataFrame, shape: Shape, column: str, kind: str, why: pl.Expr) -> pl.DataFrame:
    return found.with_columns(
        tables=pl.lit(shape.name), column=pl.lit(column), kind=pl.lit(kind), reason=why.str.replace_all("  ", " ")
    )
