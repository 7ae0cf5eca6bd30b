"""Film: a start off a phone film, marked frame by frame; the film stays on the device of whoever marks it."""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.current import is_still
from dashboard.downloads import offer
from dashboard.home import todays_date
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.film_link import film_address
from dashboard.parts.marks import SCROLL, caution, empty
from dashboard.parts.who import athlete_of_address, athletes_to_open, offer_athletes
from dashboard.reads import Opened, parsed_day, query_value
from dashboard.screens.film import words, writes
from dashboard.screens.film.desk import show_desk
from dashboard.screens.film.found import told_of
from dashboard.writes import NotKept, sample_file
from schemas.html import Markup, html, join_html

Row = dict[str, Any]
LANE_WIDTH_M = 1.22  # shown first; the marks keep what was really there
LANE_DISTANCES = "0, 2.5, 5"
RUNS_OFFERED, LANES_OFFERED = 60, 3
ANOTHER = "another"


def choose_athlete(people: Sequence[Row], names: Mapping[str, str]) -> str | None:
    """Offer the athletes this viewer may see; the choice is kept in the address."""
    athlete_id = athlete_of_address(names)
    with st.container(horizontal=True, key="who", vertical_alignment="bottom"):
        said = f": {names[athlete_id]}" if athlete_id else ""
        st.html(html('<div class="house"><h1>{}{}</h1></div>', words.FILM, said), width="content")
        offer_athletes(names, athlete_id, "film_who")
    if athlete_id is None:
        page.show(
            html('<p class="lede">{}</p>', words.LEDE)
            + empty(wording.NOT_ALLOWED if query_value("athlete") else words.CHOOSE_NEXT)
            + athletes_to_open(people, "film")
            + caution()
        )
    return athlete_id


def choose_run(opened: Opened, athlete_id: str) -> Row:
    """Offer the runs on record, newest first, and one that is not on record yet; the choice is kept in the address."""
    rows = opened.rows("rep", {"athlete_id": athlete_id}, columns=list(writes.RUN),
                       order_by=["-session_date", "-session_no", "-rep_no"], limit=RUNS_OFFERED)  # fmt: skip
    runs = {key_of(row): row for row in rows}
    asked = asked_run(athlete_id)
    if asked is not None and key_of(asked) not in runs:
        runs = {key_of(asked): asked, **runs}
    offered = [*runs, ANOTHER]
    at = offered.index(key_of(asked)) if asked is not None else 0
    with st.container(horizontal=True, key="film_run", vertical_alignment="bottom"):
        chosen = st.selectbox(
            words.CHOOSE_RUN, offered, index=at, width=320, key=f"film_run_{athlete_id}_{offered[at]}",
            format_func=lambda one: words.ANOTHER_RUN if one == ANOTHER else words.run_label(runs[one]),
        )  # fmt: skip
        if chosen != ANOTHER:
            return dict(runs[chosen])
        day = st.date_input(words.DAY, value=todays_date(), format="YYYY-MM-DD", width=160)
        session = st.number_input(words.SESSION, 1, 9, 1, width=110)
        rep = st.number_input(words.RUN, 1, 99, 1, width=110)
    return {"athlete_id": athlete_id, "session_date": day, "session_no": int(session), "rep_no": int(rep)}


def asked_run(athlete_id: str) -> Row | None:
    """Return the run the address names."""
    day, session, rep = parsed_day(query_value("day")), query_value("session") or "1", query_value("run") or ""
    if day is None or not session.isdecimal() or not rep.isdecimal():
        return None
    return {"athlete_id": athlete_id, "session_date": day, "session_no": int(session), "rep_no": int(rep)}


def key_of(run: Mapping[str, Any]) -> str:
    """Return a run as a short text."""
    return " ".join(str(run[name]) for name in writes.RUN)


