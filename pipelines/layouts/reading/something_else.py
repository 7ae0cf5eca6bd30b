"""Rows that are not what their few headings say, where the numbers beside them are left unread.

Contacts and flights of which a row stands once for each athlete and day: means of a run, or a jump, and no list of
steps. Numbered in order each would be the first step of a run.
"""

from collections.abc import Mapping

import polars as pl

from pipelines.layouts.rows.sheet_shape import SheetShape
from pipelines.layouts.words.evidence import Evidence
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.other_values import is_aim
from schemas.intake import TextTable
from schemas.spelling import fold

HALF = 0.5
OF_A_WEEK = {"week of", "week commencing", "week beginning", "week starting", "w c", "wc", "woche vom", "woche ab",
             "kw vom", "semaine du", "semana del", "semana de", "settimana del", "week van", "vecka fran"}  # fmt: skip
OF_A_LOAD = {"kg", "kgs", "kilo", "lb", "lbs", "load", "weight"}  # words of a heading; common practice, no source
OF_A_RUN = {"athlete_id", "display_name", "first_name", "last_name", "date", "session_date", "session_no", "rep_no"}


def is_of_something_else(found: SheetShape | None, table: TextTable, seen: Mapping[int, Evidence]) -> bool:
    """Return whether rows are not what the few headings that were understood make of them."""
    if found is None:
        return False
    return are_lone_steps(found, table) or are_bare_distances(found, seen) or are_weeks(found)


def are_lone_steps(found: SheetShape, table: TextTable) -> bool:
    """Return whether rows taken for steps have no number and none of them has a second one of its run."""
    match = found.match
    own = match.of("step")
    if found.shape != "long" or match.main != "step" or "step_no" in own or any(one.is_told for one in own.values()):
        return False
    keys = [one for (_, name), one in match.columns.items() if name in OF_A_RUN]
    keys += [one for one in (match.first_name, match.last_name) if one is not None]
    places = list(dict.fromkeys(f"c{one.place}" for one in keys))
    if not places or "side" in own:
        return False
    return not table.rows.select(pl.struct(pl.col(places).forward_fill()).is_duplicated().any()).item()


def are_bare_distances(found: SheetShape, seen: Mapping[int, Evidence]) -> bool:
    """Return whether rows taken for runs say nothing but how far, while numbers beside it are unread: a target time, a
    mean of six runs, a greatest speed. The sheet is about those.
    """
    own = {name for name in found.match.of("rep") if name not in OF_A_RUN}
    is_told = any(one.is_told for one in found.match.columns.values())
    if found.shape != "long" or found.match.main != "rep" or own != {"distance_m"} or is_told:
        return False
    return any(seen[one.place].numbers >= HALF for one in found.match.ignored if one.place in seen)


def planned_loads(found: SheetShape | None) -> list[Heading]:
    """Return the loads aimed at of sets that have no other: 'Sets', 'Reps', 'Target kg' are a plan until it is said
    that the loads were lifted.
    """
    if found is None:
        return []
    own = found.match.of("lift_set")
    if found.match.main != "lift_set" or {"load_kg", "set_text"} & set(own) or found.shape != "long":
        return []
    aims = [one for one in found.match.ignored if is_aim(one.text) and not one.is_told]
    return [one for one in aims if "load_kg" in one.loose or {*fold(one.text).split()} & OF_A_LOAD]


def are_weeks(found: SheetShape) -> bool:
    """Return whether rows taken for sessions are of weeks: 'Week of' over days, and minutes of all sessions in it."""
    date = found.match.of("session").get("session_date")
    return found.match.main == "session" and date is not None and not date.is_told and fold(date.text) in OF_A_WEEK
