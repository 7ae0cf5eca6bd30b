"""Columns of sentences that no spelling names: what people wrote beside their numbers is kept as a remark."""

import dataclasses
from collections.abc import Mapping, Sequence

from pipelines.cells.spoken import rating_of
from pipelines.layouts.text.notes import REMARK
from pipelines.layouts.words.evidence import Evidence
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.scales import RATED

SENTENCE, PHRASE = 5, 3  # words from which a cell is a sentence, and from which no rating is so written; own choice
OWN_WORDS = 0.7  # share of the cells that differ: exercises and places repeat, remarks do not; own choice
WITHOUT_DIGITS = 0.8


def with_remarks(headings: Sequence[Heading], seen: Mapping[int, Evidence]) -> list[Heading]:
    """Name 'note' what holds sentences: 'How did it go?', and a rating that everybody answered in words.

    A remark changes no number, and one that names the hamstring asks to be read: waiting, it would be read by nobody.
    """
    return [
        dataclasses.replace(one, names=("note",), loose=(), phrases=(), scale=None)
        if _is_remark(one, seen[one.place]) or _is_told_in_words(one, seen[one.place])
        else one
        for one in headings
    ]


def _is_remark(one: Heading, cells: Evidence) -> bool:
    is_named = one.is_told or one.names or one.phrases or one.at
    if one.text == REMARK:  # a line of a text may say that somebody was not there: that is asked, and makes no session
        return False
    if is_named or not one.text or one.gate_m is not None or one.run_no is not None or one.number is not None:
        return False
    longest = max((len(text.split()) for text in cells.texts), default=0)
    least = PHRASE if one.text.rstrip().endswith("?") else SENTENCE
    return longest >= least and cells.words >= WITHOUT_DIGITS and cells.distinct >= OWN_WORDS * cells.filled


def _is_told_in_words(one: Heading, cells: Evidence) -> bool:
    """Return whether a rating holds no number and no word of one, but what somebody said of it."""
    if one.is_told or one.is_exact or not {*one.names, *one.loose} & {*RATED} or cells.words < 1:
        return False
    return any(len(text.split()) >= PHRASE and rating_of(text) is None for text in cells.texts)
