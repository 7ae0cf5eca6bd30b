"""Consent and data: what is kept of one athlete, consent given and withdrawn, a copy of everything, whom to ask."""

from collections.abc import Callable
from functools import partial
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.current import prove_again
from dashboard.access.readers import readers_of
from dashboard.downloads import offer
from dashboard.home import todays_date
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import table
from dashboard.parts.marks import caution, empty
from dashboard.reads import Opened
from dashboard.screens.check_in.writes import welfare_contact
from dashboard.screens.consent import words, writes
from dashboard.writes import NotKept, in_words
from schemas.html import html
from schemas.labels import CONSENT_TOPICS

SAID, LOAD = "consent_said", "consent_load"


def heading(title: str, lede: str = "") -> None:
    """Draw the heading of a part."""
    page.show(html('<h2 class="ruled">{}</h2><p class="soft">{}</p>', title, lede))


def attempt(what: Callable[[], str]) -> None:
    """Do something and draw the page anew with what is said of it; what could not be done is said where it was asked.

    On a phone the top of the page is out of sight.
    """
    try:
        st.session_state[SAID] = ("kept", what())
    except NotKept as wrong:
        say("wrong", str(wrong))
        return
    st.rerun()


def say(kind: str, sentence: str) -> None:
    """Show what was done or could not be."""
    page.show(html('<p class="said {}" role="status">{}</p>', kind, sentence))


def kept(opened: Opened, athlete_id: str) -> None:
    """List what is on record, by table, and who reads it."""
    heading(words.KEPT, words.KEPT_LEDE)
    shown = []
    for name, title in wording.RECORD_TITLES.items():
        if name != "athlete" and "athlete_id" in opened.board.columns(name):
            try:
                rows = opened.rows(name, {"athlete_id": athlete_id}, columns=["athlete_id"])
            except PermissionError:
                continue  # kept for coaches alone, as what waits to be mended is
            if rows:
                shown.append({"what": title, "rows": len(rows)})
    drawn = table(shown, [(*one, None) for one in words.COLUMNS])
    page.use_house_style(".kept-rows{max-width:30rem}")
    page.show(html('<div class="kept-rows">{}</div>', drawn) if shown else empty(words.NOTHING_KEPT))


def consent(opened: Opened, athlete_id: str, born: Any) -> None:
    """Show what is agreed to, and let it be given, withdrawn and taken back by whose it is."""
    day, viewer = todays_date(), opened.viewer
    heading(words.CONSENT, words.FREELY)
    may = writes.may_decide(viewer, born, day)
    if not may:
        page.show(html("<p>{}</p>", words.UNDER_AGE))
    given = opened.rows("consent", {"athlete_id": athlete_id}, order_by=["-given_on"])
    for topic, title in CONSENT_TOPICS.items():
        now = next((row for row in given if row["topic"] == topic), None)
        in_force = now is not None and now["withdrawn_on"] is None
        note = html('<p class="soft">{}</p>', words.STOPS[topic]) if in_force else ""
        asks = html('<p class="soft">{}</p>', words.ASKS[topic])
        page.show(html("<h3>{}</h3>{}<p>{}</p>{}", title.capitalize(), asks, words.stands(now), note))

        def change(what: str, topic: str = topic, now: Any = now) -> str:
            st.session_state[LOAD] = writes.keep(viewer, topic, now, born, day, is_refused=what == "refuse")
            return words.done(topic, what)

        if not may:
            continue
        keys = {"withdraw": words.WITHDRAW} if in_force else {"give": words.GIVE}
        if now is None:  # yes and no are offered alike
            keys["refuse"] = words.REFUSE
        with st.container(horizontal=True):
            for what, label in keys.items():
                if st.button(label, key=f"consent_{topic}_{what}", width=190):
                    attempt(partial(change, what))
    page.show(html('<p class="soft">{}</p>', words.STAYS))


def undo(opened: Opened) -> None:
    """Say what was just done and offer to take it back."""
    said = st.session_state.pop(SAID, None)
    if said:
        say(*said)

    def back() -> str:
        writes.take_back(opened.viewer, st.session_state[LOAD])
        del st.session_state[LOAD]
        return words.UNDONE

    if st.session_state.get(LOAD) and st.button(words.UNDO, key="consent_undo"):
        attempt(back)


def copy(opened: Opened, athlete_id: str) -> None:
    """Offer everything as a file, once the pass-phrase was given within the last minutes."""
    viewer = opened.viewer
    heading(words.COPY, words.COPY_LEDE if viewer.is_own else f"{words.COPY_LEDE} {words.NO_NOTES}")
    if viewer.is_fresh:
        address = offer(viewer, f"{athlete_id}.zip", partial(writes.copy_of_all, viewer), again=True)
        page.show(html('<p><a href="/{}" download class="btn">{}</a></p>', address, words.COPY_GET))
        return
    with st.form("again", border=False):
        typed = st.text_input(wording.AGAIN_LABEL, type="password", autocomplete="current-password", width=420)
        sent = st.form_submit_button(wording.AGAIN_BUTTON)

    def prove() -> str:
        with in_words():
            prove_again(typed)
        return words.COPY_LEDE

    if sent:
        attempt(prove)


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.CONSENT_AND_DATA)
    if opened is None:
        return
    athlete_id = opened.viewer.athlete_id
    people = opened.rows("athlete", {"athlete_id": athlete_id}) if opened.viewer.is_tied and athlete_id else []
    if not people or athlete_id is None:
        page.show(html("<h1>{}</h1>{}", wording.CONSENT_AND_DATA, empty(words.NOT_TIED)))
        return
    page.show(html("<h1>{}</h1>", wording.CONSENT_AND_DATA))
    undo(opened)
    consent(opened, athlete_id, people[0].get("birth_date"))
    kept(opened, athlete_id)
    readers = readers_of(athlete_id, people[0]["event_group"])
    page.show(html("<p>{}</p>", words.reads(readers.answers, readers.notes, guardian=readers.has_guardian)))
    copy(opened, athlete_id)
    heading(words.ASK, words.ask(readers.heads, welfare_contact()))
    page.show(caution())


draw()
