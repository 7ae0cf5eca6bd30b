"""My work, for the athlete: this week's work, load, fast running, strength, spring, growth and races."""

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.marks import caution, empty
from dashboard.parts.phone_parts import phone_parts
from dashboard.screens.athlete import growth, start_figures, work_figures
from schemas.html import html

PARTS = (
    ("next", (start_figures.focus, work_figures.load)),
    ("running", (work_figures.exposure, work_figures.work_by_kind)),
    ("strength", (work_figures.strength, work_figures.spring, growth.growth)),
    ("races", (work_figures.races,)),
)


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.MY_WORK)
    if opened is None:
        return
    athlete_id = opened.viewer.athlete_id
    if not opened.viewer.is_tied or athlete_id is None:
        page.show(html("<h1>{}</h1>{}", wording.MY_WORK, empty(wording.NO_ATHLETE_TIED)))
        return
    own = opened.viewer.is_own
    page.show(html("<h1>{}</h1>", wording.MY_WORK if own else wording.THE_WORK))
    phone_parts(wording.MY_WORK_PARTS)
    for name, figures in PARTS:
        with st.container(key=f"part_{name}"):
            for figure in figures:
                figure(opened, athlete_id, own=own)
    page.show(caution())


draw()
