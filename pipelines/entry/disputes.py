"""Files given together that say different things of the same: a conflict told on both sides, not settled by order."""

import dataclasses
import json
from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from pipelines.home.folder import Home, Say
from pipelines.intake.passage import CheckedAs, Given
from pipelines.record import loading, opening
from pipelines.record.gym_sessions import says_load
from pipelines.record.left_rows import base_name
from pipelines.record.merge import PLACE
from pipelines.record.sources import checksum
from schemas.shape import TableShape, all_shapes, table_shape

MOST_FILES, MOST_BYTES = 40, 4_000_000  # given together, for their values to be set against each other; own choice
SET_ASIDE, ONLY_CELL = "Row set aside.", "Only this cell is set aside."
CHOOSE = "Choose one with 'thirdstep settle'."

Held = dict[int, list[dict[str, Any]]]


def held_of(
    home: Home, given: Mapping[int, Given], order: Sequence[int], say: Say
) -> tuple[Held, dict[int, CheckedAs | None]]:
    """Return by file the cells on which files given together disagree: table, sheet, line, column, value, reason; and
    what each file was checked to, so that it need not be checked twice.

    What waits since the same bytes were loaded beside others is held back again. Nothing is kept of looking for them. A
    file that says by its name that it corrects another is in no dispute with it.
    """
    found, checked = _set_against(home, given, order, say)
    return _joined(found, _still_open(home, given, say)), checked


def _set_against(
    home: Home, given: Mapping[int, Given], order: Sequence[int], say: Say
) -> tuple[Held, dict[int, CheckedAs | None]]:
    files = [place for place in order if not given[place].problem and given[place].kind == "file"]
    if not 2 <= len(files) <= MOST_FILES or sum(len(given[place].content) for place in files) > MOST_BYTES:
        return {}, {}
    checked: dict[int, CheckedAs | None] = {}
    has_sets = any("lift_set" in given[place].tables for place in files)
    frames: dict[str, list[tuple[int, pl.DataFrame]]] = {}
    with opening.record(home, say, to_look=True) as con:
        con.execute("begin")
        try:
            as_of = opening.last_possible_day(home)
            for place in files:
                ready = loading.make_ready(con, given[place], as_of, given[place].options)
                accepted = ready.checked.accepted if ready.checked else {}
                checked[place] = ready.checked_as
                is_diary = has_sets and says_load(accepted)
                if {"athlete", "rep"} & set(accepted) or is_diary:  # what the files after it are checked against
                    loading.store_ready(con, None, ready, by="", at=opening.now(), is_told=False)
                for table, frame in accepted.items():
                    frames.setdefault(table, []).append((place, frame))
        finally:
            con.execute("rollback")
    found: Held = {}
    for table, some in frames.items():
        if len(some) > 1 and table != "athlete":
            _disputes(table_shape(table), some, {place: given[place].name for place in files}, found)
    return found, checked


def _still_open(home: Home, given: Mapping[int, Given], say: Say) -> Held:
    """Return by file the cells that wait since the same bytes were loaded beside another file that says otherwise.

    Loading the one file again, alone, settles no conflict between the two. Where the runs of the other one got numbers
    of their own when it was stored, nothing of it waits: then the conflict stands as long as a file does that it names.
    """
    query = """
        with waiting as (
            select r.*, l.source_sha256 = $sha as is_own, l.undone_at is null as is_in_force
            from rejected r join load l using (load_no) where r.reason like $why)
        select distinct r.source_sheet, r.source_line, r."column", r.value, r.reason, r.row_json
        from waiting r where r.is_own and r.is_in_force and r.resolved_at is null and (
            exists (select 1 from waiting o where o.row_json = r.row_json and o."column" = r."column"
                and o.source_name <> r.source_name and o.resolved_at is null and o.is_in_force)
            or (not exists (select 1 from waiting o where o.row_json = r.row_json and o."column" = r."column"
                    and o.source_name <> r.source_name)
                and exists (select 1 from load m where m.undone_at is null and m.source_name <> r.source_name
                    and contains(r.reason, concat($quote, m.source_name, $quote)))))
        order by all"""
    found: Held = {}
    with opening.record(home, say, to_look=True) as con:
        if con.execute("select 1 from rejected where reason like ? limit 1", [f"%{CHOOSE}%"]).fetchone() is None:
            return {}  # as in most homes: not asked again for each file
        for place, one in given.items():
            if one.problem or one.kind != "file":
                continue
            told = {"sha": checksum(one.content), "why": f"%{CHOOSE}%", "quote": "'"}
            for sheet, line, column, value, reason, row_json in con.execute(query, told).fetchall():
                key = json.loads(row_json)
                table = next((name for name, shape in all_shapes().items()
                              if set(shape.key) == set(key) and column in shape.columns), None)  # fmt: skip
                if table is not None:
                    cell = {"table": table, "sheet": sheet or "", "line": line, "column": column, "value": value,
                            "reason": reason.replace(ONLY_CELL, SET_ASIDE), "key": key}  # fmt: skip
                    found.setdefault(place, []).append(cell)
    return found


