"""What a change would be worth: of one step or of the whole run, as a range. Drawn alone when a number changes."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from dashboard import questions as exploring
from dashboard.access.current import is_still
from dashboard.charts import starts as charts
from dashboard.parts import page
from dashboard.parts.figure import Column, chart, explain, finding, scheme, table
from dashboard.parts.marks import empty, prose
from dashboard.reads import Opened
from dashboard.screens.starts import words
from dashboard.screens.starts.pair import caveat, numbers
from dashboard.screens.starts.pick import Start
from dashboard.wording import cell, number
from schemas.html import html


@st.fragment
def what_if(opened: Opened, who: str, start: Start) -> None:
    """Ask what a change of this start would be worth."""
    if not is_still(opened.viewer):
        st.rerun()
    finding(words.WHAT_IF_TITLE, words.WHAT_IF_LEDE.format(f"{who}, {words.short_run(start.run)}"))
    first = exploring.what_if(start.profile, start.steps) if start.profile else None
    if first is None or first.reason:
        reason = caveat(opened, first.reason if first else "no_splits")
        page.show(empty(words.NO_WHAT_IF.format(reason)))
        return
    asked, answered = st.columns(2, gap="large")
    with asked:
        page.show(html("<h3>{}</h3>", words.ONE_STEP))
        choice = st.segmented_control(
            words.WHICH_STEP, [1, 2, 3], default=1, required=True, key="step", bind="query-params"
        )
        contact = _change(words.CONTACT_CHANGE, 30.0, 2.0, "contact", "%.0f")
        flight = _change(words.FLIGHT_CHANGE, 20.0, 2.0, "flight", "%.0f")
        push = _change(words.PUSH_CHANGE, 0.6, 0.1, "force", "%.1f")
    asked_run, answered_run = st.columns(2, gap="large")
    with asked_run:
        page.show(html("<h3>{}</h3>", words.WHOLE_CURVE))
        vmax = _change(words.VMAX_CHANGE, 0.5, 0.05, "vmax", "%.2f")
        tau = _change(words.TAU_CHANGE, 0.15, 0.01, "tau", "%.2f")
        mass = _change(words.MASS_CHANGE, 5.0, 0.5, "mass", "%.1f")
    step = choice or 1
    found = exploring.what_if(
        start.profile,
        start.steps,
        step=step,
        contact_s=contact / 1000,
        flight_s=flight / 1000,
        push_n_per_kg=push,
        vmax_mps=vmax,
        tau_s=tau,
        mass_percent=mass,
    )
    with answered:
        if found.reason:
            page.show(empty(caveat(opened, found.reason)))
        else:
            page.show(html('<p class="answer">{}</p>', prose(found.sentence or words.MOVE_ONE)))
            _curve(found, step, contact, flight, push)
    if found.closures:
        with answered:
            page.show(_closures(found.closures))
    with answered_run:
        page.show(html('<p class="answer">{}</p>', prose(found.run_sentence or words.MOVE_ONE)))
        if found.run_rows and found.run_sentence:
            page.show(_gates(found.run_rows))
    numbers(
        "what_if",
        lambda: (
            table(
                found.base or first.base,
                [
                    (k, label, cell)
                    for k, label in (
                        ("step_no", "step"),
                        ("flight_before_s", "flight before, s"),
                        ("contact_s", "contact, s"),
                        ("force_n_per_kg", "force, N/kg"),
                    )
                ],
            )
            + html('<p class="method">{}</p>', words.WHAT_IF_METHOD)
        ),
    )
    explain(
        opened,
        "what_if",
        ("sprint_profile",),
        lambda: [("sprint_profile", [start.profile]), ("start_steps", start.steps)],
    )


def _change(label: str, reach: float, step: float, key: str, written: str) -> float:
    """Offer a change either way from nought; it is kept in the address."""
    return float(st.number_input(label, -reach, reach, 0.0, step, format=written, key=key, bind="query-params"))


def _closures(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return the answer under each assumption."""
    columns: list[Column] = [(words.CLOSURE_COLUMNS[0][0], words.CLOSURE_COLUMNS[0][1], None)]
    columns += [(k, label, _signed) for k, label in words.CLOSURE_COLUMNS[1:] if any(r[k] is not None for r in rows)]
    return table(rows, columns) + html('<p class="soft">{}</p>', words.BELOW_IS_FASTER)


def _gates(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return the range at each gate."""
    columns: list[Column] = [(words.RUN_COLUMNS[0][0], words.RUN_COLUMNS[0][1], lambda v: number(v, 0))]
    return table(rows, [*columns, *((k, label, _signed) for k, label in words.RUN_COLUMNS[1:])])


def _signed(value: float) -> str:
    return number(value, 3, signed=True)


def _curve(found: object, step: int, contact: float, flight: float, push: float) -> None:
    """Draw time gained against the lever that was moved, or against contact when none was."""
    rows = getattr(found, "curve", [])
    gate = getattr(found, "curve_gate_m", None)
    if not rows or gate is None:
        return
    name = rows[0]["lever"]
    lever, unit, scale = words.LEVERS[name]
    at = {"contact": contact, "flight": flight, "push": push}[name]
    said = words.gain_caption(name, step, gate)
    page.show(html('<p class="soft">{}</p>', said))
    drawn = [
        {"change": r["change"] * scale, "least_ms": r["least_s"] * 1000, "most_ms": r["most_s"] * 1000, "at": at}
        for r in rows
    ]
    chart(
        charts.gain(scheme(), lever, unit),
        drawn,
        f"{said} From {number(drawn[0]['least_ms'], 0)} to {number(drawn[-1]['most_ms'], 0)} ms.",
    )
