"""Whose page it is: the athlete is named in the address, and chosen among those the viewer may see."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from dashboard import wording
from dashboard.reads import query_value
from schemas.html import Markup, html, join_html


def athlete_of_address(names: Mapping[str, str]) -> str | None:
    """Return the athlete whom the address names; null where it names none that this viewer may see."""
    asked = query_value("athlete")
    return asked if asked in names else None


def athletes_to_open(people: Sequence[Mapping[str, Any]], address: str) -> Markup:
    """Return the athletes by event group, each a link to the page of this address that opens it for them."""
    groups = []
    for slug, label in wording.EVENT_GROUPS.items():
        links = [
            html(
                '<li><a href="{}?athlete={}" target="_self">{}</a></li>',
                address,
                one["athlete_id"],
                one["display_name"],
            )
            for one in people
            if (one["event_group"] or "other") == slug
        ]
        if links:
            heading = wording.sentence_case(label)
            groups.append(html("<section><h3>{}</h3><ul>{}</ul></section>", heading, join_html(links)))
    return html('<nav class="toopen" aria-label="{}">{}</nav>', wording.CHOOSE_ATHLETE, join_html(groups))


def offer_athletes(names: Mapping[str, str], athlete_id: str | None, key: str, *, keeps_choices: bool = False) -> None:
    """Offer the athletes; a choice goes into the address, without the page's other choices unless it keeps them."""
    ids = list(names)
    chosen = st.selectbox(
        wording.CHOOSE_ATHLETE,
        ids,
        index=ids.index(athlete_id) if athlete_id else None,
        format_func=lambda one: names[one],
        placeholder=wording.CHOOSE_ATHLETE,
        width=260,
        label_visibility="collapsed",
        key=f"{key}_{athlete_id}",
    )
    if chosen is not None and chosen != athlete_id:
        if not keeps_choices:
            st.query_params.clear()
        st.query_params["athlete"] = chosen
        st.rerun()
