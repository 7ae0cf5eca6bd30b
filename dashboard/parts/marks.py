"""The marks: a word with a sign in its margin.

One line: adapt. Filled square: talk first. Dotted: cannot say. None: quiet.
"""

import re
from collections.abc import Mapping

from dashboard import wording
from schemas.html import Markup, as_html, escape, html, join_html

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
SCROLL = html('<div class="scroll" tabindex="0" role="group" aria-label="{}">', wording.WIDE_TABLE)


def text(value: object) -> Markup:
    """Escape a value for HTML; unknown is empty."""
    return Markup() if value is None else escape(value)


def bind_units(sentence: str, space: str = wording.NARROW) -> str:
    """Keep each number and its unit on one line."""
    return _UNIT.sub(f"\\1{space}\\2", sentence)


def prose(value: object) -> Markup:
    """Escape a sentence and keep a number and its unit on one line."""
    return as_html(bind_units(text(value)))


def mark(slug: str | None, labels: dict[str, str], why: str | None = None, more: int = 0) -> Markup:
    """Return the word of a call or level with its rule and its strongest reason."""
    slug = slug or "cannot_say"
    label = labels.get(slug, wording.HAMSTRING.get(slug, slug.replace("_", " ")))
    rest = f" and {more} more" if more else ""
    reason = html('<span class="why">{}{}</span>', prose(why), rest) if why else ""
    return html('<span class="call {}">{}</span>{}', RULES.get(slug, "quiet"), label, reason)


def lede(sentence: str) -> Markup:
    """Return the sentence that stands before a table."""
    return html('<p class="lede">{}</p>', prose(sentence))


def more_key(of: str, label: str = wording.OPENS, *, opened: bool = False) -> Markup:
    """Return the key that opens on a phone what stands closed there; a wide window shows all and has no such key.

    It opens the nearest thing around it that says ``data-opens``: what in it is of the class ``rest``. ``of``: whose
    it is, for who hears the page.
    """
    return html(
        '<button type="button" class="plain more-key" data-more aria-expanded="{}" aria-label="{}">{}</button>',
        str(opened).lower(),
        f"{label}: {of}" if of else label,
        label,
    )


def empty(sentence: str, next_step: str = "") -> Markup:
    """Return a plain sentence for what is not there, with the next step."""
    more = html(' <span class="soft">{}</span>', next_step) if next_step else ""
    return html('<p class="empty">{}{}</p>', sentence, more)


def take_links(files: Mapping[str, str]) -> Markup:
    """Return the links that take a file away: label to address."""
    links = (html('<a href="{}" download>{}</a>', address, label) for label, address in files.items())
    return join_html(links, " ")


def caution(sentence: str = wording.CAUTION_LINE) -> Markup:
    """Return the line of caution that closes a page or a section."""
    return html('<p class="caution">{}</p>', sentence)
