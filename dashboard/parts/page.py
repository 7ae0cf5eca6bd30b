"""How HTML of our own gets onto a page: plain, or as a sheet whose links and buttons reach it without a reload."""

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

from schemas.html import as_html, escape, html, join_html

_STYLE = Path(__file__).with_name("house.css")

# One listener for the whole sheet. What reaches it is HTML of ours, values escaped; it builds no HTML of its own.
_SCRIPT = """
async function copied(text) {
  if (navigator.clipboard) return navigator.clipboard.writeText(text);
  const area = document.createElement('textarea');  // where the browser keeps the clipboard for safe addresses
  area.value = text; document.body.appendChild(area); area.select();
  document.execCommand('copy'); area.remove();
}
export default function (component) {
  const { parentElement, data, setTriggerValue } = component;
  let box = parentElement.querySelector(':scope > .house');
  if (!box) { box = document.createElement('div'); box.className = 'house'; parentElement.appendChild(box); }
  if (box.dataset.drawn !== data.html) { box.innerHTML = data.html; box.dataset.drawn = data.html; }
  box.onkeydown = (event) => {
    const open = event.key === 'Escape' && event.target.closest('details[open]');
    if (open) { open.open = false; open.querySelector('summary').focus(); }
  };
  box.onclick = (event) => {
    const shut = event.target.closest('[data-shut]');
    if (shut) { shut.form.reset(); const open = shut.closest('details'); open.open = false;
      open.querySelector('summary').focus(); return; }
    const copy = event.target.closest('[data-copy]');
    if (copy) { copied(copy.dataset.copy).then(() => { copy.textContent = copy.dataset.done; }); return; }
    const box_of = event.target.closest('summary');
    const below = box_of && (box_of.parentElement.querySelector('form') || box_of);
    if (below) requestAnimationFrame(() => below.scrollIntoView({ block: 'nearest' }));
    const more = event.target.closest('[data-more]');
    if (more) {  // opened where it stands; the page need not be asked
      const opened = more.closest('[data-opens]').classList.toggle('opened');
      more.setAttribute('aria-expanded', String(opened)); return;
    }
    const target = event.target.closest('[data-act]');
    if (target) {
      event.preventDefault();
      const { sent, ...told } = target.dataset;
      // Marked at once; what comes back draws the sheet anew, also where nothing in it has changed.
      if (sent) { target.textContent = sent; target.disabled = true; box.dataset.drawn = ''; }
      setTriggerValue('act', told); return;
    }
    const link = event.target.closest('a[data-go]');
    if (link) {
      if (event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
      event.preventDefault(); setTriggerValue('act', { act: 'go', ...link.dataset }); return;
    }
    if (event.target.closest('a, button, input, select, summary, form')) return;
    const row = event.target.closest('tr[data-athlete]');
    if (row) setTriggerValue('act', { act: 'open', athlete: row.dataset.athlete });
  };
  box.onsubmit = (event) => {
    event.preventDefault();
    const values = Object.fromEntries(new FormData(event.target).entries());
    setTriggerValue('act', { act: 'change', ...event.target.dataset, ...values });
  };
}
"""


@cache
def _style() -> str:
    return _STYLE.read_text(encoding="utf-8")


def use_house_style(extra: str = "") -> None:
    """Put the house style on the page."""
    st.html(html("<style>{}\n{}</style>", as_html(_style()), as_html(extra)))


def show(*pieces: object) -> None:
    """Show HTML of ours; a piece that is none is shown as text."""
    st.html(html('<div class="house">{}</div>', join_html(pieces)))


def show_sheet(drawn: str, key: str, on_act: Callable[[dict[str, Any]], None]) -> dict[str, Any] | None:
    """Show HTML whose links and buttons are reported back; ``on_act`` runs before the page is drawn again.

    Returns what was clicked in this run, or null, so that the page can go elsewhere.
    """

    def heard() -> None:
        said = st.session_state.get(key)
        act = said.get("act") if said else None
        if isinstance(act, dict):
            on_act(act)

    sheet = st.components.v2.component("thirdstep_sheet", js=_SCRIPT, isolate_styles=False)
    result = sheet(data={"html": str(escape(drawn))}, key=key, on_act_change=heard)
    act = result.get("act")
    return act if isinstance(act, dict) else None
