"""One athlete for the coach: the three calls with all reasons, then the start, the work, the races and decisions."""

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.calls import readiness_rows, three_calls
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import explain
from dashboard.parts.marks import caution, empty, text
from dashboard.parts.return_ladder import return_ladders
from dashboard.reads import query_value
from dashboard.screens.athlete import start_figures, work_figures


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.ATHLETES, coach_only=True)
    if opened is None:
        return
    people = opened.board.allowed_athletes(opened.viewer).to_dicts()
    if not people:
        page.show(f"<h1>{wording.ATHLETES}</h1>{empty(wording.NO_ATHLETES, wording.NO_ATHLETES_NEXT)}{caution()}")
        return
    names = {p["athlete_id"]: p["display_name"] for p in people}
    asked = query_value("athlete")
    refused = asked is not None and asked not in names
    athlete_id = asked if asked in names else None
    ids = list(names)
    with st.container(horizontal=True, key="who", vertical_alignment="bottom"):
        heading = st.empty()
        chosen = st.selectbox(
            wording.CHOOSE_ATHLETE,
            ids,
            index=ids.index(athlete_id) if athlete_id else None,
            format_func=lambda i: names[i],
            placeholder=wording.CHOOSE_ATHLETE,
            width=260,
            label_visibility="collapsed",
            key=f"choose_{athlete_id}",
        )
    if chosen is not None and chosen != athlete_id:
        st.query_params["athlete"] = chosen
        st.rerun()
    if athlete_id is None:
        heading.html(f'<div class="house"><h1>{wording.ATHLETES}</h1></div>')
        page.show((empty(wording.NOT_ALLOWED) if refused else empty(wording.CHOOSE_NEXT)) + caution())
        return
    person = next(p for p in people if p["athlete_id"] == athlete_id)
    group = wording.EVENT_GROUPS.get(person["event_group"] or "", "")
    place = " · ".join(p for p in (group, f"squad {person['squad']}" if person["squad"] else "") if p)
    heading.html(
        f'<div class="house"><h1>{text(names[athlete_id])}</h1><small>{text(place)} · '
        f'<a href="sheet/{text(athlete_id)}.pdf" target="_blank">{wording.PRINT_ATHLETE}</a>, '
        f'<a href="sheet/{text(athlete_id)}.pdf?own=1" target="_blank">{wording.PRINT_OWN}</a></small></div>'
    )
    page.show(three_calls(opened, athlete_id))
    explain(opened, "calls", ("readiness_day", "hamstring_flag"), lambda: readiness_rows(opened, athlete_id))
    left, right = st.columns(2, gap="large")
    with left:
        start_figures.trend(opened, athlete_id)
        start_figures.contacts(opened, athlete_id)
        start_figures.rhythm(opened, athlete_id)
        start_figures.acceleration(opened, athlete_id)
        start_figures.patterns(opened, athlete_id)
        work_figures.races(opened, athlete_id)
    with right:
        start_figures.focus(opened, athlete_id)
        work_figures.load(opened, athlete_id)
        work_figures.exposure(opened, athlete_id)
        work_figures.work_by_kind(opened, athlete_id)
        work_figures.strength(opened, athlete_id)
        work_figures.spring(opened, athlete_id)
        return_ladders(opened, [athlete_id])
        work_figures.decisions(opened, athlete_id)
    page.show(caution(wording.WORK_CAUTION + " " + wording.CAUTION_LINE))


draw()
