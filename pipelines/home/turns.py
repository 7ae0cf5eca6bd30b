"""Who goes first where the processor is not enough for all: whoever looks at a page, before what is computed beside it.

Linux and macOS share the processor by the niceness of a process; Linux that of a thread too. A quiet machine is used in
full either way. Windows has other names for it, which are not used: there all share alike.
"""

import contextlib
import os
import sys
import threading

BEHIND = 10  # of 19; own choice: about a tenth of the processor where pages want all of it, so that work still ends


def stand_back() -> None:
    """Let others go before this process and whatever it starts, from now on."""
    with contextlib.suppress(AttributeError, OSError):
        os.setpriority(os.PRIO_PROCESS, 0, max(os.getpriority(os.PRIO_PROCESS, 0), BEHIND))


def let_thread_stand_back() -> None:
    """Let others go before this thread and those it starts, where the system knows threads apart (Linux)."""
    if sys.platform == "linux":
        with contextlib.suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), BEHIND)
