"""The numbers of the rules: those in force, a form to change one, and every change with who, when and why."""

from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.parts import page
from dashboard.parts.figure import table
from dashboard.parts.marks import empty, prose
from dashboard.screens.hindsight import words
from dashboard.screens.hindsight import writes as ruling
from dashboard.writes import NotKept
from schemas.html import Markup, html, join_html
from schemas.knowledge.readiness import CALL_RULE, READINESS_RULE
from schemas.settings import DROPPED, NUMBERS, SETTINGS, Setting, SquadSettings

Row = dict[str, Any]
SAID = "rule_said"


def rule_editor(viewer: Viewer, history: list[Row], noise: list[Row]) -> None:
    """Show the section; only for the head coach, whom the page has let in. ``noise``: what chance alone would mark."""
    page.show(
        html('<h2 class="ruled">{}</h2><p class="soft">{}</p>{}', words.RULES, words.RULES_LEDE, by_chance(noise))
    )
    try:
        settings = ruling.rules_in_force(viewer)
    except NotKept as wrong:
        page.show(html('<p class="said wrong">{}</p>', wrong))
        return
    left, right = st.columns([3, 2], gap="large")
    with left:
        page.show(_numbers(settings))
    with right:
        _form(viewer, settings)
        page.show(_call_lines(settings))
    page.show(html("<h3>{}</h3>{}", words.HISTORY, _history(history)))


def by_chance(noise: list[Row]) -> Markup:
    """Return how many athletes a day chance alone would mark under the rule in force."""
    return join_html(html("<p><b>{}.</b> {}</p>", wording.NOISE_TITLE, prose(wording.noise_told(row))) for row in noise)


def told(history: list[Row]) -> list[Row]:
    """Return the changes with what was changed, from what to what, in words."""
    rows = []
    for row in history:
        name = row["name"]
        one = SETTINGS.get(name) or Setting(name, DROPPED[name], float)
        rows.append(
            {
                **row,
                "what": one.words,
                "change": f"{one.value_text(row['before'])} to {one.value_text(row['after'])}",
                "by": row["by"] or words.UNKNOWN,
                "version": f"call {row['readiness_version']}, flag {row['hamstring_version']}",
            }
        )
    return rows


def _numbers(settings: SquadSettings) -> Markup:
    parts = []
    for bearing, title in words.BEARING:
        rows = [
            {
                "what": one.words,
                "value": words.in_force(one, settings),
                "range": one.range_text,
            }
            for one in NUMBERS
            if one.bears_on == bearing
        ]
        columns = [(key, label, None) for key, label in words.RULE_COLUMNS]
        parts.append(html("<h3>{}</h3>{}", title, table(rows, columns)))
    return join_html(parts)


def _call_lines(settings: SquadSettings) -> Markup:
    lines = []
    for rule in READINESS_RULE:
        level = f"{getattr(settings, rule.setting):g}" if rule.setting else ""
        lines.append(
            html(
                "<li>{} <span class='soft'>→ {}</span></li>",
                rule.when.format(level=level),
                wording.TRAINING[rule.pushes_to],
            )
        )
    calls = join_html((html("<li><b>{}</b> {}</li>", wording.TRAINING[call], when) for call, when in CALL_RULE))
    return html("<h3>{}</h3><ul>{}</ul><ul>{}</ul>", words.CALL_LINES, calls, join_html(lines))


def _history(history: list[Row]) -> str:
    if not history:
        return empty(words.NO_HISTORY)
    columns = [(key, label, wording.cell if key == "at" else None) for key, label in words.HISTORY_COLUMNS]
    return table(told(history)[::-1], columns)


def _form(viewer: Viewer, settings: SquadSettings) -> None:
    page.show(html("<h3>{}</h3>", words.CHANGE))
    said = st.session_state.pop(SAID, None)
    if said:
        page.show(html('<p class="said {}" role="status">{}</p>', said[0], said[1]))
    name = st.selectbox(
        words.CHOOSE,
        [one.name for one in NUMBERS],
        key="rule_name",
        format_func=lambda n: wording.sentence_case(SETTINGS[n].words),
    )
    one = SETTINGS[name]
    with st.form("rule_form", clear_on_submit=False, border=False):
        value = _value_input(one, getattr(settings, name))
        why = st.text_input(words.WHY, key=f"rule_why_{name}", placeholder=words.WHY_EXAMPLE)
        if not st.form_submit_button(words.CHANGE_BUTTON):
            return
    try:
        ruling.change_rule(viewer, name, value, why)
        st.session_state[SAID] = ("kept", words.changed(one.words, value))
    except NotKept as wrong:
        st.session_state[SAID] = ("wrong", str(wrong))
    st.rerun()


def _value_input(one: Setting, now: float) -> float:
    """Return the field for a new value; its range is checked where it is kept, with a sentence."""
    label = f"{words.NEW_VALUE} ({one.range_text})"
    key = f"rule_value_{one.name}_{now:g}"
    if one.kind is int:
        return int(st.number_input(label, value=int(now), step=1, key=key))
    is_share = one.high is not None and one.high <= 1
    return float(st.number_input(label, value=float(now), step=0.05 if is_share else 0.5, key=key, format="%g"))
