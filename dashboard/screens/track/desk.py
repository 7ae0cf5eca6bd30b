"""The part of the track page that runs in the browser, and what is handed to it."""

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

from dashboard.parts.browser_code import joined

HERE = Path(__file__).parent
PARTS = (
    HERE.parent / "film" / "parts.js",
    *(HERE / f"{name}.js" for name in ("sheets", "pad", "setup", "faults", "component")),
)


@cache
def script() -> str:
    """Return the page's modules as one."""
    return joined(PARTS)


@cache
def style() -> str:
    """Return its look; colours and types are the house's."""
    return (HERE / "track.css").read_text(encoding="utf-8")


def show_track(data: Mapping[str, Any], key: str, on_send: Callable[[], None]) -> None:
    """Show the grid; ``on_send`` runs with what the phone sends before the page is drawn again."""
    track = st.components.v2.component("thirdstep_track", css=f"{style()}\n", js=script(), isolate_styles=False)
    track(data=dict(data), key=key, on_send_change=on_send)
