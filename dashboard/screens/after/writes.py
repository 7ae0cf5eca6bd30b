"""What the page after training keeps: minutes and effort of one's own sessions, as hand entries of the athlete's."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from dashboard.access.viewer import Viewer
from dashboard.home import home_folder
from dashboard.screens.after import words
from dashboard.writes import NotKept, enter, in_words, publish_soon

Row = dict[str, Any]
MOST_MINUTES = 600
ENTRY_NAME = "typed: session"


def row_of(viewer: Viewer, answers: Mapping[str, str], offered: Mapping[str, tuple[dt.date, int]]) -> Row:
    """Return the session row of a form's answers; both have to be said, and neither is ever made up.

    Raises:
        NotKept: No session offered was chosen, an answer is missing, or the minutes are no number.
    """
    if viewer.role != "athlete" or viewer.athlete_id is None:
        raise NotKept(words.REFUSED)
    place = offered.get(str(answers.get("which")))
    said = str(answers.get("own_minutes") or "").strip() or str(answers.get("minutes") or "").strip()
    effort = str(answers.get("effort") or "")
    if place is None or not said or effort not in {str(step) for step in range(11)}:
        raise NotKept(words.NOTHING)
    try:
        minutes = float(said.replace(",", "."))
    except ValueError as wrong:
        raise NotKept(words.WRONG_MINUTES.format(said[:20])) from wrong
    if not 0 <= minutes <= MOST_MINUTES:
        raise NotKept(words.WRONG_MINUTES.format(said[:20]))
    return {"athlete_id": viewer.athlete_id, "session_date": place[0], "session_no": place[1],
            "duration_min": minutes, "effort_0_10": int(effort)}  # fmt: skip


def save(viewer: Viewer, row: Row) -> int | None:
    """Keep one session's minutes and effort; return its load."""
    load_no: int | None = enter([row], "session", viewer).load_no
    return load_no


def take_back(viewer: Viewer, load_no: int) -> None:
    """Take one's own entry out of force; what stood there before stands there again."""
    from pipelines import flow

    home = flow.Home(home_folder())
    with in_words(viewer):
        found = flow.loads(home).filter(load_no=load_no).to_dicts()
        if not found or found[0]["loaded_by"] != viewer.name or found[0]["source_name"] != ENTRY_NAME:
            raise NotKept(words.REFUSED)
        if found[0]["undone_at"] is None:
            flow.undo(home, load_no, viewer.writer, derive_after=False)
    publish_soon()
