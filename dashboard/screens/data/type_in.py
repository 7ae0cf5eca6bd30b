"""Type in: a grid for each record table, checked as it is typed, stored as a source, taken back with one press."""

import re
from typing import Any

import polars as pl
import streamlit as st

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import todays_date
from dashboard.parts import page
from dashboard.parts.marks import empty
from dashboard.screens.data import words
from dashboard.screens.data.load import first_rows, reasons
from dashboard.screens.data.writes import check_typed, columns_of, frame_error_s, keep_typed
from dashboard.writes import NotKept, undo_load
from schemas.html import html, join_html

EMPTY_ROWS = 5
USUAL_GATES = "10, 20, 30"
USUAL_RATE = 240.0  # pictures a second, a common phone camera; common practice, no source
NUMBERS_OF_KEY = ("session_no", "rep_no", "step_no", "set_no", "trial_no", "plan_no", "rung_no")
HIDDEN = {"rep": ("distance_m",), "step": ("contact_s", "flight_s")}  # typed another way in this grid
# Numbers stay text until they are checked: a grid of numbers reads '1,74' as 174.
STORED_AS = {"day": pl.Date}
Row = dict[str, Any]


def gates_of(said: str) -> list[str]:
    """Return the headers of gates from their distances, rising, each once."""
    found = {float(one.replace(",", ".")) for one in re.findall(r"\d+(?:\.\d+)?", said)}
    return [f"{gate:g} m" for gate in sorted(found) if 0 < gate <= 400]


def _column(told: Row, names: list[str]) -> Any:
    label = told["label"] + (f" ({told['unit']})" if told["unit"] else "") + (" *" if told["must"] else "")
    config = st.column_config
    if told["name"] == "athlete_id":
        return config.SelectboxColumn(label, options=names, help=told["help"], pinned=True)
    if told["words"]:  # typed or pasted in any of its spellings; a list to choose from would drop or swap other words
        return config.TextColumn(label, help=f"{told['help']} {words.one_of(told['words'])}")
    if told["kind"] == "day":
        return config.DateColumn(label, format="YYYY-MM-DD", help=told["help"])
    if told["kind"] == "yes_no":
        return config.SelectboxColumn(label, options=["yes", "no"], help=told["help"])
    return config.TextColumn(label, help=told["help"])


def _controls(name: str, people: dict[str, str]) -> tuple[Row, list[str], float | None]:
    """Ask for what all rows share; return it, the gates and the frame rate."""
    gates: list[str] = []
    rate = None
    with st.container(horizontal=True, vertical_alignment="bottom"):
        who = st.selectbox(words.FOR, list(people), index=None, key="type_who", width=220, placeholder="–")
        day = st.date_input(words.DAY, todays_date(), key="type_day", format="YYYY-MM-DD", width=150)
        if name == "rep":
            said = st.text_input(words.GATES, USUAL_GATES, key="type_gates", help=words.GATES_HELP, width=200)
            gates = gates_of(said)
        if name == "step":
            rate = st.number_input(words.FRAME_RATE, 24.0, 2000.0, USUAL_RATE, key="type_rate", width=160)
    return {"athlete_id": who, "day": day}, gates, rate


def _start(columns: list[Row], shared: Row, gates: list[str], rate: float | None, name: str) -> pl.DataFrame:
    """Return the empty grid: athlete, day and running numbers filled in."""
    data: dict[str, pl.Series] = {}
    for told in columns:
        kind = STORED_AS.get(told["kind"], pl.String)
        value: list[Any] = [None] * EMPTY_ROWS
        if told["name"] == "athlete_id":
            value = [shared["athlete_id"]] * EMPTY_ROWS
        elif told["kind"] == "day" and told["must"]:
            value = [shared["day"]] * EMPTY_ROWS
        elif told["name"] == "session_no":
            value = ["1"] * EMPTY_ROWS
        elif told["name"] == "frame_rate_hz":
            value = [None if rate is None else f"{rate:g}"] * EMPTY_ROWS
        elif told["name"] in ("rep_no", "step_no", "set_no", "trial_no") and told["must"]:
            counted = told["name"] != "rep_no" or name in ("rep", "start_trial")
            value = [str(no) if counted else "1" for no in range(1, EMPTY_ROWS + 1)]
        data[told["name"]] = pl.Series(told["name"], value, dtype=kind)
    for gate in gates:
        data[gate] = pl.Series(gate, [None] * EMPTY_ROWS, dtype=pl.String)
    return pl.DataFrame(data)


