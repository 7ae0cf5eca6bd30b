"""Today's plan and what the coach decided, as the athlete reads them: in words that agree with the advice."""

from typing import Any

from dashboard import wording
from dashboard.parts.marks import empty
from dashboard.reads import Opened, monday_of
from dashboard.screens.after import words
from dashboard.screens.check_in.writes import viewers_day
from schemas.html import html, join_html

SHOWN = ("training", "start_work")


def plan_today(opened: Opened, athlete_id: str, told: dict[str, Any] | None) -> str:
    """Return today's plan in sentences, under what the advice says of it, and the decisions of the running week."""
    today = viewers_day()
    rows = opened.rows("plan", {"athlete_id": athlete_id, "planned_on": today}, order_by=["plan_no"])
    monday = monday_of(today)
    decided = [
        row
        for row in opened.rows("decision", {"athlete_id": athlete_id, "week_of": monday}, order_by=["topic"])
        if row["topic"] in SHOWN and row["call"]
    ]
    under = words.plan_under(told["stands"] if told else None, decided) if rows else ""
    plan = join_html(html("<p>{}</p>", words.plan_sentence(row)) for row in rows) or empty(words.NO_PLAN)
    parts = [
        html(
            '<div class="card"><h2>{}</h2>{}{}</div>',
            words.PLAN_TITLE,
            plan,
            html("<p><b>{}</b></p>", under) if under else "",
        )
    ]
    if decided:
        lines = join_html(
            html(
                "<li>{}: {}<small>{}, {}</small></li>",
                wording.sentence_case(wording.TOPICS[row["topic"]]),
                row["call"],
                row["decided_by"] or "",
                wording.day(row["week_of"]),
            )
            for row in decided
        )
        parts.append(html('<div class="card"><h2>{}</h2><ul class="notes">{}</ul></div>', words.DECIDED_TITLE, lines))
    return join_html(parts)
