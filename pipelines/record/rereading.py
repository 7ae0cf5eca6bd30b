"""A source read anew, under other answers or by a better reader: what its earlier reading made and this one does not.

The earlier reading is then taken out of force as a whole, and the new one is stored as a whole in its place. Both are
loads in the log, so either can be undone and redone. Nothing is taken out where the new reading only asks or sets
aside what the earlier one stored: that is no other meaning.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import polars as pl

from pipelines.record import warehouse
from pipelines.record.history import listed, quoted
from pipelines.record.shape import Shape

MOST_ROWS = 200_000  # of a source; a longer one is not compared
MOST_SHOWN = 8  # lines named
PEOPLE = ("athlete", "exercise")  # lists that other sources lean on: a row too many there is nobody's reading


@dataclass(frozen=True)
class Left:
    """What earlier readings of a source made that the new one does not make."""

    loads: tuple[int, ...] = ()  # to be taken out of force
    lines: tuple[int, ...] = ()
    is_waiting: bool = False  # the new reading sets lines aside that were stored: nothing is taken out

    def __bool__(self) -> bool:
        """Return whether something of an earlier reading goes."""
        return bool(self.loads)


def left_behind(
    con: warehouse.Connection, sha256: str, accepted: Mapping[str, pl.DataFrame], set_aside: pl.DataFrame
) -> Left:
    """Return the loads in force of the same bytes that hold rows, or values, which the new reading does not make.

    Args:
        con: The record.
        sha256: The checksum of the source.
        accepted: What the new reading makes, by table.
        set_aside: The cells it sets aside.
    """
    if sum(frame.height for frame in accepted.values()) > MOST_ROWS:
        return Left()
    earlier = con.execute(
        "select load_no, tables from load where undone_at is null and kind = 'file' and source_sha256 = $sha"
        " order by load_no",
        {"sha": sha256},
    ).fetchall()
    loads, lines = [], set()
    for load_no, filled in earlier:
        gone: set[int] = set()
        for name in filled.split(", ") if filled else []:
            if name not in PEOPLE:
                gone |= _gone(con, warehouse.SHAPES[name], load_no, accepted.get(name))
        if gone:
            loads.append(load_no)
            lines |= gone
    if not loads:
        return Left()
    aside = set(set_aside["source_line"].drop_nulls()) if set_aside.height else set()
    kept = {line for frame in accepted.values() for line in frame["source_line"].drop_nulls()}
    if lines & aside or not kept:
        return Left(lines=tuple(sorted(lines)), is_waiting=True)
    # Every earlier reading goes, so that what is in force is one reading and no mixture of several.
    return Left(tuple(load_no for load_no, _ in earlier), tuple(sorted(lines)))


def with_people_of(
    con: warehouse.Connection, loads: Sequence[int], accepted: Mapping[str, pl.DataFrame]
) -> dict[str, pl.DataFrame]:
    """Return what a new reading makes with the people and exercises that the earlier ones brought and that are still
    of use: known by now, they are not made anew, and rows would belong to nobody once the earlier readings go.
    """
    made = dict(accepted)
    for name in PEOPLE:
        shape = warehouse.SHAPES[name]
        before = con.sql(
            f"select {listed(shape.columns)}, source_sheet, source_line from {quoted('version_' + name)}"
            " where load_no in (select unnest($loads)) order by load_no",
            params={"loads": list(loads)},
        ).pl()
        [key] = shape.key
        here = made[name][key] if name in made else pl.Series(key, [], dtype=pl.String)
        missing = before.unique(key, keep="last", maintain_order=True).filter(~pl.col(key).is_in(here.implode()))
        if name == "athlete" and missing.height:
            missing = missing.filter(pl.col(key).is_in(list(_leant_on(con, loads, accepted))))
        if missing.height:
            made[name] = pl.concat([*([made[name]] if name in made else []), missing], how="diagonal_relaxed")
    return made


def _leant_on(con: warehouse.Connection, loads: Sequence[int], accepted: Mapping[str, pl.DataFrame]) -> set[str]:
    """Return the athletes whom rows of the new reading, or of other loads, belong to."""
    found = {who for frame in accepted.values() if "athlete_id" in frame.columns for who in frame["athlete_id"]}
    for name, shape in warehouse.SHAPES.items():
        if "athlete" in shape.parents:
            query = f"select distinct athlete_id from {quoted(name)} where load_no not in (select unnest(?))"
            found |= {who for (who,) in con.execute(query, [list(loads)]).fetchall()}
    return found


def _gone(con: warehouse.Connection, shape: Shape, load_no: int, made: pl.DataFrame | None) -> set[int]:
    """Return the lines of a load whose rows, or values, a new reading does not make."""
    before = con.sql(
        f"select {listed([*shape.key, *shape.values])}, source_line from {quoted('version_' + shape.name)}"
        " where load_no = $load_no",
        params={"load_no": load_no},
    ).pl()
    if before.is_empty():
        return set()
    if made is None:
        return set(before.filter(_tells(shape))["source_line"].drop_nulls())
    now = made.select(*shape.key, *(name for name in shape.values if name in made.columns))
    now = now.with_columns(pl.lit(None, before.schema[name]).alias(name) for name in shape.values if name not in now)
    both = before.join(now.with_columns(_made=True), on=shape.key, how="left", suffix="_now", nulls_equal=True)
    emptied = [pl.col(name).is_not_null() & pl.col(f"{name}_now").is_null() for name in shape.values if name != "note"]
    is_gone = pl.col("_made").is_null() & _tells(shape)
    gone = both.filter(is_gone | (pl.col("_made").is_not_null() & pl.any_horizontal(pl.lit(False), *emptied)))
    return set(gone["source_line"].drop_nulls())


def _tells(shape: Shape) -> pl.Expr:
    """Mark rows that say something; a session that only holds a run is implied by it and goes with it."""
    return pl.any_horizontal(pl.lit(not shape.values), *(pl.col(name).is_not_null() for name in shape.values))


def told(left: Left, load_no: int, name: str) -> str:
    """Say what was taken out of force, and how it comes back."""
    shown = ", ".join(str(line) for line in left.lines[:MOST_SHOWN]) + (" ..." if len(left.lines) > MOST_SHOWN else "")
    if left.is_waiting:
        return (
            f"This reading of {name} sets lines aside that an earlier one stored (line {shown}): what that one made "
            "stays in force until they are settled."
        )
    loads = ", ".join(str(one) for one in left.loads)
    many = "s" if len(left.loads) > 1 else ""
    lines = "line" if len(left.lines) == 1 else "lines"
    return (
        f"{name} is read otherwise than before: what the earlier reading made of {len(left.lines)} {lines} ({shown}) "
        f"and this one does not is out of force (load{many} {loads} undone). To go back: undo load {load_no}, then "
        f"redo load{many} {loads}."
    )
