"""Charts of two starts. A is blue, filled and solid; B is ink, open and dashed. Each returns a specification."""

from functools import cache
from typing import Any

import altair as alt

from dashboard.charts import blocks
from dashboard.charts.palette import PALETTES, ROWS, day_axis, finished, unit_axis

WHO = ["A", "B"]


def _colour(p: Any) -> Any:
    return alt.Color("who:N", scale=alt.Scale(domain=WHO, range=[p.blue, p.ink]), legend=None)


@cache
def steps(scheme: str, unit: str) -> dict[str, Any]:
    """Specify one measure of two starts by step. Rows: step, who, value, low, high, differs (text, empty where not)."""
    p = PALETTES[scheme]
    x = alt.X("step:O", axis=alt.Axis(title=None, labelAngle=0, grid=False), scale=alt.Scale(padding=0.15))
    offset = alt.XOffset("who:N", sort=WHO, scale=alt.Scale(paddingInner=0.2, paddingOuter=0.55))
    y = alt.Y("value:Q", scale=alt.Scale(zero=False, nice=False, padding=18), axis=unit_axis(unit))
    base = alt.Chart(ROWS)
    tips = [
        alt.Tooltip("step:O"),
        alt.Tooltip("who:N", title="start"),
        alt.Tooltip("value:Q", format=".3~f", title=unit),
    ]
    bars = base.mark_rule(strokeWidth=1.3, aria=False).encode(
        x=x, xOffset=offset, y="low:Q", y2="high:Q", color=_colour(p)
    )
    one = (
        base.transform_filter("datum.who == 'A'")
        .mark_point(filled=True, size=44, opacity=1, shape="circle", aria=False)
        .encode(x=x, xOffset=offset, y=y, color=_colour(p), tooltip=tips)
    )
    other = (
        base.transform_filter("datum.who == 'B'")
        .mark_point(filled=True, fill=p.paper, size=38, opacity=1, shape="square", strokeWidth=1.4, aria=False)
        .encode(
            x=x,
            xOffset=offset,
            y=y,
            stroke=alt.Stroke("who:N", scale=alt.Scale(domain=WHO, range=[p.blue, p.ink]), legend=None),
            tooltip=tips,
        )
    )
    mark = (
        base.transform_filter("datum.differs != ''")
        .mark_text(color=p.ink, fontSize=14, fontWeight=700, baseline="top", aria=False)
        .encode(x=x, y=alt.value(0), text="differs:N")
    )
    return finished(alt.layer(bars, one, other, mark), p, 150)


def _curves(p: Any, x: Any, value: str, low: str, high: str, y: Any) -> list[Any]:
    base = alt.Chart(ROWS).transform_filter("datum.kind == 'curve'")
    dash = alt.StrokeDash("who:N", scale=alt.Scale(domain=WHO, range=[[1, 0], [5, 3]]), legend=None)
    band = base.mark_area(opacity=0.14, aria=False).encode(x=x, y=alt.Y(f"{low}:Q"), y2=f"{high}:Q", color=_colour(p))
    line = base.mark_line(strokeWidth=1.8, aria=False).encode(x=x, y=y, color=_colour(p), strokeDash=dash)
    return [band, line]


@cache
def speed(scheme: str) -> dict[str, Any]:
    """Specify speed over distance of two runs with the mean speed of each stretch.

    Rows: kind ('curve' or 'stretch'), who, distance_m, speed_mps, low_mps, high_mps, from_m.
    """
    p = PALETTES[scheme]
    x = alt.X("distance_m:Q", axis=alt.Axis(title="m from the start", grid=False, tickCount=6))
    y = alt.Y("speed_mps:Q", axis=unit_axis("m/s"))
    stretch = alt.Chart(ROWS).transform_filter("datum.kind == 'stretch'")
    dash = alt.StrokeDash("who:N", scale=alt.Scale(domain=WHO, range=[[1, 0], [5, 3]]), legend=None)
    flat = stretch.mark_rule(strokeWidth=2.6, opacity=0.75, aria=False).encode(
        x=alt.X("from_m:Q"),
        x2="distance_m:Q",
        y=y,
        color=_colour(p),
        strokeDash=dash,
        tooltip=[
            alt.Tooltip("who:N", title="start"),
            alt.Tooltip("from_m:Q", title="from, m"),
            alt.Tooltip("distance_m:Q", title="to, m"),
            alt.Tooltip("speed_mps:Q", title="m/s", format=".2f"),
        ],
    )
    return finished(alt.layer(*_curves(p, x, "speed_mps", "low_mps", "high_mps", y), flat), p, 230)


