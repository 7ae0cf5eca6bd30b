"""What was made once and may be asked for again: kept up to a size, the least lately asked goes first.

Where several ask for the same at the same moment, one of them makes it and the others wait for that.
"""

import contextlib
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from typing import Generic, TypeVar

T = TypeVar("T")


class Kept(Generic[T]):
    """Things by key. Who asks says how each is made."""

    def __init__(self, most_bytes: int, size_of: Callable[[T], int]) -> None:
        self.most_bytes = most_bytes
        self.bytes = 0
        self._size_of = size_of
        self._held: OrderedDict[Hashable, tuple[T, int]] = OrderedDict()
        self._coming: dict[Hashable, Future[T]] = {}
        self._lock = threading.Lock()

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._held)

    def ask(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what is kept under a key, made now where nothing is."""
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
                return self._held[key][0]
            coming = self._coming.get(key)
            mine: Future[T] | None = None if coming else Future()
            if mine is not None:
                self._coming[key] = mine
        if mine is None:
            with contextlib.suppress(Exception):  # who made it failed: that may have been theirs alone
                return coming.result()  # type: ignore[union-attr]
            return make()
        try:
            made = make()
        except BaseException as trouble:
            with self._lock:
                del self._coming[key]
            mine.set_exception(trouble)
            raise
        with self._lock:
            del self._coming[key]
            self._keep(key, made)
        mine.set_result(made)
        return made

    def _keep(self, key: Hashable, made: T) -> None:
        """Keep it, and let the least lately asked go. How much all take is counted, not added up: they are many."""
        size = self._size_of(made)
        self._held[key] = made, size
        self.bytes += size
        while self.bytes > self.most_bytes and len(self._held) > 1:
            self.bytes -= self._held.popitem(last=False)[1][1]