@st.fragment
def desk(opened: Opened, run: Row, name: str) -> None:
    """Show the desk for a run: its kept marks, those in hand, and what follows from them."""
    if not is_still(opened.viewer):
        st.rerun()
    key, state = key_of(run), st.session_state
    told_run = {**run, "session_date": run["session_date"].isoformat()}
    turn = f"{key} {state.get('film_turn', 0)}"
    if state.get("film_opened") != turn:
        hand, kept = writes.in_hand(opened.viewer, told_run), writes.kept(opened.viewer, opened.board, run)
        state["film_opened"], state["film_in_hand"] = turn, hand is not None
        state["film_work"] = hand or (kept[1] if kept else None)
        state["film_heard"] = (hand or {}).get("sent")
    if state.get("film_in_hand"):
        _say_in_hand(opened, told_run)
    work = state.get("film_work")
    patterns = (
        opened.rows("start_pattern", dict(run), order_by=["pattern"]) if "start_pattern" in opened.board.tables else []
    )
    data = {
        # a desk that stands takes marks at another turn alone; one that is drawn anew finds those in hand
        "run": told_run, "who": opened.viewer.name, "heard": state.get("film_heard"), "words": words.DESK,
        "marks": work, "marks_turn": turn,
        "results": told_of(writes.measured({**work, "run": told_run}) if work and work.get("film") else None, patterns),
        **from_kept(opened, run), "distances": LANE_DISTANCES, "lane_width_m": LANE_WIDTH_M,
    }  # fmt: skip

    def heard() -> None:
        got = (state.get("film_desk") or {}).get("work")
        if got and is_still(opened.viewer):
            state["film_work"] = dict(got)
            try:
                writes.put_by(opened.viewer, opened.board, told_run, got)
                state["film_heard"] = got.get("sent")
            except NotKept as why:
                state["film_said"] = str(why)

    def keep() -> None:
        got = (state.get("film_desk") or {}).get("keep")
        if not got or not is_still(opened.viewer):
            return
        try:
            load_no = writes.keep(opened.viewer, opened.board, told_run, got)
        except NotKept as why:
            state["film_said"], state["film_kept"] = str(why), None
            return
        state["film_in_hand"], state["film_heard"] = False, got.get("sent")
        state["film_said"] = words.KEPT.format(f"{name}, {words.run_label(run)}")
        state["film_kept"] = load_no

    show_desk(data, "film_desk", heard, keep)
    _say_kept(opened, work, run)


def _say_in_hand(opened: Opened, told_run: Mapping[str, Any]) -> None:
    with st.container(horizontal=True, vertical_alignment="center"):
        page.show(html('<p class="soft">{}</p>', words.IN_HAND.format(told_run["session_date"])))
        if st.button(words.DROP_IN_HAND, key="film_drop"):
            writes.drop_in_hand(opened.viewer, told_run)
            st.session_state["film_turn"] = st.session_state.get("film_turn", 0) + 1
            st.rerun(scope="fragment")


def _say_kept(opened: Opened, work: Mapping[str, Any] | None, run: Mapping[str, Any]) -> None:
    state = st.session_state
    print_now = ((work or {}).get("film") or {}).get("print")
    twice = (
        [row for row in opened.rows("film", {"film_print": print_now}) if key_of(row) != key_of(run)]
        if print_now
        else []
    )
    if twice:
        names = {p["athlete_id"]: p["display_name"] for p in opened.board.allowed_athletes(opened.viewer).to_dicts()}
        page.show(empty(words.TWICE.format(f"{names[twice[0]['athlete_id']]}, {words.run_label(twice[0])}")))
    if state.get("film_said"):
        with st.container(horizontal=True, vertical_alignment="center", key="film_said_box"):
            page.show(html('<p role="status"><b>{}</b></p>', state["film_said"]))
            if state.get("film_kept") and st.button(words.KEPT_UNDO, key="film_undo"):
                try:
                    writes.take_back(opened.viewer, state["film_kept"])
                    state["film_said"] = words.TAKEN_BACK
                except NotKept as why:
                    state["film_said"] = str(why)
                state["film_kept"] = None
                st.rerun(scope="fragment")


def from_kept(opened: Opened, run: Mapping[str, Any]) -> Row:
    """Return what other kept films bring to this one; read once a run and build, not at every mark."""
    at, state = f"{opened.board.build} {key_of(run)}", st.session_state
    if state.get("film_kept_at") != at:
        state["film_kept_at"], state["film_from_kept"] = (
            at,
            {"lanes": lanes(opened, run), "films": films_known(opened, run)},
        )
    return dict(state["film_from_kept"])


def lanes(opened: Opened, run: Mapping[str, Any]) -> list[Row]:
    """Return the lane marks of the last films of that day, of whomever: the phone may not have moved since."""
    rows = opened.rows("film", {"session_date": run["session_date"]}, order_by=["-marked_at"])
    names = {p["athlete_id"]: p["display_name"] for p in opened.board.allowed_athletes(opened.viewer).to_dicts()}
    told = []
    for row in [one for one in rows if one["lane_marks"] and key_of(one) != key_of(run)][:LANES_OFFERED]:
        kept = writes.kept(opened.viewer, opened.board, {name: row[name] for name in writes.RUN})
        if kept is not None:
            label = words.LANE_FROM.format(f"{names[row['athlete_id']]}, run {row['rep_no']}")
            told.append({"label": label, "lane": kept[1]["lane"]})
    return told


