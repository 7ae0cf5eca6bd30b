"""The one home of HTML: a template written in the code, filled with values that are escaped unless they are HTML.

What a page shows is ``Markup`` (MarkupSafe): text that knows it is HTML. A value that is none is escaped wherever it
meets one, so an escape that was forgotten shows as ``&lt;b&gt;`` on the page and never runs there.
``tests/test_html.py`` reads the code: a tag stands in a template of this module's and nowhere else.
"""

from collections.abc import Iterable
from typing import Any

from markupsafe import Markup, escape

__all__ = ["Markup", "as_html", "escape", "html", "join_html"]


def html(template: str, *values: object) -> Markup:
    """Fill a template of ours: ``html('<p class="soft">{}</p>', said)``. Unknown is empty.

    Args:
        template: Written out where it is used; ``{}`` for each value, ``{:.1f}`` for a number, braces doubled.
        values: HTML as it is, numbers as they are, everything else escaped.
    """
    return Markup(template.format(*[_filled(value) for value in values]))


def join_html(pieces: Iterable[object], between: str = "") -> Markup:
    """Put pieces one behind the other, each escaped unless it is HTML."""
    return escape(between).join(_filled(piece) for piece in pieces)


def as_html(drawn: str) -> Markup:
    """Take text that a drawing library of ours wrote as HTML: an SVG, a style sheet. Never a value of anybody's."""
    return Markup(drawn)


def _filled(value: object) -> Any:
    if value is None:
        return ""
    return value if isinstance(value, int | float) else escape(value)
