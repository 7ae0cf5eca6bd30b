"""The way into a page: who looks, and the board for them."""

from dashboard import wording
from dashboard.access.current import current_viewer
from dashboard.board import Board
from dashboard.home import NoBoard, home_folder
from dashboard.parts import page
from dashboard.parts.marks import caution, empty
from dashboard.reads import Opened
from schemas.html import html


def open_page(title: str, *, coach_only: bool = False) -> Opened | None:
    """Return the board for the one who looks, or say in a plain sentence what is missing and return null."""
    viewer = current_viewer()
    if viewer is None or (coach_only and not viewer.is_coach):
        page.show(html('<h1>{}</h1><p class="lede">{}</p>', title, wording.NO_ACCESS))
        return None
    try:
        return Opened(viewer, Board(home_folder()))
    except NoBoard:
        next_step = wording.NO_BOARD_NEXT if viewer.is_coach else wording.NO_BOARD_ATHLETE
        page.show(html("<h1>{}</h1>{}{}", title, empty(wording.NO_BOARD, next_step), caution()))
        return None
