"""This week: the squad on one sheet, with what changed, what was decided and what is missing; then it is closed."""

import datetime as dt
from collections.abc import Collection
from typing import Any
from urllib.parse import urlencode

import streamlit as st

from dashboard import downloads as taking
from dashboard import wording
from dashboard.access.current import current_viewer
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import home_folder
from dashboard.parts import page
from dashboard.parts.drills import offered
from dashboard.parts.entrance import open_page
from dashboard.parts.in_parts import LINES, PART, part_links, part_of
from dashboard.parts.marks import caution, empty, lede, take_links
from dashboard.parts.season import season_line
from dashboard.parts.week_sheet import filter_line, link, sheet_table
from dashboard.reads import SCREENS, Opened, parsed_day, query_value
from dashboard.screens.week.first_run import first_run
from dashboard.screens.week.review import close_review, open_again
from dashboard.screens.week.rows import (
    CHOICES,
    Week,
    as_file,
    changes,
    decided_in_words,
    decided_last_week,
    decision_states,
    gather,
    missing,
    proposals,
    undecided,
    weeks_on_board,
)
from dashboard.screens.week.side import review_box, side_column
from dashboard.screens.week.waiting import waiting_line
from dashboard.writes import NotKept, keep_decision, keep_rest, rest_to_agree, undo_decision
from schemas.html import Markup, html


def chosen_from_address() -> dict[str, str | None]:
    """Return the choices that stand in the address; unknown words are left out."""
    return {
        "week": query_value("week"),
        "group": query_value("group", set(wording.EVENT_GROUPS)),
        "squad": query_value("squad"),
        "call": query_value("call", set(wording.TRAINING)),
        "hamstring": query_value("hamstring", set(wording.FILTER_HAMSTRING)),
        "sort": query_value("sort", set(wording.SORTS)),
        "now": query_value("now", {"1"}),
        "full": query_value("full", {"1"}),
    }


def restore_choices() -> None:
    """Put the choices back into the address after a step back from an athlete, whose name the browser leaves in it."""
    if "athlete" in st.query_params:
        st.query_params.from_dict(st.session_state.get("choices", {}))


def act_on(act: dict[str, Any]) -> None:
    """Do what was clicked before the page is drawn again: choose, decide, close or open again."""
    viewer = current_viewer()
    if viewer is None:
        return
    if act.get("act") == "go":
        asked = dict(part.split("=", 1) for part in str(act.get("go", "")).split("&") if "=" in part)
        st.query_params.from_dict({k: v for k, v in asked.items() if k in (*CHOICES, PART)})
        return
    try:
        if act.get("act") == "undo":
            undo_last(viewer)
        elif act.get("act") == "reopen":
            reopen(viewer)
        elif act.get("act") == "change" and act.get("do") == "close":
            close(viewer)
        elif act.get("act") == "rest":
            agree_rest(viewer)
        elif act.get("act") in ("agree", "change", "drill"):
            decide(viewer, act)
    except NotKept as wrong:
        st.session_state["said"] = ("wrong", str(wrong), None)


def shown_week() -> dt.date | None:
    """Return the week that was on the page when it was clicked."""
    return parsed_day(st.session_state.get("week_shown"))


def decide(viewer: Viewer, act: dict[str, Any]) -> None:
    """Keep one decision."""
    week = shown_week()
    if week is None:
        return
    changed = {k: str(act[k])[:400] for k in ("training", "work", "note") if act["act"] == "change" and act.get(k)}
    if act["act"] == "drill":
        changed = {"drill": str(act.get("drill", ""))[:100]}
    kept = keep_decision(viewer, Board(home_folder()), str(act.get("athlete", "")), week, **changed)
    st.session_state["said"] = ("kept", kept.sentence, kept.load_no)
    if kept.load_no is not None:
        st.session_state.setdefault("kept", []).append(kept.load_no)


def agree_rest(viewer: Viewer) -> None:
    """Agree with the rest of the week shown."""
    week = shown_week()
    if week is None:
        return
    kept = keep_rest(viewer, Board(home_folder()), week)
    st.session_state["said"] = ("kept", kept.sentence, kept.load_no)
    if kept.load_no is not None:
        st.session_state.setdefault("kept", []).append(kept.load_no)


