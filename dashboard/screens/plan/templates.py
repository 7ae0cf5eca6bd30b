"""Weeks that were saved to plan by: laid over any other week, group or athlete, and saved from what stands there."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from dashboard.access.viewer import Viewer
from dashboard.reads import Opened
from dashboard.screens.plan import words
from dashboard.screens.plan.grid import FIELDS, Slot, Weeks, is_of
from dashboard.writes import NotKept, enter
from schemas.labels import SESSION_KINDS

Row = dict[str, Any]
MOST_OFFERED = 12


def templates_of(opened: Opened) -> dict[str, list[Row]]:
    """Return the sessions of each saved week, by its name; what was dropped of it is left out."""
    found: dict[str, list[Row]] = {}
    if "week_template" not in opened.board.tables:
        return found
    for row in opened.rows("week_template", order_by=["template", "weekday", "plan_no"]):
        if not row["is_dropped"]:
            found.setdefault(row["template"], []).append(row)
    return found


def as_weeks(sessions: Sequence[Mapping[str, Any]], monday: dt.date, athlete_ids: Sequence[str]) -> Weeks:
    """Return a saved week as the plan of some athletes in the week of a Monday."""
    slots: dict[Slot, Row] = {}
    for row in sessions:
        told = {name: row[name] for name in FIELDS.values() if row.get(name) is not None}
        slots[monday + dt.timedelta(days=row["weekday"] - 1), row["plan_no"]] = told
    return {who: {slot: dict(told) for slot, told in slots.items()} for who in athlete_ids}


def rows_to_save(
    name: str, grid: pl.DataFrame, slots: Sequence[Slot], monday: dt.date, before: Sequence[Mapping[str, Any]]
) -> list[Row]:
    """Return the rows of a saved week: what stands in the grid, and what of an earlier saving is no longer part of it.

    A cell in which the athletes differ is empty in the grid, and so is left open in the saved week. Sessions of another
    week that stand in the grid are no part of it.
    """
    slugs = {label: slug for slug, label in SESSION_KINDS.items()}
    rows: list[Row] = []
    for (on, no), line in zip(slots, grid.to_dicts(), strict=True):
        told = {column: line[short] for short, column in FIELDS.items() if line[short] not in (None, "")}
        if not told or not is_of(monday, on):
            continue
        if "kind" in told:
            told["kind"] = slugs.get(told["kind"], told["kind"])
        rows.append({"template": name, "weekday": (on - monday).days + 1, "plan_no": no, "is_dropped": False, **told})
    kept = {(row["weekday"], row["plan_no"]) for row in rows}
    gone = [row for row in before if (row["weekday"], row["plan_no"]) not in kept]
    dropped = [
        {"template": name, "weekday": row["weekday"], "plan_no": row["plan_no"], "is_dropped": True} for row in gone
    ]
    return [*rows, *dropped] if rows else []


def keep_template(viewer: Viewer, rows: Sequence[Row]) -> int | None:
    """Keep a week to plan by; return the load, to undo it.

    Raises:
        NotKept: There is nothing in the grid, or the name is that of somebody else's week.
    """
    if not viewer.is_coach:
        raise NotKept(words.PLAN_REFUSED)
    if not rows:
        raise NotKept(words.TEMPLATE_EMPTY)
    load_no: int | None = enter([{**row, "saved_by": viewer.name} for row in rows], "week_template", viewer).load_no
    return load_no
