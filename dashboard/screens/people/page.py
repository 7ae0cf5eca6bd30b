"""People, for the head coach: accounts and invitations, consent, one person's data, and who did what."""

import datetime as dt
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

import streamlit as st

from dashboard import wording
from dashboard.access.current import current_viewer, prove_again
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.downloads import offer
from dashboard.home import NoBoard, home_folder
from dashboard.parts import page
from dashboard.parts.figure import table
from dashboard.parts.marks import caution, empty
from dashboard.screens.check_in.writes import viewers_day
from dashboard.screens.people.writes import (
    accounts_of,
    add_account,
    ask_second,
    change_account,
    close_account,
    erase_past,
    erase_person,
    export_person,
    invite,
    keep_consent,
    past_keeping,
    second_asked,
    set_email,
    sign_out_everywhere,
    trail_of,
)
from dashboard.writes import NotKept, in_words
from pipelines.outputs.network import opens_elsewhere, square_svg
from schemas.age import is_minor
from schemas.html import as_html, html, join_html
from schemas.labels import CONSENT_TOPICS

if TYPE_CHECKING:
    from pipelines.accounts.accounts import Account

SAID = "people_said"
TIED = ("athlete", "guardian")
TRAIL_WORDS = (
    "signed in",
    "sign-in refused",
    "injury detail read",
    "account",
    "consent",
    "file taken away",
    "table taken away",
    "sheet printed",
    "person exported",
    "person erased",
    "rows past their keeping erased",
    "second factor",
)


def attempt(what: Callable[[], tuple[str, str]]) -> None:
    """Do something and keep what to say of it: a sentence, and a link to pass on where one was made."""
    try:
        sentence, link = what()
        st.session_state[SAID] = ("kept", sentence, link)
    except NotKept as wrong:
        st.session_state[SAID] = ("wrong", str(wrong), "")


def link_to(token: str) -> str:
    """Return the address of an invitation. What stands behind the # never leaves the browser by itself."""
    address = str(st.context.url or "").split("?", maxsplit=1)[0]
    base = "/".join(address.split("/")[:3]) if "://" in address else ""
    return f"{base}/join#{token}"


def ask_again() -> None:
    """Ask for the pass-phrase again, before accounts are changed or anybody is exported or erased."""
    page.show(html('<p class="said">{}</p>', wording.ASK_AGAIN))
    with st.form("again", border=False):
        typed = st.text_input(wording.AGAIN_LABEL, type="password", autocomplete="current-password", width=420)
        sent = st.form_submit_button(wording.AGAIN_BUTTON)

    def prove() -> tuple[str, str]:
        with in_words():
            prove_again(typed)
        return wording.AGAIN_DONE, ""

    if sent:
        attempt(prove)
        st.rerun()


def heading(title: str, lede: str = "") -> None:
    """Head a section."""
    more = html('<p class="soft">{}</p>', lede) if lede else ""
    page.show(html('<h2 class="ruled">{}</h2>{}', title, more))


def list_accounts(viewer: Viewer, names: dict[str, str]) -> list["Account"]:
    """Show the accounts and return them."""
    found = accounts_of(viewer)
    rows = [
        {
            "name": one.name,
            "role": wording.ROLES[one.role],
            "reads": wording.reads_what(
                one.role, one.event_groups, one.reads_injuries, names.get(one.athlete_id or "", one.athlete_id or "")
            ),
            "state": wording.CLOSED if one.closed_at else wording.OPEN_STATE if one.has_joined else wording.NOT_JOINED,
            "second": wording.SECOND_ON if one.has_second else wording.SECOND_OFF,
        }
        for one in found
    ]
    columns = [
        ("name", wording.SIGN_IN_NAME),
        ("role", wording.ROLE),
        ("reads", wording.READS),
        ("state", wording.STATE),
        ("second", wording.SECOND),
    ]
    page.show(table(rows, [(key, label, None) for key, label in columns]))
    return found