def undo_last(viewer: Viewer) -> None:
    """Take back the decision that was kept last in this sign-in."""
    kept: list[int] = st.session_state.get("kept", [])
    if kept:
        undo_decision(viewer, kept[-1])
        kept.pop()
        st.session_state["said"] = ("kept", wording.TAKEN_BACK, None)


def close(viewer: Viewer) -> None:
    """Close the review of the week shown, with what was decided so far."""
    week = shown_week()
    if week is None:
        return
    opened = Opened(viewer, Board(home_folder()))
    decisions = decisions_for(opened, week)
    found = gather(
        opened, {"week": week.isoformat(), "now": "1"}, decisions=decisions, kept_lines=kept_lines(opened, week)
    )
    if found is None or found.closed is not None:
        raise NotKept(wording.CLOSED_ALREADY if found else wording.NO_SHEET)
    decided = decided_in_words(decisions, decision_states(opened, week), proposals(found.every))
    close_review(viewer, opened.board, week, decided, found.changed)


def reopen(viewer: Viewer) -> None:
    """Open the closed review of the week shown again."""
    week = shown_week()
    lines = kept_lines(Opened(viewer, Board(home_folder())), week) if week else []
    if week and lines and lines[0]["load_no"] is not None:
        open_again(viewer, lines[0]["load_no"])
        st.session_state["said"] = ("kept", wording.OPENED_AGAIN, None)


def decisions_for(opened: Opened, week: dt.date) -> list[dict]:
    """Return the decisions of a week."""
    return opened.rows("decision", {"week_of": week})


def still_to_change(opened: Opened, athlete_ids: Collection[str]) -> set[str]:
    """Return of whom the plan does not follow yet what was decided on training."""
    if "plan_change" not in opened.board.tables or not athlete_ids:
        return set()
    rows = opened.rows("plan_change", {"athlete_id": list(athlete_ids)}, columns=["athlete_id"])
    return {row["athlete_id"] for row in rows}


def kept_lines(opened: Opened, week: dt.date) -> list[dict]:
    """Return the lines of a closed review; none where it is open."""
    return opened.rows("review_line", {"week_of": week})


def title_line(week: Week, chosen: dict[str, str | None]) -> Markup:
    """Return the heading with the links to the weeks before and after."""
    position = week.weeks.index(week.monday)
    rest = {**chosen, "now": None}
    turn = ""
    if position + 1 < len(week.weeks):
        turn += link(wording.EARLIER_WEEK, {**rest, "week": week.weeks[position + 1].isoformat()})
    if position:
        newer = week.weeks[position - 1].isoformat() if position > 1 else None
        turn += link(wording.LATER_WEEK, {**rest, "week": newer})
    return html(
        '<div class="title"><h1>{}</h1><span class="filters">{}</span></div>', wording.week_title(week.monday), turn
    )


def not_seen(week: Week) -> str:
    """Say under the first sentence what the sheet could not look at, with the way to the questions."""
    if not week.not_seen:
        return ""
    said = html('<p class="unseen"><b>{}:</b> {}. ', wording.NOT_LOOKED_AT, week.not_seen)
    return said + html('<a href="data" data-act="asked">{}</a></p>', wording.TO_QUESTIONS)


