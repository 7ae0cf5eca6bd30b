"""Charts of the start: its trend, the first contacts, rhythm and the acceleration. Each returns a specification."""

from functools import cache
from typing import Any, Literal

import altair as alt

from dashboard.charts import blocks
from dashboard.charts.palette import PALETTES, ROWS, day_axis, finished, unit_axis

FROM_LINE: Any = alt.Scale(domainMin=0, nice=False)
FIRST_UNIT = "datum.label + (datum.index == 1 ? ' {}' : '')"


@cache
def start_trend(
    scheme: str,
    unit: str = "s",
    better_is: str = "lower",
    word_side: Literal["left", "right"] = "left",
    has_blocks: bool = False,
) -> dict[str, Any]:
    """Specify the trend of one measure: level, 95 % interval, each session's typical value, band of own noise.

    Rows: kind ('day'), on, level, lower_95, upper_95, observed, noise_low, noise_high, reference_on (all but ``on`` may
    be null); where ``has_blocks``, also those of ``charts.blocks``, along the foot. Better is upwards.
    """
    p = PALETTES[scheme]
    y = alt.Y(
        "level:Q",
        scale=alt.Scale(zero=False, reverse=better_is == "lower", **blocks.room(has_blocks)),
        axis=unit_axis(unit, better_is == "lower"),
    )
    base = alt.Chart(ROWS).transform_filter("datum.kind != 'block'")
    noise = base.mark_rect(color=p.noise, aria=False).encode(y=alt.Y("min(noise_low):Q"), y2="max(noise_high):Q")
    word = (
        base.transform_filter("isValid(datum.noise_high)")
        .mark_text(
            align=word_side,
            baseline="bottom",
            dx=6 if word_side == "left" else -6,
            dy=-3,
            color=p.soft,
            fontSize=11,
            text="what noise alone would give",
            aria=False,
        )
        .encode(
            x=alt.value(0 if word_side == "left" else "width"),
            y=alt.Y(
                f"{'max' if better_is == 'lower' else 'min'}({'noise_high' if better_is == 'lower' else 'noise_low'}):Q"
            ),
        )
    )
    band = base.mark_area(color=p.blue, opacity=0.16, aria=False).encode(x=day_axis(), y="lower_95:Q", y2="upper_95:Q")
    line = base.mark_line(color=p.blue, strokeWidth=1.9, aria=False).encode(x=day_axis(), y=y)
    dots = base.mark_circle(fill=p.paper, stroke=p.blue, strokeWidth=1.4, size=42, opacity=1, aria=False).encode(
        x=day_axis(),
        y="observed:Q",
        tooltip=[
            alt.Tooltip("on:T", title="session", format="%-d %b %Y"),
            alt.Tooltip("observed:Q", title=f"measured, {unit}", format=".3f"),
            alt.Tooltip("level:Q", title=f"level, {unit}", format=".3f"),
        ],
    )
    mark = base.mark_rule(color=p.soft, strokeDash=[2, 3], aria=False).encode(
        x=alt.X("min(reference_on):T", scale=alt.Scale(type="utc"))
    )
    trend = alt.layer(noise, mark, band, line, dots, word)
    if not has_blocks:
        return finished(trend, p, 210)
    return finished(alt.layer(trend, blocks.at_the_foot(p)).resolve_scale(y="independent"), p, 250)


@cache
def first_contacts(scheme: str) -> dict[str, Any]:
    """Specify the first three contacts against the range of the athlete's own five best starts.

    Rows: step, who ('own', 'last' for the fastest start of the day, 'other' for its other starts), low_ms, high_ms,
    own_text, value_ms, error_low_ms, error_high_ms.
    """
    p = PALETTES[scheme]
    x = alt.X("step:N", axis=alt.Axis(title=None, labelAngle=0, grid=False), scale=alt.Scale(padding=0.4))
    y = alt.Y("low_ms:Q", scale=alt.Scale(zero=False, nice=True), axis=unit_axis("ms"))
    base = alt.Chart(ROWS)
    own, last, other = (base.transform_filter(f"datum.who == '{who}'") for who in ("own", "last", "other"))
    spread = own.mark_bar(color=p.bar, opacity=0.36, size=40, aria=False).encode(x=x, y=y, y2="high_ms:Q")
    range_text = own.mark_text(align="right", dx=-25, color=p.soft, fontSize=11.5, aria=False).encode(
        x=x, y=alt.Y("low_ms:Q"), text="own_text:N"
    )
    error = (
        last.transform_filter("isValid(datum.error_low_ms)")
        .mark_rule(color=p.blue, strokeWidth=1.4, aria=False)
        .encode(x=x, y="error_low_ms:Q", y2="error_high_ms:Q")
    )
    others = other.mark_circle(fill=p.paper, stroke=p.blue, strokeWidth=1.1, size=26, opacity=1, aria=False).encode(
        x=x, y="value_ms:Q", tooltip=[alt.Tooltip("step:N"), alt.Tooltip("value_ms:Q", title="ms", format=".0f")]
    )
    dot = last.mark_circle(color=p.blue, size=58, opacity=1, aria=False).encode(
        x=x, y="value_ms:Q", tooltip=[alt.Tooltip("step:N"), alt.Tooltip("value_ms:Q", title="ms", format=".0f")]
    )
    said = last.mark_text(align="left", dx=24, color=p.ink, fontSize=12.5, fontWeight=600, aria=False).encode(
        x=x, y="value_ms:Q", text=alt.Text("value_ms:Q", format=".0f")
    )
    return finished(alt.layer(spread, range_text, others, error, dot, said), p, 200)


