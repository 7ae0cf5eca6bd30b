"""Many small figures on one scale, drawn as inline SVG: the trend of the start, and load by week over own range."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import Any

from dashboard.parts.lines import is_above
from dashboard.screens.group import words
from schemas.html import html, join_html

Row = Mapping[str, Any]
WIDE, HIGH = 250.0, 118.0
LEFT, BOTTOM, TOP = 34.0, 17.0, 6.0
STEPS = (0.02, 0.05, 0.1, 0.2, 0.5)  # s between grid lines; the first that gives five or fewer is taken
BAR, BARS_HIGH = 15.0, 46.0


@dataclass(frozen=True)
class Scale:
    """One scale for all small trends of a page: seconds and days."""

    least: float
    most: float
    step: float
    first: dt.date
    last: dt.date

    def x(self, on: dt.date) -> float:
        """Return the place of a day."""
        span = max((self.last - self.first).days, 1)
        return LEFT + (on - self.first).days / span * (WIDE - LEFT - 5)

    def y(self, seconds: float) -> float:
        """Return the place of a time; faster is up."""
        return TOP + (seconds - self.least) / (self.most - self.least) * (HIGH - TOP - BOTTOM)


def common_scale(rows: Sequence[Row], bands: Sequence[float | None]) -> Scale | None:
    """Return the scale that holds every trend; null where there is none."""
    values = [r[name] for r in rows for name in ("level", "observed") if r[name] is not None]
    values += [band for band in bands if band is not None]
    if not values:
        return None
    low, high = min(values), max(values)
    step = next((s for s in STEPS if (high - low) / s <= 4), STEPS[-1])
    least, most = floor(low / step) * step, ceil(high / step) * step
    days = [r["session_date"] for r in rows]
    return Scale(least, most if most > least else least + step, step, min(days), max(days))


def small_trend(rows: Sequence[Row], band: tuple[float | None, float | None], scale: Scale, said: str) -> str:
    """Draw the level of one athlete with its interval and days, over the band of own noise."""
    parts = []
    low, high = band
    if low is not None and high is not None:
        top, bottom = sorted((_held(scale.y(low)), _held(scale.y(high))))
        parts.append(
            html(
                '<rect class="noise" x="{:.0f}" y="{:.1f}" width="{:.0f}" height="{:.1f}"/>',
                LEFT,
                top,
                WIDE - LEFT,
                max(bottom - top, 1),
            )
        )
    count = round((scale.most - scale.least) / scale.step)
    for number in range(count + 1):
        value = scale.least + number * scale.step
        place = scale.y(value)
        parts.append(
            html('<line class="grid" x1="{:.0f}" x2="{:.0f}" y1="{:.1f}" y2="{:.1f}"/>', LEFT, WIDE, place, place)
        )
        parts.append(html('<text x="0" y="{:.1f}">{:.2f}{}</text>', place + 4, value, " s" if number == 0 else ""))
    months = _months(scale)
    for place, name in months:
        parts.append(html('<text x="{:.1f}" y="{:.0f}">{}</text>', place, HIGH - 3, name))
    known = [r for r in rows if r["level"] is not None]
    edged = [r for r in known if r["lower_95"] is not None and r["upper_95"] is not None]
    if len(edged) > 1:
        there = [f"{scale.x(r['session_date']):.1f},{_held(scale.y(r['lower_95'])):.1f}" for r in edged]
        back = [f"{scale.x(r['session_date']):.1f},{_held(scale.y(r['upper_95'])):.1f}" for r in reversed(edged)]
        parts.append(html('<polygon class="area" points="{}"/>', " ".join([*there, *back])))
    if known:
        line = " ".join(f"{scale.x(r['session_date']):.1f},{scale.y(r['level']):.1f}" for r in known)
        parts.append(html('<polyline class="line" points="{}"/>', line))
    parts.extend(
        html('<circle class="obs" cx="{:.1f}" cy="{:.1f}" r="2"/>', scale.x(r["session_date"]), scale.y(r["observed"]))
        for r in rows
        if r["observed"] is not None
    )
    return html(
        '<svg viewBox="0 0 {:.0f} {:.0f}" role="img" aria-label="{}">{}</svg>', WIDE, HIGH, said, join_html(parts)
    )


def _held(place: float) -> float:
    """Keep a place inside the frame."""
    return min(max(place, TOP), HIGH - BOTTOM)


def _months(scale: Scale) -> list[tuple[float, str]]:
    """Return the first days of months with room between their names."""
    found: list[tuple[float, str]] = []
    day = scale.first.replace(day=1)
    while day <= scale.last:
        if day >= scale.first and scale.x(day) < WIDE - 22 and (not found or scale.x(day) - found[-1][0] > 30):
            found.append((scale.x(day), f"{day:%b}"))
        day = (day + dt.timedelta(days=32)).replace(day=1)
    return found or [(LEFT, f"{scale.first.day} {scale.first:%b}")]


def week_bars(rows: Sequence[Row], name: str) -> str:
    """Draw the weeks of one athlete over own range; an unknown week is an open dotted bar at what is known."""
    last = rows[-1]
    low, high = last["own_low_au"], last["own_high_au"]
    values = [v for r in rows for v in (r["load_au"], r["load_known_au"]) if v is not None]
    most = max([*values, high or 0.0, 1.0]) * 1.05
    wide = BAR * len(rows)

    def y(value: float) -> float:
        return BARS_HIGH - value / most * BARS_HIGH

    shade = ""
    if low is not None and high is not None:
        shade = html(
            '<rect class="range" x="0" y="{:.1f}" width="{:.0f}" height="{:.1f}"/>',
            y(high),
            wide,
            max(y(low) - y(high), 1),
        )
    bars = []
    for number, row in enumerate(rows):
        left, value = number * BAR + 2, row["load_au"]
        shown = value if value is not None else row["load_known_au"] or most * 0.12
        over = number == len(rows) - 1 and is_above(row)  # as on the week's sheet: the last week alone
        kind = "gap" if value is None else "bar over" if over else "bar"
        bars.append(
            html('<rect class="{}" x="{:.1f}" y="{:.1f}" width="{:.0f}" ', kind, left, y(shown), BAR - 4)
            + html('height="{:.1f}"/>', max(BARS_HIGH - y(shown), 0.8))
        )
        if over:  # a mark beside the colour
            bars.append(html('<text x="{:.1f}" y="{:.1f}">▲</text>', left + 1.5, max(y(shown) - 2, 9)))
    said = words.load_alt(name, last)
    drawn = shade + join_html(bars)
    return html('<svg viewBox="0 0 {:.0f} {:.0f}" role="img" aria-label="{}">{}</svg>', wide, BARS_HIGH, said, drawn)
