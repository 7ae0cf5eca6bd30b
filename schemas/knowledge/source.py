"""How a source of knowledge is cited."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Source:
    """Where a formula, a value or a rule comes from.

    ``strength`` is "published", "standard" (a rule book or an ISO-like text), "definition" or "common practice".
    ``read`` says how far the source was read when it was entered: "source", "abstract", "secondary" or "memory".
    """

    citation: str
    strength: str = "published"
    read: str = "abstract"
    note: str = ""
