"""How far a long work has come, as it is told to who asked for it."""

from collections.abc import Callable

Tell = Callable[[int, int, str], None]  # how many of how many are done, and which comes next


def tell_nothing(_done: int, _all: int, _next: str) -> None:
    """Take progress for people and keep quiet."""
