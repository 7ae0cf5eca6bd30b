"""Two starts of one athlete side by side, what stands beside them, and what a change would be worth."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.marks import caution, empty
from dashboard.parts.phone_parts import phone_parts
from dashboard.parts.who import athlete_of_address, athletes_to_open, offer_athletes
from dashboard.reads import query_value
from dashboard.screens.starts import beside as lab_beside
from dashboard.screens.starts import pair as lab_starts
from dashboard.screens.starts import pick as lab_pick
from dashboard.screens.starts import words
from dashboard.screens.starts.trials import trials
from dashboard.screens.starts.what_if import what_if
from schemas.html import html

STYLE = (
    ".keys .key{display:inline-flex;gap:6px;align-items:center;margin-right:18px;color:var(--ink)}"
    ".answer{border-left:2px solid var(--blue);padding-left:10px;margin:4px 0 8px!important}"
    ".key .mark{width:9px;height:9px;display:inline-block;border:1.5px solid var(--ink);background:var(--paper)}"
    ".key .mark.a{background:var(--blue);border-color:var(--blue);border-radius:50%}"
    ".stApp [data-testid='stSlider'] [role='group'] > div > div:first-child{background:var(--edge)!important;"
    "position:relative}"
    ".stApp [data-testid='stSlider'] [role='group'] > div > div:first-child::after{content:'';position:absolute;"
    "left:50%;top:-3px;height:9px;border-left:1px solid var(--soft)}"
    ".st-key-starts{gap:10px 24px!important}"
)


def choose_athlete(people: Sequence[Mapping[str, Any]], names: Mapping[str, str]) -> str | None:
    """Offer the athletes this viewer may see; the choice is kept in the address."""
    athlete_id = athlete_of_address(names)
    with st.container(horizontal=True, key="who", vertical_alignment="bottom"):
        said = f": {names[athlete_id]}" if athlete_id else ""
        st.html(html('<div class="house"><h1>{}{}</h1></div>', words.TWO_STARTS, said), width="content")
        offer_athletes(names, athlete_id, "lab")
    if athlete_id is None:
        said = empty(wording.NOT_ALLOWED if query_value("athlete") else words.CHOOSE_NEXT)
        page.show(said + athletes_to_open(people, "two-starts") + caution())
    return athlete_id


def draw() -> None:
    """Draw the page."""
    opened = open_page(words.TWO_STARTS, coach_only=True)
    if opened is None:
        return
    people = opened.board.allowed_athletes(opened.viewer).to_dicts()
    if not people:
        page.show(
            html("<h1>{}</h1>{}{}", words.TWO_STARTS, empty(wording.NO_ATHLETES, wording.NO_ATHLETES_NEXT), caution())
        )
        return
    page.use_house_style(STYLE)
    names = {p["athlete_id"]: p["display_name"] for p in people}
    athlete_id = choose_athlete(people, names)
    if athlete_id is None:
        return
    runs = lab_pick.free_runs(opened, athlete_id)
    pair = None
    if runs:
        with st.container(horizontal=True, key="starts"):
            chosen = lab_pick.choose_two(lab_pick.choose_kind(opened, athlete_id, runs))
        pair = (lab_pick.read_start(opened, chosen[0]), lab_pick.read_start(opened, chosen[1])) if chosen else None
    phone_parts(words.PARTS if pair else words.PARTS_WITHOUT_A_PAIR, prefix="lab", place="show")
    if pair is None:
        page.show(empty(words.ONE_RUN if runs else words.NO_RUNS))
    else:
        with st.container(key="lab_steps"):
            lab_starts.side_by_side(opened, pair)
        left, right = st.columns(2, gap="large")
        with left, st.container(key="lab_curves_left"):
            lab_starts.speed(opened, pair)
        with right:
            with st.container(key="lab_curves_right"):
                lab_starts.force(opened, pair)
            with st.container(key="lab_patterns"):
                lab_starts.patterns(opened, pair)
        with st.container(key="lab_what_if"):
            what_if(opened, "B", pair[1])
    with st.container(key="lab_trials"):
        trials(opened, athlete_id, names[athlete_id])
    left, right = st.columns(2, gap="large")
    with left, st.container(key="lab_trend"):
        lab_beside.trend(opened, athlete_id)
        lab_beside.followed(opened, athlete_id)
    with right, st.container(key="lab_squad"):
        lab_beside.squad(opened, athlete_id)
    left, right = st.columns(2, gap="large")
    with left, st.container(key="lab_races_left"):
        lab_beside.sled(opened, athlete_id)
    with right, st.container(key="lab_races_right"):
        lab_beside.races(opened, athlete_id)
    page.show(caution(wording.WORK_CAUTION + " " + wording.CAUTION_LINE))


draw()
