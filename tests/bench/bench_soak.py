"""Everything at once, for as long as is asked: fifty people turn pages beside loads, hostile uploads, wrong sign-ins
and lines on which nothing is said.

``SOAK_MINUTES=30 python -m pytest tests/bench/bench_soak.py -s``; two minutes where nothing is said. Printed: turns,
the longest of each page, memory as it went and how it grows, where the processor's time went, every error by its kind,
and how loaded the machine was.
"""

import asyncio
import os
import socket
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

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
UPLOAD_EVERY_S, GUESS_EVERY_S, MUTE_EVERY_S, LOOK_EVERY_S = 3.0, 1.0, 20.0, 5.0
MUTE = 300  # lines opened at a time, and left
MOST_MEMORY_BYTES = 3 << 30  # of server and what it starts; own choice
WARM_S = 120.0  # in which whatever is imported and kept once is there; growth is looked for after it
MOST_GROWTH_MB_MIN = 5.0  # in a soak long enough to tell; own choice
LONG_ENOUGH_MIN = 10.0


@dataclass
class Hostile:
    """What hostile people did and what came of it."""

    uploads: int = 0
    longest_upload_s: float = 0.0
    guesses: int = 0
    longest_guess_s: float = 0.0
    mute: int = 0
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
        start = time.perf_counter()
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
        told.longest_guess_s = max(told.longest_guess_s, time.perf_counter() - start)
        told.guesses += 1


def keep_mute_lines_meanwhile(where: str, told: Hostile, ended: threading.Event) -> None:
    """Open lines on which nothing, or half a request, is said."""
    host, port = where.removeprefix("http://").split(":")
    kept: list[socket.socket] = []
    while not ended.wait(MUTE_EVERY_S if kept else 0.0):
        for line in kept:
            line.close()
        kept = []
        for number in range(MUTE):
            try:
                kept.append(socket.create_connection((host, int(port)), timeout=PATIENCE_S))
                if number % 2:
                    kept[-1].sendall(b"POST /login HTTP/1.1\r\ncontent-le")
            except OSError as trouble:
                told.errors.append(f"a mute line: {type(trouble).__name__} {trouble}")
        told.mute += MUTE
    for line in kept:
        line.close()


@dataclass
class Use:
    """What the server and the processes it starts use, looked at now and then."""

    pid: int
    at_s: list[float] = field(default_factory=list)
    server_mb: list[float] = field(default_factory=list)
    all_mb: list[float] = field(default_factory=list)
    server_cpu_s: float = 0.0

    def look_meanwhile(self, ended: threading.Event) -> None:
        """Look until it ends (Linux; elsewhere nothing is seen)."""
        begun = time.monotonic()
        while not ended.wait(LOOK_EVERY_S):
            held = memory_by_process(self.pid)
            if held:
                self.at_s.append(time.monotonic() - begun)
                self.server_mb.append(max(held.values()))  # the dashboard; the command that started it is small
                self.all_mb.append(sum(held.values()))
                self.server_cpu_s = cpu_seconds(max(held, key=lambda one: held[one]))

    def growth_mb_min(self) -> float:
        """Return how the server's memory grows after it is warm: the least-squares slope, in MB a minute."""
        at, held = np.array(self.at_s), np.array(self.server_mb)
        warm = at > min(WARM_S, at[-1] / 2) if at.size else at > 0
        return float(np.polyfit(at[warm] / 60, held[warm], 1)[0]) if warm.sum() > 2 else float("nan")

    def told(self) -> str:
        """Return the memory at twelve moments."""
        moments = np.linspace(0, len(self.at_s) - 1, min(12, len(self.at_s))).astype(int)
        return "  ".join(f"{self.at_s[one] / 60:.1f} min {self.server_mb[one]:.0f}" for one in moments)


def memory_by_process(pid: int) -> dict[int, float]:
    """Return the memory in MB that the server's processes hold now, by process (Linux's VmRSS)."""
    held: dict[int, tuple[int, float]] = {}
    for status in Path("/proc").glob("[0-9]*/status"):
        try:
            lines = dict(line.split(":", 1) for line in status.read_text(encoding="utf-8").splitlines() if ":" in line)
        except OSError:
            continue
        held[int(lines["Pid"])] = (int(lines["PPid"]), int(lines.get("VmRSS", "0 kB").split()[0]) / 1024)
    ours = {pid} & set(held)
    while more := {one for one, (parent, _) in held.items() if parent in ours} - ours:
        ours |= more
    return {one: held[one][1] for one in ours}


