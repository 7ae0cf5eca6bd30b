"""Weekdays in words. A short one may be another day in another language: 'ma' is Monday in Dutch, Tuesday in French."""

from collections.abc import Iterable
from functools import cache

from pipelines.cells.languages import languages
from schemas.spelling import fold

ENGLISH = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
LETTERS = 2  # of the shortest word that is one of a weekday by itself; 'l', 'x', 'j' only beside others
# ... and words that mean something else as well
ONLY_BESIDE_OTHERS = {"man", "on", "to", "die", "mit", "son", "don", "sex", "ter", "ons", "qui", "ct", "la", "ne",
                      "nie",
                      "pa", "pat", "po", "pon", "pt", "st", "ute", "cz", "sr"}  # fmt: skip


@cache
def _by_language() -> dict[str, dict[str, int]]:
    return {
        code: {word: day for day, words in enumerate(own["calendar"]["weekdays"]) for word in words}
        for code, own in languages().items()
    }


@cache
def _stems() -> dict[str, int | None]:
    """Return each word for a weekday and which it is, None where languages differ."""
    found: dict[str, set[int]] = {}
    for words in _by_language().values():
        for word, day in words.items():
            if len(word) >= LETTERS and word not in ONLY_BESIDE_OTHERS:
                found.setdefault(word, set()).add(day)
    return {word: days.copy().pop() if len(days) == 1 else None for word, days in found.items()}


def is_weekday(text: str) -> bool:
    """Return whether a text is a word for a weekday in some language."""
    return fold(text) in _stems()


def before_a_day(word: str) -> frozenset[int]:
    """Return the weekdays that a word may mean right before a day, also one that means something else as well: 'ons'
    in 'ons 1/4'. None of them where it is no word for one.
    """
    return frozenset(days[fold(word)] for days in _by_language().values() if fold(word) in days)


def weekday_named(word: str) -> int | None:
    """Return the weekday that a word means in every language that has it, Monday as 0; None for others."""
    return _stems().get(fold(word))


def weekdays_meant(word: str) -> frozenset[int]:
    """Return the weekdays that a word means in one language or another; none where it is no word for one."""
    return frozenset(days[fold(word)] for days in _by_language().values() if is_weekday(word) and fold(word) in days)


def weekdays_beside(texts: Iterable[str]) -> dict[str, int]:
    """Return which of some texts are weekdays beside each other, also those that mean something else alone: 'man',
    'on' beside 'tis', 'fre'. {} where fewer than two are words for weekdays by themselves, or languages differ.
    """
    said = [text for text in texts if text]
    if sum(1 for text in set(said) if is_weekday(text)) < LETTERS:
        return {}
    found = [{text: days[fold(text)] for text in said if fold(text) in days} for days in _by_language().values()]
    most = max(len(one) for one in found)
    best = [one for one in found if len(one) == most]
    return best[0] if all(one == best[0] for one in best) else {}


def weekdays_named(texts: Iterable[str]) -> dict[str, int] | None:
    """Return which weekday each of some texts is, all of one language: 'ma', 'wo', 'vr' are Dutch.

    None where one of them is no weekday, and where languages that know them all differ.
    """
    said = list(dict.fromkeys(texts))
    words = [fold(text) for text in said]
    if not said:
        return None
    found = [
        [days[word] for word in words] for days in _by_language().values() if all(word in days for word in words)
    ]  # fmt: skip
    if found and all(one == found[0] for one in found):
        return dict(zip(said, found[0], strict=True))
    known = [weekday_named(text) for text in said]  # 'Monday', 'mardi': two languages, and each word says it
    if found or any(day is None for day in known):
        return None
    return {text: day for text, day in zip(said, known, strict=True) if day is not None}
