"""The phase of the season, as the coach sets it for a group or an athlete."""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from typing import Any

import streamlit as st

from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.reads import Opened
from dashboard.screens.plan import words
from dashboard.wording.season import phase_name
from dashboard.writes import NotKept, enter
from schemas.vocabulary import PHASES

Row = dict[str, Any]
FIELDS = ("from_on", "until_on", "phase", "aim")
LATELY_DAYS = 182  # own choice


def phases_of(opened: Opened, athlete_ids: Sequence[str], monday: dt.date) -> dict[str, list[Row]]:
    """Return the phases of each athlete that count and have begun by the end of a week, the last of them last.

    Of who began one lately, only those of late are read: of many athletes, years of phases took longer than the page.
    """
    found: dict[str, list[Row]] = {who: [] for who in athlete_ids}
    if "season_phase" not in opened.board.tables:
        return found
    sunday = monday + dt.timedelta(days=6)
    lately = [sunday - dt.timedelta(days=n) for n in range(LATELY_DAYS)]
    for begun in (lately, ("<=", sunday)):
        left = [who for who, rows in found.items() if not rows]
        where = {"athlete_id": left, "from_on": begun}
        columns = ["athlete_id", *FIELDS, "is_dropped"]
        for row in opened.rows("season_phase", where, columns=columns, order_by=["from_on"]) if left else []:
            if row["phase"] and not row["is_dropped"]:
                found[row["athlete_id"]].append(row)
    return found


def phase_for_all(phases: Mapping[str, Sequence[Row]], monday: dt.date) -> Row | None:
    """Return the phase in which a week lies, where it is one and the same for everybody shown."""
    sunday = monday + dt.timedelta(days=6)
    running = []
    for rows in phases.values():
        begun = [row for row in rows if row["from_on"] <= sunday]
        last = begun[-1] if begun else None
        is_over = last is None or (last["until_on"] is not None and last["until_on"] < monday)
        running.append(None if is_over or last is None else {name: last[name] for name in FIELDS})
    return running[0] if running and all(one == running[0] for one in running) else None


def changed_phase(wanted: Row, now: Row | None, athlete_ids: Collection[str]) -> list[Row]:
    """Return the rows that set a phase for everybody shown; one whose first day was moved no longer counts."""
    rows = [{"athlete_id": who, **wanted, "is_dropped": False} for who in athlete_ids]
    if now is not None and now["from_on"] != wanted["from_on"]:
        rows += [{"athlete_id": who, "from_on": now["from_on"], "is_dropped": True} for who in athlete_ids]
    return rows


def keep_phase(viewer: Viewer, board: Board, rows: Sequence[Row]) -> int | None:
    """Keep a phase; return the load, to undo it.

    Raises:
        NotKept: Somebody is not among theirs, or its last day lies before its first.
    """
    allowed = set(board.allowed_athletes(viewer)["athlete_id"]) if viewer.is_coach else set()
    if not rows or not {row["athlete_id"] for row in rows} <= allowed:
        raise NotKept(words.PLAN_REFUSED)
    if any(row.get("until_on") and row["until_on"] < row["from_on"] for row in rows):
        raise NotKept(words.PHASE_ENDS_FIRST)
    load_no: int | None = enter(list(rows), "season_phase", viewer).load_no
    return load_no


def phase_asked(opened: Opened, athlete_ids: Sequence[str], monday: dt.date, count: int) -> list[Row]:
    """Ask for the phase of the week shown; return what is to be kept when the button is pressed."""
    now = phase_for_all(phases_of(opened, athlete_ids, monday), monday)
    told = now or {"from_on": monday, "until_on": None, "phase": None, "aim": None}
    key = f"{'_'.join(athlete_ids)}_{monday}_{count}"
    with st.container(horizontal=True, vertical_alignment="bottom"):
        phase = st.selectbox(
            words.PHASE,
            PHASES,
            index=PHASES.index(told["phase"]) if told["phase"] else None,
            format_func=phase_name,
            placeholder=words.NO_PHASE,
            help=words.PHASE_HELP,
            width=240,
            key=f"phase_{key}",
        )
        first = st.date_input(words.PHASE_FROM, told["from_on"], format="DD/MM/YYYY", width=140, key=f"from_{key}")
        last = st.date_input(words.PHASE_UNTIL, told["until_on"], format="DD/MM/YYYY", width=140, key=f"until_{key}")
        aim = st.text_input(words.PHASE_AIM, told["aim"] or "", max_chars=120, width=300, key=f"aim_{key}")
        wanted = {"from_on": first, "until_on": last, "phase": phase, "aim": aim or None}
        is_new = phase is not None and first is not None and wanted != told
        if st.button(words.KEEP_PHASE, key="keep_phase", disabled=not is_new):
            return changed_phase(wanted, now, athlete_ids)
    return []
