"""Files sent to the dashboard: from whom, how much in a while, and how much of it open pages hold; asked before their
first byte is taken.

The framework keeps what was sent in memory for as long as the page is open that it was sent to, used or not.
"""

import threading
import time
from collections import deque
from collections.abc import Iterable
from typing import Any

from streamlit.runtime import Runtime

from pipelines.accounts.accounts import Account

PATH = "/_stcore/upload_file"
WINDOW_S = 600.0  # s; this and the two counts are our own choice
MOST_FILES = 60  # that one person sends in that time
MOST_BYTES = 300 * 1024 * 1024
LONGEST_S = 86_400.0  # s, longer than a page can be open: a sign-in ends before
MOST_HELD = 200 * 1024 * 1024  # of one person's files, in all their open pages
_lock = threading.Lock()
_pages: dict[str, dict[str, float]] = {}  # open pages to which somebody sent files, and when last
_sent: dict[str, deque[tuple[float, int]]] = {}


def refusal(account: Account, method: str, length: str, path: str = PATH) -> tuple[int, str] | None:
    """Return why a file is not taken, with the status to say it with; null where it may be sent.

    Args:
        account: Whose sign-in it comes with.
        method: Of the request; taking a file of one's own away again is always allowed.
        length: The size it says it has.
        path: Of the request, which names the open page.
    """
    if account.role not in ("head_coach", "staff"):
        return 403, "Files are loaded by the coaches."
    if method in ("DELETE", "OPTIONS"):
        return None
    if not length.isdigit():
        return 411, "The size of the file is not said."
    with _lock:
        why = _too_much(account.name, path.removeprefix(PATH).strip("/").split("/")[0], int(length), time.monotonic())
    return (429, why) if why else None


def _too_much(name: str, page: str, size: int, now: float) -> str:
    """Count a file; or return why it is one too many. The lock is held."""
    sent, pages = _sent.setdefault(name, deque()), _pages.setdefault(name, {})
    while sent and sent[0][0] < now - WINDOW_S:
        sent.popleft()
    if len(sent) >= MOST_FILES or sum(one for _, one in sent) + size > MOST_BYTES:
        return "You have sent many files in a short while. Wait ten minutes."
    pages[page] = now
    if _held(pages) + size > MOST_HELD:
        return "Your open pages hold many files. Close them, or load the files in parts."
    for old in [one for one, at in pages.items() if at < now - LONGEST_S]:
        del pages[old]
    sent.append((now, size))
    return ""


def _held(pages: Iterable[str]) -> int:
    """Return how many bytes some open pages hold; those that are closed hold nothing."""
    if not Runtime.exists():
        return 0
    kept: dict[str, dict[str, Any]] = getattr(Runtime.instance().uploaded_file_mgr, "file_storage", {})
    return sum(len(file.data) for page in pages for file in [*kept.get(page, {}).values()])
