"""The grid of a planned week: from the record to the grid, and from the grid to rows for the record. No formulas."""

import datetime as dt
import hashlib
from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import polars as pl

from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import home_folder
from dashboard.kept import Kept
from dashboard.screens.plan import words
from dashboard.writes import NotKept, enter, publish_soon, undo_load
from schemas.labels import SESSION_KINDS

if TYPE_CHECKING:
    from schemas.settings import SquadSettings

Row = dict[str, Any]
Slot = tuple[dt.date, int]  # day and number of the session
Weeks = dict[str, dict[Slot, Row]]  # by athlete
FIELDS = {
    "kind": "kind", "text": "note", "fast": "fast_metres", "minutes": "planned_min", "effort": "planned_effort_0_10",
}  # fmt: skip
_effects: Kept[list[Row]] = Kept(4 * 2**20, lambda rows: 1000 * (len(rows) + 1))  # bytes, about; own choice
OFF: Row = {"planned_min": 0.0, "fast_metres": 0.0, "planned_effort_0_10": 0.0}


def planned_of(rows: Sequence[Mapping[str, Any]], monday: dt.date) -> Weeks:
    """Return what is planned for a week, by athlete, day and session; unknown fields are left out."""
    return planned_on_any_day([row for row in rows if is_of(monday, row["planned_on"])])


def is_of(monday: dt.date, on: dt.date) -> bool:
    """Return whether a day lies in the week of a Monday."""
    return monday <= on < monday + dt.timedelta(days=7)


def planned_on_any_day(rows: Sequence[Mapping[str, Any]]) -> Weeks:
    """Return what is planned, of whatever weeks, by athlete, day and session; unknown fields are left out."""
    found: Weeks = {}
    for row in rows:
        told = {name: row.get(name) for name in FIELDS.values() if row.get(name) is not None}
        slots = found.setdefault(row["athlete_id"], {})
        slots[row["planned_on"], row["plan_no"]] = slots.get((row["planned_on"], row["plan_no"]), {}) | told
    return found


def only_where(weeks: Weeks, over: Weeks) -> Weeks:
    """Return of a plan the sessions that another one says something of."""
    return {who: {slot: told for slot, told in weeks.get(who, {}).items() if slot in over[who]} for who in over}


def moved(weeks: Weeks, days: int) -> Weeks:
    """Return a plan moved by some days."""
    step = dt.timedelta(days=days)
    return {who: {(on + step, no): dict(told) for (on, no), told in slots.items()} for who, slots in weeks.items()}


def laid_over(weeks: Weeks, over: Weeks, athlete_ids: Sequence[str]) -> Weeks:
    """Return a plan with another laid over it, session by session."""
    return {
        who: {
            slot: weeks.get(who, {}).get(slot, {}) | over.get(who, {}).get(slot, {})
            for slot in {**weeks.get(who, {}), **over.get(who, {})}
        }
        for who in athlete_ids
    }


def slots_of(monday: dt.date, weeks: Weeks, *, two_a_day: bool) -> list[Slot]:
    """Return the sessions the grid has a line for: one a day (or two), and any others there are."""
    numbers = (1, 2) if two_a_day else (1,)
    plain = {(monday + dt.timedelta(days=n), no) for n in range(7) for no in numbers}
    return sorted(plain | {slot for told in weeks.values() for slot in told})


def alike(weeks: Weeks, athlete_ids: Sequence[str], slot: Slot) -> Row:
    """Return what all of them have alike in a session; what they differ in is left out."""
    sessions = [weeks.get(who, {}).get(slot, {}) for who in athlete_ids]
    first = sessions[0] if sessions else {}
    return {
        name: first[name]
        for name in FIELDS.values()
        if first.get(name) is not None and all(one.get(name) == first[name] for one in sessions)
    }


def grid_of(
    weeks: Weeks,
    athlete_ids: Sequence[str],
    slots: Sequence[Slot],
    off: Collection[int] = (),
    marks: Mapping[Slot, str] | None = None,
) -> pl.DataFrame:
    """Return the grid: what all of them have alike; where they differ a cell is empty. A weekday always off says so.

    ``marks``: what is to be minded with a session as it is saved; a column of its own where there is any.
    """
    lines = []
    for on, no in slots:
        told = alike(weeks, athlete_ids, (on, no))
        line: Row = {"day": words.plan_day(on, no, is_off=on.isoweekday() in off)}
        line |= {short: told.get(name) for short, name in FIELDS.items()}
        line["kind"] = SESSION_KINDS.get(line["kind"], line["kind"])
        lines.append(line)
    schema = {
        "day": pl.String,
        "kind": pl.String,
        "text": pl.String,
        "fast": pl.Float64,
        "minutes": pl.Float64,
        "effort": pl.Float64,
    }
    grid = pl.DataFrame(lines, schema=schema, orient="row")
    if not marks:
        return grid
    return grid.with_columns(pl.Series("mind", [marks.get(slot) for slot in slots], dtype=pl.String))


