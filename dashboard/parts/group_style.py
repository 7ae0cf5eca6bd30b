"""The style that Groups and Plan add to the house style."""

from functools import cache
from pathlib import Path

import streamlit as st

from schemas.html import as_html, html

_STYLE = Path(__file__).with_name("group.css")


@cache
def _style() -> str:
    return _STYLE.read_text(encoding="utf-8")


def use_group_style() -> None:
    """Put the added style on the page."""
    st.html(html("<style>{}</style>", as_html(_style())))
