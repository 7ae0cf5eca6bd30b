"""The check-in form: native radio buttons drawn as large keys, one thumb, no answer chosen beforehand.

Radios keep the arrow keys and the screen reader's words; a second tap on a chosen answer takes it out again.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

from dashboard import wording
from schemas.html import Markup, escape, html, join_html

_STYLE = Path(__file__).with_name("check_in.css")
_HALF_HOURS = (*(h / 2 for h in range(6, 21)), 11.0)  # 3 to 10 h by halves, and 11

# Values reach the form escaped. A form that is drawn already is left alone, so that no answer is lost by a rerun.
_SCRIPT = """
export default function (component) {
  const { parentElement, data, setTriggerValue } = component;
  let box = parentElement.querySelector(':scope > .house');
  if (!box) { box = document.createElement('div'); box.className = 'house'; parentElement.appendChild(box); }
  if (box.dataset.drawn !== data.html) { box.innerHTML = data.html; box.dataset.drawn = data.html; }
  const was = new WeakMap();
  const mark = (event) => {
    const label = event.target.closest('label');
    const radio = label && label.querySelector('input[type=radio]');
    if (radio) was.set(radio, radio.checked);
  };
  box.onpointerdown = mark;
  box.onclick = (event) => {
    if (event.target.closest('[data-well]')) {
      for (const name of ['hamstring_tightness_l', 'hamstring_tightness_r', 'pain']) {
        const first = box.querySelector(`input[name=${name}][value="0"]`);
        if (first) first.checked = true;
      }
      return;
    }
    if (event.target.closest('[data-back]')) { setTriggerValue('act', { act: 'back' }); return; }
    const radio = event.target.matches('input[type=radio]') ? event.target : null;
    if (radio && was.get(radio)) { radio.checked = false; was.delete(radio); }
  };
  box.onkeydown = (event) => {
    if (event.target.matches('input[type=radio]') && (event.key === 'Delete' || event.key === 'Backspace')) {
      event.target.checked = false; event.preventDefault();
    }
  };
  box.onsubmit = (event) => {
    event.preventDefault();
    const button = event.target.querySelector('[type=submit]');
    button.disabled = true; setTimeout(() => { button.disabled = false; }, 2500);
    // What it comes to is said on top: there it is seen before anybody runs.
    const main = document.querySelector('[data-testid="stMain"]');
    if (main) main.scrollTo({ top: 0 });
    setTriggerValue('act', { act: 'save', ...Object.fromEntries(new FormData(event.target).entries()) });
  };
}
"""


@cache
def style() -> str:
    """Return the look of the form."""
    return _STYLE.read_text(encoding="utf-8")


def keys_of(
    name: str, choices: Sequence[tuple[str, str]], chosen: str | None, kind: str, ends: tuple[str, str]
) -> Markup:
    """Return radio buttons drawn as keys."""
    keys = join_html(
        (
            html('<label><input type="radio" name="{}" value="{}"', name, value)
            + html(
                "{}{}><span>{}</span></label>",
                html(" checked") if value == chosen else "",
                _described(place, len(choices), ends),
                label,
            )
            for place, (value, label) in enumerate(choices)
        )
    )
    words = (
        html('<div class="ends" aria-hidden="true"><span>{}</span><span>{}</span></div>', ends[0], ends[1])
        if any(ends)
        else ""
    )
    return html('<div class="keys {}">{}</div>{}', kind, keys, words)


def _described(place: int, count: int, ends: tuple[str, str]) -> Markup:
    """Name what the first and the last key mean, for those who hear the page."""
    said = ends[0] if place == 0 else ends[1] if place == count - 1 else ""
    return html(' aria-description="{}"', said) if said else Markup()


def _item(question: str, inner: str, extra: str = "") -> Markup:
    """Return one question with its keys."""
    return html('<fieldset class="item{}"><legend>{}</legend>{}</fieldset>', extra, question, inner)


def _hours(value: float) -> str:
    whole = int(value)
    return f"{whole}½" if value != whole else str(whole)


def form(
    answers: Mapping[str, Any], read_by: str, note_read_by: str, *, is_change: bool, may_take_back: bool
) -> Markup:
    """Return the form, with today's own answers where some were given; never those of another day."""

    def told(name: str) -> str | None:
        value = answers.get(name)
        return None if value is None else f"{value:g}" if isinstance(value, float) else str(value)

    # What the answers are for and who reads them: said once, before the first of them.
    parts = [
        html('<p class="soft why">{} {}</p>', wording.CHECKIN_PURPOSE, read_by),
        _item(
            wording.CHECKIN_SLEEP,
            keys_of("sleep_h", [(f"{h:g}", _hours(h)) for h in _HALF_HOURS], told("sleep_h"), "eight", ("", "")),
        ),
    ]
    for name, question, low, high in wording.CHECKIN_SCALES:
        five = [(str(n), str(n)) for n in range(1, 6)]
        parts.append(_item(question, keys_of(name, five, told(name), "five", (low, high))))
    parts.append(html('<button type="button" class="well" data-well>{}</button>', wording.CHECKIN_ALL_WELL))
    for name, question, low, high in wording.CHECKIN_TENS:
        inner = keys_of(name, [(str(n), str(n)) for n in range(11)], told(name), "six", (low, high))
        inner += _place(told("pain_site")) if name == "pain" else ""
        parts.append(_item(question, inner, f" {name}"))
    ill = {True: "yes", False: "no", None: None}[answers.get("ill")]
    yes_no = [("no", wording.CHECKIN_NO), ("yes", wording.CHECKIN_YES)]
    parts.append(_item(wording.CHECKIN_ILL, keys_of("ill", yes_no, ill, "two", ("", ""))))
    label = wording.CHECKIN_SAVE_AGAIN if is_change else wording.CHECKIN_SAVE
    back = (
        html('<button type="button" class="plain" data-back>{}</button>', wording.CHECKIN_TAKE_BACK)
        if may_take_back
        else ""
    )
    return (
        html('<form class="checkin">{}', join_html(parts))
        + html('<div class="item"><label for="note">{}</label>', wording.CHECKIN_NOTE)
        + html('<textarea id="note" name="note" rows="2" maxlength="400" aria-describedby="note_readers">')
        + html('{}</textarea><p class="soft why" id="note_readers">{} ', told("note"), wording.CHECKIN_NOTE_PURPOSE)
        + html("{}</p></div>", note_read_by)
        + html('<div class="send"><button type="submit" class="save">{}</button>{}</div></form>', label, back)
    )


def _place(site: str | None) -> Markup:
    said = site or ""
    side = next((s for s in wording.CHECKIN_SIDES if said.startswith(s)), None)
    place = next((p for p in wording.CHECKIN_PLACES if said.endswith(p)), None)
    sides = keys_of("side", [(s, s) for s in wording.CHECKIN_SIDES], side, "three-keys", ("", ""))
    places = keys_of("place", [(p, p) for p in wording.CHECKIN_PLACES], place, "three-keys", ("", ""))
    return html(
        '<div class="where"><fieldset><legend>{}</legend>{}</fieldset><fieldset><legend>{}</legend>{}</fieldset></div>',
        wording.CHECKIN_PLACE,
        places,
        wording.CHECKIN_SIDE,
        sides,
    )


def show_form(drawn: str, key: str, on_act: Callable[[dict[str, Any]], None]) -> None:
    """Show the form; ``on_act`` runs with what was sent before the page is drawn again."""

    def heard() -> None:
        said = st.session_state.get(key)
        act = said.get("act") if said else None
        if isinstance(act, dict):
            on_act(act)

    st.components.v2.component("thirdstep_check_in", js=_SCRIPT, isolate_styles=False)(
        data={"html": str(escape(drawn))}, key=key, on_act_change=heard
    )