def add(viewer: Viewer, names: dict[str, str], minors: list[str]) -> None:
    """Offer to add an account; a guardian's only for who is under age."""
    role = st.selectbox(
        wording.ROLE, ["athlete", "guardian", "staff", "head_coach"], format_func=lambda r: wording.ROLES[r], key="role"
    )
    athlete_id: str | None = None
    groups: list[str] = []
    grant = False
    if role in TIED:
        athlete_id = st.selectbox(
            wording.CHOOSE_PERSON if role == "athlete" else wording.CHOOSE_MINOR,
            list(names) if role == "athlete" else minors,
            index=None,
            format_func=lambda i: names[i],
            key="new_for" if role == "athlete" else "new_for_minor",
        )
    if role == "staff":
        groups = st.multiselect(
            wording.GROUPS, list(wording.EVENT_GROUPS), format_func=lambda g: wording.EVENT_GROUPS[g], key="new_groups"
        )
        grant = st.checkbox(wording.GRANT, key="new_grant")
    name = st.text_input(wording.SIGN_IN_NAME, key="new_name", max_chars=60)

    def do() -> tuple[str, str]:
        token = add_account(viewer, name, str(role), athlete_id, groups, grant=grant)
        return wording.account_added(name.strip().lower()), link_to(token)

    if st.button(wording.ADD_BUTTON, key="add_account", disabled=not name.strip()):
        attempt(do)
        st.rerun()


def minors_of(viewer: Viewer, board: Board, today: dt.date) -> list[str]:
    """Return who is known to be under age."""
    people = board.rows(viewer, "athlete", columns=["athlete_id", "birth_date"], order_by=["display_name"])
    return [p["athlete_id"] for p in people if is_minor(p["birth_date"], today)]


def change(viewer: Viewer, found: list["Account"]) -> None:
    """Offer what can be done with one account."""
    by_name = {one.name: one for one in found}
    name = st.selectbox(wording.CHOOSE_ACCOUNT, list(by_name), index=None, key="chosen_account")
    if name is None:
        return
    one = by_name[name]
    if one.role == "staff" and not one.closed_at:
        groups = st.multiselect(
            wording.GROUPS, list(wording.EVENT_GROUPS), default=list(one.event_groups),
            format_func=lambda g: wording.EVENT_GROUPS[g], key=f"groups_{name}",
        )  # fmt: skip
        grant = st.checkbox(wording.GRANT, value=one.reads_injuries, key=f"grant_{name}")

        def keep() -> tuple[str, str]:
            change_account(viewer, name, groups, grant=grant)
            return wording.account_done(wording.DONE_CHANGED, name), ""

        if st.button(wording.KEEP_BUTTON, key="keep_account"):
            attempt(keep)
            st.rerun()

    def out() -> tuple[str, str]:
        sign_out_everywhere(viewer, name)
        return wording.account_done(wording.DONE_OUT, name), ""

    def close() -> tuple[str, str]:
        close_account(viewer, name)
        return wording.account_done(wording.DONE_CLOSED, name), ""

    email = st.text_input(wording.EMAIL, value=one.email or "", max_chars=254, key=f"email_{name}")

    def keep_email() -> tuple[str, str]:
        set_email(viewer, name, email)
        return wording.account_done(wording.DONE_EMAIL, name), ""

    if st.button(wording.EMAIL_BUTTON, key="keep_email", disabled=email.strip().lower() == (one.email or "")):
        attempt(keep_email)
        st.rerun()
    with st.container(horizontal=True):
        for label, key, what in (
            (wording.INVITE_BUTTON, "invite", lambda: (wording.INVITATION, link_to(invite(viewer, name)))),
            (wording.OUT_BUTTON, "out", out),
            (wording.CLOSE_BUTTON, "close", close),
        ):
            if st.button(label, key=f"{key}_account", disabled=bool(one.closed_at)):
                attempt(what)
                st.rerun()


def second(viewer: Viewer) -> None:
    """Offer to ask some roles for a second factor."""
    now, choices = second_asked(viewer), list(wording.SECOND_ASKED)
    page.show(html('<p class="soft">{}</p>', wording.SECOND_LEDE))
    whom = st.selectbox(
        wording.SECOND_FOR, choices, index=choices.index(now), format_func=lambda w: wording.SECOND_ASKED[w],
        width=360, key="second_for",
    )  # fmt: skip

    def ask() -> tuple[str, str]:
        ask_second(viewer, str(whom))
        return wording.SECOND_KEPT[str(whom) == "nobody"], ""

    if st.button(wording.SECOND_BUTTON, key="ask_second", disabled=whom == now):
        attempt(ask)
        st.rerun()