def typed_rows(frame: pl.DataFrame, columns: list[Row], people: dict[str, str]) -> list[Row]:
    """Return the rows in which something stands beyond what was filled in, athletes by their key."""
    filled_in = {told["name"] for told in columns if told["must"]} | {"frame_rate_hz"}
    chosen = {t["name"] for t in columns if t["must"] and t["kind"] == "text" and t["name"] != "athlete_id"}
    rows = []
    for row in frame.to_dicts():
        said = {name: value for name, value in row.items() if value not in (None, "")}
        if any(name not in filled_in or name in chosen for name in said):
            rows.append({**said, "athlete_id": people.get(said.get("athlete_id", ""), "")})
    return rows


def what_lacks(rows: list[Row], columns: list[Row]) -> str:
    """Say which cell of a key was emptied, '' where none was: no number is put in its place in silence."""
    for place, row in enumerate(rows, 1):
        for told in columns:
            if told["must"] and told["name"] in NUMBERS_OF_KEY and row.get(told["name"]) in (None, ""):
                return words.lacks(place, told["label"])
    return ""


def draw(viewer: Viewer, board: Board) -> None:
    """Draw the grid of one table."""
    page.show(html('<h2 class="ruled">{}</h2><p class="soft">{}</p>', words.TYPE_IN, words.TYPE_LEDE))
    athletes = board.allowed_athletes(viewer)
    if athletes.is_empty():
        page.show(empty(words.NO_ATHLETE))
        return
    named = athletes["display_name"].is_duplicated()
    people = {
        f"{name} ({who})" if twice else name: who
        for who, name, twice in zip(athletes["athlete_id"], athletes["display_name"], named, strict=True)
    }
    name = st.selectbox(words.WHAT, words.tables_for(viewer.writer), format_func=words.ENTER_TABLES.__getitem__,
                        key="type_table", width=260)  # fmt: skip
    if name in words.HEALTH:
        page.show(html('<p class="soft">{}</p>', words.HEALTH[name]))
    shared, gates, rate = _controls(name, people)
    columns = [
        told for told in columns_of(name) if told["name"] not in HIDDEN.get(name, ()) and told["kind"] != "moment"
    ]
    turn = st.session_state.setdefault("type_turn", 0)
    key = f"type_{turn}_{name}_{shared['athlete_id']}_{shared['day']}_{'_'.join(gates)}_{rate}"
    config = {told["name"]: _column(told, list(people)) for told in columns}
    config |= {gate: st.column_config.TextColumn(f"{gate} (s)") for gate in gates}
    first = [told["name"] for told in columns if told["must"]]
    edited = st.data_editor(
        _start(columns, shared, gates, rate, name),
        key=key,
        # The times stand beside the run: that is where they are typed or pasted.
        column_order=[*first, *gates, *(told["name"] for told in columns if told["name"] not in first)],
        num_rows="dynamic",
        hide_index=True,
        placeholder="",
        column_config=config,
    )
    if rate:
        page.show(html('<p class="soft">{}</p>', words.frame_error(rate, frame_error_s(rate))))
    rows = typed_rows(edited, columns, people)
    if not rows:
        page.show(html('<p class="soft">{}</p>', words.NOTHING_TYPED))
        return
    lacking = what_lacks(rows, columns)
    if lacking:
        page.show(html('<p class="said wrong">{}</p>', lacking))
        return
    try:
        tried = check_typed(viewer, board, name, rows)
    except NotKept as wrong:
        page.show(html('<p class="said wrong">{}</p>', wrong))
        return
    notes = join_html(html('<p class="soft">{}</p>', note) for note in tried.notes)
    page.show(html("<p>{}</p>{}{}", words.would_keep(tried), notes, reasons(tried.reasons)))
    if st.button(words.save_button(tried.kept), key="type_save", disabled=bool(tried.reasons)):
        try:
            done = keep_typed(viewer, board, name, rows)
            st.session_state["typed"] = (" ".join([words.typed(done.rows_read, name), *done.notes]), done.load_no)
            st.session_state["type_turn"] = turn + 1  # a fresh grid
        except NotKept as wrong:
            st.session_state["loaded"] = ("wrong", str(wrong), "")
        st.rerun()
    first_rows(tried)


def confirm(viewer: Viewer) -> None:
    """Say what was stored, and offer to take it back."""
    said = st.session_state.get("typed")
    if not said:
        return
    with st.container(horizontal=True, vertical_alignment="center"):
        page.show(html('<p class="said kept" role="status">{}</p>', said[0]))
        if said[1] is not None and st.button(words.SAVE_UNDO, key="type_undo"):
            try:
                undo_load(viewer, said[1])
                st.session_state["loaded"] = ("kept", wording.undone(str(said[1])), "")
            except NotKept as wrong:
                st.session_state["loaded"] = ("wrong", str(wrong), "")
            del st.session_state["typed"]
            st.rerun()
