"""Data: load a file after seeing what would become of it, see what was set aside, undo loads, fetch templates."""

from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.viewer import Viewer, current_viewer
from dashboard.board import Board, NoBoard, home_folder
from dashboard.deciding import NotKept, load_upload, preview_upload, template_bytes, undo_load
from dashboard.parts import page
from dashboard.parts.figure import table
from dashboard.parts.marks import caution, empty, text

MOST_BYTES = 20 * 1024 * 1024
ENDINGS = ["csv", "tsv", "txt", "xlsx"]
MOST_REASONS = 200


def counts(outcome: Any) -> str:
    """Return what became, or would become, of the rows of a file."""
    kept = table(
        [{"what": label, "rows": getattr(outcome, name)} for name, label in wording.OUTCOMES],
        [("what", wording.ROWS_ARE, None), ("rows", wording.ROWS, wording.cell)],
    )
    filled = f"<p>{text(wording.fills(outcome.tables))}</p>" if outcome.tables else ""
    notes = "".join(f'<p class="soft">{text(n)}</p>' for n in outcome.notes)
    return filled + kept + notes


def reasons(rows: list[dict[str, Any]]) -> str:
    """Return the cells that keep rows out, each with its reason."""
    if not rows:
        return ""
    shown = table(
        rows[:MOST_REASONS],
        [
            ("sheet", wording.SHEET, None),
            ("line", wording.LINE, wording.cell),
            ("column", wording.COLUMN, None),
            ("value", wording.VALUE, None),
            ("reason", wording.REASON, None),
        ],
    )
    more = f'<p class="soft">{wording.more_rows(len(rows) - MOST_REASONS)}</p>' if len(rows) > MOST_REASONS else ""
    return f'<h3>{wording.SET_ASIDE}</h3><p class="soft">{wording.SET_ASIDE_LEDE}</p>{shown}{more}'


def upload(viewer: Viewer) -> None:
    """Take a file, say what would become of it, and load it when asked."""
    page.show(f'<h2 class="ruled">{wording.LOAD_FILE}</h2><p class="soft">{wording.LOAD_LEDE}</p>')
    given = st.file_uploader(wording.FILE, type=ENDINGS, key="given", label_visibility="collapsed")
    said = st.session_state.pop("loaded", None)
    if said:
        page.show(f'<p class="said {said[0]}" role="status">{text(said[1])}</p>{said[2]}')
    if given is None:
        return
    content = given.getvalue()
    if len(content) > MOST_BYTES:
        page.show(empty(wording.TOO_LARGE))
        return
    order = st.segmented_control(
        wording.DATE_ORDER,
        list(wording.DATE_ORDERS),
        default="file",
        key="order",
        format_func=lambda o: wording.DATE_ORDERS[o],
    )
    date_order = order if order in ("day", "month") else None
    try:
        outcome = preview_upload(given.name, content, date_order)
    except NotKept as wrong:
        page.show(f'<p class="said wrong">{text(wrong)}</p>')
        return
    if outcome.problem:
        page.show(f'<p class="said wrong">{text(outcome.problem)}</p>')
        return
    new = outcome.stored + outcome.replaced
    page.show(
        f"<h3>{text(given.name)}</h3><p>{text(wording.would_store(outcome))}</p>{counts(outcome)}"
        f"{reasons(outcome.reasons)}"
    )
    if st.button(wording.load_button(new), key="load", disabled=outcome.rows_read == 0):
        with st.spinner(wording.LOADING):
            try:
                done = load_upload(viewer, given.name, content, date_order)
                st.session_state["loaded"] = ("kept", wording.loaded(given.name, done), counts(done))
            except NotKept as wrong:
                st.session_state["loaded"] = ("wrong", str(wrong), "")
        del st.session_state["given"]
        st.rerun()


def waiting(viewer: Viewer, board: Board) -> None:
    """List the rows set aside, grouped by file and reason."""
    rows = board.rows(viewer, "rejected", order_by=["source_name", "source_line"])
    page.show(f'<h2 class="ruled">{wording.WAITING}</h2>')
    if not rows:
        page.show(empty(wording.NOTHING_WAITS))
        return
    page.show(f'<p class="soft">{wording.WAITING_LEDE}</p>')
    files: dict[str, dict[tuple[str, str], list[dict]]] = {}
    for row in rows:
        files.setdefault(row["source_name"], {}).setdefault((row["column"] or "", row["reason"] or ""), []).append(row)
    for name, groups in files.items():
        page.show(f"<h3>{text(name)}</h3>")
        for (column, reason), some in groups.items():
            box = st.expander(
                wording.waiting_group(column, reason, len(some)),
                key=f"wait_{name}_{column}_{reason}",
                on_change="rerun",
            )
            if box.open:
                with box:
                    page.show(
                        table(
                            some[:MOST_REASONS],
                            [
                                ("source_sheet", wording.SHEET, None),
                                ("source_line", wording.LINE, wording.cell),
                                ("value", wording.VALUE, None),
                                ("row_json", wording.AS_WRITTEN, None),
                            ],
                        )
                    )


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


def templates() -> None:
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
        for ending in ("csv", "xlsx"):
            content = template_bytes(name, ending)
            if content is not None:
                st.download_button(
                    f"{wording.DOWNLOAD} .{ending}", content, f"{name}.{ending}", key=f"t_{ending}", on_click="ignore"
                )


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
    left, right = st.columns([3, 2], gap="large")
    with left:
        upload(viewer)
    with right:
        templates()
    if board is not None:
        waiting(viewer, board)
        loads(viewer, board)
    page.show(caution())


draw()
