"""Rows set aside: by file and reason, mended in place; and what was mended."""

import json
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.parts import page
from dashboard.parts.figure import table
from dashboard.parts.marks import empty
from dashboard.screens.data import words
from dashboard.screens.data.writes import mend_rows, settle_conflict
from dashboard.writes import NotKept
from schemas.html import html

MOST_ROWS = 100
CONFLICT = "with different values of"  # what the reason of every conflict says
PLACE = ("source_name", "source_sheet", "source_line")
Row = dict[str, Any]


def _cells(row: Row) -> dict[str, str]:
    try:
        told = json.loads(row["row_json"] or "{}")
    except ValueError:
        return {}
    return {name: cell or "" for name, cell in told.items()} if isinstance(told, dict) else {}


def _needs_nothing(row: Row) -> bool:
    from pipelines import flow

    return flow.needs_nothing(row["reason"] or "")


def mend_group(viewer: Viewer, board: Board, key: str, column: str, rows: list[Row]) -> None:
    """Show the rows of one reason as they were written, each cell open to be changed."""
    import polars as pl

    shown = rows[:MOST_ROWS]
    written = [_cells(row) for row in shown]
    names = list(dict.fromkeys(name for cells in written for name in cells))
    names.sort(key=lambda name: name != column)  # the cell in question stands first
    if not names:
        page.show(table(shown, [("source_line", wording.LINE, wording.cell), ("value", wording.VALUE, None)]))
        return
    if CONFLICT in (rows[0]["reason"] or ""):
        settle_group(viewer, board, key, shown)
    frame = pl.DataFrame(
        {"_line": [row["source_line"] for row in shown], **{n: [cells.get(n, "") for cells in written] for n in names}}
    )
    edited = st.data_editor(
        frame,
        key=f"mend_{key}",
        hide_index=True,
        disabled=["_line"],
        column_config={"_line": st.column_config.NumberColumn(wording.LINE, width="small")},
    )
    fixes: dict[int, dict[str, str]] = {}
    for row, before, after in zip(shown, written, edited.to_dicts(), strict=True):
        changed = {n: str(after[n] or "") for n in names if str(after[n] or "") != before.get(n, "")}
        if changed:
            fixes[row["reject_no"]] = changed
    with st.container(horizontal=True, vertical_alignment="center"):
        pressed = st.button(words.STORE_MENDED, key=f"store_{key}", disabled=not fixes)
        page.show(html('<span class="soft">{}</span>', words.MEND_HELP if not fixes else ""))
    if pressed:
        with st.spinner(wording.LOADING):
            try:
                loads, wrong = mend_rows(viewer, board, fixes)
                st.session_state["loaded"] = ("wrong" if wrong else "kept", words.mended(len(loads), wrong), "")
            except NotKept as trouble:
                st.session_state["loaded"] = ("wrong", str(trouble), "")
        st.rerun()


def settle_group(viewer: Viewer, board: Board, key: str, rows: list[Row]) -> None:
    """Offer to settle a conflict in one press: a line for each side, and both or none."""
    page.show(html('<p class="soft">{}</p>', words.CONFLICT_LEDE))
    presses = [
        (row["reject_no"], "keep", f"{words.KEEP_THIS}: {row['value']} (line {row['source_line']})") for row in rows
    ]
    presses += [(rows[-1]["reject_no"], "both", words.KEEP_BOTH), (rows[0]["reject_no"], "dismiss", words.DISMISS)]
    with st.container(horizontal=True):
        for number, how, label in presses:
            if st.button(label, key=f"settle_{key}_{number}_{how}"):
                try:
                    settle_conflict(viewer, board, number, how)
                    st.session_state["loaded"] = ("kept", words.SETTLED, "")
                except NotKept as trouble:
                    st.session_state["loaded"] = ("wrong", str(trouble), "")
                st.rerun()


def draw(viewer: Viewer, board: Board) -> None:
    """List the rows set aside, grouped by file and reason, and those mended by hand."""
    rows = board.rows(viewer, "rejected", order_by=["source_name", "source_line"])
    page.show(html('<h2 class="ruled">{}</h2>', wording.WAITING))
    loud = [row for row in rows if not _needs_nothing(row)]
    quiet = [row for row in rows if _needs_nothing(row)]
    if not loud:
        page.show(empty(wording.NOTHING_WAITS))
    else:
        page.show(html('<p class="soft">{} {}</p>', wording.WAITING_LEDE, words.MEND_LEDE))
    files: dict[str, dict[tuple[str, str], list[Row]]] = {}
    for row in loud:
        files.setdefault(row["source_name"], {}).setdefault((row["column"] or "", row["reason"] or ""), []).append(row)
    first = st.session_state.get("aside_first", ())
    for name, groups in sorted(files.items(), key=lambda one: one[0] not in first):
        asks = html('<p class="soft">{}</p>', words.ASKED_HERE) if name in first else ""
        page.show(html("<h3>{}</h3>{}", name, asks))
        for (column, reason), some in groups.items():
            key = f"{name}_{column}_{reason}"
            box = st.expander(
                wording.waiting_group(column, reason, len(some)),
                expanded=name in first,
                key=f"wait_{key}",
                on_change="rerun",
            )
            if box.open:
                with box:
                    mend_group(viewer, board, key, column, some)
    if quiet:
        box = st.expander(f"{words.QUIET_ROWS} ({len(quiet)})", key="wait_quiet", on_change="rerun")
        if box.open:
            with box:
                page.show(html('<p class="soft">{}</p>', words.QUIET_LEDE) + table(quiet[:MOST_ROWS], [
                    ("source_name", words.MENDED_COLUMNS[0][1], None), ("source_line", wording.LINE, wording.cell),
                    ("value", wording.VALUE, None), ("reason", wording.REASON, None)]))  # fmt: skip
    marks = board.rows(viewer, "marked", order_by=["-load_no", "source_line"], limit=MOST_ROWS)
    if marks:
        shown = table(marks, [(name, label, None) for name, label in words.MARKED_COLUMNS])
        page.show(html('<h2 class="ruled">{}</h2><p class="soft">{}</p>{}', words.MARKED, words.MARKED_LEDE, shown))
    fixed = board.rows(viewer, "mended", order_by=["-load_no"], limit=MOST_ROWS)
    if fixed:
        shown = table(fixed, [(name, label, wording.cell if name == "loaded_at" else None)
                              for name, label in words.MENDED_COLUMNS])  # fmt: skip
        page.show(html('<h2 class="ruled">{}</h2><p class="soft">{}</p>{}', words.MENDED, words.MENDED_LEDE, shown))
