"""A message that says how others ran: 'Coach: Ana 30 m 4.05'. The times are hers, and not the sender's."""

import re

from pipelines.cells.phrases import VOCABULARY, word_said
from pipelines.cells.spoken import kind_of
from pipelines.layouts.text.noted_efforts import EFFORT
from pipelines.layouts.words.headings import read_heading
from schemas.spelling import fold

NAME = re.compile(r"[^\W\d_][^\W\d_'’.-]*(?:[-'’][^\W\d_]+)*\.?(?:\s+[^\W\d_][^\W\d_'’.-]*(?:[-'’][^\W\d_]+)*\.?){0,3}")
A_TIME = re.compile(r"(?<![\d.,])\d{1,2}[.,]\d{1,2}(?![\d.,])")
# With what a message of the day's runs may begin, folded; common practice, no source.
TODAY = {"today", "heute", "vandaag", "hoy", "oggi", "hoje", "idag", "tonight", "now"}
OF_A_RUN = ("start_kind", "clock_start", "timing_kind", "resistance_kind")


def without_sender(text: str, people: dict[str, int]) -> str:
    """Return a message without who sent it where times in it are somebody else's: it begins with a person who is
    known, or with a name right before a number.

    Words of a start or of what was done are nobody: in 'Ana: blocks 30 m 4.05' they are her own. An effort is left with
    the sender, of whom it may be.

    Args:
        text: The message, 'Coach: Ana 30 m 4.05'.
        people: Folded names of those who are known, with how many have each.
    """
    _, sign, rest = text.partition(":")
    rest = rest.strip()
    named = NAME.match(rest)
    if not sign or named is None or A_TIME.search(rest) is None or EFFORT.search(rest) is not None:
        return text
    words = named[0].split()
    if fold(words[0]) in TODAY and not any(people.get(word) for word in fold(rest).split()):
        return text  # 'Ana: today 30 m 4.05'
    if any(people.get(fold(" ".join(words[:size]).rstrip("."))) for size in range(1, len(words) + 1)):
        return rest
    is_heading = bool(read_heading(0, named[0]).names)  # 'Slept 7.5 h'
    is_word = (
        is_heading or kind_of(named[0]) is not None or any(word_said(named[0], VOCABULARY[name]) for name in OF_A_RUN)
    )
    is_name = rest[0].isupper() and not is_word and re.match(r"\s*:?\s*\d", rest[named.end() :])
    return re.sub(rf"^{re.escape(named[0])}\s*:?", f"{named[0]}:", rest) if is_name else text