@cache
def residuals(scheme: str) -> dict[str, Any]:
    """Specify how far each gate lies off its curve. Rows: gate, who, residual_ms, fitted (yes or no)."""
    p = PALETTES[scheme]
    x = alt.X("gate:O", sort=None, axis=alt.Axis(title="gate, m", labelAngle=0, grid=False))
    offset = alt.XOffset("who:N", sort=WHO, scale=alt.Scale(paddingInner=0.2, paddingOuter=0.55))
    base = alt.Chart(ROWS)
    zero = base.mark_rule(color=p.rule, aria=False).encode(y=alt.datum(0))
    stems = (
        base.transform_calculate(zero="0")
        .mark_rule(aria=False)
        .encode(x=x, xOffset=offset, y=alt.Y("zero:Q"), y2="residual_ms:Q", color=_colour(p))
    )
    dots = base.mark_point(filled=True, size=34, opacity=1, aria=False).encode(
        x=x,
        xOffset=offset,
        y=alt.Y("residual_ms:Q", axis=unit_axis("ms")),
        color=_colour(p),
        shape=alt.Shape("who:N", scale=alt.Scale(domain=WHO, range=["circle", "square"]), legend=None),
        tooltip=[
            alt.Tooltip("who:N", title="start"),
            alt.Tooltip("gate:O", title="m"),
            alt.Tooltip("residual_ms:Q", title="ms off", format=".1f"),
        ],
    )
    return finished(alt.layer(zero, stems, dots), p, 100)


@cache
def force(scheme: str) -> dict[str, Any]:
    """Specify the push left at some speeds, a bar from nought to it with its band.

    Rows: who, speed_mps, force_n_per_kg, low_n_per_kg, high_n_per_kg.
    """
    p = PALETTES[scheme]
    y = alt.Y("speed_mps:Q", axis=alt.Axis(title="at m/s", grid=False, tickCount=6))
    x = alt.X("zero:Q", axis=alt.Axis(title="N/kg", tickCount=6))
    base = alt.Chart(ROWS).transform_calculate(zero="0")
    wide = alt.StrokeWidth("who:N", scale=alt.Scale(domain=WHO, range=[5, 1.6]), legend=None)  # B over A, both seen
    bars = base.mark_rule(aria=False).encode(y=y, x=x, x2="force_n_per_kg:Q", color=_colour(p), strokeWidth=wide)
    bands = base.mark_rule(strokeWidth=7, opacity=0.28, aria=False).encode(
        y=y, x="low_n_per_kg:Q", x2="high_n_per_kg:Q", color=_colour(p)
    )
    ends = base.mark_point(filled=True, size=30, opacity=1, aria=False).encode(
        y=y,
        x="force_n_per_kg:Q",
        color=_colour(p),
        shape=alt.Shape("who:N", scale=alt.Scale(domain=WHO, range=["circle", "square"]), legend=None),
        tooltip=[
            alt.Tooltip("who:N", title="start"),
            alt.Tooltip("speed_mps:Q", title="at m/s", format=".1f"),
            alt.Tooltip("force_n_per_kg:Q", title="N/kg", format=".2f"),
        ],
    )
    return finished(alt.layer(bands, bars, ends), p, 230)


@cache
def trend_with_blocks(scheme: str, unit: str, better_is: str, rows_of_blocks: int) -> dict[str, Any]:
    """Specify a trend with the blocks of work as thin bars below. Better is upwards.

    Rows: kind ('day' or 'block'); of days on, level, lower_95, upper_95, observed; of blocks on, until, work.
    """
    p = PALETTES[scheme]
    y = alt.Y(
        "level:Q",
        scale=alt.Scale(zero=False, reverse=better_is == "lower", **blocks.room(bool(rows_of_blocks))),
        axis=unit_axis(unit, better_is == "lower"),
    )
    days = alt.Chart(ROWS).transform_filter("datum.kind == 'day'")
    shared = {"x": day_axis()}
    band = days.mark_area(color=p.blue, opacity=0.16, aria=False).encode(**shared, y="lower_95:Q", y2="upper_95:Q")
    line = days.mark_line(color=p.blue, strokeWidth=1.9, aria=False).encode(**shared, y=y)
    dots = days.mark_circle(fill=p.paper, stroke=p.blue, strokeWidth=1.4, size=34, opacity=1, aria=False).encode(
        **shared,
        y="observed:Q",
        tooltip=[
            alt.Tooltip("on:T", title="session", format="%-d %b %Y"),
            alt.Tooltip("observed:Q", title=f"measured, {unit}", format=".3f"),
        ],
    )
    top = alt.layer(band, line, dots)
    layers = [top, blocks.at_the_foot(p)] if rows_of_blocks else [top]
    return finished(alt.layer(*layers).resolve_scale(y="independent"), p, 230)


