"""Marks that a time was taken by hand: '11,8h', '11,5 man.', and '11,8 m.' where 'm.' is short for manuale, manuel."""

import re
from collections.abc import Iterable

from pipelines.cells.languages import in_cells, languages
from schemas.spelling import fold

WORDED = re.compile(r"\s*(\d{1,3}(?:[.,:]\d{1,2})*)\s*\(?([^\W\d_][^\d()]*?)\)?\s*")
# By hand times are to a tenth. Common practice, no source.
SHORT = re.compile(r"\s*(\d{1,3}[.,]\d)\s*m\.?\s*", re.I)
SHORT_IN = ("it", "es", "fr", "pt")  # languages in which the word for by hand begins with an m and a metre is no time


def is_short_for_hand(headers: Iterable[str]) -> bool:
    """Return whether headings are in a language in which 'm.' behind a time is short for by hand: at least two words
    of it, and of no other more.
    """
    headed = {fold(text) for text in headers if text}
    known = {
        code: len(headed & {word for words in own["headers"].values() for word in words})
        for code, own in languages().items()
    }
    return max(known[code] for code in SHORT_IN) >= max(2, *known.values())


def time_by_hand(text: str, *, is_short: bool) -> str | None:
    """Return a time without the mark that says it was taken by hand, None where it has none.

    Args:
        text: The cell.
        is_short: Whether 'm.' is short for by hand here.
    """
    worded = WORDED.fullmatch(text)
    if worded is None:
        return None
    if fold(worded[2]) in ("h", *in_cells("timing_kind")["hand"]) or (is_short and SHORT.fullmatch(text)):
        return worded[1]
    return None
