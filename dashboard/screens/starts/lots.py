"""Lots for a trial of two ways: drawn, shown, printed, taken back."""

from typing import Any

import streamlit as st

from dashboard.access.viewer import Viewer
from dashboard.home import todays_date
from dashboard.parts import page
from dashboard.parts.figure import table
from dashboard.reads import Opened
from dashboard.screens.starts import words
from dashboard.writes import NotKept, enter, in_words, publish_soon, undo_load
from schemas.html import html

Row = dict[str, Any]
SAID, KEPT = "lots_said", "lots_kept"
SESSIONS, RUNS = (2, 4, 40), (2, 6, 20)  # least, offered first, most
# On paper the lots alone, when they are asked for: to hang beside the track.
ONLY_THE_LOTS = (
    "@media print { [data-testid='stVerticalBlock']:has(> * .st-key-lots, > .st-key-lots) "
    "> *:not(:has(.st-key-lots)):not(.st-key-lots) { display: none !important; } }"
)


def keep_lots(viewer: Viewer, rows: list[Row], athlete_id: str, tried: str, sessions: int, runs: int) -> int | None:
    """Draw lots for a trial and keep them; return the load, to take them back.

    Raises:
        NotKept: The trial has no name or has lots already, or so few runs that chance could never be ruled out.
    """
    from pipelines import flow

    tried = " ".join(tried.split())
    if not viewer.is_coach:
        raise NotKept(words.LOTS_REFUSED)
    if not tried:
        raise NotKept(words.LOTS_NO_NAME)
    if any(row["tried"].casefold() == tried.casefold() for row in rows):
        raise NotKept(words.LOTS_THERE.format(tried))
    with in_words():
        lots = flow.draw_lots(sessions, runs)
    said = {"athlete_id": athlete_id, "tried": tried, "drawn_by": viewer.name, "drawn_on": todays_date()}
    load_no: int | None = enter([{**said, **one} for one in lots], "trial_lot", viewer).load_no
    return load_no


def take_back(viewer: Viewer, load_no: int) -> None:
    """Undo lots that this sign-in has had drawn."""
    undo_load(viewer, load_no, publish=False)
    publish_soon()


def lots(opened: Opened, athlete_id: str, name: str) -> None:
    """Show the lots of an athlete's trials, and offer to draw some."""
    from pipelines import flow

    rows = opened.rows("trial_lot", {"athlete_id": athlete_id}, order_by=["tried", "trial_session", "trial_run"])
    kept: list[tuple[str, int]] = st.session_state.setdefault(KEPT, [])
    said = st.session_state.pop(SAID, None)
    if said:
        page.show(html('<p class="said {}" role="status">{}</p>', *said))
    if rows:
        if st.toggle(words.LOTS_ALONE, key="lots_alone"):
            page.use_house_style(ONLY_THE_LOTS)
        with st.container(key="lots"):
            for tried in dict.fromkeys(row["tried"] for row in rows):
                some = [row for row in rows if row["tried"] == tried]
                sheet = table(flow.lots_as_sheet(some), [(k, label, None) for k, label in words.LOT_COLUMNS])
                head = words.lots_title(name, tried)
                page.show(html('<h3>{}</h3>{}<p class="soft">{}</p>', head, sheet, words.lots_line(some[0])))
    with st.expander(words.LOTS_DRAW, key="draw_lots"):
        page.show(html('<p class="soft">{}</p>', words.LOTS_LEDE))
        tried = st.text_input(words.LOTS_NAME, key=f"lots_name_{athlete_id}", max_chars=80, placeholder=words.LOTS_LIKE)
        left, right = st.columns(2)
        sessions = left.number_input(words.LOTS_SESSIONS, SESSIONS[0], SESSIONS[2], SESSIONS[1], key="lots_sessions")
        runs = right.number_input(words.LOTS_RUNS, RUNS[0], RUNS[2], RUNS[1], step=2, key="lots_runs")
        if st.button(words.LOTS_BUTTON, key="keep_lots", disabled=not tried.strip()):
            try:
                load_no = keep_lots(opened.viewer, rows, athlete_id, tried, int(sessions), int(runs))
                if load_no is not None:
                    kept.append((athlete_id, load_no))
                st.session_state[SAID] = ("kept", words.LOTS_KEPT.format(tried.strip()))
            except NotKept as wrong:
                st.session_state[SAID] = ("wrong", str(wrong))
            st.rerun()
    last = kept[-1] if kept and kept[-1][0] == athlete_id else None
    if last and st.button(words.LOTS_UNDO, key="undo_lots"):
        try:
            take_back(opened.viewer, last[1])
            kept.pop()
            st.session_state[SAID] = ("kept", words.LOTS_BACK)
        except NotKept as wrong:
            st.session_state[SAID] = ("wrong", str(wrong))
        st.rerun()
    if rows:
        page.show(html('<p class="soft">{}</p>', words.LOTS_SAFE))
