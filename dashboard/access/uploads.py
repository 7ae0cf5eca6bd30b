"""Files sent to the dashboard: from whom, and how much in a while, asked before their first byte is taken."""

import threading
import time
from collections import deque

from pipelines.accounts.accounts import Account

PATH = "/_stcore/upload_file"
WINDOW_S = 600.0  # s; this and the two counts are our own choice
MOST_FILES = 60  # that one person sends in that time
MOST_BYTES = 300 * 1024 * 1024
_lock = threading.Lock()
_sent: dict[str, deque[tuple[float, int]]] = {}


def refusal(account: Account, method: str, length: str) -> tuple[int, str] | None:
    """Return why a file is not taken, with the status to say it with; null where it may be sent.

    Args:
        account: Whose sign-in it comes with.
        method: Of the request; taking a file of one's own away again is always allowed.
        length: The size it says it has.
    """
    if account.role not in ("head_coach", "staff"):
        return 403, "Files are loaded by the coaches."
    if method == "DELETE":
        return None
    if not length.isdigit():
        return 411, "The size of the file is not said."
    now = time.monotonic()
    with _lock:
        sent = _sent.setdefault(account.name, deque())
        while sent and sent[0][0] < now - WINDOW_S:
            sent.popleft()
        if len(sent) >= MOST_FILES or sum(size for _, size in sent) + int(length) > MOST_BYTES:
            return 429, "You have sent many files in a short while. Wait ten minutes."
        if method != "OPTIONS":
            sent.append((now, int(length)))
    return None
