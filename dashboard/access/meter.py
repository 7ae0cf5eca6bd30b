"""How often one person may do something in a while: a phone gone wild, or somebody who fills the log, is stopped."""

import threading
import time
from collections import deque


class Meter:
    """Counts what each person did within a while, in this process."""

    def __init__(self, most: int, window_s: float) -> None:
        self.most, self.window_s = most, window_s
        self._lock = threading.Lock()
        self._done: dict[str, deque[float]] = {}

    def takes(self, name: str, now: float | None = None) -> bool:
        """Count one more of somebody's and return True; or return False where it would be one too many."""
        at = time.monotonic() if now is None else now
        with self._lock:
            done = self._done.setdefault(name, deque())
            while done and done[0] <= at - self.window_s:
                done.popleft()
            if len(done) >= self.most:
                return False
            done.append(at)
            return True
