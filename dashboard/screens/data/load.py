"""Load files: what would be stored and set aside, what the file leaves open, and the load itself."""

from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.parts import page
from dashboard.parts.figure import table
from dashboard.parts.marks import text
from dashboard.screens.data import words
from dashboard.screens.data.writes import ENDINGS, Answers, load_upload, preview_upload, proposals
from dashboard.writes import NotKept

MOST_REASONS = 200
MOST_QUESTIONS = 12


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
    columns = [
        ("sheet", wording.SHEET, None),
        ("line", wording.LINE, wording.cell),
        ("column", wording.COLUMN, None),
        ("value", wording.VALUE, None),
        ("reason", wording.REASON, None),
    ]
    shown = table(rows[:MOST_REASONS], columns if any(row["sheet"] for row in rows) else columns[1:])
    more = f'<p class="soft">{wording.more_rows(len(rows) - MOST_REASONS)}</p>' if len(rows) > MOST_REASONS else ""
    return f'<h3>{wording.SET_ASIDE}</h3><p class="soft">{wording.SET_ASIDE_LEDE}</p>{shown}{more}'


def first_rows(outcome: Any) -> None:
    """Show the first rows of each table as they would be stored."""
    if not outcome.accepted:
        return
    page.show(f'<h3>{words.WOULD_BE}</h3><p class="soft">{words.FIRST_ROWS}</p>')
    for name, frame in outcome.accepted.items():
        rows = frame.to_dicts()
        said = [
            c for c in frame.columns if c not in ("source_sheet", "source_line") and frame[c].null_count() < len(rows)
        ]
        with st.expander(words.rows_of(name, len(rows)), expanded=len(outcome.accepted) == 1):
            columns = [(c, c, wording.cell) for c in said]
            page.show(table(rows, [*columns, ("source_line", wording.LINE, wording.cell)]))


def ask(viewer: Viewer, board: Board | None, questions: list[Any]) -> Answers:
    """Ask what a file leaves open; return the answers given so far."""
    given: Answers = []
    holding = [question for question in questions if question.holds_rows]
    for some, title, lede in (
        (holding, words.QUESTIONS, words.QUESTIONS_LEDE),
        ([question for question in questions if not question.holds_rows], words.OPTIONAL, words.OPTIONAL_LEDE),
    ):
        if not some:
            continue
        page.show(f'<h3>{title}</h3><p class="soft">{lede}</p>')
        for question in some[:MOST_QUESTIONS]:
            meanings = dict(proposals(viewer, board, question))
            answer = st.selectbox(
                words.question(question.sentence, question.rows),
                list(meanings),
                index=None,
                format_func=meanings.__getitem__,
                placeholder=words.NO_ANSWER,
                width=560,
                key=f"q_{question.layout}_{question.ask}_{question.about}",
            )
            if answer is not None:
                given.append((question, answer))
    return given


def draw(viewer: Viewer, board: Board | None) -> None:
    """Take a file, ask what it leaves open, say what would become of it, and load it when asked."""
    page.show(f'<h2 class="ruled">{wording.LOAD_FILE}</h2><p class="soft">{wording.LOAD_LEDE}</p>')
    given = st.file_uploader(wording.FILE, type=list(ENDINGS), key="given", label_visibility="collapsed")
    if given is None:
        st.session_state.pop("asked", None)
        return
    content = given.getvalue()
    mark = (given.name, given.file_id)
    try:
        if st.session_state.get("asked", (None,))[0] != mark:  # what is asked stays in place while it is answered
            st.session_state["asked"] = (mark, preview_upload(viewer, given.name, content, []))
        first = st.session_state["asked"][1]
        page.show(f"<h3>{text(given.name)}</h3>")
        answers = ask(viewer, board, first.questions)
        outcome = preview_upload(viewer, given.name, content, answers) if answers else first
    except NotKept as wrong:
        page.show(f'<p class="said wrong">{text(wrong)}</p>')
        return
    if outcome.problem:
        page.show(f'<p class="said wrong">{text(outcome.problem)}</p>')
        return
    new = outcome.stored + outcome.replaced
    page.show(f"<p>{text(wording.would_store(outcome))}</p>{counts(outcome)}")
    first_rows(outcome)
    page.show(reasons(outcome.reasons))
    if st.button(wording.load_button(new), key="load", disabled=outcome.rows_read == 0):
        with st.spinner(wording.LOADING):
            try:
                done = load_upload(viewer, given.name, content, answers)
                st.session_state["loaded"] = ("kept", wording.loaded(given.name, done), counts(done))
            except NotKept as wrong:
                st.session_state["loaded"] = ("wrong", str(wrong), "")
        for key in ("given", "asked"):
            st.session_state.pop(key, None)
        st.rerun()