def state_line(week: Week, chosen: dict[str, str | None]) -> Markup:
    """Say what was just kept, and whether the review is closed."""
    said = st.session_state.pop("said", None)
    spoken = Markup()
    if said:
        undo = html(' <button class="plain" data-act="undo">{}</button>', wording.UNDO) if said[2] is not None else ""
        # At the foot of the window, where nothing moves for it and wherever on the sheet one stands.
        spoken = html('<p class="said afloat noprint {}" role="status">{}{}</p>', said[0], said[1], undo)
    if week.closed is None:
        return spoken
    if week.is_kept:
        told = wording.closed_review(week.closed["closed_at"], week.closed["closed_by"])
        turn = link(wording.AS_IT_STANDS, {**chosen, "now": "1"})
    else:
        told, turn = wording.STANDS_NOW, link(wording.AS_IT_WAS, {**chosen, "now": None})
    since = html("<br>{}", week.since_closing) if week.since_closing else ""
    return html('{}<p class="stands" role="status">{} {}{}</p>', spoken, told, turn, since)


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.THIS_WEEK, coach_only=True)
    if opened is None:
        return
    if opened.board.allowed_athletes(opened.viewer).is_empty():
        page.show(first_run(opened.viewer) + caution())
        return
    weeks = weeks_on_board(opened)
    if not weeks:
        page.show(html("<h1>{}</h1>{}{}", wording.THIS_WEEK, empty(wording.NO_SHEET, wording.NO_SHEET_NEXT), caution()))
        return
    restore_choices()
    chosen = chosen_from_address()
    st.session_state["choices"] = {k: v for k, v in {**chosen, PART: query_value(PART)}.items() if v}
    asked = parsed_day(chosen["week"])
    monday = asked if asked is not None and asked in weeks else weeks[0]
    st.session_state["week_shown"] = monday.isoformat()
    week = gather(
        opened, chosen, weeks=weeks, decisions=decisions_for(opened, monday), kept_lines=kept_lines(opened, monday)
    )
    assert week is not None  # there is a week, so there is a sheet
    printed = urlencode({"week": monday.isoformat(), **{k: v for k, v in chosen.items() if v}})
    side = side_column(
        changes(week),
        decided_last_week(opened, week),
        missing(opened, week),
        week.against,
        review_box(
            len(week.decided),
            len(week.every),
            week.closed,
            opened.viewer.role == "head_coach",
            undecided(week),
            rest=0 if week.is_kept else len(rest_to_agree(week.every, week.decided)),
        ),
    )
    lines, part = part_of(week.rows, query_value(PART), LINES)
    newest = monday == weeks[0] and not week.closed
    drills = offered(opened, [row["athlete_id"] for row in lines]) if newest else {}
    changing = still_to_change(opened, week.decided) if monday == weeks[0] else set()
    parts = part_links(len(week.rows), part, chosen, LINES)
    drawn = (
        html("{}{}", title_line(week, chosen), lede(week.lede) if week.lede else "")
        + season_line(opened, {r["athlete_id"]: week.name(r["athlete_id"]) for r in week.rows}, week.monday)
        + (waiting_line(opened, {one: week.name(one) for one in week.athletes}) if monday == weeks[0] else Markup())
        + html("{}{}", not_seen(week), state_line(week, chosen))
        + html("{}", filter_line(list(week.athletes.values()), week.calls, chosen, printed, week.levels))
        + html(
            '<div class="cols"><div>{}{}{}</div>',
            parts,
            sheet_table(
                lines,
                week.athletes,
                week.decided,
                not week.closed,
                drills,
                week.standing,
                changing,
                in_full=bool(chosen["full"]),
                again=week.again,
            ),
            parts,
        )
        + html("{}</div>", side)
    )
    files = taking.rows_links(opened.viewer, f"week-{monday}", [as_file(week, row) for row in week.rows])
    drawn += html('<p class="take">{} {}</p>', wording.TAKE_SHEET, take_links(files)) if week.rows else ""
    drawn += caution(wording.WEEK_CAUTION)
    act = page.show_sheet(drawn, "week_sheet", act_on)
    if act and act.get("act") == "open" and act.get("athlete") in week.athletes:
        st.switch_page(str(SCREENS / "athlete/page.py"), query_params={"athlete": str(act["athlete"])})
    if act and act.get("act") == "plan" and act.get("athlete") in week.athletes:
        asked_for = {"athlete": str(act["athlete"]), "copy": "decided"}
        st.switch_page(str(SCREENS / "plan/page.py"), query_params=asked_for)
    if act and act.get("act") == "asked" and week.asked:  # to the rows themselves, those files first and open
        st.session_state["view"], st.session_state["aside_first"] = "aside", week.asked
    if act and act.get("act") in ("data", "asked"):
        st.switch_page(str(SCREENS / "data/page.py"))


draw()
