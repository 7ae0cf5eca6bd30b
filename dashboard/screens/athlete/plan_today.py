"""Today's plan and what the coach decided, as the athlete reads them: in words that agree with the advice."""

from typing import Any

from dashboard import wording
from dashboard.parts.drills import chosen_drills, drill_text
from dashboard.parts.marks import empty, text
from dashboard.reads import Opened, monday_of
from dashboard.screens.after import words
from dashboard.screens.check_in.writes import viewers_day

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
    own = opened.viewer.is_own
    stands = told["stands"] if told else None
    read = words.plan_under if own else words.plan_under_for_guardian
    under = read(stands, decided) if rows else ""
    nothing = words.NO_PLAN if own else wording.NO_PLAN_TO_GUARDIAN
    plan = "".join(f"<p>{text(words.plan_sentence(row))}</p>" for row in rows) or empty(nothing)
    parts = [
        f'<div class="card"><h2>{words.PLAN_TITLE}</h2>{plan}{f"<p><b>{text(under)}</b></p>" if under else ""}</div>'
    ]
    if decided:
        title = words.DECIDED_TITLE if own else wording.DECIDED_TO_GUARDIAN
        lines = "".join(
            f"<li>{text(wording.sentence_case(wording.TOPICS[row['topic']]))}: {text(row['call'])}"
            f"<small>{text(row['decided_by'] or '')}, {text(wording.day(row['week_of']))}</small></li>"
            for row in decided
        )
        shown = "".join(drill_text(one) for one in chosen_drills(opened, decided))
        parts.append(f'<div class="card"><h2>{title}</h2><ul class="notes">{lines}</ul>{shown}</div>')
    return "".join(parts)
