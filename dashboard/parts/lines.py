"""Small lines of six weeks, drawn as inline SVG in the page's own colours."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from schemas.html import html, join_html

WIDE, HIGH, LOAD_WIDE, PAD = 112.0, 30.0, 96.0, 4.0

Points = Sequence[float | None] | None


def trend_line(points: Points, lows: Points, highs: Points, better_is: str = "lower") -> str:
    """Draw six weekly levels over the band of own noise; better is upwards. Unknown weeks leave a gap.

    The band is level: it is drawn from its last known edges.
    """
    low = next((v for v in reversed(lows or []) if v is not None), None)
    high = next((v for v in reversed(highs or []) if v is not None), None)
    known = [(i, p) for i, p in enumerate(points or []) if p is not None]
    if not known:
        return html('<span class="soft">no timed start</span>')
    values = [p for _, p in known]
    band = [v for v in (low, high) if v is not None]
    least, most = min(values + band), max(values + band)
    span = (most - least) or 1.0
    count = max(len(points or []) - 1, 1)

    def x(index: int) -> float:
        return PAD + index * (WIDE - 2 * PAD) / count

    def y(value: float) -> float:
        share = (value - least) / span
        return 3 + (share if better_is == "lower" else 1 - share) * (HIGH - 6)

    shade = ""
    if low is not None and high is not None:
        top, bottom = sorted((y(low), y(high)))
        shade = html(
            '<rect class="noise" x="0" y="{:.1f}" width="{:.0f}" height="{:.1f}"/>', top, WIDE, max(bottom - top, 1)
        )
    runs: list[list[str]] = [[]]
    for index, value in enumerate(points or []):
        if value is None:
            runs.append([])
        else:
            runs[-1].append(f"{x(index):.1f},{y(value):.1f}")
    path = join_html(html('<polyline class="line" points="{}"/>', " ".join(run)) for run in runs if len(run) > 1)
    dots = join_html(
        (
            html('<circle class="dot" cx="{:.1f}" cy="{:.1f}" r="{}"/>', x(i), y(v), 2.6 if i == known[-1][0] else 1.5)
            for i, v in known
        )
    )
    said = f"weekly level from {wording.number(values[0], 2)} to {wording.number(values[-1], 2)} s"
    return html(
        '<svg width="{:.0f}" height="{:.0f}" viewBox="0 0 {:.0f} {:.0f}" role="img" ', WIDE, HIGH, WIDE, HIGH
    ) + html('aria-label="{}">{}{}{}</svg>', said, shade, path, dots)


def is_above(week: Mapping[str, Any]) -> bool:
    """Return whether a row of ``load_week`` lies above the own range of its week: where it is marked, on every page."""
    load, high = week["load_au"], week["own_high_au"]
    return load is not None and high is not None and bool(load > high)


def load_bars(
    points: Points, low: float | None, high: float | None, above: bool | None, lacks: str | None = None
) -> str:
    """Draw six weeks of load over the athlete's own range. An unknown week is an open dotted bar, never a zero.

    ``lacks``: what is missing, where no week is known at all.
    """
    weeks = list(points or [])
    known = [p for p in weeks if p is not None]
    if not known:
        return html('<span class="soft">no known week</span>{}', html("<small>{}</small>", lacks) if lacks else "")
    most = max([*known, high or 0.0]) * 1.05
    step = LOAD_WIDE / max(len(weeks), 1)

    def y(value: float) -> float:
        return HIGH - value / most * HIGH

    shade = ""
    if low is not None and high is not None:
        shade = html(
            '<rect class="range" x="0" y="{:.1f}" width="{:.0f}" height="{:.1f}"/>',
            y(high),
            LOAD_WIDE,
            max(y(low) - y(high), 1),
        )
    bars = []
    for index, value in enumerate(weeks):
        left = index * step + 3
        if value is None:
            bars.append(html('<rect class="gap" x="{:.1f}" y="12" width="10" height="17.5"/>', left))
            continue
        over = bool(above) and index == len(weeks) - 1
        bars.append(
            html(
                '<rect class="bar{}" x="{:.1f}" y="{:.1f}" width="10" height="{:.1f}"/>',
                " over" if over else "",
                left,
                y(value),
                HIGH - y(value),
            )
        )
    said = f"week load, last {wording.number(weeks[-1], 0) if weeks[-1] is not None else 'unknown'}"
    if above:
        said += ", above own range"
    return html(
        '<svg width="{:.0f}" height="{:.0f}" viewBox="0 0 {:.0f} {:.0f}" role="img" ', LOAD_WIDE, HIGH, LOAD_WIDE, HIGH
    ) + html('aria-label="{}">{}{}</svg>', said, shade, join_html(bars))