def films_known(opened: Opened, run: Mapping[str, Any]) -> Row:
    """Return when first movement is in each kept film of the athlete, by the film's fingerprint."""
    known = {}
    for row in opened.rows("film", {"athlete_id": run["athlete_id"]}, order_by=["-session_date"], limit=20):
        kept = writes.kept(opened.viewer, opened.board, {name: row[name] for name in writes.RUN})
        zero = next((one for one in kept[1]["marks"] if one["event"] == "first_movement"), None) if kept else None
        if zero is not None and row["film_print"] and row["capture_rate_hz"]:
            rates = {"container_hz": row["container_rate_hz"], "capture_hz": row["capture_rate_hz"]}
            known[row["film_print"]] = {"t": zero["t"], **rates, "label": words.run_label(row)}
    return known


def films(opened: Opened, athlete_id: str) -> None:
    """List the films kept of the athlete: open one, take its marks away, take it back."""
    rows = opened.rows("film", {"athlete_id": athlete_id}, order_by=["-session_date", "-rep_no"], limit=RUNS_OFFERED)
    if not rows:
        page.show(html('<div class="finding"><h2>{}</h2>{}</div>', words.FILMS_TITLE, empty(words.NO_FILMS)))
        return
    lines = []
    for row in rows:
        address = film_address(row)
        file = offer(
            opened.viewer, f"{athlete_id}_{row['session_date']}_{row['rep_no']}.marks", partial(writes.file_of, row)
        )
        lines.append(
            html("<tr><td>{}</td><td>{}</td>", words.run_label(row), row["film_name"])
            + html("<td>{}, {}</td>", row["marked_by"], wording.cell(row["marked_at"]))
            + html(
                '<td><a href="{}">{}</a> · <a href="{}" download>{}</a> · ', address, words.OPEN, file, words.TAKE_AWAY
            )
            + html(
                '<button class="plain" data-act="back" data-load="{}">{}</button></td></tr>',
                row["load_no"],
                words.TAKE_BACK,
            )
        )

    def act(said: Row) -> None:
        if said.get("act") == "back" and str(said.get("load")).isdecimal():
            try:
                writes.take_back(opened.viewer, int(said["load"]))
                st.session_state["film_said"], st.session_state["film_kept"] = words.TAKEN_BACK, None
            except NotKept as why:
                st.session_state["film_said"] = str(why)

    head = join_html(html('<th scope="col">{}</th>', one) for one in words.KEPT_COLUMNS)
    films = html("<table><thead><tr>{}</tr></thead><tbody>{}</tbody></table></div>", head, join_html(lines))
    drawn = html('<div class="finding"><h2>{}</h2>{}{}</div>', words.FILMS_TITLE, SCROLL, films)
    page.show_sheet(drawn, "film_list", act)


def _to_try(opened: Opened) -> Markup:
    found = sample_file("film")
    if found is None:
        return Markup()
    address = offer(opened.viewer, found[0], partial(bytes, found[1]))
    return html('<p><a href="{}" download>{}</a>. {}</p>', address, words.TRY_IT, words.TRY_IT_NEXT)


def _not_to_be_filmed(opened: Opened, athlete_id: str, name: str) -> Markup:
    """Say that consent to video was withdrawn or refused, to whoever may look at the athlete's films."""
    given = opened.rows("consent", {"athlete_id": athlete_id, "topic": "video"}, order_by=["given_on"])
    if not given or not given[-1]["withdrawn_on"]:
        return Markup()
    said = words.no_more_films(name, given[-1]["withdrawn_on"], is_refused=bool(given[-1].get("is_refused")))
    return html('<p class="said wrong">{}</p>', said)


def draw() -> None:
    """Draw the page."""
    opened = open_page(words.FILM, coach_only=True)
    if opened is None:
        return
    people = opened.board.allowed_athletes(opened.viewer).to_dicts()
    if not people:
        page.show(html("<h1>{}</h1>{}{}", words.FILM, empty(wording.NO_ATHLETES, wording.NO_ATHLETES_NEXT), caution()))
        return
    names = {p["athlete_id"]: p["display_name"] for p in people}
    athlete_id = choose_athlete(people, names)
    if athlete_id is None:
        return
    page.show(_not_to_be_filmed(opened, athlete_id, names[athlete_id]))
    run = choose_run(opened, athlete_id)
    page.show(html('<p class="soft">{}</p>', words.LEDE))
    with st.expander(words.SETTING_UP_TITLE):
        page.show(html("<p>{}</p>{}", words.SETTING_UP, _to_try(opened)))
    desk(opened, run, names[athlete_id])
    films(opened, athlete_id)
    page.show(caution())


draw()
