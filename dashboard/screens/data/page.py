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
from dashboard.parts.marks import caution, empty
from dashboard.screens.data import load as data_load
from dashboard.screens.data import type_in as data_enter
from dashboard.screens.data import waiting as data_waiting
from dashboard.screens.data import words
from dashboard.screens.data.writes import answers_kept, forget_answer, machine_now
from dashboard.writes import NotKept, template_bytes, undo_load
from schemas.html import html, join_html


def loads(viewer: Viewer, board: Board) -> None:
    """List the loads, newest first, each with its undo."""
    page.show(html('<h2 class="ruled">{}</h2>', wording.LOADS))
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
    page.show(html('<h2 class="ruled">{}</h2><p class="soft">{}</p>', wording.TEMPLATES, wording.TEMPLATES_LEDE))
    with st.container(horizontal=True, vertical_alignment="bottom"):
        name = st.selectbox(
            wording.TEMPLATE_FOR,
            list(wording.RECORD_TITLES),
            format_func=lambda n: wording.RECORD_TITLES[n],
            width=210,
            key="template",
        )
        links = join_html(
            html(
                '<a href="/{}" download class="btn">{} .{}</a> ',
                offer(viewer, f"{name}.{ending}", partial(bytes, content)),
                wording.DOWNLOAD,
                ending,
            )
            for ending in ("csv", "xlsx")
            if (content := template_bytes(name, ending)) is not None
        )
        page.show(html("<p>{}</p>", links))


def answers(viewer: Viewer) -> None:
    """List what was asked of layouts and answered; each answer can be taken away."""
    page.show(html('<h2 class="ruled">{}</h2>', words.ANSWERS))
    kept = [{**row, "asked": words.asked(row)} for row in answers_kept(viewer)]
    if not kept:
        page.show(empty(words.NO_ANSWERS))
        return
    shown = table(kept, [(name, label, None) for name, label in words.ANSWER_COLUMNS])
    page.show(html('<p class="soft">{}</p>{}', words.ANSWERS_LEDE, shown))
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
        page.show(html('<p class="said wrong" role="alert">{}</p>', words.LITTLE_ROOM))
    with st.expander(words.FOR_THE_MACHINE):
        page.show(html('<p class="soft">{}</p>', words.machine(built_at, dt.datetime.now(), state)))


def draw() -> None:
    """Draw the page."""
    viewer = current_viewer()
    if viewer is None or not viewer.is_coach:
        page.show(html('<h1>{}</h1><p class="lede">{}</p>', wording.DATA, wording.NO_ACCESS))
        return
    page.show(html('<h1>{}</h1><p class="lede">{}</p>', wording.DATA, wording.DATA_LEDE))
    board = None
    try:
        home_folder()
        board = Board(home_folder())
    except NoBoard:
        page.show(empty(wording.NO_BOARD, wording.FIRST_STEPS))
    view = st.segmented_control(
        words.VIEW, list(words.VIEWS), key="view", format_func=words.VIEWS.__getitem__,
        default=None if "view" in st.session_state else "load",  # another page may have said which
        label_visibility="collapsed", required=True,
    )  # fmt: skip
    said = st.session_state.pop("loaded", None)
    if said:
        page.show(html('<p class="said {}" role="status">{}</p>{}', said[0], said[1], said[2]))
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
