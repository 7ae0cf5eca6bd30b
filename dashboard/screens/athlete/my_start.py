"""My start, for the athlete: trend, contacts, rhythm, acceleration and what was seen."""

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.marks import caution, empty
from dashboard.screens.athlete import raw, start_figures
from schemas.html import html


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.MY_START)
    if opened is None:
        return
    athlete_id = opened.viewer.athlete_id
    if not opened.viewer.is_tied or athlete_id is None:
        page.show(html("<h1>{}</h1>{}", wording.MY_START, empty(wording.NO_ATHLETE_TIED)))
        return
    page.show(html("<h1>{}</h1>", wording.MY_START if opened.viewer.is_own else wording.THE_START))
    for figure in (
        start_figures.trend,
        raw.raw_bests,
        start_figures.contacts,
        start_figures.rhythm,
        start_figures.acceleration,
        start_figures.patterns,
    ):
        figure(opened, athlete_id, own=opened.viewer.is_own)
    page.show(caution())


draw()
