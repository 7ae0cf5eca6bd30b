"""Whose page is drawn: so many of one person's at once, so that somebody with many pages open keeps nobody waiting.

The processor draws pages by turns. Without this, somebody whose browser asks for twenty pages without end has twenty
turns for each of anybody else.
"""

import contextlib
import threading
from collections.abc import Iterator

DRAWN_AT_ONCE = 3  # pages of one person; own choice: one may wait for a file that is being read
_lock = threading.Lock()
_turns: dict[str, threading.BoundedSemaphore] = {}


@contextlib.contextmanager
def turn_of(name: str) -> Iterator[None]:
    """Wait until one of a person's turns is free, and hold it while the block runs."""
    with _lock:
        turns = _turns.setdefault(name, threading.BoundedSemaphore(DRAWN_AT_ONCE))
    with turns:
        yield
