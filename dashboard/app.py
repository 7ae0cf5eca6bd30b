"""The dashboard: who is looking, which pages are theirs, the bar on top. Started by the launcher behind the gate."""

import re
from collections.abc import Collection
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import streamlit as st

from dashboard import wording
from dashboard.access.current import current_viewer, is_still
from dashboard.access.turns import turn_of
from dashboard.access.viewer import Viewer
from dashboard.board import Board, noting_older
from dashboard.home import NoBoard, frozen_day, home_folder
from dashboard.parts import page
from dashboard.parts.faults import in_own_words
from dashboard.writes import is_behind
from schemas.html import html

LOOK_AGAIN_S = 1.0
SCREENS = Path(__file__).parent / "screens"
FIRST_PAGES = {"head_coach": "week/page.py", "staff": "week/page.py", "athlete": "athlete/today.py"}
ONE_NAME = re.compile(r"[\w-]{1,60}")


def pages_for(viewer: Viewer) -> list:
    """Return the pages of a role. The rows behind them are guarded again where they are read."""
    methods = st.Page(SCREENS / "methods/page.py", title="Methods", url_path="methods")
    if viewer.role in ("athlete", "guardian"):
        check_in = st.Page(SCREENS / "check_in/page.py", title="Check in", url_path="check-in")
        after = st.Page(SCREENS / "after/page.py", title="After training", url_path="after-training")
        return [
            st.Page(SCREENS / FIRST_PAGES["athlete"], title="Today", default=True),
            *([check_in, after] if viewer.role == "athlete" else []),
            st.Page(
                SCREENS / "athlete/my_start.py",
                title="My start" if viewer.is_own else wording.THE_START,
                url_path="my-start",
            ),
            st.Page(
                SCREENS / "athlete/my_work.py",
                title="My work" if viewer.is_own else wording.THE_WORK,
                url_path="my-work",
            ),
            st.Page(SCREENS / "consent/page.py", title=wording.CONSENT_AND_DATA, url_path="consent"),
            methods,
        ]
    return [
        st.Page(SCREENS / FIRST_PAGES["staff"], title="This week", default=True),
        st.Page(SCREENS / "track/page.py", title="At the track", url_path="track"),
        st.Page(SCREENS / "group/page.py", title="Groups", url_path="group"),
        st.Page(SCREENS / "plan/page.py", title="Plan", url_path="plan"),
        st.Page(SCREENS / "athlete/page.py", title="Athletes", url_path="athlete"),
        st.Page(SCREENS / "starts/page.py", title="Two starts", url_path="two-starts"),
        st.Page(SCREENS / "followed/page.py", title="What followed", url_path="what-followed"),
        st.Page(SCREENS / "library/page.py", title="Drills", url_path="drills"),
        st.Page(SCREENS / "film/page.py", title="Film", url_path="film"),
        st.Page(SCREENS / "data/page.py", title="Data", url_path="data"),
        *(
            [st.Page(SCREENS / "hindsight/page.py", title="Hindsight", url_path="hindsight")]
            if viewer.role == "head_coach"
            else []
        ),
        *(
            [st.Page(SCREENS / "people/page.py", title="People", url_path="people")]
            if viewer.role == "head_coach"
            else []
        ),
        methods,
    ]


def in_menus(pages: list[Any]) -> tuple[list[Any], dict[str, list[Any]]]:
    """Return the pages that stand in the bar, and those that stand in a menu of it by the menu's name.

    A page that no menu names stands in the bar.
    """
    menus = {
        name: [page for page in pages if page.title in titles]
        for name, titles in wording.MENUS.items()
        if any(page.title in titles for page in pages)
    }
    if len(menus) < len(wording.MENUS):  # who has few pages has them all in the bar
        return pages, {}
    inside = [page for some in menus.values() for page in some]
    return [page for page in pages if page not in inside], menus


