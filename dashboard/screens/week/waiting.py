"""Who has not answered: a list of names to copy into a message. Nothing is sent from here."""

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.reads import Opened
from schemas.html import html


def show_waiting(opened: Opened, names: dict[str, str]) -> None:
    """Show whose answers are waited for, folded away, as text that one press copies."""
    due = opened.rows("answer_due", order_by=["-day_on"]) if "answer_due" in opened.board.tables else []
    waited = [row for row in due if row["athlete_id"] in names]
    with st.expander(wording.waiting_heading(len({row["athlete_id"] for row in waited}))):
        page.show(html('<p class="soft">{}</p>', wording.NOT_ANSWERED_LEDE))
        if waited:
            st.code(wording.waiting_text(waited, names), language=None, wrap_lines=True)
