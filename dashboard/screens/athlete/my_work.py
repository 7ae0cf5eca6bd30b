"""My work, for the athlete: this week's work, load, fast running, strength, spring and races."""

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.marks import caution, empty
from dashboard.screens.athlete import start_figures, work_figures
from schemas.html import html


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.MY_WORK)
    if opened is None:
        return
    athlete_id = opened.viewer.athlete_id
    if not opened.viewer.is_tied or athlete_id is None:
        page.show(html("<h1>{}</h1>{}", wording.MY_WORK, empty(wording.NO_ATHLETE_TIED)))
        return
    page.show(html("<h1>{}</h1>", wording.MY_WORK))
    start_figures.focus(opened, athlete_id, own=opened.viewer.is_own)
    for figure in (
        work_figures.load,
        work_figures.exposure,
        work_figures.work_by_kind,
        work_figures.strength,
        work_figures.spring,
        work_figures.races,
    ):
        figure(opened, athlete_id, own=opened.viewer.is_own)
    page.show(caution())


draw()
