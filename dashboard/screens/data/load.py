"""Load files: what would be stored and set aside, what the file leaves open, and the load itself."""

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

import streamlit as st

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.parts import page
from dashboard.parts.figure import table
from dashboard.screens.data import words
from dashboard.screens.data.writes import (
    ENDINGS,
    Answers,
    inside_folder,
    is_hidden,
    load_uploads,
    preview_uploads,
    proposals,
    questions_of,
    reasons_of,
)
from dashboard.writes import NotKept
from schemas.html import Markup, html, join_html

if TYPE_CHECKING:
    from pipelines.flow import Outcome
    from schemas.intake import Question

MOST_REASONS = 200
MOST_QUESTIONS = 40


def counts(outcome: "Outcome") -> Markup:
    """Return what became, or would become, of the rows of a file."""
    kept = table(
        [{"what": label, "rows": getattr(outcome, name)} for name, label in wording.OUTCOMES],
        [("what", wording.ROWS_ARE, None), ("rows", wording.ROWS, wording.cell)],
    )
    filled = html("<p>{}</p>", wording.fills(outcome.tables)) if outcome.tables else ""
    notes = join_html(html('<p class="soft">{}</p>', n) for n in outcome.notes)
    return join_html([filled, kept, notes])


def reasons(rows: list[dict[str, Any]]) -> Markup:
    """Return the cells that keep rows out, each with its reason."""
    if not rows:
        return Markup()
    columns = [
        ("sheet", wording.SHEET, None),
        ("line", wording.LINE, wording.cell),
        ("column", wording.COLUMN, None),
        ("value", wording.VALUE, None),
        ("reason", wording.REASON, None),
    ]
    shown = table(rows[:MOST_REASONS], columns if any(row["sheet"] for row in rows) else columns[1:])
    more = (
        html('<p class="soft">{}</p>', wording.more_rows(len(rows) - MOST_REASONS)) if len(rows) > MOST_REASONS else ""
    )
    return html('<h3>{}</h3><p class="soft">{}</p>{}{}', wording.SET_ASIDE, wording.SET_ASIDE_LEDE, shown, more)


def first_rows(outcome: "Outcome") -> None:
    """Show the first rows of each table as they would be stored."""
    if not outcome.accepted:
        return
    page.show(html('<h3>{}</h3><p class="soft">{}</p>', words.WOULD_BE, words.FIRST_ROWS))
    for name, frame in outcome.accepted.items():
        rows = frame.to_dicts()
        said = [
            c for c in frame.columns if c not in ("source_sheet", "source_line") and frame[c].null_count() < len(rows)
        ]
        with st.expander(words.rows_of(name, len(rows)), expanded=len(outcome.accepted) == 1):
            columns = [(c, c, wording.cell) for c in said]
            page.show(table(rows, [*columns, ("source_line", wording.LINE, wording.cell)]))


def file_lines(outcomes: Sequence["Outcome"]) -> str:
    """Return one line for each file: what it is, its rows, what would become of them, what is asked."""
    lines = [
        {
            "file": one.file,
            "what": one.problem or wording.fills(one.tables) if one.tables or one.problem else words.NOTHING_IN_IT,
            "rows": one.rows_read,
            "new": one.kept,
            "same": one.unchanged,
            "aside": one.set_aside,
            "asked": len([question for question in one.questions if question.holds_rows]),
        }
        for one in outcomes
    ]
    return table(
        lines, [(name, label, None if name in ("file", "what") else wording.cell) for name, label in words.FILES]
    )


def grouped(rows: list[dict[str, Any]]) -> Markup:
    """Return what would be set aside, one line a reason."""
    if not rows:
        return Markup()
    columns = [("file", wording.FILE, None), ("column", wording.COLUMN, None), ("values", wording.VALUE, None),
               ("rows", wording.ROWS, wording.cell), ("lines", wording.LINE, None),
               ("reason", wording.REASON, None)]  # fmt: skip
    shown = table(rows[:MOST_REASONS], columns)
    return html('<h3>{}</h3><p class="soft">{}</p>{}', wording.SET_ASIDE, wording.SET_ASIDE_LEDE, shown)


def _meaning(meanings: dict[str, str], answer: str) -> str:
    return meanings.get(answer, answer)


def _place(question: "Question") -> str:
    """Return which sheet a question is about; one for several files names them itself."""
    return "" if question.also else words.place_of(question.source, question.sheet)


