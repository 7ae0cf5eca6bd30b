"""What was remarked beside the sessions of the last two weeks, by whoever kept the log."""

import datetime as dt
from typing import Any

from dashboard import wording
from dashboard.parts import page
from dashboard.reads import Opened
from schemas.html import html, join_html

DAYS = 14


def remarks(opened: Opened, athlete_id: str, until: dt.date) -> None:
    """Show the remarks, newest first; nothing where there are none."""
    lately = {"athlete_id": athlete_id, "session_date": (">", until - dt.timedelta(days=DAYS))}
    rows = opened.rows("session", lately, order_by=["-session_date"])
    said = [
        html("<li><b>{}</b> {}: {}</li>", wording.day(row["session_date"]), _kind(row), row["note"])
        for row in rows
        if row.get("note")
    ]
    if not said:
        return
    page.show(
        html(
            '<div class="finding"><h2>{}</h2><p class="soft">{}</p><ul class="notes">{}</ul></div>',
            wording.REMARKS_TITLE,
            wording.REMARKS_CAPTION,
            join_html(said),
        )
    )


def _kind(row: dict[str, Any]) -> str:
    return wording.SESSION_KINDS.get(row["kind"] or "", "session")
