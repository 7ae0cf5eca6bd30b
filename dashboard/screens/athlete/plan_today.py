"""Today's plan and what the coach decided, as the athlete reads them: in words that agree with the advice."""

import datetime as dt
from typing import Any

from dashboard import wording
from dashboard.parts.calls import still_standing
from dashboard.parts.drills import chosen_drills, drill_text
from dashboard.parts.marks import empty
from dashboard.reads import Opened, monday_of
from dashboard.screens.after import words
from dashboard.screens.check_in.writes import viewers_day
from schemas.html import Markup, html, join_html

DAYS_AHEAD = 7
SHOWN = ("training", "start_work")


def plan_today(opened: Opened, athlete_id: str, told: dict[str, Any] | None) -> Markup:
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
    later = [] if rows else _next_day(opened, athlete_id, today)
    stands = told["stands"] if told else None
    state = _state(opened, athlete_id, monday)
    is_older = state is not None and state["is_older"]
    read = words.plan_under if own else words.plan_under_for_guardian
    under = read(stands, [] if is_older else decided) if rows or later else ""
    nothing = words.NO_PLAN if own else wording.NO_PLAN_TO_GUARDIAN
    minded = _minded(opened, athlete_id, today)
    plan = join_html(_session(row, minded) for row in rows)
    if not rows:
        off = opened.rows("session", {"athlete_id": athlete_id, "session_date": today, "duration_min": 0.0})
        plan = html("<p>{}</p>", words.DAY_OFF) if off else empty(nothing)
    if later:
        when = html("<p><b>{}</b></p>", words.next_planned(later[0]["planned_on"]))
        plan += when + join_html(_session(row, minded) for row in later)
    parts = [
        html(
            '<div class="card"><h2>{}</h2>{}{}</div>',
            words.PLAN_TITLE,
            plan,
            html("<p><b>{}</b></p>", under) if under else "",
        )
    ]
    on_training = [row for row in decided if row["topic"] == "training"]
    if state is not None and is_older:
        parts.append(html('<p class="mind">{}</p>', words.decided_before(state["own_words"], stands)))
    elif on_training:
        names = sorted({row["decided_by"] for row in on_training if row["decided_by"]})
        parts.append(html('<p class="soft">{}</p>', wording.decided_by(names, own)))
    elif opened.rows("checkin", {"athlete_id": athlete_id, "checked_on": today}, columns=["checked_on"]):
        parts.append(html('<p class="soft">{}</p>', wording.NOT_DECIDED_OWN if own else wording.NOT_DECIDED))
    standing = still_standing(opened, [athlete_id], today).get(athlete_id)
    if standing:
        parts.append(html('<p class="mind">{}</p>', standing))
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
        title = words.DECIDED_TITLE if own else wording.DECIDED_TO_GUARDIAN
        if state and state["own_words"]:
            lines = html("<li><b>{}.</b></li>{}", wording.sentence_case(state["own_words"]), lines)
        shown = join_html(drill_text(one) for one in chosen_drills(opened, decided))
        parts.append(html('<div class="card"><h2>{}</h2><ul class="notes">{}</ul>{}</div>', title, lines, shown))
    return join_html(parts)


def is_day_off(opened: Opened, athlete_id: str) -> bool:
    """Return whether today is a day off: planned so, or logged so where nothing is planned."""
    today = viewers_day()
    rows = opened.rows("plan", {"athlete_id": athlete_id, "planned_on": today})
    if rows:
        return all(row["planned_min"] == 0 for row in rows)
    return bool(opened.rows("session", {"athlete_id": athlete_id, "session_date": today, "duration_min": 0.0}))


def _state(opened: Opened, athlete_id: str, monday: dt.date) -> dict[str, Any] | None:
    """Return how what was decided for a week stands beside what is known now; null where nothing was decided."""
    if "decision_state" not in opened.board.tables:
        return None
    rows = opened.rows("decision_state", {"athlete_id": athlete_id, "week_of": monday})
    return rows[0] if rows else None


def _minded(opened: Opened, athlete_id: str, today: dt.date) -> dict[tuple[dt.date, int], str]:
    """Return what calls and decisions say against each planned session, for the athlete to read beside it."""
    where = {"athlete_id": athlete_id, "planned_on": (">=", today), "for_athlete": True}
    said: dict[tuple[dt.date, int], str] = {}
    for row in opened.rows("plan_caution", where, order_by=["planned_on", "plan_no", "caution"]):
        slot = row["planned_on"], row["plan_no"]
        said[slot] = f"{said[slot]}; {row['words']}" if slot in said else row["words"]
    return said


def _session(row: dict[str, Any], minded: dict[tuple[dt.date, int], str]) -> Markup:
    """Return a planned session as a sentence, with what is to be minded right under it."""
    mind = minded.get((row["planned_on"], row["plan_no"]))
    marked = html('<br><b class="mind">{}.</b>', wording.sentence_case(mind)) if mind else ""
    return html("<p>{}{}</p>", words.plan_sentence(row), marked)


def _next_day(opened: Opened, athlete_id: str, today: dt.date) -> list[dict[str, Any]]:
    """Return what is planned for the next day within a week that has a plan."""
    rows = opened.rows(
        "plan", {"athlete_id": athlete_id, "planned_on": (">", today)}, order_by=["planned_on", "plan_no"]
    )
    rows = [row for row in rows if row["planned_on"] <= today + dt.timedelta(days=DAYS_AHEAD)]
    return [row for row in rows if row["planned_on"] == rows[0]["planned_on"]]
