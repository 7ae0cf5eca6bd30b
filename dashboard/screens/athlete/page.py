"""One athlete for the coach: the three calls with all reasons, then the start, the work, the races and decisions."""

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.calls import last_answers, readiness_rows, three_calls
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import explain
from dashboard.parts.marks import caution, empty
from dashboard.parts.phone_parts import phone_parts
from dashboard.parts.return_ladder import return_ladders
from dashboard.parts.season import season_line
from dashboard.parts.strip import strip
from dashboard.parts.who import athlete_of_address, athletes_to_open, offer_athletes
from dashboard.reads import monday_of, query_value
from dashboard.screens.athlete import beside_others, growth, raw, start_figures, work_figures
from dashboard.screens.athlete.remarks import remarks
from dashboard.screens.check_in.writes import viewers_day
from schemas.html import html

# What stands on each side, in parts: a phone shows one part at a time, a wide window all of them.
LEFT = (
    ("now_left", (start_figures.trend, beside_others.beside_others)),
    ("steps", (start_figures.contacts, raw.impulse, raw.set_positions, start_figures.rhythm)),
    ("start", (raw.raw_bests, start_figures.acceleration, start_figures.patterns, start_figures.technique)),
    ("record_left", (work_figures.races,)),
)
RIGHT = (
    ("now_right", (start_figures.focus,)),
    ("work", (work_figures.load, work_figures.exposure, work_figures.work_by_kind)),
    ("strength", (work_figures.strength, work_figures.spring, raw.trials, growth.growth)),
    ("record_right", (lambda opened, athlete_id: return_ladders(opened, [athlete_id]), work_figures.decisions)),
)


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.ATHLETES, coach_only=True)
    if opened is None:
        return
    people = opened.board.allowed_athletes(opened.viewer).to_dicts()
    if not people:
        page.show(
            html("<h1>{}</h1>{}{}", wording.ATHLETES, empty(wording.NO_ATHLETES, wording.NO_ATHLETES_NEXT), caution())
        )
        return
    names = {p["athlete_id"]: p["display_name"] for p in people}
    athlete_id = athlete_of_address(names)
    refused = query_value("athlete") is not None and athlete_id is None
    with st.container(horizontal=True, key="who", vertical_alignment="bottom"):
        heading = st.empty()
        offer_athletes(names, athlete_id, "choose", keeps_choices=True)
    if athlete_id is None:
        heading.html(html('<div class="house"><h1>{}</h1></div>', wording.ATHLETES))
        said = empty(wording.NOT_ALLOWED if refused else wording.CHOOSE_NEXT)
        page.show(said + athletes_to_open(people, "athlete") + caution())
        return
    person = next(p for p in people if p["athlete_id"] == athlete_id)
    group = wording.EVENT_GROUPS.get(person["event_group"] or "", "")
    place = " · ".join(p for p in (group, f"squad {person['squad']}" if person["squad"] else "") if p)
    heading.html(
        html('<div class="house"><h1>{}</h1><small>{} · ', names[athlete_id], place)
        + html('<a href="sheet/{}.pdf" target="_blank">{}</a>, ', athlete_id, wording.PRINT_ATHLETE)
        + html('<a href="sheet/{}.pdf?own=1" target="_blank">{}</a></small></div>', athlete_id, wording.PRINT_OWN)
    )
    season = season_line(opened, {athlete_id: names[athlete_id]}, monday_of(viewers_day()), in_full=True)
    page.show(season, three_calls(opened, athlete_id))
    explain(
        opened,
        "calls",
        ("readiness_day", "hamstring_flag"),
        lambda: readiness_rows(opened, athlete_id),
        worked=lambda: wording.worked_answers(last_answers(opened, athlete_id)),
    )
    phone_parts(wording.ATHLETE_PARTS)
    with st.container(key="part_now"):
        strip(opened, athlete_id, viewers_day())
        remarks(opened, athlete_id, viewers_day())
    left, right = st.columns(2, gap="large")
    for side, parts in ((left, LEFT), (right, RIGHT)):
        with side:
            for name, figures in parts:
                with st.container(key=f"part_{name}"):
                    for figure in figures:
                        figure(opened, athlete_id)
    page.show(caution(wording.WORK_CAUTION + " " + wording.CAUTION_LINE))


draw()