def top_bar(viewer: Viewer, pages: list[Any], here: Any) -> None:
    """Draw the bar: squad or own name, the pages, who is looking and how far the data reach."""
    info: dict[str, str] = {}
    name = viewer.name
    try:
        board = Board(home_folder())
        info = board.info(viewer)
        if viewer.is_tied:
            own = board.allowed_athletes(viewer)["display_name"].to_list()
            name = own[0] if own else viewer.name
    except NoBoard:
        pass
    brand = name if viewer.is_tied else info.get("squad_name", "thirdstep")
    with st.container(horizontal=True, key="topbar", vertical_alignment="bottom"):
        st.html(html('<div class="brand">{}</div>', brand), width="content")
        bar, menus = in_menus(pages)
        for entry in bar:
            st.page_link(entry, label=entry.title)
        for name, some in menus.items():
            inside = next((entry.title for entry in some if entry is here), None)
            label = wording.menu_label(name, inside)
            titles = [entry.title for entry in some]
            chosen = st.menu_button(label, titles, type="tertiary", key=f"menu_{name.lower()}")
            if chosen:
                st.switch_page(next(entry for entry in some if entry.title == chosen))
        who = [] if viewer.is_own else [wording.ROLES[viewer.role]]
        frozen = frozen_day() if info else None
        reach = wording.clock_stands(frozen) if frozen else wording.data_reach(info.get("data_to", info.get("as_of")))
        who.extend([reach] if reach else [])
        said = " · ".join(who)
        st.html(
            html(
                '<div class="who"><span class="reach">{}</span><a href="/logout">{}</a></div>', said, wording.SIGN_OUT
            ),
            width="content",
        )
    titles = [name for name, some in menus.items() if here in some]
    position = (bar.index(here) if here in bar else len(bar) + list(menus).index(titles[0])) + 2
    page.use_house_style(
        html(
            ".st-key-topbar > div:nth-child({}) "
            ":is([data-testid='stPageLink-NavLink'], [data-testid='stMenuButtonButton'])"
            "{{border-bottom-color:var(--ink)}}.st-key-topbar > "
            "div:nth-child({}) :is([data-testid='stPageLink-NavLink'], [data-testid='stMenuButtonButton']) "
            ":is(p,span){{color:var(--ink)!important}}",
            position,
            position,
        )
    )


def elsewhere(viewer: Viewer, own: Collection[str]) -> tuple[str, str] | None:
    """Return an address asked for that is none of the viewer's ``own``, and what to say of it; null where it is."""
    asked = urlsplit(st.context.url or "").path.strip("/")
    if asked in {"", *own} or not ONE_NAME.fullmatch(asked):
        return None
    others = [one.url_path for role in ("head_coach", "athlete") for one in pages_for(Viewer(viewer.name, role))]
    return asked, wording.NOT_YOURS if asked in others else wording.NO_SUCH_PAGE


@st.fragment(run_every=LOOK_AGAIN_S)
def say_older() -> None:
    """Say that some of the page is a moment older than what was just written, and offer the rest once it is there.

    Nothing is drawn anew by itself: somebody may be filling in a form.
    """
    try:
        is_older = bool(Board(home_folder()).older)
    except NoBoard:
        return
    if is_older or is_behind():
        said = wording.PAGE_BEHIND if is_behind() else wording.SQUAD_OLDER
        page.show(html('<p class="soft" role="status">{}</p>', said))
    elif st.button(wording.SQUAD_FOLLOWED, key="show_followed", type="tertiary"):
        st.rerun()


def main() -> None:
    """Find out who asks, and draw their page when it is their turn."""
    st.set_page_config(page_title="thirdstep", layout="wide")
    viewer = current_viewer()
    if viewer is None:
        page.use_house_style()
        page.show(
            html(
                '<h1>{}</h1><p class="lede">{}</p><p><a href="/login">{}</a></p>',
                wording.NO_ACCESS_TITLE,
                wording.NO_ACCESS,
                wording.SIGN_IN,
            )
        )
        return
    with turn_of(viewer.name):
        if not is_still(viewer):  # signed out while waiting for it
            st.rerun()
        draw(viewer)


def draw(viewer: Viewer) -> None:
    """Draw the page that was asked for."""
    pages = pages_for(viewer)
    lost = elsewhere(viewer, [one.url_path for one in pages])
    # Somebody's first page under that address too: of one it does not know the framework opens a window of its own.
    first = FIRST_PAGES.get(viewer.role, FIRST_PAGES["athlete"])
    more = [st.Page(SCREENS / first, title=pages[0].title, url_path=lost[0])] if lost else []
    here = st.navigation([*pages, *more], position="hidden")
    drawn_as = pages[0] if here in more else here
    with in_own_words():
        top_bar(viewer, pages, drawn_as)
        if lost:
            page.show(html('<p class="said wrong" role="status">{}</p>', lost[1]))
        place = st.empty()
        with noting_older() as older:
            here.run()
        if older or is_behind():
            with place.container():
                say_older()


main()
