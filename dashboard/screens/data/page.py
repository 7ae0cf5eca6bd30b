"""Data: load files after seeing what would become of them, mend what was set aside, type in, undo, fetch templates."""

import datetime as dt
from functools import partial

import streamlit as st

from dashboard import wording
from dashboard.access.current import current_viewer
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.downloads import offer
from dashboard.home import NoBoard, home_folder
from dashboard.parts import page
from dashboard.parts.figure import table
from dashboard.parts.marks import caution, empty, text
from dashboard.screens.data import load as data_load
from dashboard.screens.data import type_in as data_enter
from dashboard.screens.data import waiting as data_waiting
from dashboard.screens.data import words
from dashboard.screens.data.writes import answers_kept, forget_answer, machine_now
from dashboard.writes import NotKept, template_bytes, undo_load


def loads(viewer: Viewer, board: Board) -> None:
    """List the loads, newest first, each with its undo."""
    page.show(f'<h2 class="ruled">{wording.LOADS}</h2>')
    rows = board.rows(viewer, "load", order_by=["-load_no"], limit=60)
    if not rows:
        page.show(empty(wording.NO_LOADS))
        return
    undoable = [r["load_no"] for r in rows if r["state"] == "done"]
    page.show(table(rows[:25], [(k, label, wording.cell) for k, label in wording.LOAD_COLUMNS]))
    with st.container(horizontal=True, vertical_alignment="bottom"):
        names = {r["load_no"]: f"{r['load_no']} · {r['source_name']}" for r in rows}
        chosen = st.selectbox(
            wording.UNDO_LOAD,
            undoable,
            index=None,
            format_func=lambda n: names[n],
            width=360,
            placeholder=wording.CHOOSE_LOAD,
        )
        if st.button(wording.UNDO_BUTTON, disabled=chosen is None) and chosen is not None:
            try:
                undo_load(viewer, chosen)
                st.session_state["loaded"] = ("kept", wording.undone(names[chosen]), "")
            except NotKept as wrong:
                st.session_state["loaded"] = ("wrong", str(wrong), "")
            st.rerun()


def templates(viewer: Viewer) -> None:
    """Offer an empty file for each record table."""
    page.show(f'<h2 class="ruled">{wording.TEMPLATES}</h2><p class="soft">{wording.TEMPLATES_LEDE}</p>')
    with st.container(horizontal=True, vertical_alignment="bottom"):
        name = st.selectbox(
            wording.TEMPLATE_FOR,
            list(wording.RECORD_TITLES),
            format_func=lambda n: wording.RECORD_TITLES[n],
            width=210,
            key="template",
        )
        links = "".join(
            f'<a href="/{text(offer(viewer, f"{name}.{ending}", partial(bytes, content)))}" download class="btn">'
            f"{wording.DOWNLOAD} .{ending}</a> "
            for ending in ("csv", "xlsx")
            if (content := template_bytes(name, ending)) is not None
        )
        page.show(f"<p>{links}</p>")


def answers(viewer: Viewer) -> None:
    """List what was asked of layouts and answered; each answer can be taken away."""
    page.show(f'<h2 class="ruled">{words.ANSWERS}</h2>')
    kept = [{**row, "asked": words.asked(row)} for row in answers_kept(viewer)]
    if not kept:
        page.show(empty(words.NO_ANSWERS))
        return
    shown = table(kept, [(name, label, None) for name, label in words.ANSWER_COLUMNS])
    page.show(f'<p class="soft">{words.ANSWERS_LEDE}</p>{shown}')
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox(
            words.ANSWERS, range(len(kept)), index=None, key="answer", width=420, placeholder=words.NO_ANSWER,
            format_func=lambda n: f"{kept[n]['asked']}: {kept[n]['answer']}",
        )  # fmt: skip
        if st.button(words.FORGET, disabled=chosen is None) and chosen is not None:
            row = kept[chosen]
            try:
                forget_answer(viewer, row["layout"], row["ask"], row["about"])
                st.session_state["loaded"] = ("kept", words.FORGOTTEN, "")
            except NotKept as wrong:
                st.session_state["loaded"] = ("wrong", str(wrong), "")
            st.rerun()


def machine(viewer: Viewer, board: Board | None) -> None:
    """Say how old the figures are and how the machine does."""
    told = board.info(viewer).get("built_at") if board else None
    built_at = dt.datetime.fromisoformat(told) if told else None
    state = machine_now()
    if state.has_little_room:
        page.show(f'<p class="said wrong" role="alert">{text(words.LITTLE_ROOM)}</p>')
    page.show(f'<p class="soft">{text(words.machine(built_at, dt.datetime.now(), state))}</p>')


def draw() -> None:
    """Draw the page."""
    viewer = current_viewer()
    if viewer is None or not viewer.is_coach:
        page.show(f'<h1>{wording.DATA}</h1><p class="lede">{wording.NO_ACCESS}</p>')
        return
    page.show(f'<h1>{wording.DATA}</h1><p class="lede">{wording.DATA_LEDE}</p>')
    board = None
    try:
        home_folder()
        board = Board(home_folder())
    except NoBoard:
        page.show(empty(wording.NO_BOARD, wording.FIRST_STEPS))
    view = st.segmented_control(
        words.VIEW, list(words.VIEWS), default="load", key="view", format_func=words.VIEWS.__getitem__,
        label_visibility="collapsed", required=True,
    )  # fmt: skip
    said = st.session_state.pop("loaded", None)
    if said:
        page.show(f'<p class="said {said[0]}" role="status">{text(said[1])}</p>{said[2]}')
    data_enter.confirm(viewer)
    if view == "load":
        data_load.draw(viewer, board)
    elif view == "templates":
        templates(viewer)
    elif view == "answers":
        answers(viewer)
    elif board is None:
        page.show(empty(wording.NO_LOADS))
    elif view == "aside":
        data_waiting.draw(viewer, board)
    elif view == "enter":
        data_enter.draw(viewer, board)
    else:
        loads(viewer, board)
    machine(viewer, board)
    page.show(caution())


draw()