def consent(viewer: Viewer, board: Board, names: dict[str, str], today: dt.date) -> None:
    """Show what was agreed to and by whom, and take it down."""
    heading(wording.CONSENT, wording.CONSENT_LEDE)
    given = board.rows(viewer, "consent", order_by=["athlete_id", "topic", "-given_on"])
    agreed = {r["athlete_id"] for r in given if r["topic"] == "health" and r["is_guardian"] and not r["withdrawn_on"]}
    without = [names[one] for one in minors_of(viewer, board, today) if one not in agreed]
    if without:
        page.show(html('<p class="said wrong">{}</p>', wording.minors_without(without)))
    if given:
        shown = [wording.consent_shown(r, names.get(r["athlete_id"], "")) for r in given]
        columns = [
            ("who", wording.PEOPLE), ("topic", wording.TOPIC), ("given_on", wording.GIVEN_ON),
            ("given_by", wording.GIVEN_BY), ("withdrawn_on", wording.WITHDRAWN_ON),
        ]  # fmt: skip
        page.show(table(shown, [(k, label, wording.cell) for k, label in columns]))
    with st.form("consent", border=False):
        left, right = st.columns(2)
        athlete_id = left.selectbox(wording.CHOOSE_PERSON, list(names), index=None, format_func=lambda i: names[i])
        topic = right.selectbox(wording.TOPIC, list(CONSENT_TOPICS), format_func=CONSENT_TOPICS.__getitem__)
        given_by = left.text_input(wording.GIVEN_BY, max_chars=80)
        given_on = right.date_input(wording.GIVEN_ON, value=today, max_value=today, format="YYYY-MM-DD")
        guardian = left.checkbox(wording.BY_GUARDIAN)
        withdrawn_on = right.date_input(wording.WITHDRAWN_ON, value=None, max_value=today, format="YYYY-MM-DD")
        refused = left.checkbox(wording.REFUSED_CONSENT)
        sent = st.form_submit_button(wording.KEEP_CONSENT)

    def keep() -> tuple[str, str]:
        row = {"athlete_id": athlete_id, "topic": topic, "given_on": given_on, "given_by": given_by.strip() or None,
               "is_guardian": guardian,
               "withdrawn_on": given_on if refused else withdrawn_on, "is_refused": refused or None}  # fmt: skip
        keep_consent(viewer, row)
        return wording.consent_kept(names[str(athlete_id)]), ""

    if sent and athlete_id:
        attempt(keep)
        st.rerun()


def one_person(viewer: Viewer, names: dict[str, str]) -> None:
    """Offer the export and the erasure of one person's data."""
    heading(wording.ONE_PERSON, wording.ONE_PERSON_LEDE)
    athlete_id = st.selectbox(
        wording.CHOOSE_PERSON, list(names), index=None, format_func=lambda i: names[i], key="one_person"
    )
    if athlete_id is None:
        return
    left, right = st.columns(2)
    with left:
        # Made when it is fetched, for this viewer alone: health data never lie about as a file of the server.
        address = offer(viewer, f"{athlete_id}.zip", partial(export_person, viewer, str(athlete_id)), again=True)
        page.show(html('<p><a href="/{}" download class="btn">{}</a></p>', address, wording.EXPORT_GET))
    with right:
        typed = st.text_input(f"{wording.ERASE_CONFIRM}: {athlete_id}", key="erase_typed")

        def erase() -> tuple[str, str]:
            return wording.erased(erase_person(viewer, athlete_id, typed)), ""

        if st.button(wording.ERASE_BUTTON, key="erase", disabled=typed.strip() != athlete_id):
            with st.spinner(wording.ERASING):
                attempt(erase)
            st.rerun()


