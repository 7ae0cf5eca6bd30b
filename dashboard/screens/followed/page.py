"""What followed: every decision over the squad, with what was done of it and what was measured after."""

from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import entries, explain, finding
from dashboard.parts.in_parts import PART, part_links, part_of
from dashboard.parts.marks import caution, empty
from dashboard.parts.phone_parts import phone_parts
from dashboard.reads import Opened, query_value
from dashboard.screens.followed import words
from schemas.html import html, join_html

Row = dict[str, Any]
MOST_OTHERS = 60
MOST_AT_ONCE = 20  # decisions in a part of the list
PARTS = "show"  # where in the address the part of a phone's page stands


def go(said: Row) -> None:
    """Turn to another part of the list; the choice is kept in the address."""
    if said.get("act") == "go":
        asked = dict(part.split("=", 1) for part in str(said.get("go", "")).split("&") if "=" in part)
        st.query_params.from_dict({k: v for k, v in asked.items() if k in ("work", PARTS, PART)})


def told(row: Row, names: dict[str, str]) -> Row:
    """Return a decision as the table shows it."""
    return {
        **row,
        "athlete": names[row["athlete_id"]],
        "week": wording.day(row["from_on"] or row["week_of"]),
        "change_sentence": row["change_sentence"] or words.NOT_MEASURED,
        "days": f"{row['days_before']}, {row['days_after']}",
    }


def nav(works: list[str | None], chosen: str | None) -> None:
    """Offer the kinds of work that were decided; the choice is kept in the address."""

    def act(said: Row) -> None:
        if said.get("act") == "work":
            if said.get("work"):
                st.query_params["work"] = said["work"]
            else:
                st.query_params.pop("work", None)
            st.query_params.pop(PART, None)

    offered = [("", words.ALL_WORK), *((work or "none", words.work_name(work)) for work in works)]
    keys = join_html(
        (
            html(
                '<button class="plain" data-act="work" data-work="{}" aria-pressed="{}">{}</button>',
                work,
                str((chosen or "") == work).lower(),
                label,
            )
            for work, label in offered
        )
    )
    page.show_sheet(
        html('<div class="parts" role="group" aria-label="{}">{}</div>', words.WORK_NAV, keys), "followed_nav", act
    )


def on_the_start(opened: Opened, names: dict[str, str]) -> None:
    """Show decisions on the start, newest first, all or of one kind of work."""
    rows = [
        row for row in opened.rows("focus_followup", order_by=["-week_of", "athlete_id"]) if row["athlete_id"] in names
    ]
    if not rows:
        page.show(empty(words.NOTHING))
        return
    works = sorted({row["work"] for row in rows}, key=lambda work: (work is None, work or ""))
    chosen = query_value("work", {work or "none" for work in works})
    nav(works, chosen)
    shown = [row for row in rows if chosen is None or (row["work"] or "none") == chosen]
    lines, part = part_of(shown, query_value(PART), MOST_AT_ONCE)
    drawn = entries(
        [told(row, names) for row in lines], words.COLUMNS, first="athlete", closed=("done_sentence", "days"),
        named=("call", "change_sentence"),
    )  # fmt: skip
    parts = part_links(len(shown), part, {"work": chosen, PARTS: query_value(PARTS)}, MOST_AT_ONCE)
    page.show_sheet(html("{}{}", drawn, parts) if shown else empty(words.NOBODY_CHOSEN), "followed_list", go)
    explain(opened, "followed", ("focus_followup",), lambda: [("focus_followup", shown)])


def trials(opened: Opened, names: dict[str, str]) -> None:
    """List the trials of two ways with what was found, newest first."""
    rows = [row for row in opened.rows("start_trial_result", order_by=["-last_on", "tried"])
            if row["athlete_id"] in names]  # fmt: skip
    finding(words.TRIALS_TITLE, words.TRIALS_CAPTION)
    if not rows:
        page.show(empty(words.NO_TRIALS))
        return
    shown = [
        {**row, "athlete": names[row["athlete_id"]], "last": wording.day(row["last_on"]) if row["last_on"] else "–",
         "runs": f"{row['runs_a']}, {row['runs_b']}"}
        for row in rows
    ]  # fmt: skip
    drawn = entries(shown, words.TRIAL_COLUMNS, first="athlete", closed=("days", "runs"), named=("tried", "sentence"))
    page.show_sheet(drawn, "followed_trials_list", go)
    explain(opened, "followed_trials", ("start_trial_result",), lambda: [("start_trial_result", rows)])


def others(opened: Opened, names: dict[str, str]) -> None:
    """List what was decided on training and hamstring."""
    where = {"topic": ["training", "hamstring"]}
    rows = opened.rows("decision", where, order_by=["-week_of", "athlete_id", "topic"], limit=MOST_OTHERS)
    rows = [row for row in rows if row["athlete_id"] in names]
    if not rows:
        return
    finding(words.OTHER_TITLE, words.OTHER_CAPTION)
    shown = [
        {**row, "athlete": names[row["athlete_id"]], "week": wording.day(row["week_of"]),
         "topic": wording.TOPICS[row["topic"]]}
        for row in rows
    ]  # fmt: skip
    page.show_sheet(entries(shown, words.OTHER_COLUMNS, first="athlete", named=("call",)), "followed_others_list", go)


def draw() -> None:
    """Draw the page."""
    opened = open_page(words.FOLLOWED, coach_only=True)
    if opened is None:
        return
    people = opened.board.allowed_athletes(opened.viewer).to_dicts()
    names = {one["athlete_id"]: one["display_name"] for one in people}
    page.show(
        html(
            '<h1>{}</h1><p class="lede">{}</p><p class="stands"><b>{}.</b> {}</p>',
            words.FOLLOWED,
            words.LEDE,
            words.MEAN_TITLE,
            words.MEAN,
        )
    )
    phone_parts(words.PARTS, prefix="of_followed", place=PARTS)
    with st.container(key="of_followed_start"):
        on_the_start(opened, names)
    with st.container(key="of_followed_trials"):
        trials(opened, names)
    with st.container(key="of_followed_others"):
        others(opened, names)
    page.show(caution())


draw()