@cache
def step_frequency(scheme: str) -> dict[str, Any]:
    """Specify step frequency over distance with 10 m marked: the last start over the athlete's earlier ones.

    Rows: start (one text per start), is_last, distance_m, hz, low_hz, high_hz.
    """
    p = PALETTES[scheme]
    x = alt.X("distance_m:Q", axis=alt.Axis(title="m from the start line", grid=False, tickCount=6))
    y = alt.Y("hz:Q", scale=alt.Scale(zero=False), axis=unit_axis("/s"))
    base = alt.Chart(ROWS)
    before = (
        base.transform_filter("!datum.is_last")
        .mark_line(color=p.bar, opacity=0.45, strokeWidth=1, aria=False)
        .encode(x=x, y=y, detail="start:N")
    )
    last = base.transform_filter("datum.is_last")
    known = last.transform_filter("isValid(datum.low_hz)")
    band = known.mark_area(color=p.blue, opacity=0.16, aria=False).encode(x=x, y="low_hz:Q", y2="high_hz:Q")
    line = last.mark_line(
        color=p.blue, strokeWidth=1.9, point=alt.OverlayMarkDef(color=p.blue, size=26, aria=False), aria=False
    ).encode(x=x, y=y)
    ten = alt.Chart(ROWS).mark_rule(color=p.ink, strokeWidth=1, strokeDash=[2, 3], aria=False).encode(x=alt.datum(10))
    word = (
        alt.Chart(ROWS)
        .transform_aggregate(n="count()")
        .mark_text(align="left", dx=4, dy=4, baseline="top", color=p.soft, fontSize=11, text="10 m", aria=False)
        .encode(x=alt.datum(10), y=alt.value(0))
    )
    return finished(alt.layer(before, ten, band, line, word), p, 200)


@cache
def speed(scheme: str) -> dict[str, Any]:
    """Specify the speed of one run over the distance: fitted curve with its interval, mean speed of each stretch.

    Rows: kind ('curve' or 'stretch'), distance_m, speed_mps, low_mps, high_mps, from_m, middle_m.
    """
    p = PALETTES[scheme]
    x = alt.X("distance_m:Q", axis=alt.Axis(title="m from the start line", grid=False, tickCount=6), scale=FROM_LINE)
    y = alt.Y("speed_mps:Q", axis=unit_axis("m/s"))
    base = alt.Chart(ROWS)
    curve = base.transform_filter("datum.kind == 'curve'")
    band = curve.mark_area(color=p.blue, opacity=0.16, aria=False).encode(x=x, y="low_mps:Q", y2="high_mps:Q")
    line = curve.mark_line(color=p.blue, strokeWidth=1.9, aria=False).encode(x=x, y=y)
    stretch = base.transform_filter("datum.kind == 'stretch'")
    tips = [
        alt.Tooltip("from_m:Q", title="from, m"),
        alt.Tooltip("distance_m:Q", title="to, m"),
        alt.Tooltip("speed_mps:Q", title="m/s", format=".2f"),
    ]
    flat = stretch.mark_rule(color=p.ink, strokeWidth=2.2, aria=False).encode(
        x=alt.X("from_m:Q"), x2="distance_m:Q", y=y, tooltip=tips
    )
    error = (
        stretch.transform_filter("isValid(datum.low_mps)")
        .mark_rule(color=p.ink, strokeWidth=1, aria=False)
        .encode(x=alt.X("middle_m:Q"), y="low_mps:Q", y2="high_mps:Q")
    )
    said = stretch.mark_text(color=p.ink, dy=14, fontSize=11, aria=False).encode(
        x=alt.X("middle_m:Q"), y=y, text=alt.Text("speed_mps:Q", format=".2f")
    )
    return finished(alt.layer(band, line, error, flat, said), p, 210)


@cache
def residuals(scheme: str) -> dict[str, Any]:
    """Specify how far each gate lies from the curve, in ms, over twice the timing noise.

    Rows: distance_m, residual_ms, noise_ms, zero, is_fitted.
    """
    p = PALETTES[scheme]
    x = alt.X("distance_m:Q", axis=alt.Axis(title="gate, m", grid=False, tickCount=6), scale=FROM_LINE)
    y = alt.Y("residual_ms:Q", axis=alt.Axis(title=None, tickCount=3, labelExpr=FIRST_UNIT.format("ms")))
    base = alt.Chart(ROWS)
    noise = base.transform_calculate(low="-datum.noise_ms").mark_rect(color=p.noise, aria=False)
    noise = noise.encode(y=alt.Y("min(low):Q"), y2="max(noise_ms):Q")
    zero = alt.Chart(ROWS).mark_rule(color=p.rule, aria=False).encode(y=alt.datum(0))
    stems = base.mark_rule(color=p.soft, aria=False).encode(x=x, y=alt.Y("zero:Q"), y2="residual_ms:Q")
    dots = base.mark_circle(stroke=p.ink, strokeWidth=1.3, size=34, opacity=1, aria=False).encode(
        x=x, y=y, fill=alt.condition("datum.is_fitted", alt.value(p.ink), alt.value(p.paper)),
        tooltip=[alt.Tooltip("distance_m:Q", title="m"), alt.Tooltip("residual_ms:Q", title="ms off", format="+.0f")],
    )  # fmt: skip
    return finished(alt.layer(noise, zero, stems, dots), p, 84)
