"""Single cells read: days, numbers, units, words. What a cell alone can say, for layouts and checks alike."""

from collections.abc import Iterable

SET_ASIDE = "Row set aside."


def listed(words: Iterable[str], joint: str = "or") -> str:
    """Return words as a list in a sentence: 'a, b or c'."""
    every = list(words)
    return every[0] if len(every) == 1 else f"{', '.join(every[:-1])} {joint} {every[-1]}" if every else ""
