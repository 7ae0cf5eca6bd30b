"""Closing the weekly review: the sheet's lines and what was decided are kept in the record as they stood."""

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.writes import NotKept, enter, publish_soon, undo_load

Row = dict[str, Any]
LINES = (
    "trend_points",
    "trend_low",
    "trend_high",
    "load_points",
    "load_low",
    "load_high",
    "load_above",
    "checkin_gap_days",
    "loudness",
)
SAME = (
    "athlete_id",
    "week_of",
    "day_on",
    "training_call",
    "training_reason",
    "training_more",
    "hamstring_level",
    "hamstring_words",
    "hamstring_reason",
    "progress_word",
    "progress_sentence",
    "caution",
    "training_reads_injury",
    "hamstring_reads_injury",
    "work_reads_injury",
    "is_coming_back",
)


def lines_of(
    sheet: Sequence[Row],
    decided: Mapping[str, str],
    changed: Mapping[str, str | None],
    families: Mapping[str, Sequence[str]],
    closed: Row,
) -> list[Row]:
    """Return the lines to keep: the sheet's words and small lines, what was decided, who closed it and when."""
    return [
        {name: row.get(name) for name in SAME}
        | {
            "hamstring_families": " ".join(families.get(row["athlete_id"], ())) or None,
            "work_on_next": row["focus_headline"],
            "work_caution": row.get("focus_caution"),
            "decided": decided.get(row["athlete_id"]),
            "changed": changed.get(row["athlete_id"]),
            "lines_json": json.dumps({name: row[name] for name in LINES}),
        }
        | closed
        for row in sheet
    ]


def as_sheet(line: Row) -> Row:
    """Return a kept line with the columns of the sheet, so that it is drawn like any other."""
    lines = json.loads(line["lines_json"] or "{}")
    return (
        {name: line.get(name) for name in SAME}
        | {name: lines.get(name) for name in LINES}
        | {
            "focus_headline": line["work_on_next"],
            "focus_caution": line.get("work_caution"),
            "changed": line["changed"],
        }
    )


def close_review(
    viewer: Viewer,
    board: Board,
    week_of: dt.date,
    decided: Mapping[str, str],
    changed: Mapping[str, str | None],
) -> tuple[list[Row], int | None]:
    """Keep the review of a week as it stands; return its lines and the load that holds them.

    Raises:
        NotKept: The viewer is not the head coach, the week has no sheet, or it is closed already.
    """
    if viewer.role != "head_coach":
        raise NotKept(wording.CLOSE_REFUSED)
    sheet = board.rows(viewer, "week_sheet", {"week_of": week_of}, order_by=["-loudness", "athlete_id"])
    if not sheet:
        raise NotKept(wording.NO_SHEET)
    if board.rows(viewer, "review_line", {"week_of": week_of}, limit=1):
        raise NotKept(wording.CLOSED_ALREADY)
    families: dict[str, list[str]] = {}
    days = {row["athlete_id"]: row["day_on"] for row in sheet}
    speaking = board.rows(
        viewer, "hamstring_flag", {"day_on": sorted(set(days.values())), "state": "speaks"}, order_by=["athlete_id"]
    )
    for flag in speaking:
        if flag["day_on"] == days.get(flag["athlete_id"]):
            families.setdefault(flag["athlete_id"], []).append(flag["family"])
    closed = {"closed_by": viewer.name, "closed_at": dt.datetime.now().replace(microsecond=0)}
    lines = lines_of(sheet, decided, changed, families, closed)
    return lines, enter(lines, "review_line", viewer).load_no


def open_again(viewer: Viewer, load_no: int) -> None:
    """Take a closed review out of force, so that the week's sheet is open again."""
    if viewer.role != "head_coach":
        raise NotKept(wording.CLOSE_REFUSED)
    undo_load(viewer, load_no, publish=False)
    publish_soon()
