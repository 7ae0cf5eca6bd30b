"""Parts of a long page: a phone shows one of them at a time, a wide window all; the choice is kept in the address."""

from collections.abc import Mapping
from typing import Any

import streamlit as st

from dashboard.parts import page
from dashboard.reads import query_value
from schemas.html import html, join_html

PHONE = "(max-width: 760px)"


def phone_parts(parts: Mapping[str, str], prefix: str = "part", place: str = "part") -> None:
    """Offer parts by name on a phone, and hide there the containers of those not chosen.

    Args:
        parts: The name of each part and what it is called; the first is shown first.
        prefix: What the keys of the containers begin with: ``part_now``, ``part_now_left``.
        place: Where in the address the choice stands.
    """
    chosen = query_value(place, set(parts)) or next(iter(parts))
    hidden = ", ".join(
        f".st-key-{prefix}_{name}, .st-key-{prefix}_{name}_left, .st-key-{prefix}_{name}_right"
        for name in parts
        if name != chosen
    )
    page.use_house_style(
        f"@media {PHONE} {{ {hidden} {{ display: none !important; }} }}"
        f"@media not all and {PHONE} {{ .st-key-{prefix}_keys {{ display: none; }} }}"
    )

    def act(said: dict[str, Any]) -> None:
        if said.get("act") == "part" and said.get("part") in parts:
            st.query_params[place] = said["part"]

    keys = join_html(
        html(
            '<button data-act="part" data-part="{}" aria-pressed="{}">{}</button>',
            name,
            str(name == chosen).lower(),
            label,
        )
        for name, label in parts.items()
    )
    with st.container(key=f"{prefix}_keys"):
        page.show_sheet(html('<div class="parts" role="group">{}</div>', keys), f"{prefix}_chosen", act)
