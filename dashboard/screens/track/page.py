"""At the track: a group's runs, minutes and effort typed on a phone with one thumb, with a line or without."""

import datetime as dt
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.current import current_viewer
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.marks import caution, empty
from dashboard.reads import Opened
from dashboard.screens.check_in.writes import viewers_day
from dashboard.screens.track import words, writes
from dashboard.screens.track.desk import show_track
from schemas.html import html

KEY = "track"
DAYS_BACK = 14
OWN_DAYS_BACK = 60  # own times of these days stand beside a new one; own choice
OWN_TIMES = 8  # the latest of a kind; own choice


def on_record(opened: Opened, day: dt.date) -> dict[str, dict[str, dict[str, int]]]:
    """Return the last run on record by day, athlete and session (0: none), so that nobody types over what is there."""
    found: dict[str, dict[str, dict[str, int]]] = {}
    names = ["athlete_id", "session_date", "session_no", "rep_no"]
    since = {"session_date": (">=", day - dt.timedelta(days=DAYS_BACK))}
    for row in opened.rows("rep", since, columns=names, order_by=["rep_no"]):
        of_day = found.setdefault(row["session_date"].isoformat(), {})
        of_day.setdefault(row["athlete_id"], {})[str(row["session_no"])] = row["rep_no"]
    for row in opened.rows("session", since, columns=names[:3]):  # a session without runs, a logged day off too
        of_day = found.setdefault(row["session_date"].isoformat(), {})
        of_day.setdefault(row["athlete_id"], {}).setdefault(str(row["session_no"]), 0)
    return found


def own_times(opened: Opened, day: dt.date) -> dict[str, dict[str, list[str]]]:
    """Return each athlete's latest times of free runs, as typed, by start, clock and gate; newest first."""
    since = {"session_date": (">=", day - dt.timedelta(days=OWN_DAYS_BACK))}
    run = ["athlete_id", "session_date", "session_no", "rep_no"]
    kind = {
        tuple(row[name] for name in run): f"{row['start_kind'] or 'not_said'} {row['clock_start'] or 'not_said'}"
        for row in opened.rows("rep", since, columns=[*run, "start_kind", "clock_start", "resistance_kind", "outcome"])
        if row["resistance_kind"] in ("none", None) and row["outcome"] in ("completed", None)
    }
    found: dict[str, dict[str, list[str]]] = {}
    wanted = [*run, "distance_m", "elapsed_s"]
    for row in opened.rows("split", since, columns=wanted, order_by=["-session_date", "-rep_no"]):
        of_run = kind.get(tuple(row[name] for name in run))
        if of_run is None:
            continue
        place = f"{of_run} {row['distance_m']:g}"
        times = found.setdefault(row["athlete_id"], {}).setdefault(place, [])
        if len(times) < OWN_TIMES:
            times.append(f"{row['elapsed_s']:.3f}")
    return found


def heard() -> None:
    """Keep what was sent, before the page is drawn again; the answer goes back with it."""
    viewer = current_viewer()
    parcel = (st.session_state.get(KEY) or {}).get("send")
    if viewer is not None and isinstance(parcel, dict):
        st.session_state["track_receipt"] = writes.keep(viewer, parcel)


def people_of(opened: Opened) -> list[dict[str, Any]]:
    """Return the athletes of the viewer with their groups, in the order of their names."""
    return [
        {"id": one["athlete_id"], "name": one["display_name"], "group": one["event_group"] or "",
         "group_name": wording.EVENT_GROUPS.get(one["event_group"] or "", wording.EVENT_GROUPS["other"])}
        for one in opened.board.allowed_athletes(opened.viewer).to_dicts()
    ]  # fmt: skip


def draw() -> None:
    """Draw the page."""
    opened = open_page(words.TRACK)
    if opened is None:
        return
    if not opened.viewer.is_coach:
        page.show(html("<h1>{}</h1>{}", words.TRACK, empty(words.NO_RIGHT)))
        return
    people = people_of(opened)
    if not people:
        page.show(html("<h1>{}</h1>{}{}", words.TRACK, empty(words.NOBODY, wording.NO_ATHLETES_NEXT), caution()))
        return
    day = viewers_day()
    page.show(html('<h1>{}</h1><p class="soft">{}</p>', words.TRACK, words.LEDE))
    data = {
        "who": opened.viewer.name, "today": day.isoformat(), "people": people, "words": words.PAGE,
        "choices": words.CHOICES,
        "limits": words.LIMITS, "own_times": own_times(opened, day),
        "on_record": on_record(opened, day), "receipt": st.session_state.get("track_receipt"),
    }  # fmt: skip
    show_track(data, KEY, heard)
    page.show(html('<p class="soft">{}</p>{}', words.PRIVACY, caution()))


draw()