def _joined(now: Held, before: Held) -> Held:
    """Return the cells held back now with those that wait since before.

    Where a cell waits since before and its sentence names every side there is now, that one stands: the same conflict
    is not listed a second time because one of its files got numbers of its own meanwhile.
    """
    made: Held = {}
    for place in {**now, **before}:
        own = {_cell_of(cell): cell for cell in before.get(place, [])}
        for cell in now.get(place, []):
            sides = cell.pop("said")
            old = own.get(_cell_of(cell))
            is_named = old is not None and all(any(f"{one}{end} " in old["reason"] for end in ",.") for one in sides)
            if not is_named:
                own[_cell_of(cell)] = cell
        made[place] = list(own.values())
    return made


def _cell_of(cell: Mapping[str, Any]) -> tuple[Any, ...]:
    return cell["sheet"], cell["line"], cell["column"], json.dumps(cell["key"], sort_keys=True)


def _disputes(
    shape: TableShape,
    some: list[tuple[int, pl.DataFrame]],
    names: dict[int, str],
    found: Held,
) -> None:
    """Add the cells of one table that files say differently."""
    values = [name for name in shape.values if name != "note"]
    long = []
    for place, frame in some:
        here = [name for name in values if name in frame.columns]
        if not here or not set(shape.key) <= set(frame.columns):
            continue
        told = frame.select(*shape.key, *PLACE, *(pl.col(name).cast(pl.String) for name in here))
        long.append(
            told.unpivot(here, index=[*shape.key, *PLACE], variable_name="_column", value_name="_value")
            .drop_nulls("_value")
            .with_columns(_file=pl.lit(place, pl.Int64), _base=pl.lit(base_name(names[place])))
        )
    if len(long) < 2:
        return
    every = pl.concat(long, how="vertical_relaxed")
    at_odds = every.filter(
        (pl.col("_value").n_unique().over([*shape.key, "_column"]) > 1)
        & (pl.col("_base").n_unique().over([*shape.key, "_column"]) > 1)
    )
    for _, group in at_odds.group_by([*shape.key, "_column"], maintain_order=True):
        said = sorted(
            f"'{names[row['_file']]}' line {row['source_line']} says {row['_value']}"
            for row in group.iter_rows(named=True)
        )
        what = shape.name.replace("_", " ")
        why = (
            f"the same {what} stands in two files with different values of {group['_column'][0]}: {', '.join(said)}. "
            f"{SET_ASIDE} {CHOOSE}"
        )
        for row in group.iter_rows(named=True):
            cell = {
                "table": shape.name, "sheet": row["source_sheet"] or "", "line": row["source_line"],
                "column": row["_column"], "value": row["_value"], "reason": why,
                "key": {name: str(row[name]) for name in shape.key}, "said": said,
            }  # fmt: skip
            found.setdefault(row["_file"], []).append(cell)


def with_held(given: Given, held: list[dict[str, Any]]) -> Given:
    """Return a source whose disputed cells are held back; they are logged with the load, so a replay does the same."""
    return dataclasses.replace(given, options=dataclasses.replace(given.options, held=held))
