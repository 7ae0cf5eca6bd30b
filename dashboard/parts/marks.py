"""The marks: a word with a sign in its margin.

One line: adapt. Filled square: talk first. Dotted: cannot say. None: quiet.
"""

import re
from collections.abc import Mapping
from html import escape

from dashboard import wording

_UNIT = re.compile(r"(\d|≥|≤|±) (%|s|ms|m|cm|kg|N|h|\d)(?![\w])")
RULES = {
    "adapt": "adapt",
    "talk_first": "talk",
    "no_call": "none",
    "as_planned": "quiet",
    "one_family": "adapt",
    "several_families": "adapt",
    "cannot_say": "none",
    "none": "quiet",
    "speaks": "adapt",
    "quiet": "quiet",
}


# Opens what may be wider than the page: it scrolls sideways, and by the keyboard too, which needs a place to stand.
SCROLL = f'<div class="scroll" tabindex="0" role="group" aria-label="{wording.WIDE_TABLE}">'


def text(value: object) -> str:
    """Escape a value for HTML; unknown is empty. Every value on a page passes here."""
    return "" if value is None else escape(str(value), quote=True)


def bind_units(sentence: str, space: str = wording.NARROW) -> str:
    """Keep each number and its unit on one line."""
    return _UNIT.sub(f"\\1{space}\\2", sentence)


def prose(value: object) -> str:
    """Escape a sentence and keep a number and its unit on one line."""
    return bind_units(text(value))


def mark(slug: str | None, labels: dict[str, str], why: str | None = None, more: int = 0) -> str:
    """Return the word of a call or level with its rule and its strongest reason."""
    slug = slug or "cannot_say"
    label = labels.get(slug, wording.HAMSTRING.get(slug, slug.replace("_", " ")))
    rest = f" and {more} more" if more else ""
    reason = f'<span class="why">{prose(why)}{rest}</span>' if why else ""
    return f'<span class="call {RULES.get(slug, "quiet")}">{text(label)}</span>{reason}'


def lede(sentence: str) -> str:
    """Return the sentence that stands before a table."""
    return f'<p class="lede">{prose(sentence)}</p>'


def empty(sentence: str, next_step: str = "") -> str:
    """Return a plain sentence for what is not there, with the next step."""
    more = f' <span class="soft">{text(next_step)}</span>' if next_step else ""
    return f'<p class="empty">{text(sentence)}{more}</p>'


def take_links(files: Mapping[str, str]) -> str:
    """Return the links that take a file away: label to address."""
    return " ".join(f'<a href="{text(address)}" download>{text(label)}</a>' for label, address in files.items())


def caution(sentence: str = wording.CAUTION_LINE) -> str:
    """Return the line of caution that closes a page or a section."""
    return f'<p class="caution">{text(sentence)}</p>'
