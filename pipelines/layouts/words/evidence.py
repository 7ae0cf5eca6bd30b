"""What the cells of a column are: days, numbers, clock times, names, words. Looked at before any header is believed."""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import polars as pl

from pipelines.cells.dates import is_day
from pipelines.cells.spoken import is_missing
from schemas.spelling import fold

SAMPLE = 400  # filled cells of a column that are looked at
NUMBER = re.compile(r"[-+]?(?:\d+(?:[.,]\d+)*|[.,]\d+)")
NUMBER_AND_WORD = re.compile(
    r"(?!\d+\s*[xX]\s*\d)[-+]?\d+(?:[.,]\d+)?\s*(?:[a-zA-Z%°]{1,8}\.?|#|'|\"|ish)?(?:\s*\d+(?:[.,]\d+)?\s*(?:min|m|\"|in|lbs?)?)?"
)
CLOCK = re.compile(
    r"\d{1,3}\s*(?::|h|u|uur)\s*\d{1,2}(?::\d{2}(?:[.,]\d+)?)?\s*(?:min)?|\d{1,2}\s*(?:h|u|uur)\s*\d{0,2}(?:\s*min)?",
    re.I,
)
OF_TEN = re.compile(r"\d+(?:[.,]\d+)?\s*(?:/|of|von|sur|de)\s*\d+", re.I)
# '1.88/3.12/4.26', '16.7, 16.9, 17.0': what stands between the times of one cell
BETWEEN_TIMES = r"(?:\s*[/|;]\s*|,\s+)"
TIMES = re.compile(rf"\d{{1,2}}[.,]\d{{1,3}}(?:{BETWEEN_TIMES}\d{{1,2}}[.,]\d{{1,3}})+")
HAND = re.compile(r"\d{1,3}[.,]\d{1,2}\s*[hwiaA+*]{1,2}")
# '49.87FAT', '12.3h', '1:00.24', '10.85 s': a time that was run, with how it was taken; no heading is so written.
RUN_TIME = re.compile(
    r"\d{1,2}:\d{2}[.,]\d{1,3}\s*(?:fat|[hwia]{1,3})?|\d{1,3}[.,]\d{1,3}\s*(?:fat|[hwia]{1,3}|s|sec)", re.I
)
NAME_WORD = re.compile(r"[^\W\d_][^\W\d_'’.\-]*\.?(?:[-'’][^\W\d_]+)*")


@dataclass(frozen=True)
class Evidence:
    """Shares of the filled cells of a column, and the range of its numbers."""

    filled: int
    days: float
    numbers: float  # plain numbers
    measures: float  # numbers, also with a word behind, clock times, '7/10'
    clocks: float
    of_ten: float
    lists: float  # '1.88/3.12/4.26'
    names: float  # of people, by form or because they are known
    known: float  # of people who are known
    words: float  # texts without digits
    distinct: int
    least: float
    most: float
    whole: float  # share of the numbers that are whole
    texts: tuple[str, ...]  # different texts, as they first stand

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands in the column."""
        return self.filled == 0

    @property
    def is_numeric(self) -> bool:
        """Whether the column holds measured values."""
        return self.measures >= 0.5 and self.days < 0.5


NO_CELLS = Evidence(0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, ())


@lru_cache(maxsize=65536)
def looks_like_name(text: str) -> bool:
    """Return whether a text has the form of a person's name: one to four words of letters, the first ones with
    capitals.
    """
    plain = text.strip().rstrip(",")
    words = plain.replace(",", " ").split()
    if not 1 <= len(words) <= 4 or len(plain) > 40 or any(char.isdigit() for char in plain):
        return False
    return all(NAME_WORD.fullmatch(word) for word in words) and (words[0][0].isupper() or len(words) > 1)


# "75' RPE 7", '60 min effort 4', '90 min @ 6': minutes and how hard they were, each said. Common practice, no source.
MINUTES_AND_EFFORT = re.compile(
    r"(\d{1,3})\s*(?:'|′|’|min\.?|mins|minutes?|minuten|minutos|minuti)\s*[,;:/@-]?\s*"
    r"(?:@|rpe|effort|bel|belastung|esfuerzo|sforzo|effekt)\s*[:=]?\s*(\d{1,2}(?:[.,]\d)?)(?:\s*/\s*10)?", re.I
)  # fmt: skip


def is_run_time(text: str) -> bool:
    """Return whether a text is a time as results write it: in minutes and seconds, or with how it was taken."""
    return bool(RUN_TIME.fullmatch(text.strip()))


def to_number(text: str) -> float | None:
    """Return a plain number however its decimals are written, None where it is none."""
    plain = text.strip()
    if not NUMBER.fullmatch(plain):
        return None
    if plain.count(",") + plain.count(".") > 1:
        head, tail = re.split(r"[.,](?=[^.,]*$)", plain)
        plain = re.sub(r"[.,]", "", head) + "." + tail
    return float(plain.replace(",", "."))


def look(column: pl.Series, known: frozenset[str] = frozenset()) -> Evidence:
    """Return what the cells of a column are.

    Args:
        column: Text.
        known: Folded names of people who are known.
    """
    return _looked_at(tuple(column.drop_nulls().head(SAMPLE).to_list()), known)


@lru_cache(maxsize=256)  # each layout in turn looks at the same columns
def _looked_at(cells: tuple[str, ...], known: frozenset[str]) -> Evidence:
    said = [text.strip() for text in cells]
    return weigh([text for text in said if text and not is_missing(text)], known)


def weigh(said: Sequence[str], known: frozenset[str]) -> Evidence:
    """Return what some texts are."""
    many = len(said)
    if many == 0:
        return NO_CELLS
    times = Counter(said)  # in the order in which they first stand
    texts = tuple(times)
    numbers = {text: number for text in texts if (number := to_number(text)) is not None}
    many_numbers = sum(times[text] for text in numbers)

    def share(test: Callable[[str], object]) -> float:
        return sum(count for text, count in times.items() if test(text)) / many

    is_known = share(lambda text: fold(text) in known or " ".join(sorted(fold(text).split())) in known)
    days = share(is_day)
    clocks = share(CLOCK.fullmatch)
    of_ten = share(OF_TEN.fullmatch)
    with_word = share(lambda text: NUMBER_AND_WORD.fullmatch(text) or HAND.fullmatch(text) or CLOCK.fullmatch(text)
                      or OF_TEN.fullmatch(text))  # fmt: skip
    return Evidence(
        filled=many,
        days=days,
        numbers=many_numbers / many,
        measures=with_word,
        clocks=clocks,
        of_ten=of_ten,
        lists=share(TIMES.fullmatch),
        names=max(share(looks_like_name), is_known),
        known=is_known,
        words=share(lambda text: not any(char.isdigit() for char in text)),
        distinct=len(texts),
        least=min(numbers.values(), default=0.0),
        most=max(numbers.values(), default=0.0),
        whole=sum(times[text] for text, number in numbers.items() if number == round(number)) / many_numbers
        if numbers
        else 0.0,
        texts=texts,
    )
