"""The colours and the type of every chart, in light and in dark. Series colours are the Okabe-Ito set."""

from dataclasses import dataclass
from typing import Any

import altair as alt


@dataclass(frozen=True)
class Palette:
    """Colours of one scheme."""

    paper: str
    ink: str
    soft: str
    rule: str
    blue: str
    verm: str
    noise: str
    own_range: str
    bar: str
    series: tuple[str, ...]


LIGHT = Palette(
    "#FBFAF6",
    "#14181D",
    "#545B63",
    "#DDD9CF",
    "#0072B2",
    "#B34700",
    "#F0ECE1",
    "#E6E0D0",
    "#8C949B",
    ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9", "#E69F00"),
)
DARK = Palette(
    "#14171A",
    "#ECE8DF",
    "#A9AEB3",
    "#363B40",
    "#6DB9E8",
    "#FF9A62",
    "#25282B",
    "#3A382F",
    "#7A828A",
    ("#56B4E9", "#E69F00", "#2BC494", "#E79CC4", "#F0E442", "#FF8A4C"),
)
# For paper: reads the same from a printer without colours.
PRINT = Palette(
    "#FFFFFF",
    "#000000",
    "#3A3A3A",
    "#BDBDBD",
    "#000000",
    "#000000",
    "#EDEDED",
    "#E4E4E4",
    "#8A8A8A",
    ("#000000", "#707070", "#404040", "#909090", "#202020", "#B0B0B0"),
)
PALETTES = {"light": LIGHT, "dark": DARK, "print": PRINT}
FONT = "House Sans, House Sans Ext, system-ui, sans-serif"

# The chart gets its rows when it is drawn; it is built once without them.
ROWS: Any = alt.NamedData("rows")


def finished(chart: Any, palette: Palette, height: int) -> dict[str, Any]:
    """Return a chart as a specification without rows, in the house type and colours."""
    styled = (
        chart.properties(
            height=height, background="transparent", padding={"left": 0, "top": 6, "right": 6, "bottom": 5}
        )
        .configure(font=FONT)
        .configure_view(stroke=None)
        .configure_axis(
            labelColor=palette.soft,
            titleColor=palette.soft,
            gridColor=palette.rule,
            domainColor=palette.rule,
            tickColor=palette.rule,
            labelFontSize=12,
            titleFontSize=12,
            titleFontWeight="normal",
            gridOpacity=0.55,
            labelPadding=5,
            titlePadding=8,
            domain=False,
            ticks=False,
        )
        .configure_text(color=palette.soft, fontSize=12)
        .configure_legend(labelColor=palette.soft, titleColor=palette.soft, orient="top", title=None, labelFontSize=12)
    )
    spec: dict[str, Any] = styled.to_dict()
    spec.pop("data", None)
    spec.pop("datasets", None)
    return spec


def unit_axis(unit: str, top_is_first: bool = False) -> Any:
    """Return a vertical axis that says its unit once, at the top label."""
    top = 0 if top_is_first else 1
    return alt.Axis(title=None, tickCount=4, labelExpr=f"datum.label + (datum.index == {top} ? ' {unit}' : '')")


def day_axis(field: str = "on", **more: Any) -> Any:
    """Return the axis of days. Days have no time of day, so they are drawn in UTC wherever the viewer sits."""
    return alt.X(
        f"{field}:T",
        scale=alt.Scale(type="utc", **more),
        axis=alt.Axis(format="%-d %b", title=None, grid=False, tickCount=5, labelFlush=True),
    )
