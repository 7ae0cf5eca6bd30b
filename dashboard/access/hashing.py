"""Looking at pass-phrases: few at once, with a short queue, and behind the pages that are drawn meanwhile.

A hash takes time and memory on purpose, some 64 MB each.
"""

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

import anyio

from pipelines.home.turns import let_thread_stand_back

HASHES_AT_ONCE, KNOWN_AT_ONCE = 2, 1  # pass-phrases looked at together: of strangers, and of who was here before
MOST_WAITING = 20  # that wait for it
BUSY = "Many people sign in at the moment. Please try again in a minute."
T = TypeVar("T")
_places: dict[str, anyio.CapacityLimiter] = {}
_hashers = ThreadPoolExecutor(HASHES_AT_ONCE + KNOWN_AT_ONCE, "pass-phrase", let_thread_stand_back)


class Busy(Exception):  # noqa: N818 - reads as a sentence where it is raised
    """Too many pass-phrases wait to be looked at."""


async def hashing(work: Callable[[], T], *, is_known: bool = False) -> T:
    """Do what looks at a pass-phrase, outside the event loop and its threads.

    Who waits holds no thread, and known browsers have a place of their own.

    Raises:
        Busy: Too many wait for it.
    """
    for kind, places in (("known", KNOWN_AT_ONCE), ("others", HASHES_AT_ONCE)):
        _places.setdefault(kind, anyio.CapacityLimiter(places))
    limiter = _places["known" if is_known else "others"]
    if limiter.statistics().tasks_waiting >= MOST_WAITING:
        raise Busy
    async with limiter:
        return await asyncio.get_running_loop().run_in_executor(_hashers, work)
