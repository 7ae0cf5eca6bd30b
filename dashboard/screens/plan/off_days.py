"""Days of the week that are always off: said once for a group or an athlete, and taken back as easily."""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.reads import Opened
from dashboard.screens.plan import words
from dashboard.writes import NotKept, enter

Row = dict[str, Any]


def off_days(opened: Opened, athlete_ids: Sequence[str], monday: dt.date) -> dict[str, dict[int, dt.date]]:
    """Return by athlete the weekdays that are off in a week, each with the day from which it is."""
    found: dict[str, dict[int, dt.date]] = {who: {} for who in athlete_ids}
    if "rest_day" not in opened.board.tables:
        return found
    sunday = monday + dt.timedelta(days=6)
    for row in opened.rows("rest_day", {"athlete_id": list(athlete_ids)}, order_by=["from_on"]):
        if row["from_on"] <= sunday and (row["until_on"] is None or row["until_on"] >= monday):
            found[row["athlete_id"]][row["weekday"]] = row["from_on"]
    return found


def off_for_all(off: Mapping[str, Mapping[int, dt.date]]) -> list[int]:
    """Return the weekdays that are off for everybody shown."""
    days = [set(one) for one in off.values()]
    return sorted(set.intersection(*days)) if days else []


def changed_off(off: Mapping[str, Mapping[int, dt.date]], wanted: Collection[int], monday: dt.date) -> list[Row]:
    """Return the rows that make some weekdays those that are off from a Monday on, for everybody shown.

    A day that is no longer off ends with the week before; one that began this very week ends before it begins.
    """
    rows: list[Row] = []
    for who, now in off.items():
        rows += [{"athlete_id": who, "weekday": day, "from_on": monday} for day in sorted(wanted) if day not in now]
        rows += [
            {"athlete_id": who, "weekday": day, "from_on": began, "until_on": monday - dt.timedelta(days=1)}
            for day, began in sorted(now.items())
            if day not in wanted
        ]
    return rows


def keep_off(viewer: Viewer, board: Board, rows: Sequence[Row]) -> int | None:
    """Keep which days are off; return the load, to undo it.

    Raises:
        NotKept: Somebody is not among theirs, or nothing changed.
    """
    allowed = set(board.allowed_athletes(viewer)["athlete_id"]) if viewer.is_coach else set()
    if not {row["athlete_id"] for row in rows} <= allowed:
        raise NotKept(words.PLAN_REFUSED)
    if not rows:
        raise NotKept(words.OFF_UNCHANGED)
    load_no: int | None = enter(list(rows), "rest_day", viewer).load_no
    return load_no
