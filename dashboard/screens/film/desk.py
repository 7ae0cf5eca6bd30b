"""The desk of the Film page: the part that runs in the browser, and what is handed to it."""

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

from dashboard.parts.browser_code import joined

HERE = Path(__file__).parent
# In the order in which they need each other; the browser gets them as one module.
PARTS = (
    "boxes",
    "frames",
    "decoder",
    "fingerprint",
    "parts",
    "stage",
    "work",
    "steady",
    "pictures",
    "hand",
    "waiting",
    "beside",
    "lane",
    "component",
)


@cache
def script() -> str:
    """Return the desk's parts as one module: each is a module of its own to read and to test."""
    return joined([HERE / f"{name}.js" for name in PARTS])


@cache
def style() -> str:
    """Return the desk's look; its colours and types are the house's."""
    return (HERE / "film.css").read_text(encoding="utf-8")


def show_desk(
    data: Mapping[str, Any], key: str, on_work: Callable[[], None], on_keep: Callable[[], None]
) -> dict[str, Any] | None:
    """Show the desk; return the marks in hand as the browser last sent them."""
    desk = st.components.v2.component("thirdstep_film", css=f"{style()}\n", js=script(), isolate_styles=False)
    got = desk(data=dict(data), key=key, default={"work": None}, on_work_change=on_work, on_keep_change=on_keep)
    work = got.get("work")
    return dict(work) if work else None
