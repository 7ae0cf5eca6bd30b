"""How one person is named in sources: by key, by name in any order and spelling of its letters, and within a text."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from pipelines.checks.names import name_key

REDACTED = "[erased]"


@dataclass(frozen=True)
class Named:
    """A person's names. A name that another athlete bears too is left out: only the key tells the two apart."""

    athlete_id: str
    keys: frozenset[str]  # forms a whole cell is compared in
    texts: tuple[str, ...]  # names of more than one word, looked for inside texts too
    signers: frozenset[str] = frozenset()  # sign-in names tied to the person
    words: frozenset[str] = frozenset()  # single words of the name that no other athlete's holds
    pattern: re.Pattern[str] = field(compare=False, default=re.compile(r"(?!)"))

    def is_cell(self, text: object) -> bool:
        """Return whether a cell names the person and nothing else."""
        return text is not None and name_key(str(text)) in self.keys

    def is_in(self, cells: Iterable[object]) -> bool:
        """Return whether any cell names the person."""
        return any(self.is_cell(cell) for cell in cells)

    def redacted(self, text: str) -> str:
        """Return a text without the person's name."""
        return self.pattern.sub(REDACTED, text)

    def pruned(self, told: Any) -> Any:
        """Return a structure without the names, and without the answers that say who a written name is."""
        if isinstance(told, str):
            return self.redacted(told)
        if isinstance(told, Mapping):
            return {
                self.redacted(str(name)): self.pruned(value)
                for name, value in told.items()
                if not (self.is_cell(value) or self.is_cell(name))
            }
        if isinstance(told, (list, tuple)):
            return [self.pruned(value) for value in told]
        return told


def named(
    athlete_id: str, names: Iterable[str], others: Iterable[str], written: Iterable[str], signers: Iterable[str]
) -> Named:
    """Return how a person is named.

    Args:
        athlete_id: The person's key.
        names: Display names the person has had.
        others: Names and keys of all others.
        written: Spellings that were answered to be this person.
        signers: Sign-in names tied to the person.
    """
    others = list(others)
    taken = {name_key(other) for other in others}
    own = [name for name in dict.fromkeys(n for n in names if n) if name_key(name) not in taken]
    keys = {name_key(name) for name in (athlete_id, *own, *written)} - {""}
    texts = []
    for name in (athlete_id, *own):
        words = re.split(r"[\s,_-]+", name.strip())
        if len(words) > 1:
            texts += [words, words[::-1], [words[-1], *words[:-1]]]
    forms = sorted({r"[\s,_-]+".join(re.escape(word) for word in words) for words in texts}, key=len, reverse=True)
    pattern = re.compile(rf"(?<!\w)(?:{'|'.join(forms)})(?!\w)", re.IGNORECASE) if forms else re.compile(r"(?!)")
    alone = {name_key(word) for name in own for word in name.split()} - {""}
    alone -= {name_key(word) for other in others for word in re.split(r"[\s,_-]+", other)}
    plain = tuple(dict.fromkeys(" ".join(words) for words in texts))
    return Named(athlete_id, frozenset(keys), plain, frozenset(signers), frozenset(alone), pattern)
