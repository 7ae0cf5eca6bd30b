"""Charts of the look back at flags. Each returns a specification."""

from functools import cache
from typing import Any

import altair as alt

from dashboard.charts.palette import PALETTES, ROWS, Palette, finished


def _share_axis() -> Any:
    return alt.Axis(title=None, format=".0%", values=[0, 0.25, 0.5, 0.75, 1], labelFlush=True)


def _names(palette: Palette) -> Any:
    return alt.Y(
        "name:N",
        sort=None,
        axis=alt.Axis(title=None, labelLimit=190, grid=False, labelColor=palette.ink, offset=10),
        scale=alt.Scale(paddingInner=0.2),
    )


@cache
def share_intervals(scheme: str, count: int) -> dict[str, Any]:
    """Specify shares as dots over their intervals. Rows: name, value (may be null), low, high (shares)."""
    p = PALETTES[scheme]
    base = alt.Chart(ROWS)
    x = alt.X("value:Q", scale=alt.Scale(domain=[0, 1]), axis=_share_axis())
    tooltip = [
        alt.Tooltip("name:N", title="share"),
        alt.Tooltip("value:Q", format=".1%", title="seen"),
        alt.Tooltip("low:Q", format=".1%"),
        alt.Tooltip("high:Q", format=".1%"),
    ]
    line = base.mark_rule(color=p.ink, strokeWidth=1.6, aria=False).encode(y=_names(p), x="low:Q", x2="high:Q")
    ends = [
        base.mark_tick(color=p.ink, thickness=1.6, size=11, aria=False).encode(y=_names(p), x=alt.X(f"{end}:Q"))
        for end in ("low", "high")
    ]
    dots = base.mark_point(filled=True, size=85, color=p.blue, opacity=1, aria=False).encode(
        y=_names(p), x=x, tooltip=tooltip
    )
    return finished(alt.layer(line, *ends, dots), p, 34 * count + 30)


@cache
def rules_beside(scheme: str, count: int) -> dict[str, Any]:
    """Specify rules side by side: ring at the share of weeks flagged, dot at the share of injuries flagged.

    Rows: name, flagged, found (shares; found is null without an injury).
    """
    p = PALETTES[scheme]
    base = alt.Chart(ROWS)
    x = alt.X("flagged:Q", scale=alt.Scale(domain=[0, 1]), axis=_share_axis())
    link = base.mark_rule(color=p.soft, strokeWidth=1.2, aria=False).encode(y=_names(p), x="flagged:Q", x2="found:Q")
    tooltip = [
        alt.Tooltip("name:N", title="rule"),
        alt.Tooltip("flagged:Q", format=".1%", title="weeks flagged"),
        alt.Tooltip("found:Q", format=".1%", title="injuries flagged"),
    ]
    ring = base.mark_point(
        filled=True, fill=p.paper, stroke=p.ink, strokeWidth=1.6, size=110, opacity=1, aria=False
    ).encode(y=_names(p), x=x, tooltip=tooltip)
    dot = base.mark_point(filled=True, color=p.blue, size=50, opacity=1, aria=False).encode(
        y=_names(p), x=alt.X("found:Q"), tooltip=tooltip
    )
    return finished(alt.layer(link, ring, dot), p, 30 * count + 30)
