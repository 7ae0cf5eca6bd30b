"""The plan on a phone: the days of the week below each other, and one session at a time to write and keep."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from dashboard.parts import page
from dashboard.reads import Opened
from dashboard.screens.plan import grid as planning
from dashboard.screens.plan import words
from dashboard.screens.plan.grid import OFF, Slot, Weeks, alike
from dashboard.screens.plan.keeping import save
from schemas.labels import SESSION_KINDS

Row = dict[str, Any]
# The grid is for a wide window, one session at a time for a phone.
ONE_OF_TWO = (
    "@media (max-width: 760px) { .st-key-plan_grid { display: none !important; } }"
    "@media not all and (max-width: 760px) { .st-key-plan_by_day { display: none !important; } }"
)


def rows_typed(
    now: Weeks, draft: Weeks, athlete_ids: Sequence[str], slot: Slot, shown: Mapping[str, Any], typed: Row
) -> list[Row]:
    """Return the rows that one session typed would make new or change against what is saved.

    ``draft``: what is saved, with what is laid over it; a cell left as shown leaves each as the draft has them. A cell
    that is emptied erases nothing, as in the grid; a session of one athlete of which all cells are emptied is kept as a
    day off.
    """
    told = {name: value for name, value in typed.items() if value not in (None, "") and value != shown.get(name)}
    if not told and len(athlete_ids) == 1 and shown and all(value in (None, "") for value in typed.values()):
        told = dict(OFF)
    wanted = {who: {slot: draft.get(who, {}).get(slot, {}) | told} for who in athlete_ids}
    return planning.changed_rows(now, wanted)


def said_shortly(slot: Slot, told: Mapping[str, Any], off: Sequence[int]) -> str:
    """Name a session of the week in a line: Mon 23 Nov: acceleration, 65 min."""
    on, no = slot
    name = words.plan_day(on, no, is_off=on.isoweekday() in off)
    if told.get("planned_min") == 0:
        return f"{name}: {words.OFF}"
    kind = SESSION_KINDS.get(told.get("kind", ""), "")
    minutes = f"{told['planned_min']:g} min" if told.get("planned_min") is not None else ""
    return ": ".join(part for part in (name, ", ".join(part for part in (kind, minutes) if part)) if part)


def by_day(
    opened: Opened,
    now: Weeks,
    draft: Weeks,
    athlete_ids: list[str],
    slots: Sequence[Slot],
    off: Sequence[int],
    key: str,
) -> None:
    """Offer the sessions of the week one by one, each to be kept by itself."""
    page.use_house_style(ONE_OF_TWO)
    told = {slot: alike(draft, athlete_ids, slot) for slot in slots}
    slot = st.radio(
        words.ONE_SESSION, list(slots), format_func=lambda one: said_shortly(one, told[one], off), key=f"day_{key}"
    )
    shown = told[slot]
    kinds = list(SESSION_KINDS)
    columns = words.GRID_COLUMNS
    with st.form(f"session_{key}_{slot}"):
        typed: Row = {
            "kind": st.selectbox(
                columns["kind"],
                kinds,
                index=kinds.index(shown["kind"]) if shown.get("kind") in kinds else None,
                format_func=SESSION_KINDS.__getitem__,
                placeholder="",
            ),
            "note": st.text_area(columns["text"], shown.get("note", ""), help=words.TEXT_HELP, height=80),
        }
        with st.container(horizontal=True):
            typed["planned_min"] = _number(columns["minutes"], shown.get("planned_min"), 600.0, 5.0)
            typed["fast_metres"] = _number(columns["fast"], shown.get("fast_metres"), 5000.0, 10.0)
            typed["planned_effort_0_10"] = _number(columns["effort"], shown.get("planned_effort_0_10"), 10.0, 0.5)
        if st.form_submit_button(words.SAVE_SESSION):
            rows = rows_typed(now, draft, athlete_ids, slot, shown, typed)
            if rows:
                save(opened, rows)
            else:
                st.session_state["plan_said"] = ("wrong", words.PLAN_EMPTY)
            st.rerun()


def _number(label: str, value: float | None, most: float, step: float) -> float | None:
    return st.number_input(label, min_value=0.0, max_value=most, value=value, step=step, format="%g", width=104)