def typed_week(grid: pl.DataFrame, shown: pl.DataFrame, slots: Sequence[Slot], athlete_ids: Sequence[str]) -> Weeks:
    """Return what was typed: cells that are not empty, for each athlete.

    For one athlete a session whose cells were all emptied is a day off, 0 minutes: the record erases nothing. For a
    group an empty cell leaves each as it is.
    """
    slugs = {label: slug for slug, label in SESSION_KINDS.items()}
    typed: dict[Slot, Row] = {}
    for slot, line, before in zip(slots, grid.to_dicts(), shown.to_dicts(), strict=True):
        told = {name: line[short] for short, name in FIELDS.items() if line[short] not in (None, "")}
        if "kind" in told:
            told["kind"] = slugs.get(told["kind"], told["kind"])
        if not told and len(athlete_ids) == 1 and any(before[short] is not None for short in FIELDS):
            told = dict(OFF)
        if told:
            typed[slot] = told
    return {who: {slot: dict(told) for slot, told in typed.items()} for who in athlete_ids}


def changed_rows(now: Weeks, wanted: Weeks) -> list[Row]:
    """Return the rows that would be new or changed, as the record holds them."""
    rows = []
    for who, slots in wanted.items():
        for (on, no), told in sorted(slots.items()):
            if told and any(now.get(who, {}).get((on, no), {}).get(name) != value for name, value in told.items()):
                rows.append({"athlete_id": who, "planned_on": on, "plan_no": no, **told})
    return rows


def narrowed(board: Board, table: str, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Return how a table is read, leaving out columns that an older board does not have."""
    has = set(board.columns(table))
    columns = [name for name in asked["columns"] if name in has] if "columns" in asked else None
    return {"where": {name: value for name, value in asked["where"].items() if name in has}, "columns": columns}


def effect_of(viewer: Viewer, board: Board, rows: Sequence[Row], as_of: dt.date) -> list[Row]:
    """Ask the flow what planned sessions would mean, from what this viewer may read; of a board, the same once."""
    from pipelines import flow

    rows = [{name: value for name, value in row.items() if name != "note"} for row in rows]  # words weigh nothing
    settings = flow.settings(flow.Home(home_folder()))
    asked = hashlib.sha256(repr((settings, rows)).encode()).digest()
    found = _effects.ask(
        (str(board.home), board.build, viewer, as_of, asked), lambda: _effect(viewer, board, rows, settings, as_of)
    )
    return [dict(row) for row in found]


def _effect(viewer: Viewer, board: Board, rows: Sequence[Row], settings: "SquadSettings", as_of: dt.date) -> list[Row]:
    from pipelines import flow

    frames = {
        name: board.read(viewer, name, **narrowed(board, name, asked))
        for name, asked in flow.plan_needs(rows, as_of).items()
        if name in board.tables
    }
    return flow.plan_effect(frames, rows, settings=settings, as_of=as_of).to_dicts()


def keep_plan(viewer: Viewer, board: Board, rows: Sequence[Row]) -> int | None:
    """Keep planned sessions of athletes this viewer may read about; return the load, to undo it.

    Raises:
        NotKept: Somebody is not among theirs, there is nothing to keep, or a cell was not accepted.
    """
    if not viewer.is_coach:
        raise NotKept(words.PLAN_REFUSED)
    allowed = set(board.allowed_athletes(viewer)["athlete_id"])
    if not {row["athlete_id"] for row in rows} <= allowed:
        raise NotKept(words.PLAN_REFUSED)
    if not rows:
        raise NotKept(words.PLAN_EMPTY)
    load_no: int | None = enter(list(rows), "plan", viewer).load_no
    return load_no


def take_back(viewer: Viewer, load_no: int) -> None:
    """Undo a plan that this sign-in has kept."""
    undo_load(viewer, load_no, publish=False)
    publish_soon()
