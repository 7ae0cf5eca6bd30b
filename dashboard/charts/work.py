"""Charts of the work done and of strength. Each returns a specification."""

from functools import cache
from typing import Any

import altair as alt

from dashboard.charts.palette import PALETTES, ROWS, day_axis, finished, unit_axis


@cache
def week_bars(scheme: str, unit: str) -> dict[str, Any]:
    """Specify weeks as bars over the athlete's own range; an unknown week is an open dotted bar at what is known.

    Rows: no (rising with the week), week (its name), value (null when unknown), at_least, low, high, is_over.
    """
    p = PALETTES[scheme]
    x = alt.X(
        "week:O",
        sort=alt.EncodingSortField("no", op="min"),
        axis=alt.Axis(title=None, labelAngle=0, grid=False, labelOverlap=True),
        scale=alt.Scale(paddingInner=0.35),
    )
    y = alt.Y("value:Q", axis=unit_axis(unit))
    base = alt.Chart(ROWS)
    own = base.mark_rect(color=p.own_range, aria=False).encode(y=alt.Y("max(low):Q"), y2="max(high):Q")
    bars = base.mark_bar(aria=False).encode(
        x=x,
        y=y,
        color=alt.condition("datum.is_over", alt.value(p.verm), alt.value(p.bar)),
        tooltip=[alt.Tooltip("week:O"), alt.Tooltip("value:Q", format=",.0f", title=unit)],
    )
    gaps = (
        base.transform_filter("!isValid(datum.value)")
        .mark_bar(filled=False, stroke=p.soft, strokeDash=[2, 3], strokeWidth=1.2, aria=False)
        .encode(x=x, y="at_least:Q")
    )
    return finished(alt.layer(own, bars, gaps), p, 170)


@cache
def two_sides(scheme: str, unit: str) -> dict[str, Any]:
    """Specify a measure of left and right over time; the right is dashed. Rows: on, value, side_name."""
    p = PALETTES[scheme]
    sides = ["left", "right"]
    base = alt.Chart(ROWS)
    color = alt.Color(
        "side_name:N", scale=alt.Scale(domain=sides, range=[p.series[0], p.series[1]]), legend=alt.Legend()
    )
    dash = alt.StrokeDash("side_name:N", scale=alt.Scale(domain=sides, range=[[1, 0], [4, 3]]), legend=None)
    y = alt.Y("value:Q", scale=alt.Scale(zero=True), axis=unit_axis(unit))
    line = base.mark_line(strokeWidth=1.7, aria=False).encode(x=day_axis(), y=y, color=color, strokeDash=dash)
    dots = base.mark_point(filled=True, size=40, opacity=1, aria=False).encode(
        x=day_axis(),
        y=y,
        color=color,
        shape=alt.Shape("side_name:N", scale=alt.Scale(domain=sides, range=["circle", "square"]), legend=None),
        tooltip=[
            alt.Tooltip("on:T", format="%-d %b %Y"),
            alt.Tooltip("side_name:N", title="side"),
            alt.Tooltip("value:Q", format=",.0f", title=unit),
        ],
    )
    return finished(alt.layer(line, dots), p, 180)
