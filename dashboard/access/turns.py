"""Whose page is drawn: few at once, in the order in which they were asked for, and so many of one person's.

Pages share one interpreter: fifty drawn side by side are all ready when the last one is, and each costs more than
alone. By turns the first is there at once and the last no later. And without a bound for one person, somebody whose
browser asks for twenty pages without end has twenty turns for each of anybody else.
"""

import contextlib
import threading
import time
from collections import deque
from collections.abc import Iterator

DRAWN_AT_ONCE = 3  # pages of one person; own choice: one may wait for a file that is being read
PAGES_AT_ONCE = 2  # of everybody: while one reads the board, another draws; one took longer, four more processor
LONGEST_S = 1.0  # s; who holds a turn for longer waits for something else and keeps nobody; own choice


class Turns:
    """So many places, taken in the order in which they are asked for."""

    def __init__(self, places: int, longest_s: float = LONGEST_S) -> None:
        self._places = places
        self._longest_s = longest_s
        self._lock = threading.Lock()
        self._waiting: deque[threading.Event] = deque()
        self._held: dict[threading.Event, float] = {}  # since when

    @contextlib.contextmanager
    def taken(self) -> Iterator[None]:
        """Wait for a place, and hold it while the block runs."""
        mine = threading.Event()
        with self._lock:
            self._waiting.append(mine)
            self._call_next()
        try:
            while not mine.wait(self._longest_s):
                with self._lock:  # nobody may have ended, and yet be counted no more
                    self._call_next()
            yield
        finally:
            with self._lock:
                self._held.pop(mine, None)
                with contextlib.suppress(ValueError):
                    self._waiting.remove(mine)  # who was stopped while waiting
                self._call_next()

    def _call_next(self) -> None:
        """Give free places to those who have waited longest. The lock is held."""
        now = time.monotonic()
        for one in [one for one, since in self._held.items() if now - since > self._longest_s]:
            del self._held[one]
        while self._waiting and len(self._held) < self._places:
            first = self._waiting.popleft()
            self._held[first] = now
            first.set()


_lock = threading.Lock()
_of_person: dict[str, threading.BoundedSemaphore] = {}
_of_all = Turns(PAGES_AT_ONCE)


@contextlib.contextmanager
def turn_of(name: str) -> Iterator[None]:
    """Wait until one of a person's turns and one of everybody's is free, and hold both while the block runs."""
    with _lock:
        own = _of_person.setdefault(name, threading.BoundedSemaphore(DRAWN_AT_ONCE))
    with own, _of_all.taken():
        yield
