"""Drills: the squad's own library by what each is for; written down, proposed, used and put away."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.drills import drill_text
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import finding
from dashboard.parts.marks import caution, empty, lede
from dashboard.reads import Opened
from dashboard.screens.library import words
from dashboard.screens.library.writes import TEXTS, drill_row, keep_drills, take_back, use_drill
from dashboard.writes import NotKept
from schemas.html import Markup, html, join_html

Row = dict[str, Any]


def _do(keep: Callable[[], int | None], said: str) -> None:
    try:
        load_no = keep()
    except NotKept as wrong:
        st.session_state["drill_said"] = ("wrong", str(wrong))
        return
    st.session_state["drill_said"] = ("kept", said)
    st.session_state.pop("drill_edited", None)
    if load_no is not None:
        st.session_state.setdefault("drills_kept", []).append(load_no)


def _undo(opened: Opened) -> None:
    try:
        take_back(opened.viewer, st.session_state["drills_kept"][-1])
        st.session_state["drills_kept"].pop()
        st.session_state["drill_said"] = ("kept", words.TAKEN_BACK)
    except NotKept as wrong:
        st.session_state["drill_said"] = ("wrong", str(wrong))


def act_for(opened: Opened, rows: list[Row]) -> Callable[[Row], None]:
    """Return what a press on the list does: use, put away, edit, undo."""

    def act(said: Row) -> None:
        named = [row for row in rows if (row["drill"], row["limit"]) == (said.get("drill"), said.get("limit"))]
        what = said.get("act")
        if what in ("use", "away"):
            used = what == "use"
            done = words.said_of(str(said.get("drill", "")), used=used)
            _do(lambda: use_drill(opened.viewer, named, used=used), done)
        elif what == "edit" and named:
            st.session_state["drill_edited"] = (named[0]["drill"], named[0]["limit"])
        elif what == "undo" and st.session_state.get("drills_kept"):
            _undo(opened)

    return act


def card(row: Row, viewer_role: str, name: str) -> Markup:
    """Return a drill with what may be done with it."""
    keys = []
    if viewer_role == "head_coach" or (row["is_used"] is None and row["proposed_by"] == name):
        keys.append(("edit", words.EDIT))
    if viewer_role == "head_coach":
        again = words.USE if row["is_used"] is None else words.USE_AGAIN
        keys.append(("away", words.PUT_AWAY) if row["is_used"] else ("use", again))
    pressed = join_html(
        (
            html(
                '<button class="plain" data-act="{}" data-drill="{}" data-limit="{}" aria-label="{}">{}</button>',
                act,
                row["drill"],
                row["limit"],
                f"{label}: {wording.drill_title(row['drill'])}",
                label,
            )
            for act, label in keys
        ),
        " ",
    )
    told = html('<p class="soft">{}</p>', words.told_by([row["proposed_by"] or "?"])) if row["is_used"] is None else ""
    text = drill_text(row, to_athlete=False, in_list=True)
    return html('<div class="drill" data-opens>{}{}<p class="rest">{}</p></div>', text, told, pressed)


def listed(rows: list[Row], role: str, name: str) -> Markup:
    """Return the library: those in use by what they are for, then what is proposed, then what is put away."""
    shelves = [
        (wording.sentence_case(words.FOR.format(said)), [r for r in rows if r["limit"] == limit and r["is_used"]])
        for limit, said in wording.LIMIT_WORDS.items()
    ]
    shelves += [
        (title, [row for row in rows if row["is_used"] is state])
        for title, state in ((words.PROPOSED_TITLE, None), (words.AWAY_TITLE, False))
    ]
    drawn = join_html(
        html('<h2>{}</h2><div class="drill-list">{}</div>', title, join_html(card(row, role, name) for row in some))
        for title, some in shelves
        if some
    )
    return drawn or empty(words.EMPTY)


def form(opened: Opened, rows: list[Row]) -> None:
    """Offer to write a drill down, or to change the one chosen."""
    key = st.session_state.get("drill_edited")
    before = next((row for row in rows if (row["drill"], row["limit"]) == key), None)
    head = opened.viewer.role == "head_coach"
    if before:
        finding(words.EDIT_TITLE.format(wording.drill_title(before["drill"])), "")
    else:
        finding(words.WRITE_TITLE if head else words.PROPOSE_TITLE, "" if head else words.PROPOSE_LEDE)
    labels = dict(zip(TEXTS, (words.CUE, words.WHY, words.AMOUNT, words.CAUTION, words.LINK), strict=True))
    limits = list(wording.LIMIT_WORDS)
    count = len(st.session_state.get("drills_kept", []))
    with st.form(f"drill_{key}_{count}", border=False):
        left, right = st.columns(2, gap="large")
        if before:
            name, limit = before["drill"], before["limit"]
        else:
            name = left.text_input(words.NAME, max_chars=60)
            limit = right.selectbox(words.LIMIT, limits, format_func=lambda one: wording.LIMIT_WORDS[one])
        said = {}
        for one, label in labels.items():
            side = left if one in ("cue", "amount", "link") else right
            said[one] = side.text_input(label, value=(before[one] or "") if before else "", max_chars=300)
        if st.form_submit_button(words.SAVE):
            try:
                row = drill_row(opened.viewer, name, limit, said)
            except NotKept as wrong:
                st.session_state["drill_said"] = ("wrong", str(wrong))
            else:
                _do(lambda: keep_drills(opened.viewer, [row]), words.kept(row["drill"], proposed=not head))
            st.rerun()
    if before and st.button(words.LEAVE, key="leave_drill", type="tertiary"):
        st.session_state.pop("drill_edited", None)
        st.rerun()


def spoken() -> Markup:
    """Return what is to be said of the last press, once, with the undo of what was kept."""
    said = st.session_state.pop("drill_said", None)
    undo = (
        html(' <button class="plain" data-act="undo">{}</button>', words.UNDO)
        if st.session_state.get("drills_kept")
        else html("")
    )
    if not said:
        return html("<p>{}</p>", undo) if undo else html("")
    return html('<p class="said {}" role="status">{}{}</p>', said[0], said[1], undo)


def draw() -> None:
    """Draw the page."""
    opened = open_page(words.LIBRARY, coach_only=True)
    if opened is None:
        return
    rows = opened.rows("drill", order_by=["limit", "drill"]) if "drill" in opened.board.tables else []
    page.show_sheet(
        html("<h1>{}</h1>{}{}", words.LIBRARY, lede(words.LEDE), spoken())
        + listed(rows, opened.viewer.role, opened.viewer.name),
        "drills",
        act_for(opened, rows),
    )
    form(opened, rows)
    page.show(caution(words.CAUTION_HEAD))


draw()
