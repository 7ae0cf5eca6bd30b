"""The line on top of an athlete's first page: has the day's check-in come, and who is reading."""

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.reads import SCREENS, Opened
from dashboard.screens.check_in.writes import checkin_of, viewers_day, waits_for_consent
from schemas.html import html


def tied_line(opened: Opened) -> None:
    """Say to the athlete that today's check-in is missing, with a link; to a guardian whose page it is."""
    viewer = opened.viewer
    if not viewer.is_own:
        page.show(html('<p class="said">{}</p>', wording.GUARDIAN_NOTE))
        return
    if waits_for_consent(viewer, opened.board, viewers_day()):
        page.show(html('<p class="said wrong">{}</p>', wording.CHECKIN_NO_CONSENT))
        return
    if checkin_of(viewer, opened.board, viewers_day()) is None:
        page.use_house_style(
            html(
                ".st-key-not_checked_in [data-testid='stPageLink-NavLink']{{border:1px solid "
                "var(--ink);border-radius:3px;padding:7px 16px;min-height:40px}}"
            )
        )
        with st.container(horizontal=True, key="not_checked_in", vertical_alignment="center"):
            page.show(html('<p class="said wrong">{}</p>', wording.NOT_CHECKED_IN))
            st.page_link(SCREENS / "check_in/page.py", label=wording.CHECK_IN)
