"""The ladder of return to running: what was done, what was felt, who signed. It clears nobody."""

import datetime as dt
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.readers import readers_of
from dashboard.parts import page
from dashboard.parts.figure import explain
from dashboard.parts.marks import SCROLL, caution, empty, text
from dashboard.reads import Opened
from dashboard.wording import returning as words
from dashboard.writes import NotKept, enter
from schemas.html import Markup, html, join_html

Row = dict[str, Any]
INJURY = ("athlete_id", "onset_on", "site", "side")
MOST_RUNGS = 20


def current_ladders(opened: Opened, athlete_ids: list[str]) -> list[Row]:
    """Return open and recent injuries with where their ladders stand; none for those without the grant."""
    if not opened.viewer.reads_injuries or not athlete_ids:
        return []
    return opened.rows(
        "return_ladder", {"athlete_id": athlete_ids, "is_current": True}, order_by=["athlete_id", "-onset_on"]
    )


def return_ladders(opened: Opened, athlete_ids: list[str], *, own_heading: bool = True) -> None:
    """Show the ladders of the open and recent injuries of some athletes, with a form to add a step.

    For the athlete page: ``return_ladders(opened, [athlete_id])``. Nothing is shown without the grant, or where nobody
    is hurt.
    """
    rows = current_ladders(opened, athlete_ids)
    if not rows:
        return
    names = {a["athlete_id"]: a["display_name"] for a in opened.board.allowed_athletes(opened.viewer).to_dicts()}
    said = st.session_state.pop("step_said", None)
    spoken = html('<p class="said {}" role="status">{}</p>', said[0], said[1]) if said else ""
    heading = html("<h2>{}</h2>", words.LADDER_TITLE) if own_heading else ""
    page.show(html('<div class="finding">{}{}{}</div>', heading, caution(words.LADDER_CAUTION), spoken))
    for row in rows:
        steps = opened.rows("return_step", {k: row[k] for k in INJURY}, order_by=["rung_no", "done_on"])
        page.show(
            html(
                '<h3>{}</h3><p class="ladder-state">{}</p>{}',
                words.ladder_title(names[row["athlete_id"]], row),
                words.ladder_state(row),
                ladder_table(steps),
            )
        )
        _form(opened, row)
    explain(
        opened,
        "ladder",
        ("return_ladder", "return_step"),
        lambda: [
            ("return_ladder", rows),
            ("return_step", opened.rows("return_step", {"athlete_id": athlete_ids}, order_by=["-done_on"])),
        ],
    )


def ladder_table(steps: list[Row]) -> Markup:
    """Return the rungs of our ladder and any others noted, each with the days it was done."""
    by_rung: dict[int, list[Row]] = {}
    for step in steps:
        by_rung.setdefault(step["rung_no"], []).append(step)
    numbers = sorted({*range(1, len(words.RUNGS) + 1), *by_rung})
    body = []
    for number in numbers:
        head = html('<th scope="row">{}</th>', words.rung(number))
        done = by_rung.get(number)
        if not done:
            body.append(html('<tr>{}<td class="soft">{}</td><td></td><td></td><td></td></tr>', head, words.NOT_DONE))
            continue
        for place, step in enumerate(done):
            first = head if place == 0 else html("<td></td>")
            body.append(html("<tr>{}{}</tr>", first, _step_cells(step)))
    titles = join_html(html('<th scope="col">{}</th>', title) for title in words.LADDER_COLUMNS)
    return html(
        '{}<table class="group ladder"><thead><tr>{}</tr></thead><tbody>{}</tbody></table></div>',
        SCROLL,
        titles,
        join_html(body),
    )


def _step_cells(step: Row) -> Markup:
    felt = step["symptoms"]
    shown = words.SYMPTOMS.get(felt, felt) if felt else words.NOT_SAID
    mark = {"none": "quiet", "slight": "adapt", "stopped": "talk"}.get(felt or "", "none")
    what = " · ".join(part for part in (step["work_done"], step["note"]) if part)
    by = text(step["signed_by"]) if step["signed_by"] else html('<span class="soft">{}</span>', words.NOT_SIGNED)
    return html('<td>{}</td><td class="words">{}</td>', wording.day(step["done_on"]), what) + html(
        '<td><span class="call {}">{}</span></td><td>{}</td>', mark, shown, by
    )


def _form(opened: Opened, row: Row) -> None:
    """Offer to add a step for those who may read and write about this athlete."""
    key = "_".join(str(row[k]) for k in INJURY)
    box = st.expander(words.ADD_STEP, key=f"step_{key}", on_change="rerun")
    if not box.open:
        return
    with box, st.form(f"step_form_{key}", border=False):
        page.show(html('<p class="soft">{} {}</p>', words.STEP_PURPOSE, _read_by(opened, row["athlete_id"])))
        with st.container(horizontal=True, vertical_alignment="bottom"):
            number = st.selectbox(
                words.STEP_RUNG,
                list(range(1, MOST_RUNGS + 1)),
                index=min((row["last_rung"] or 0), MOST_RUNGS - 1),
                format_func=words.rung,
                width=230,
            )
            on = st.date_input(words.STEP_ON, value=None, width=150, format="YYYY-MM-DD")
            felt = st.selectbox(
                words.STEP_SYMPTOMS,
                list(words.SYMPTOMS),
                index=None,
                format_func=lambda s: words.SYMPTOMS[s],
                placeholder=words.NOT_SAID,
                width=150,
            )
            signed = st.text_input(words.STEP_SIGNED, width=260)
        work = st.text_input(words.STEP_WORK)
        if st.form_submit_button(words.STEP_SAVE):
            _keep(opened, row, {"rung_no": number, "done_on": on, "symptoms": felt, "signed_by": signed.strip() or None,
                                "work_done": work.strip() or None})  # fmt: skip
            st.rerun()


def _read_by(opened: Opened, athlete_id: str) -> str:
    """Say by name who reads a step of the ladder."""
    person = opened.board.allowed_athletes(opened.viewer).filter(athlete_id=athlete_id).to_dicts()
    readers = readers_of(athlete_id, person[0]["event_group"] if person else None)
    return words.step_read_by(readers.notes, readers.has_guardian)


def _keep(opened: Opened, row: Row, told: Row) -> None:
    try:
        keep_step(opened, {k: row[k] for k in INJURY} | told)
        st.session_state["step_said"] = ("kept", words.STEP_KEPT)
    except NotKept as wrong:
        st.session_state["step_said"] = ("wrong", str(wrong))


def keep_step(opened: Opened, step: Row) -> None:
    """Keep a step of the ladder, for an athlete this viewer may read about and with the grant.

    Raises:
        NotKept: The viewer may not, or the step was not accepted.
    """
    allowed = opened.board.allowed_athletes(opened.viewer)["athlete_id"].to_list() if opened.viewer.is_coach else []
    if not opened.viewer.reads_injuries or step["athlete_id"] not in allowed:
        raise NotKept(words.STEP_REFUSED)
    if not isinstance(step["done_on"], dt.date):
        raise NotKept(f"{words.STEP_ON}?")
    enter([{k: v for k, v in step.items() if v is not None}], "return_step", opened.viewer)


def no_ladder() -> str:
    """Say that nobody is hurt."""
    return empty(words.NO_LADDER)
