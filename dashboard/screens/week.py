"""This week: the squad on one sheet, with what changed, what was decided and what is missing."""

import datetime as dt
from typing import Any

import polars as pl
import streamlit as st

from dashboard import wording
from dashboard.access.viewer import Viewer, current_viewer
from dashboard.board import Board, home_folder
from dashboard.deciding import NotKept, keep_decision, undo_decision
from dashboard.parts import page
from dashboard.parts.marks import caution, empty, lede, text
from dashboard.parts.week_sheet import filter_line, link, sheet_table, side_column
from dashboard.reading import SCREENS, Opened, open_page, parsed_day, query_value

CHOICES = ("week", "group", "squad", "call", "sort")
TEST_OVERDUE_DAYS = 42
MOST_FILES = 3  # files with rows set aside that are named one by one


def chosen_from_address() -> dict[str, str | None]:
    """Return the choices that stand in the address; unknown words are left out."""
    return {
        "week": query_value("week"),
        "group": query_value("group", set(wording.EVENT_GROUPS)),
        "squad": query_value("squad"),
        "call": query_value("call", set(wording.TRAINING)),
        "sort": query_value("sort", set(wording.SORTS)),
    }


def restore_choices() -> None:
    """Put the choices back into the address after a step back from an athlete, whose name the browser leaves in it."""
    if "athlete" in st.query_params:
        st.query_params.from_dict(st.session_state.get("choices", {}))


def chosen_rows(rows: list[dict], athletes: dict[str, dict], chosen: dict[str, str | None]) -> list[dict]:
    """Return the rows that fit the choices, in the order asked for."""

    def fits(row: dict) -> bool:
        athlete = athletes[row["athlete_id"]]
        return all(
            (
                chosen["group"] in (None, athlete["event_group"] or "other"),
                chosen["squad"] in (None, athlete["squad"]),
                chosen["call"] in (None, row["training_call"]),
            )
        )

    def name(row: dict) -> str:
        return athletes[row["athlete_id"]]["display_name"]

    kept = [row for row in rows if row["athlete_id"] in athletes and fits(row)]
    if chosen["sort"] == "name":
        return sorted(kept, key=name)
    if chosen["sort"] == "group":
        groups = list(wording.EVENT_GROUPS)
        return sorted(kept, key=lambda r: (groups.index(athletes[r["athlete_id"]]["event_group"] or "other"), name(r)))
    return sorted(kept, key=lambda r: (-(r["loudness"] or 0), name(r)))


def act_on(act: dict[str, Any]) -> None:
    """Do what was clicked before the page is drawn again: choose, agree or change."""
    viewer = current_viewer()
    if viewer is None:
        return
    if act.get("act") == "go":
        asked = dict(part.split("=", 1) for part in str(act.get("go", "")).split("&") if "=" in part)
        st.query_params.from_dict({k: v for k, v in asked.items() if k in CHOICES})
        return
    if act.get("act") == "undo":
        undo_last(viewer)
    if act.get("act") not in ("agree", "change"):
        return
    week = parsed_day(st.session_state.get("week_shown"))
    if week is None:
        return
    changes = {k: str(act[k])[:400] for k in ("training", "work", "note") if act["act"] == "change" and act.get(k)}
    try:
        kept = keep_decision(viewer, Board(home_folder()), str(act.get("athlete", "")), week, **changes)
        st.session_state["said"] = ("kept", kept.sentence, kept.load_no)
        st.session_state.setdefault("kept", {})[kept.rows[0]["athlete_id"], week] = kept
    except NotKept as wrong:
        st.session_state["said"] = ("wrong", str(wrong), None)


def undo_last(viewer: Viewer) -> None:
    """Take back the decision that was kept last in this sign-in."""
    kept: dict = st.session_state.get("kept", {})
    if not kept:
        return
    key = list(kept)[-1]
    try:
        undo_decision(viewer, kept[key].load_no)
        del kept[key]
        st.session_state.setdefault("taken_back", set()).add(key)
        st.session_state["said"] = ("kept", wording.TAKEN_BACK, None)
    except NotKept as wrong:
        st.session_state["said"] = ("wrong", str(wrong), None)


def decided_for(opened: Opened, week: dt.date) -> dict[str, dict]:
    """Return the decision shown for each athlete: the board's, and over it what this sign-in has just decided."""
    rows = opened.rows("decision", {"week_of": week})
    for (athlete_id, when), kept in st.session_state.get("kept", {}).items():
        if when == week:
            rows = [r for r in rows if r["athlete_id"] != athlete_id] + kept.rows
    back = {athlete_id for athlete_id, when in st.session_state.get("taken_back", set()) if when == week}
    back -= {athlete_id for athlete_id, when in st.session_state.get("kept", {}) if when == week}
    decided: dict[str, dict] = {}
    for row in rows:
        if row["athlete_id"] not in back and (row["topic"] == "start_work" or row["athlete_id"] not in decided):
            decided[row["athlete_id"]] = row
    return decided


