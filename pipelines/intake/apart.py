"""Reading a file that somebody sent, in a process of its own with a limit of time and memory.

Budgets in the readers refuse what is known to flood. This is for what is not known: a reading that hangs or eats memory
ends alone, and the dashboard that other people look at goes on. What comes back is spelled as JSON and Arrow, so that
the other process can hand over tables and nothing that runs.
"""

import contextlib
import dataclasses
import datetime as dt
import io
import json
import os
import struct
import subprocess
import sys
import threading
from collections.abc import Mapping
from typing import IO, Any

import polars as pl

from pipelines.home.turns import stand_back
from pipelines.intake.passage import Given, read_given
from schemas import intake, reading

READ_S = 60.0  # s a reading may take; a machine with other work is slow
WAIT_S = 120.0  # s to wait for the reading of somebody else's file
MEMORY_BYTES = 600_000_000  # beyond what the process holds before it reads anything
IDLE_S = 600.0  # s after which a process that reads nothing is let go
_START = "from pipelines.intake.apart import serve; serve()"
_KINDS = {kind.__name__: kind for kind in (
    Given, intake.TextTable, intake.LaidOut, intake.LayoutOptions, intake.Part, intake.Cells, intake.Question,
    reading.Block, reading.Use, reading.Fact, reading.Scale,
)}  # fmt: skip
_lock = threading.Lock()
_child: list[subprocess.Popen[bytes]] = []
_timer: list[threading.Timer] = []


def read_apart(name: str, content: bytes, options: intake.LayoutOptions, known: frozenset[str] = frozenset()) -> Given:
    """Read and lay out a file in a process of its own; where that one fails, say so and raise nothing."""
    if not _lock.acquire(timeout=WAIT_S):
        return Given(name, content, problem=f"{name} was not read: another file is being read. Try again in a minute.")
    try:
        told = _asked(name, content, options, known)
    except TimeoutError:
        end()
        why = f"reading it took longer than {READ_S:.0f} s, so it was stopped. Load it in parts, or as .csv."
        return Given(name, content, problem=f"{name}: {why}")
    except (OSError, EOFError, ValueError):
        end()
        why = (
            "its reading stopped: it needs more memory than a table does, or is damaged. Load it in parts, or as .csv."
        )
        return Given(name, content, problem=f"{name}: {why}")
    finally:
        _lock.release()
    return dataclasses.replace(told, content=content)


def _asked(name: str, content: bytes, options: intake.LayoutOptions, known: frozenset[str]) -> Given:
    if not _child or _child[0].poll() is not None:
        _child[:] = [
            subprocess.Popen(
                [sys.executable, "-c", _START], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL, env={**os.environ, "POLARS_MAX_THREADS": "2", "MALLOC_ARENA_MAX": "2"},
            )
        ]  # fmt: skip
    child = _child[0]
    came: list[Any] = []

    def ask() -> None:
        with contextlib.suppress(OSError, EOFError, ValueError, KeyError, TypeError, pl.exceptions.PolarsError):
            assert child.stdin is not None
            assert child.stdout is not None
            _send(child.stdin, pack({"name": name, "options": options, "known": sorted(known)}), content)
            came.append(unpack(*_receive(child.stdout)))

    asking = threading.Thread(target=ask, name="read apart", daemon=True)
    asking.start()
    asking.join(READ_S)
    if asking.is_alive():
        raise TimeoutError
    if not came or not isinstance(came[0], Given):
        raise EOFError
    _let_go_later()
    return came[0]


def _let_go_later() -> None:
    for timer in _timer:
        timer.cancel()
    _timer[:] = [threading.Timer(IDLE_S, _let_go)]
    _timer[0].daemon = True
    _timer[0].start()


def _let_go() -> None:
    if _lock.acquire(blocking=False):
        try:
            end()
        finally:
            _lock.release()


def end() -> None:
    """End the reading process, if there is one."""
    for child in _child:
        child.kill()
        child.wait()
        for pipe in (child.stdin, child.stdout):
            with contextlib.suppress(OSError):
                if pipe is not None:
                    pipe.close()
    _child.clear()


# --- the other side --------------------------------------------------------------------------------------------------


