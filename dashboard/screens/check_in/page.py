"""Check in: the athlete's own morning answers, on a phone, in under half a minute. Every item may be left out."""

import datetime as dt
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.current import current_viewer
from dashboard.access.readers import readers_of
from dashboard.board import Board
from dashboard.home import home_folder
from dashboard.parts import page
from dashboard.parts.advice import advice_of, spoken_to
from dashboard.parts.entrance import open_page
from dashboard.parts.marks import caution, empty
from dashboard.parts.strip import strip
from dashboard.reads import Opened
from dashboard.screens.check_in.form import form, show_form, style
from dashboard.screens.check_in.writes import (
    checkin_of,
    is_withdrawn,
    save,
    take_back,
    viewers_day,
    waits_for_consent,
    welfare_contact,
    withdrawn_said,
)
from dashboard.writes import NotKept
from schemas.html import Markup, html

LOOK_AGAIN_S = 1.0


def act_on(act: dict[str, Any]) -> None:
    """Do what was sent before the page is drawn again: save, or take back."""
    viewer = current_viewer()
    if viewer is None:
        return
    board = Board(home_folder())
    try:
        if act.get("act") == "back":
            take_back(viewer, board)
            st.session_state.pop("checkin_load", None)
            st.session_state["checkin_said"] = ("kept", wording.CHECKIN_TAKEN_BACK)
        elif act.get("act") == "save":
            mine = save(viewer, board, {k: str(v)[:1000] for k, v in act.items()})
            st.session_state["checkin_load"] = mine.load_no
            if mine.at is not None:
                st.session_state["checkin_said"] = ("kept", wording.checkin_saved(mine.at))
    except NotKept as wrong:
        st.session_state["checkin_said"] = ("wrong", str(wrong))


def call_of(opened: Opened, athlete_id: str, day: dt.date) -> Markup:
    """Return what the day's answers come to, and who can read that; '' while the board does not hold them yet."""
    mine = checkin_of(opened.viewer, opened.board, day)
    awaited = st.session_state.get("checkin_load")
    told = advice_of(opened, athlete_id)
    found = opened.rows("readiness_day", {"athlete_id": athlete_id, "day_on": day})
    if mine is None or (awaited and mine.load_no != awaited) or told is None or not found:
        return Markup()
    if found[0]["last_checkin_on"] != day or opened.board.older & {"readiness_day", "advice"}:
        return Markup()
    headline, sentence = spoken_to(opened, told)
    hurts = (mine.row.get("pain") or 0) > 0
    return html(
        '<div class="card"><p><b>{}</b> {}</p>{}<p class="soft">{}</p></div>',
        wording.means_today(headline),
        sentence,
        html("<p>{}</p>", wording.CHECKIN_HURTS) if hurts else "",
        wording.CHECKIN_SEEN,
    )


@st.fragment(run_every=LOOK_AGAIN_S)
def wait_for_call(athlete_id: str, day: dt.date) -> None:
    """Say that the call follows, and draw the page anew once it is there."""
    opened = open_page(wording.CHECK_IN)
    if opened is None or opened.viewer.athlete_id != athlete_id:
        return  # somebody else looks by now
    if call_of(opened, athlete_id, day):
        st.rerun()
    page.show(html('<p class="soft" role="status">{}</p>', wording.CHECKIN_WAITS))


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.CHECK_IN)
    if opened is None:
        return
    viewer = opened.viewer
    if viewer.role != "athlete" or viewer.athlete_id is None:
        page.show(html("<h1>{}</h1>{}", wording.CHECK_IN, empty(wording.CHECKIN_FOR_ATHLETES)))
        return
    page.use_house_style(style())
    day = viewers_day()
    head = html("<h1>{}</h1><p class='soft'>{}</p>", wording.CHECK_IN, wording.long_day(day))
    if is_withdrawn(viewer, opened.board, day):
        page.show(head + empty(withdrawn_said(viewer, opened.board, day)))
        return
    if waits_for_consent(viewer, opened.board, day):
        page.show(head + empty(wording.CHECKIN_NO_CONSENT))
        return
    mine = checkin_of(viewer, opened.board, day)
    said = st.session_state.pop("checkin_said", None)
    if said is None and mine is not None:
        said = ("kept", wording.checkin_there(day) if mine.is_typed else wording.CHECKIN_OF_FILE)
    line = html('<p class="said {}" role="status">{}</p>', said[0], said[1]) if said else ""
    page.show(html('{}{}<p>{} <span class="soft">{}</span></p>', head, line, wording.CHECKIN_LEDE, wording.CHECKIN_WHY))
    if mine is not None or st.session_state.get("checkin_load"):
        call = call_of(opened, viewer.athlete_id, day)
        if call:
            page.show(call)
        elif st.session_state.get("checkin_load"):
            wait_for_call(viewer.athlete_id, day)
    own = opened.rows("athlete", {"athlete_id": viewer.athlete_id})
    readers = readers_of(viewer.athlete_id, own[0]["event_group"] if own else None)
    drawn = form(
        mine.row if mine else {},
        wording.read_by(readers.answers, readers.has_guardian),
        wording.note_read_by(readers.notes),
        is_change=mine is not None,
        may_take_back=mine is not None and mine.is_typed,
    )
    show_form(drawn, "check_in_form", act_on)
    strip(opened, viewer.athlete_id, day, own=True)
    contact = welfare_contact()
    more = html('<p class="soft">{}</p>', wording.welfare_line(contact)) if contact else ""
    page.show(more, caution(f"{wording.OWN_CAUTION} {wording.CAUTION_LINE}"))


draw()