def past(viewer: Viewer, names: dict[str, str]) -> None:
    """List what is past its keeping when asked, for it reads the record; and offer to erase what is listed."""
    heading(wording.PAST_KEEPING)
    if st.button(wording.MAKE_LIST, key="past"):
        st.session_state["past_listed"] = True
    if not st.session_state.get("past_listed"):
        return
    try:
        rows = past_keeping(viewer)
    except NotKept as wrong:
        page.show(html('<p class="said wrong">{}</p>', wrong))
        return
    said = [
        wording.past_row(
            r, names.get(r["athlete_id"], r["athlete_id"]), wording.RECORD_TITLES.get(r["what"], r["what"])
        )
        for r in rows
    ]
    items = join_html(html("<li>{}</li>", one) for one in said)
    page.show(html('<ul class="notes">{}</ul>', items) if said else empty(wording.NOTHING_PAST))
    if not said or not viewer.is_fresh:
        return
    typed = st.text_input(wording.PAST_CONFIRM, key="past_typed", width=360)

    def erase() -> tuple[str, str]:
        return wording.past_erased(erase_past(viewer)), ""

    if st.button(wording.PAST_ERASE, key="erase_past", disabled=typed.strip() != wording.PAST_WORD):
        with st.spinner(wording.ERASING):
            attempt(erase)
        st.session_state.pop("past_listed", None)
        st.rerun()


def trail(viewer: Viewer) -> None:
    """Show who did what."""
    heading(wording.TRAIL, wording.TRAIL_LEDE)
    only = st.selectbox(wording.SHOW_ONLY, list(TRAIL_WORDS), index=None, width=260, key="trail_only")
    rows = [
        {"at": at[:16].replace("T", " "), "who": who, "what": what, "about": about}
        for at, who, what, about in trail_of(viewer)
        if only is None or what.startswith(only)
    ]
    columns = [
        ("at", wording.TRAIL_WHEN), ("who", wording.TRAIL_WHO), ("what", wording.TRAIL_WHAT),
        ("about", wording.TRAIL_ABOUT),
    ]  # fmt: skip
    page.show(table(rows, [(key, label, None) for key, label in columns]))


def draw() -> None:
    """Draw the page."""
    viewer = current_viewer()
    if viewer is None or viewer.role != "head_coach":
        page.show(html('<h1>{}</h1><p class="lede">{}</p>', wording.PEOPLE, wording.PEOPLE_REFUSED))
        return
    page.show(html('<h1>{}</h1><p class="lede">{}</p>', wording.PEOPLE, wording.PEOPLE_LEDE))
    said = st.session_state.pop(SAID, None)
    if said:
        page.show(html('<p class="said {}" role="status">{}</p>', said[0], said[1]))
        if said[2]:
            page.show(html('<p class="soft">{}</p>', wording.INVITATION))
            st.code(said[2], language=None, wrap_lines=True)
            if opens_elsewhere(said[2]):
                page.show(
                    html('<p class="soft">{}</p><div>{}</div>', wording.INVITATION_SCAN, as_html(square_svg(said[2])))
                )
            else:
                page.show(html('<p class="said wrong">{}</p>', wording.INVITATION_HERE_ONLY))
    board = None
    names: dict[str, str] = {}
    try:
        board = Board(home_folder())
        names = dict(board.allowed_athletes(viewer).select("athlete_id", "display_name").iter_rows())
    except NoBoard:
        page.show(empty(wording.NO_BOARD, wording.NO_BOARD_NEXT))
    heading(wording.ACCOUNTS)
    found = list_accounts(viewer, names)
    page.show(html('<p><a href="/account">{}</a></p>', wording.OWN_SIGN_IN))
    if viewer.is_fresh:
        left, right = st.columns(2, gap="large")
        with left:
            page.show(html("<h3>{}</h3>", wording.ONE_ACCOUNT))
            change(viewer, found)
            page.show(html("<h3>{}</h3>", wording.SECOND))
            second(viewer)
        with right:
            page.show(html("<h3>{}</h3>", wording.ADD_ACCOUNT))
            add(viewer, names, minors_of(viewer, board, viewers_day()) if board else [])
    else:
        ask_again()
    if board is not None:
        consent(viewer, board, names, viewers_day())
        if viewer.is_fresh:
            one_person(viewer, names)
        past(viewer, names)
    trail(viewer)
    page.show(caution())


draw()