def serve() -> None:
    """Read files as they come on the standard input, until it ends."""
    asked, answers = sys.stdin.buffer, sys.stdout.buffer
    sys.stdout = sys.stderr  # what a library prints is no answer
    limit_memory()
    stand_back()
    while True:
        try:
            head, blobs = _receive(asked)
        except EOFError:
            return
        content = blobs.pop()
        told = unpack(head, blobs)
        try:
            known = frozenset(told["known"])
            given = read_given(told["name"], content, told["options"], known=known)
        except MemoryError:
            return
        head, blobs = pack(dataclasses.replace(given, content=b""))
        _send(answers, (head, blobs))


def limit_memory() -> None:
    """Let this process hold some memory more than it does now and no more, where the system can be asked for that."""
    try:
        import resource
        from pathlib import Path

        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[5])
    except (ImportError, OSError, ValueError, IndexError):
        return
    most = pages * resource.getpagesize() + MEMORY_BYTES
    with contextlib.suppress(OSError, ValueError):
        resource.setrlimit(resource.RLIMIT_DATA, (most, most))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


# --- spelling --------------------------------------------------------------------------------------------------------


def pack(told: Any) -> tuple[bytes, list[bytes]]:
    """Spell something as JSON, frames beside it as Arrow files."""
    blobs: list[bytes] = []

    def spell(value: Any) -> Any:  # noqa: PLR0911 - one line for each kind
        if isinstance(value, pl.DataFrame):
            out = io.BytesIO()
            value.write_ipc(out)
            blobs.append(out.getvalue())
            return {"frame": len(blobs) - 1}
        if dataclasses.is_dataclass(value) and type(value).__name__ in _KINDS:
            held = {field.name: spell(getattr(value, field.name)) for field in dataclasses.fields(value)}
            return {"kind": type(value).__name__, "held": held}
        if isinstance(value, dt.date):
            return {"day": value.isoformat()}
        if isinstance(value, bytes):
            blobs.append(value)
            return {"bytes": len(blobs) - 1}
        if isinstance(value, tuple):
            return {"tuple": [spell(one) for one in value]}
        if isinstance(value, Mapping):
            return {"map": [[spell(key), spell(one)] for key, one in value.items()]}
        if isinstance(value, list):
            return [spell(one) for one in value]
        if value is None or isinstance(value, str | int | float | bool):
            return value
        raise TypeError(f"{type(value).__name__} cannot be spelled")

    return json.dumps(spell(told)).encode(), blobs


def unpack(head: bytes, blobs: list[bytes]) -> Any:
    """Return what was spelled."""

    def take(value: Any) -> Any:  # noqa: PLR0911 - as above
        if isinstance(value, list):
            return [take(one) for one in value]
        if not isinstance(value, dict):
            return value
        if "frame" in value:
            return pl.read_ipc(io.BytesIO(blobs[value["frame"]]))
        if "bytes" in value:
            return blobs[value["bytes"]]
        if "day" in value:
            return dt.date.fromisoformat(value["day"])
        if "tuple" in value:
            return tuple(take(one) for one in value["tuple"])
        if "map" in value:
            return {take(key): take(one) for key, one in value["map"]}
        return _KINDS[value["kind"]](**{name: take(one) for name, one in value["held"].items()})

    return take(json.loads(head))


def _send(pipe: IO[bytes], told: tuple[bytes, list[bytes]], *more: bytes) -> None:
    parts = [told[0], *told[1], *more]
    pipe.write(struct.pack(">I", len(parts)))
    for part in parts:
        pipe.write(struct.pack(">Q", len(part)))
        pipe.write(part)
    pipe.flush()


def _receive(pipe: IO[bytes]) -> tuple[bytes, list[bytes]]:
    [count] = struct.unpack(">I", _exactly(pipe, 4))
    parts = [_exactly(pipe, struct.unpack(">Q", _exactly(pipe, 8))[0]) for _ in range(count)]
    return parts[0], parts[1:]


def _exactly(pipe: IO[bytes], size: int) -> bytes:
    came = pipe.read(size)
    if len(came) != size:
        raise EOFError
    return came
