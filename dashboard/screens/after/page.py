"""After training: an athlete says minutes and effort of today's and yesterday's sessions, in a few taps."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.current import current_viewer
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.marks import caution, empty
from dashboard.reads import Opened
from dashboard.screens.after import words, writes
from dashboard.screens.check_in.form import keys_of, show_form, style
from dashboard.screens.check_in.writes import viewers_day
from dashboard.writes import NotKept
from schemas.html import Markup, html, join_html

Row = dict[str, Any]


def sessions_of(opened: Opened, athlete_id: str, today: dt.date) -> list[Row]:
    """Return the sessions that can be answered for: of today and yesterday, planned or on record, and a further one."""
    found: dict[tuple[dt.date, int], Row] = {}
    for day in (today, today - dt.timedelta(days=1)):
        planned = opened.rows("plan", {"athlete_id": athlete_id, "planned_on": day}, order_by=["plan_no"])
        done = opened.rows("session", {"athlete_id": athlete_id, "session_date": day}, order_by=["session_no"])
        for row in planned:
            found[day, row["plan_no"]] = {"kind": row["kind"]}
        minded = {"athlete_id": athlete_id, "planned_on": day, "for_athlete": True}
        for row in opened.rows("plan_caution", minded, order_by=["caution"]):
            if (day, row["plan_no"]) in found:
                found[day, row["plan_no"]]["mind"] = row["words"]
        for row in done:
            before = found.get((day, row["session_no"]), {})
            found[day, row["session_no"]] = {**before, **row, "kind": row["kind"] or before.get("kind")}
        if not planned and not done:
            found[day, 1] = {"kind": None}
    return [{**row, "day": day, "no": no} for (day, no), row in found.items()]


def form_of(
    sessions: list[Row], today: dt.date, chosen: str, answers: Mapping[str, Any], *, may_take_back: bool
) -> Markup:
    """Return the form: which session, minutes, effort. Nothing but the session of the address is chosen beforehand."""
    which = [
        (
            key_of(one),
            words.with_caution(
                words.session_name(one["kind"], one["no"], one["day"], today, one.get("duration_min")), one.get("mind")
            ),
        )
        for one in sessions
    ]
    minutes = answers.get("minutes")
    efforts = [(str(step), str(step)) for step in range(11)]
    parts = [
        html(
            '<fieldset class="item"><legend>{}</legend>{}</fieldset>',
            words.WHICH,
            keys_of("which", which, chosen, "one", ("", "")),
        ),
        html(
            '<fieldset class="item"><legend>{}</legend>{}<label class="own">{} <input '
            'name="own_minutes" inputmode="decimal" size="5"></label></fieldset>',
            words.MINUTES,
            keys_of("minutes", [(one, one) for one in words.MINUTES_OFFERED], minutes, "five", ("", "")),
            words.OTHER_MINUTES,
        ),
        html(
            '<fieldset class="item"><legend>{}</legend>{}<p class="soft why">{}</p></fieldset>',
            words.EFFORT,
            keys_of("effort", efforts, answers.get("effort"), "six", (words.EASY, words.HARD)),
            words.READ_BY,
        ),
    ]
    back = html('<button type="button" class="plain" data-back>{}</button>', words.TAKE_BACK) if may_take_back else ""
    return html(
        '<form class="checkin">{}<div class="send"><button type="submit" class="save">{}</button>{}</div></form>',
        join_html(parts),
        words.SAVE,
        back,
    )


def key_of(session: Row) -> str:
    """Return a session as a short text."""
    return f"{session['day'].isoformat()} {session['no']}"


def act_on(act: dict[str, Any]) -> None:
    """Do what was sent before the page is drawn again: save, or take back."""
    viewer, state = current_viewer(), st.session_state
    if viewer is None:
        return
    try:
        if act.get("act") == "back" and state.get("after_load"):
            writes.take_back(viewer, state["after_load"])
            del state["after_load"]
            state["after_said"] = ("kept", words.TAKEN_BACK)
        elif act.get("act") == "save":
            row = writes.row_of(viewer, {name: str(value)[:40] for name, value in act.items()}, state["after_offered"])
            state["after_load"] = writes.save(viewer, row)
            kept = words.KEPT.format(
                wording.long_day(row["session_date"]), f"{row['duration_min']:g}", row["effort_0_10"]
            )
            state["after_said"] = ("kept", kept)
    except NotKept as wrong:
        state["after_said"] = ("wrong", str(wrong))


def draw() -> None:
    """Draw the page."""
    opened = open_page(words.AFTER)
    if opened is None:
        return
    viewer = opened.viewer
    if viewer.role != "athlete" or viewer.athlete_id is None:
        page.show(html("<h1>{}</h1>{}", words.AFTER, empty(words.FOR_ATHLETES)))
        return
    extra = (
        ".checkin .one{grid-template-columns:1fr} .checkin .one span{justify-items:start;padding:2px 12px}"
        ".checkin .own{display:block;margin-top:8px;font-size:14px;color:var(--soft)}"
        ".checkin .own input{font:16px var(--sans);min-height:44px;border:1px solid var(--edge);border-radius:4px;"
        "padding:2px 10px;background:var(--field);color:var(--ink)}"
    )
    page.use_house_style(style() + extra)
    today = viewers_day()
    sessions = sessions_of(opened, viewer.athlete_id, today)
    st.session_state["after_offered"] = {key_of(one): (one["day"], one["no"]) for one in sessions}
    said = st.session_state.get("after_said")
    line = html('<p class="said {}" role="status">{}</p>', said[0], said[1]) if said else ""
    page.show(html('<h1>{}</h1>{}<p class="soft">{}</p>{}', words.AFTER, line, words.LEDE, _on_record(sessions, today)))
    open_ = [one for one in sessions if one.get("effort_0_10") is None]
    only = key_of(open_[0]) if len(open_) == 1 and len(sessions) == 1 else ""
    drawn = form_of(sessions, today, only, {}, may_take_back=bool(st.session_state.get("after_load")))
    show_form(drawn, "after_form", act_on)
    page.show(caution(wording.OWN_CAUTION + " " + wording.CAUTION_LINE))


def _on_record(sessions: list[Row], today: dt.date) -> Markup:
    """Say what stands on record already, so that nobody answers twice without knowing."""
    lines = [
        html("<li>{}</li>", words.on_record(one, today))
        for one in sessions
        if one.get("duration_min") is not None and one.get("effort_0_10") is not None
    ]
    return html('<ul class="notes">{}</ul>', join_html(lines)) if lines else Markup()


draw()