@cache
def squad_slopes(scheme: str, count: int) -> dict[str, Any]:
    """Specify slopes of a squad. Rows: name, raw_ms, pooled_ms, low_ms, high_ms, squad_ms, is_own."""
    p = PALETTES[scheme]
    y = alt.Y("name:N", sort=None, axis=alt.Axis(title=None, grid=False, labelLimit=170))
    x = alt.X("pooled_ms:Q", axis=alt.Axis(title="ms a week", tickCount=5))
    base = alt.Chart(ROWS)
    colour = alt.condition("datum.is_own", alt.value(p.blue), alt.value(p.bar))
    squad = base.mark_rule(color=p.ink, strokeWidth=1, strokeDash=[2, 3], aria=False).encode(x=alt.X("min(squad_ms):Q"))
    bars = base.mark_rule(strokeWidth=1.6, aria=False).encode(x="low_ms:Q", x2="high_ms:Q", y=y, color=colour)
    raw = base.mark_point(filled=True, fill=p.paper, size=30, strokeWidth=1.2, opacity=1, aria=False).encode(
        x="raw_ms:Q", y=y, stroke=colour
    )
    dots = base.mark_point(filled=True, size=40, opacity=1, aria=False).encode(
        x=x,
        y=y,
        color=colour,
        tooltip=[
            alt.Tooltip("name:N"),
            alt.Tooltip("raw_ms:Q", title="own line", format=".1f"),
            alt.Tooltip("pooled_ms:Q", title="pooled", format=".1f"),
        ],
    )
    return finished(alt.layer(squad, bars, raw, dots), p, 40 + 17 * count)


@cache
def sled(scheme: str) -> dict[str, Any]:
    """Specify top speed against load with loads for a slow-down.

    Rows: kind ('line' or 'target'), v0, slope, percent, load_kg, low_kg, high_kg, part ('tested' or 'beyond'), said.
    """
    p = PALETTES[scheme]
    x = alt.X("load_kg:Q", axis=alt.Axis(title="kg pulled, sled included", grid=False, tickCount=6))
    y = alt.Y("speed_mps:Q", scale=alt.Scale(zero=True), axis=unit_axis("m/s"))
    lines = (
        alt.Chart(ROWS)
        .transform_filter("datum.kind == 'line'")
        .transform_calculate(speed_mps="datum.v0 - datum.slope * datum.load_kg")
    )
    line = lines.mark_line(color=p.blue, strokeWidth=1.9, aria=False).encode(
        x=x,
        y=y,
        detail="part:N",
        strokeDash=alt.StrokeDash(
            "part:N", scale=alt.Scale(domain=["tested", "beyond"], range=[[1, 0], [4, 4]]), legend=None
        ),
    )
    targets = (
        alt.Chart(ROWS)
        .transform_filter("datum.kind == 'target'")
        .transform_calculate(speed_mps="datum.v0 * (1 - datum.percent / 100)")
    )
    reach = targets.mark_rule(color=p.ink, strokeWidth=1.3, aria=False).encode(x="low_kg:Q", x2="high_kg:Q", y=y)
    dots = targets.mark_circle(fill=p.paper, stroke=p.ink, strokeWidth=1.4, size=44, opacity=1, aria=False).encode(
        x=x, y=y
    )
    words = targets.mark_text(align="left", dx=7, dy=-9, color=p.soft, fontSize=12, aria=False).encode(
        x=x, y=y, text="said:N"
    )
    return finished(alt.layer(line, reach, dots, words), p, 200)


@cache
def gain(scheme: str, lever: str, unit: str) -> dict[str, Any]:
    """Specify time gained against a change of one lever. Rows: change, least_ms, most_ms, at (what is asked)."""
    p = PALETTES[scheme]
    x = alt.X("change:Q", axis=alt.Axis(title=f"change of {lever}, {unit}", grid=False, tickCount=6))
    y = alt.Y("least_ms:Q", axis=unit_axis("ms gained"))
    base = alt.Chart(ROWS)
    zero = base.mark_rule(color=p.soft, strokeWidth=1, aria=False).encode(y=alt.datum(0))
    band = base.mark_area(color=p.blue, opacity=0.2, aria=False).encode(x=x, y=y, y2="most_ms:Q")
    low = base.mark_line(color=p.blue, strokeWidth=1.4, aria=False).encode(x=x, y=y)
    high = base.mark_line(color=p.blue, strokeWidth=1.4, aria=False).encode(x=x, y="most_ms:Q")
    here = base.mark_rule(color=p.ink, strokeDash=[2, 3], aria=False).encode(x="min(at):Q")
    return finished(alt.layer(zero, band, low, high, here), p, 190)
