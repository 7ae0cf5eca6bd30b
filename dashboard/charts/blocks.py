"""Blocks of work as thin bars along the foot of a trend, drawn alike wherever a trend is."""

from typing import Any

import altair as alt

from dashboard.charts.palette import ROWS, Palette, day_axis

FOOT_PX = 60  # room under the trend that the bars are drawn in
LANES_HIGH = 12  # heights of the picture in lanes: bars keep to the foot


def at_the_foot(palette: Palette) -> Any:
    """Return bars and words of the rows of kind 'block': on, until, work, lane, is_named."""
    blocks = alt.Chart(ROWS).transform_filter("datum.kind == 'block'")
    place = alt.Y("lane:Q", scale=alt.Scale(domain=[0, LANES_HIGH]), axis=None)
    bars = blocks.mark_rule(strokeWidth=4, color=palette.bar, aria=False).encode(
        x=day_axis(),
        x2="until:T",
        y=place,
        tooltip=[
            alt.Tooltip("work:N"),
            alt.Tooltip("on:T", title="from", format="%-d %b %Y"),
            alt.Tooltip("until:T", title="to", format="%-d %b %Y"),
        ],
    )
    words = (
        blocks.transform_filter("datum.is_named")
        .mark_text(align="left", baseline="bottom", dy=-3, fontSize=11, color=palette.soft, aria=False)
        .encode(x=day_axis(), y=place, text="work:N")
    )
    return alt.layer(bars, words)


def room(has_blocks: bool) -> dict[str, Any]:
    """Return what a trend's scale needs to leave the foot free."""
    return {"nice": not has_blocks, "padding": FOOT_PX if has_blocks else 0}