def side_facts(opened: Opened, rows: list[dict], athletes: dict[str, dict], week: dt.date) -> str:
    """Gather what changed, what was decided for the week before, and what is missing."""

    def name(athlete_id: str) -> str:
        return athletes[athlete_id]["display_name"]

    by_loudness = sorted(rows, key=lambda r: -(r["loudness"] or 0))
    changed = [(name(r["athlete_id"]), r["changed"]) for r in by_loudness if r["changed"]]
    last = opened.rows(
        "decision",
        {"week_of": week - dt.timedelta(days=7), "topic": ["start_work", "training"]},
        order_by=["athlete_id", "topic"],
    )
    progress = {r["athlete_id"]: r["progress_sentence"] for r in rows}
    decided = [
        (
            name(d["athlete_id"]).split()[0],
            f"{d['call'] or d['note'] or ''}.",
            f"Since then: {progress[d['athlete_id']]}." if progress.get(d["athlete_id"]) else "",
        )
        for d in last
        if d["athlete_id"] in athletes and d["topic"] == "start_work"
    ]
    missing: list[tuple[str, str | None]] = []
    gaps = [
        (name(r["athlete_id"]), r["checkin_gap_days"])
        for r in rows
        if r["checkin_gap_days"] is None or r["checkin_gap_days"] >= 2
    ]
    if gaps:
        gaps.sort(key=lambda g: -(g[1] if g[1] is not None else 10_000))
        missing.append((wording.missing_checkins(gaps), None))
    tests: dict[str, dt.date] = (
        dict(
            opened.board.read(
                opened.viewer, "force_test", {"test": "eccentric_hamstring"}, columns=["athlete_id", "tested_on"]
            )
            .group_by("athlete_id")
            .agg(pl.col("tested_on").max())
            .iter_rows()
        )
        if "force_test" in opened.board.tables
        else {}
    )
    settings = {s["name"]: s["value"] for s in opened.rows("setting")}
    limit = int(float(settings.get("test_overdue_days") or TEST_OVERDUE_DAYS))
    end = week + dt.timedelta(days=6)
    late = [
        name(r["athlete_id"]) for r in rows if r["athlete_id"] in tests and (end - tests[r["athlete_id"]]).days > limit
    ]
    if late:
        missing.append((wording.tests_overdue(late, limit), None))
    aside: dict[str, int] = {}
    for row in opened.rows("rejected", columns=["source_name"]):
        aside[row["source_name"]] = aside.get(row["source_name"], 0) + 1
    if len(aside) > MOST_FILES:
        missing.append((wording.set_aside_in_files(sum(aside.values()), len(aside)), "data"))
    else:
        missing.extend((wording.set_aside(count, source), "data") for source, count in aside.items())
    return side_column(changed, decided, missing)


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.THIS_WEEK, coach_only=True)
    if opened is None:
        return
    athletes = {a["athlete_id"]: a for a in opened.board.allowed_athletes(opened.viewer).to_dicts()}
    if not athletes:
        page.show(f"<h1>{wording.THIS_WEEK}</h1>{empty(wording.NO_ATHLETES, wording.NO_ATHLETES_NEXT)}{caution()}")
        return
    sheets = opened.board.tables
    weeks = (
        opened.board.read(opened.viewer, "week_sheet", columns=["week_of"])["week_of"]
        .unique()
        .sort(descending=True)
        .to_list()
        if "week_sheet" in sheets
        else []
    )
    if not weeks:
        page.show(f"<h1>{wording.THIS_WEEK}</h1>{empty(wording.NO_SHEET, wording.NO_SHEET_NEXT)}{caution()}")
        return
    restore_choices()
    chosen = chosen_from_address()
    st.session_state["choices"] = {name: value for name, value in chosen.items() if value}
    asked = parsed_day(chosen["week"])
    week: dt.date = asked if asked is not None and asked in weeks else weeks[0]
    st.session_state["week_shown"] = week.isoformat()
    every = [r for r in opened.rows("week_sheet", {"week_of": week}) if r["athlete_id"] in athletes]
    rows = chosen_rows(every, athletes, chosen)
    decided = decided_for(opened, week)
    words = [r["progress_word"] for r in rows]
    filtered = any(chosen[name] for name in ("group", "squad", "call"))
    squad_week = [] if filtered or opened.viewer.role != "head_coach" else opened.rows("squad_week", {"week_of": week})
    sentence = (
        squad_week[0]["lede"]
        if squad_week
        else wording.week_lede(
            [r["training_call"] or "no_call" for r in rows], words.count("improving"), words.count("slipping")
        )
        if rows
        else ""
    )
    calls = {r["athlete_id"]: r["training_call"] for r in chosen_rows(every, athletes, {**chosen, "call": None})}
    position = weeks.index(week)
    older = weeks[position + 1] if position + 1 < len(weeks) else None
    newer = weeks[position - 1] if position else None
    turn = [
        link(wording.EARLIER_WEEK, {**chosen, "week": older.isoformat()}) if older else "",
        link(wording.LATER_WEEK, {**chosen, "week": newer.isoformat() if position > 1 else None}) if newer else "",
    ]
    said = st.session_state.pop("said", None)
    spoken = ""
    if said:
        undo = f' <button class="plain" data-act="undo">{wording.UNDO}</button>' if said[2] is not None else ""
        spoken = f'<p class="said {text(said[0])}" role="status">{text(said[1])}{undo}</p>'
    html = (
        f'<div class="title"><h1>{text(wording.week_title(week))}</h1>'
        f'<span class="filters">{"".join(turn)}</span></div>'
        f"{lede(sentence) if sentence else ''}{spoken}"
        f"{filter_line(list(athletes.values()), calls, chosen)}"
        f'<div class="cols"><div>{sheet_table(rows, athletes, decided)}</div>'
        f"{side_facts(opened, every, athletes, week)}</div>{caution()}"
    )
    act = page.show_sheet(html, "week_sheet", act_on)
    if act and act.get("act") == "open" and act.get("athlete") in athletes:
        st.switch_page(str(SCREENS / "athlete.py"), query_params={"athlete": str(act["athlete"])})
    if act and act.get("act") == "data":
        st.switch_page(str(SCREENS / "data.py"))


draw()