def ask(viewer: Viewer, board: Board | None, questions: Sequence["Question"]) -> Answers:
    """Ask what the files leave open, all on one page; return the answers given so far."""
    given: Answers = []
    holding = [question for question in questions if question.is_weighty]
    for some, title, lede in (
        (holding, words.QUESTIONS, words.QUESTIONS_LEDE),
        ([question for question in questions if not question.is_weighty], words.OPTIONAL, words.OPTIONAL_LEDE),
    ):
        if not some:
            continue
        box = st.container() if some is holding else st.expander(words.optional(len(some)))
        with box:
            page.show(html('<h3>{}</h3><p class="soft">{}</p>', title, lede))
            for question in some[:MOST_QUESTIONS]:
                meanings = dict(proposals(viewer, board, question))
                answer = st.selectbox(
                    words.question(question.sentence, question.rows, _place(question)),
                    list(meanings),
                    index=None,
                    format_func=partial(_meaning, meanings),
                    placeholder=words.NO_ANSWER_OR_OTHER if question.is_free else words.NO_ANSWER,
                    accept_new_options=question.is_free,
                    help=words.asked_of(question),
                    width=620,
                    key=f"q_{question.layout}_{question.ask}_{question.about}",
                )
                if answer is not None:
                    given.append((question, answer))
            if len(some) > MOST_QUESTIONS:
                page.show(html('<p class="soft">{}</p>', words.more_questions(len(some) - MOST_QUESTIONS)))
    return given


def _given() -> list[Any]:
    """Take files as they are dropped or chosen: single ones and archives, or a whole folder with all in it."""
    how = st.segmented_control(
        words.HOW, list(words.HOWS), default="files", key="how", format_func=words.HOWS.__getitem__,
        label_visibility="collapsed", required=True,
    )  # fmt: skip
    if how == "folder":  # no kinds are asked for here: what is no table is named, not left out without a word
        page.show(html('<p class="soft">{}</p>', words.FOLDER_LEDE))
        return list(
            st.file_uploader(
                words.HOWS["folder"],
                key="given_folder",
                label_visibility="collapsed",
                accept_multiple_files="directory",
            )
        )
    return list(
        st.file_uploader(
            wording.FILE, type=list(ENDINGS), key="given", label_visibility="collapsed", accept_multiple_files=True
        )
    )


def _looked_into(outcomes: Sequence["Outcome"]) -> Sequence["Outcome"]:
    """Return the outcomes to show row by row: the only one, or the one that is chosen among several."""
    if len(outcomes) < 2:
        return outcomes
    chosen = st.selectbox(
        words.LOOK_INTO, [one.file for one in outcomes], index=None, key="into", width=620,
        placeholder=words.NO_FILE_CHOSEN,
    )  # fmt: skip
    return [one for one in outcomes if one.file == chosen]


def _tried(viewer: Viewer, files: list[tuple[str, bytes]], mark: tuple[str, ...], answers: Answers) -> list["Outcome"]:
    """Return what loading would do with these answers; looked at anew only when another answer was given."""
    told = (mark, tuple((one.layout, one.ask, one.about, answer) for one, answer in answers))
    if st.session_state.get("tried", (None,))[0] != told:
        with st.spinner(words.LOOKING):
            st.session_state["tried"] = (told, preview_uploads(viewer, files, answers))
    tried: list[Outcome] = st.session_state["tried"][1]
    return tried


def draw(viewer: Viewer, board: Board | None) -> None:
    """Take files, ask what they leave open, say what would become of them, and load them when asked."""
    page.show(html('<h2 class="ruled">{}</h2><p class="soft">{}</p>', wording.LOAD_FILE, wording.LOAD_LEDE))
    given = _given()
    files = inside_folder([(one.name, one.getvalue()) for one in given if not is_hidden(one.name)])
    if not files:
        st.session_state.pop("asked", None)
        return
    mark = tuple(one.file_id for one in given)
    try:
        if st.session_state.get("asked", (None,))[0] != mark:  # what is asked stays in place while it is answered
            with st.spinner(words.LOOKING):
                st.session_state["asked"] = (mark, preview_uploads(viewer, files, []))
        first = st.session_state["asked"][1]
        answers = ask(viewer, board, questions_of(first))
        outcomes = _tried(viewer, files, mark, answers) if answers else first
    except NotKept as wrong:
        page.show(html('<p class="said wrong">{}</p>', wrong))
        return
    new = sum(one.kept for one in outcomes)
    page.show(html("<h3>{}</h3>{}", words.FILES_TITLE, file_lines(outcomes)))
    if len(outcomes) == 1 and outcomes[0].problem:
        page.show(html('<p class="said wrong">{}</p>', outcomes[0].problem))
        return
    page.show(html("<p>{}</p>", words.would_store_all(outcomes)))
    for one in _looked_into([one for one in outcomes if one.accepted]):
        page.show(html("<h3>{}</h3>{}", one.file, counts(one)))
        first_rows(one)
    page.show(grouped(reasons_of(outcomes)))
    if st.button(wording.load_button(new), key="load", disabled=not any(one.rows_read for one in outcomes)):
        with st.spinner(wording.LOADING):
            try:
                done = load_uploads(viewer, files, answers)
                said = join_html(html("<p>{}</p>{}", one.file, counts(one)) for one in done if not one.problem)
                told = words.all_loaded(done)
                st.session_state["loaded"] = ("wrong" if all(one.problem for one in done) else "kept", told, said)
            except NotKept as wrong:
                st.session_state["loaded"] = ("wrong", str(wrong), "")
        for key in ("given", "given_folder", "asked", "tried"):
            st.session_state.pop(key, None)
        st.rerun()
