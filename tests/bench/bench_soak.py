"""Everything at once, for as long as is asked: fifty people turn pages beside loads, hostile uploads, wrong sign-ins.

``SOAK_MINUTES=30 python -m pytest tests/bench/bench_soak.py -s``; two minutes where nothing is said. Printed: turns,
the longest, memory of the server and of the process that reads uploads, errors, and how loaded the machine was.
"""

import asyncio
import os
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from dataclasses import dataclass, field

import numpy as np
import pytest

from dashboard.access.viewer import Viewer
from dashboard.screens.data.writes import preview_upload
from dashboard.writes import NotKept
from pipelines import flow
from pipelines.intake import apart
from tests.bench.bench_under_load import (
    PATIENCE_S,
    PEOPLE,
    Told,
    address,
    peak_memory,
    people,
    turn_pages,
    write_meanwhile,
)
from tests.readers.hostile_files import HARMLESS, REFUSED

pytestmark = pytest.mark.bench
__all__ = ["address"]  # the fixture

MINUTES = float(os.environ.get("SOAK_MINUTES", "2"))
UPLOAD_EVERY_S, GUESS_EVERY_S = 3.0, 1.0
MOST_MEMORY_BYTES = 3 << 30  # of server and what it starts; own choice


@dataclass
class Hostile:
    """What hostile people did and what came of it."""

    uploads: int = 0
    longest_upload_s: float = 0.0
    guesses: int = 0
    answers: dict[int, int] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)


def upload_meanwhile(home: flow.Home, told: Hostile, ended: threading.Event) -> None:
    """Have hostile files read as the Data page has them read, one after the other."""
    os.environ["THIRDSTEP_HOME"] = str(home.root)
    viewer = Viewer("coach 0", "head_coach", may_read_injuries=True)
    files = {**REFUSED, **HARMLESS}
    while not ended.wait(UPLOAD_EVERY_S):
        name = list(files)[told.uploads % len(files)]
        start = time.perf_counter()
        try:
            preview_upload(viewer, name, files[name](), [])
        except NotKept:
            pass
        except Exception as trouble:  # anything else is a finding
            told.errors.append(f"upload {name}: {type(trouble).__name__} {trouble}")
        told.longest_upload_s = max(told.longest_upload_s, time.perf_counter() - start)
        told.uploads += 1


def guess_meanwhile(where: str, told: Hostile, ended: threading.Event) -> None:
    """Try to sign in with wrong pass-phrases, names that are there and names that are not."""
    jar = urllib.request.HTTPCookieProcessor()
    browser = urllib.request.build_opener(urllib.request.ProxyHandler({}), jar)
    while not ended.wait(GUESS_EVERY_S):
        try:
            with browser.open(f"{where}/login", timeout=PATIENCE_S) as page:
                form = page.read().decode().split('name="form" value="')[1].split('"')[0]
            name = ("coach 0", "reader 7", "nobody")[told.guesses % 3]
            sent = urllib.parse.urlencode({"form": form, "name": name, "passphrase": f"guess {told.guesses} of many"})
            asked = urllib.request.Request(f"{where}/login", sent.encode(), {"Origin": where})
            with browser.open(asked, timeout=PATIENCE_S) as answer:
                told.errors.append(f"a guess was answered with {answer.status}")
        except urllib.error.HTTPError as refused:
            told.answers[refused.code] = told.answers.get(refused.code, 0) + 1
            refused.close()
        except Exception as trouble:
            told.errors.append(f"sign-in: {type(trouble).__name__} {trouble}")
        told.guesses += 1


def test_everything_at_once_for_a_while(address: tuple[flow.Home, str, int]):
    home, where, pid = address
    everyone, told, hostile, ended = people(home), Told(), Hostile(), threading.Event()
    until = time.monotonic() + MINUTES * 60
    loaded = os.getloadavg() if hasattr(os, "getloadavg") else (0.0, 0.0, 0.0)

    async def all_at_once() -> None:
        await asyncio.gather(*(turn_pages(one, where, told, number, until) for number, one in enumerate(everyone)))

    others = [
        threading.Thread(target=write_meanwhile, args=(home, told, ended)),
        threading.Thread(target=upload_meanwhile, args=(home, hostile, ended)),
        threading.Thread(target=guess_meanwhile, args=(where, hostile, ended)),
    ]
    for one in others:
        one.start()
    try:
        asyncio.run(all_at_once())
    finally:
        ended.set()
        for one in others:
            one.join()
        apart.end()
    told.peak_bytes = peak_memory(pid)
    half, most = np.percentile(told.turns_s, [50, 95])
    after = os.getloadavg() if hasattr(os, "getloadavg") else (0.0, 0.0, 0.0)
    print(f"\n{PEOPLE} people for {MINUTES:g} min: {len(told.turns_s)} pages turned beside {told.loads} loads and "
          f"publishes, {hostile.uploads} hostile uploads, {hostile.guesses} wrong sign-ins")  # fmt: skip
    print(f"answers to the wrong sign-ins: {hostile.answers}")
    print(f"page turn: median {half:.2f} s, p95 {most:.2f} s, longest {max(told.turns_s):.2f} s")
    print(f"longest hostile upload {hostile.longest_upload_s:.1f} s; server's peak {told.peak_bytes / 2**30:.2f} GiB; "
          f"load of the machine {loaded[0]:.1f} before, {after[0]:.1f} after, {os.cpu_count()} cores")  # fmt: skip
    print(f"errors: {len(told.errors)} of pages, {len(hostile.errors)} of uploads and sign-ins; "
          f"of somebody else's data: {len(told.foreign)}")  # fmt: skip
    assert told.errors + hostile.errors == []
    assert told.foreign == []
    assert set(hostile.answers) <= {401, 503}
    assert told.peak_bytes < MOST_MEMORY_BYTES
    log = home.dashboard_log.read_text(encoding="utf-8", errors="replace") if home.dashboard_log.exists() else ""
    assert "Traceback" not in log, log[-2000:]
    assert not [said for said in flow.verify(home) if said[1]]
