"""Charts as pictures for other programs and for print: the same specification, with its rows inside."""

import datetime as dt
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from dashboard.charts.palette import PALETTES

FONTS = Path(__file__).resolve().parents[1] / "sheets" / "fonts"
WIDTH = 620
PNG_SCALE = 2.0
TITLE_SIZE = 15


@cache
def _renderer() -> Any:
    """Return the chart renderer with the house type; loaded when the first picture is asked for."""
    import vl_convert

    vl_convert.register_font_directory(str(FONTS))
    return vl_convert


def filled(
    spec: Mapping[str, Any],
    rows: Sequence[Mapping[str, Any]],
    title: str = "",
    width: int = WIDTH,
    height: int | None = None,
) -> dict:
    """Return a specification with its rows, a size of its own and, where asked, its finding as a title."""
    ink = spec.get("config", {}).get("axis", {}).get("labelColor", PALETTES["light"].soft)
    scheme = next((p for p in PALETTES.values() if p.soft == ink), PALETTES["light"])
    whole: dict[str, Any] = {
        **spec,
        "width": width,
        "background": scheme.paper,
        "padding": 12,
        "data": {"values": [{k: _plain(v) for k, v in row.items()} for row in rows]},
    }
    if height is not None:
        whole["height"] = height
    if title:
        whole["title"] = {
            "text": title,
            "anchor": "start",
            "color": scheme.ink,
            "font": "House Serif",
            "fontSize": TITLE_SIZE,
            "fontWeight": 600,
            "offset": 10,
        }
    return whole


def picture(
    spec: Mapping[str, Any],
    rows: Sequence[Mapping[str, Any]],
    ending: str,
    title: str = "",
    width: int = WIDTH,
    height: int | None = None,
) -> bytes:
    """Return a chart as SVG or PNG. Nothing is fetched for it: fonts and rows are here."""
    whole = filled(spec, rows, title, width, height)
    if ending == "svg":
        return str(_renderer().vegalite_to_svg(whole, allowed_base_urls=[])).encode("utf-8")
    return bytes(_renderer().vegalite_to_png(whole, scale=PNG_SCALE, allowed_base_urls=[]))


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, dt.date) else value