def cpu_seconds(pid: int) -> float:
    """Return the processor's seconds that a process has used (Linux)."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()
    except OSError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def kinds(errors: list[str]) -> str:
    """Return errors by kind, with how many of each: numbers and whose they are left out."""
    plain = Counter("".join("#" if letter.isdigit() else letter for letter in one)[:160] for one in errors)
    return "; ".join(f"{count} x {kind}" for kind, count in plain.most_common()) or "none"


def test_everything_at_once_for_a_while(address: tuple[flow.Home, str, int]):
    home, where, pid = address
    everyone, told, hostile, ended = people(home), Told(), Hostile(), threading.Event()
    use, looked = Use(pid), threading.Event()
    until = time.monotonic() + MINUTES * 60
    loaded = os.getloadavg() if hasattr(os, "getloadavg") else (0.0, 0.0, 0.0)

    async def all_at_once() -> None:
        await asyncio.gather(*(turn_pages(one, where, told, number, until) for number, one in enumerate(everyone)))

    others = [
        threading.Thread(target=write_meanwhile, args=(home, told, ended)),
        threading.Thread(target=upload_meanwhile, args=(home, hostile, ended)),
        threading.Thread(target=guess_meanwhile, args=(where, hostile, ended)),
        threading.Thread(target=keep_mute_lines_meanwhile, args=(where, hostile, ended)),
        threading.Thread(target=use.look_meanwhile, args=(looked,)),
    ]
    for one in others:
        one.start()
    try:
        asyncio.run(all_at_once())
    finally:
        looked.set()
        ended.set()
        for one in others:
            one.join()
        apart.end()
    told.peak_bytes = peak_memory(pid)
    half, most = np.percentile(told.turns_s, [50, 95])
    after = os.getloadavg() if hasattr(os, "getloadavg") else (0.0, 0.0, 0.0)
    log = home.dashboard_log.read_text(encoding="utf-8", errors="replace") if home.dashboard_log.exists() else ""
    print(f"\n{PEOPLE} people for {MINUTES:g} min: {len(told.turns_s)} pages turned beside {told.loads} loads and "
          f"publishes, {hostile.uploads} hostile uploads, {hostile.guesses} wrong sign-ins, "
          f"{hostile.mute} mute lines")  # fmt: skip
    print(f"answers to the wrong sign-ins: {hostile.answers}, longest {hostile.longest_guess_s:.1f} s")
    print(f"page turn: median {half:.2f} s, p95 {most:.2f} s, longest {max(told.turns_s):.2f} s")
    for page, took in sorted(told.by_page_s.items(), key=lambda one: -max(one[1])):
        print(f"  {page:24} {len(took):5} turns, median {np.median(took):6.2f} s, longest {max(took):6.2f} s")
    print(f"longest hostile upload {hostile.longest_upload_s:.1f} s; server's peak {told.peak_bytes / 2**30:.2f} GiB; "
          f"load of the machine {loaded[0]:.1f} before, {after[0]:.1f} after, {os.cpu_count()} cores")  # fmt: skip
    print(f"server's memory, MB: {use.told()}; grows by {use.growth_mb_min():+.1f} MB a minute once warm; "
          f"all processes at most {max(use.all_mb, default=0):.0f} MB; processor {use.server_cpu_s:.0f} s")  # fmt: skip
    print(f"errors of pages: {kinds(told.errors)}\nerrors of uploads, sign-ins and lines: {kinds(hostile.errors)}\n"
          f"somebody else's data: {len(told.foreign)}; faults in the log: {log.count('Traceback')}; "
          f"warnings: {kinds([line for line in log.splitlines() if 'WARN' in line.upper()])}")  # fmt: skip
    assert told.errors + hostile.errors == []
    assert told.foreign == []
    assert set(hostile.answers) <= {401, 503}
    assert told.peak_bytes < MOST_MEMORY_BYTES
    assert "Traceback" not in log, log[-2000:]
    assert not [said for said in flow.verify(home) if said[1]]
    if MINUTES >= LONG_ENOUGH_MIN:
        assert use.growth_mb_min() < MOST_GROWTH_MB_MIN
