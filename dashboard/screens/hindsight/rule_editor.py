"""The numbers of the rules: those in force, a form to change one, and every change with who, when and why."""

from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.parts import page
from dashboard.parts.figure import table
from dashboard.parts.marks import empty, prose, text
from dashboard.screens.hindsight import words
from dashboard.screens.hindsight import writes as ruling
from dashboard.writes import NotKept
from schemas.knowledge.readiness import CALL_RULE, READINESS_RULE
from schemas.settings import DROPPED, NUMBERS, SETTINGS, Setting, SquadSettings

Row = dict[str, Any]
SAID = "rule_said"


def rule_editor(viewer: Viewer, history: list[Row], noise: list[Row]) -> None:
    """Show the section; only for the head coach, whom the page has let in. ``noise``: what chance alone would mark."""
    page.show(f'<h2 class="ruled">{words.RULES}</h2><p class="soft">{words.RULES_LEDE}</p>{by_chance(noise)}')
    try:
        settings = ruling.rules_in_force(viewer)
    except NotKept as wrong:
        page.show(f'<p class="said wrong">{text(wrong)}</p>')
        return
    left, right = st.columns([3, 2], gap="large")
    with left:
        page.show(_numbers(settings))
    with right:
        _form(viewer, settings)
        page.show(_call_lines(settings))
    page.show(f"<h3>{words.HISTORY}</h3>{_history(history)}")


def by_chance(noise: list[Row]) -> str:
    """Return how many athletes a day chance alone would mark under the rule in force."""
    return "".join(f"<p><b>{wording.NOISE_TITLE}.</b> {prose(wording.noise_told(row))}</p>" for row in noise)


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


def _numbers(settings: SquadSettings) -> str:
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
        parts.append(f"<h3>{text(title)}</h3>{table(rows, columns)}")
    return "".join(parts)


def _call_lines(settings: SquadSettings) -> str:
    lines = []
    for rule in READINESS_RULE:
        level = f"{getattr(settings, rule.setting):g}" if rule.setting else ""
        lines.append(
            f"<li>{text(rule.when.format(level=level))} <span class='soft'>→ "
            f"{text(wording.TRAINING[rule.pushes_to])}</span></li>"
        )
    calls = "".join(f"<li><b>{text(wording.TRAINING[call])}</b> {text(when)}</li>" for call, when in CALL_RULE)
    return f"<h3>{words.CALL_LINES}</h3><ul>{calls}</ul><ul>{''.join(lines)}</ul>"


def _history(history: list[Row]) -> str:
    if not history:
        return empty(words.NO_HISTORY)
    columns = [(key, label, wording.cell if key == "at" else None) for key, label in words.HISTORY_COLUMNS]
    return table(told(history)[::-1], columns)


def _form(viewer: Viewer, settings: SquadSettings) -> None:
    page.show(f"<h3>{words.CHANGE}</h3>")
    said = st.session_state.pop(SAID, None)
    if said:
        page.show(f'<p class="said {said[0]}" role="status">{text(said[1])}</p>')
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
