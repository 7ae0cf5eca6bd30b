"""What is kept from the Plan page and said of it: a plan, a week to plan by, days always off; one undo for all."""

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import polars as pl
import streamlit as st

from dashboard import wording
from dashboard.reads import Opened
from dashboard.screens.plan import grid as planning
from dashboard.screens.plan import off_days, phases, templates, words
from dashboard.screens.plan.grid import Slot
from dashboard.writes import NotKept
from schemas.html import Markup, html
from schemas.spelling import slug

Row = dict[str, Any]


def _keep(keep: Callable[[], int | None], said: str, whose: str = "") -> bool:
    try:
        load_no = keep()
    except NotKept as wrong:
        st.session_state["plan_said"] = ("wrong", str(wrong))
        return False
    st.session_state["plan_said"] = ("kept", said)
    if load_no is not None:
        st.session_state.setdefault("plan_kept", []).append(load_no)
        st.session_state.setdefault("plan_whose", {})[load_no] = whose
    return True


def save(opened: Opened, rows: list[Row]) -> None:
    """Keep the rows of a plan and say so."""
    ids = sorted({r["athlete_id"] for r in rows})
    said = words.plan_kept(len(rows), len(ids))
    names = opened.rows("athlete", {"athlete_id": ids[0]}, columns=["display_name"]) if len(ids) == 1 else []
    whose = names[0]["display_name"] if names else words.of_athletes(len(ids))
    if _keep(lambda: planning.keep_plan(opened.viewer, opened.board, rows), said, whose):
        st.query_params.pop("copy", None)


def take_back(opened: Opened) -> None:
    """Undo what was kept last on this page in this sign-in."""
    try:
        planning.take_back(opened.viewer, st.session_state["plan_kept"][-1])
        st.session_state["plan_kept"].pop()
        st.session_state["plan_said"] = ("kept", words.PLAN_BACK)
    except NotKept as wrong:
        st.session_state["plan_said"] = ("wrong", str(wrong))


def spoken() -> Markup:
    """Return what is to be said of the last save, once."""
    said = st.session_state.pop("plan_said", None)
    return html('<p class="said {}" role="status">{}</p>', said[0], said[1]) if said else html("")


def template_box(
    opened: Opened, saved: Mapping[str, list[Row]], grid: pl.DataFrame, slots: Sequence[Slot], monday: dt.date
) -> None:
    """Offer to save the week in the grid under a name, to plan other weeks by."""
    with st.container(horizontal=True, vertical_alignment="bottom"):
        name = st.text_input(words.TEMPLATE_NAME, key="template_name", max_chars=40, width=260)
        if st.button(words.SAVE_TEMPLATE, key="save_template"):
            key = slug(name, "_")
            if not key:
                st.session_state["plan_said"] = ("wrong", words.TEMPLATE_UNNAMED)
            else:
                rows = templates.rows_to_save(key, grid, slots, monday, saved.get(key, []))
                _keep(lambda: templates.keep_template(opened.viewer, rows), words.template_kept(key))
            st.rerun()


def off_box(opened: Opened, athlete_ids: Sequence[str], monday: dt.date) -> None:
    """Offer which days of the week are always off for those shown, from this week on."""
    off = off_days.off_days(opened, athlete_ids, monday)
    now = off_days.off_for_all(off)
    count = len(st.session_state.get("plan_kept", []))
    with st.container(horizontal=True, vertical_alignment="bottom"):
        wanted = st.multiselect(
            words.ALWAYS_OFF,
            list(range(1, 8)),
            default=now,
            format_func=lambda day: wording.WEEKDAY_NAMES[day - 1],
            placeholder=words.NO_DAY_OFF,
            help=words.ALWAYS_OFF_HELP,
            width=420,
            key=f"off_{'_'.join(athlete_ids)}_{monday}_{count}",
        )
        if st.button(words.KEEP_OFF, key="keep_off", disabled=sorted(wanted) == now):
            rows = off_days.changed_off(off, wanted, monday)
            _keep(lambda: off_days.keep_off(opened.viewer, opened.board, rows), words.off_kept(wanted, len(off)))
            st.rerun()


def phase_box(opened: Opened, athlete_ids: Sequence[str], monday: dt.date) -> None:
    """Offer the phase of the season for those shown."""
    rows = phases.phase_asked(opened, athlete_ids, monday, len(st.session_state.get("plan_kept", [])))
    if rows:
        said = words.phase_kept(rows[0]["phase"], len(athlete_ids))
        _keep(lambda: phases.keep_phase(opened.viewer, opened.board, rows), said)
        st.rerun()
