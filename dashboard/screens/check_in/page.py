"""Check in: the athlete's own morning answers, on a phone, in under half a minute. Every item may be left out."""

from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.current import current_viewer
from dashboard.access.readers import readers_of
from dashboard.board import Board
from dashboard.home import home_folder
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.marks import caution, empty
from dashboard.parts.strip import strip
from dashboard.screens.check_in.form import form, show_form, style
from dashboard.screens.check_in.writes import (
    checkin_of,
    is_withdrawn,
    save,
    take_back,
    viewers_day,
    waits_for_consent,
    welfare_contact,
)
from dashboard.writes import NotKept
from schemas.html import html


def act_on(act: dict[str, Any]) -> None:
    """Do what was sent before the page is drawn again: save, or take back."""
    viewer = current_viewer()
    if viewer is None:
        return
    board = Board(home_folder())
    try:
        if act.get("act") == "back":
            take_back(viewer, board)
            st.session_state["checkin_said"] = ("kept", wording.CHECKIN_TAKEN_BACK)
        elif act.get("act") == "save":
            mine = save(viewer, board, {k: str(v)[:1000] for k, v in act.items()})
            if mine.at is not None:
                st.session_state["checkin_said"] = ("kept", wording.checkin_saved(mine.at))
    except NotKept as wrong:
        st.session_state["checkin_said"] = ("wrong", str(wrong))


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
        page.show(head + empty(wording.CHECKIN_WITHDRAWN))
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
