"""A long list of people in parts, chosen in the address: nobody reads a page of a thousand lines."""

from collections.abc import Mapping, Sequence
from typing import TypeVar

from dashboard import wording
from dashboard.parts.week_sheet import link
from schemas.html import Markup, html, join_html

PART = "part"  # its name in the address
LINES = 60  # of a sheet in a part; a squad of 40 stands on one page
FIGURES = 40  # people with a figure each in a part
One = TypeVar("One")


def part_of(everyone: Sequence[One], asked: str | None, size: int) -> tuple[list[One], int]:
    """Return the part asked for and its number from 1 on; the nearest one where there is none of that number."""
    last = max(-(-len(everyone) // size), 1)
    number = min(max(int(asked), 1), last) if asked and asked.isdecimal() else 1
    return list(everyone[(number - 1) * size : number * size]), number


def part_links(count: int, number: int, chosen: Mapping[str, str | None], size: int) -> Markup:
    """Return the links to the parts of a list; nothing where it is all in one."""
    if count <= size:
        return Markup()
    links = join_html(
        (
            link(
                wording.part_name(first + 1, min(first + size, count)),
                {**chosen, PART: str(place) if place > 1 else None},
                place == number,
            )
            for place, first in enumerate(range(0, count, size), 1)
        )
    )
    return html('<nav class="filters" aria-label="{}">{}</nav>', wording.PART_NAV, links)
