"""Who is signed in and how much of the dashboard they hold: so many websockets and requests at once, none of them mute.

A browser opens a websocket for each page that is open in it and asks for that page at once. One on which nothing is
asked is closed, and one that is quiet for long is closed where its sign-in has ended.
"""

import asyncio
import contextlib
from collections import Counter
from collections.abc import Callable, Iterator
from typing import TypeVar

import anyio
import anyio.to_thread
from starlette.types import Message, Receive, Scope, Send

FIRST_S = 60.0  # s until a page is asked for; these and the counts are our own choice
QUIET_S = 3_600.0  # s after which it is looked up whether the sign-in of a quiet page still stands
MOST_SOCKETS, MOST_REQUESTS = 24, 40  # of one person at once: pages open on all devices, and what they fetch
MOST_FILES, FILES_AT_ONCE = 3, 4  # made at once for one person, and for all: each takes a thread and the processor
MOST = {"websocket": MOST_SOCKETS, "http": MOST_REQUESTS, "file": MOST_FILES}
TOO_MANY = "You have very many pages open. Close some, then try again."
TOO_MANY_FILES = "Your other files are still being made. Try again when they are there."
_files: list[anyio.CapacityLimiter] = []
T = TypeVar("T")
_held: Counter[tuple[str, str]] = Counter()


class TooManyFiles(Exception):  # noqa: N818 - reads as a sentence where it is raised
    """As many files as one person may have made at once are being made for them."""


@contextlib.contextmanager
def place_of(name: str, kind: str) -> Iterator[bool]:
    """Hold a place of a person's while the block runs; false where all their places of the kind are taken."""
    key = (name, kind)
    if _held[key] >= MOST[kind]:
        yield False
        return
    _held[key] += 1
    try:
        yield True
    finally:
        _held[key] -= 1
        if not _held[key]:
            del _held[key]


async def make(name: str, work: Callable[[], T]) -> T:
    """Make a file for somebody, few at once and in threads of their own: pages and sign-ins never wait for one.

    Raises:
        TooManyFiles: As many as one person may have made at once are being made for them.
    """
    if not _files:
        _files.append(anyio.CapacityLimiter(FILES_AT_ONCE))
    with place_of(name, "file") as is_free:
        if not is_free:
            raise TooManyFiles
        return await anyio.to_thread.run_sync(work, limiter=_files[0])


def is_resumed(scope: Scope) -> bool:
    """Return whether a page says that it was open before: it may have nothing to ask for."""
    told = [value.decode("latin-1") for name, value in scope["headers"] if name.lower() == b"sec-websocket-protocol"]
    return len([part for part in ",".join(told).split(",") if part.strip()]) > 2


def watched(scope: Scope, receive: Receive, send: Send, stands: Callable[[], bool]) -> tuple[Receive, Send]:
    """Return how a page's websocket is read and written: closed where it is mute, or not of the framework's kind.

    Args:
        scope: Of the websocket.
        receive: Reads what the browser says.
        send: Sends to it.
        stands: Says whether the sign-in it was opened with still stands.
    """
    has_asked, is_closed = is_resumed(scope), False

    async def close(code: int) -> Message:
        nonlocal is_closed
        if not is_closed:
            is_closed = True
            await send({"type": "websocket.close", "code": code})
        return {"type": "websocket.disconnect", "code": code}

    async def hear() -> Message:
        nonlocal has_asked
        while True:
            try:
                async with asyncio.timeout(QUIET_S if has_asked else FIRST_S):
                    message = await receive()
            except TimeoutError:
                if has_asked and stands():
                    continue
                return await close(1001)
            if message["type"] == "websocket.receive":
                if message.get("bytes") is None:  # the framework speaks in bytes, and would log a fault for each
                    return await close(1003)
                has_asked = True
            return message

    async def tell(message: Message) -> None:
        if not is_closed:
            await send(message)

    return hear, tell
