"""Fifty signed-in people turning pages while files load and boards are published, on two cores.

``python -m pytest tests/bench/bench_under_load.py -s``. Each person is a websocket client with a cookie of their own:
no browser. Everything a page sends an athlete is searched for everybody else's name and key.
"""

import asyncio
import os
import shutil
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

import numpy as np
import pytest
import websockets
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from dashboard.access.cookies import SIGN_IN, cookie_name
from pipelines import flow

pytestmark = pytest.mark.bench

PEOPLE = 50
COACHES = 4  # of them, head coaches; the rest are athletes, several of whom share one athlete's page
TURNS = 6  # pages each turns
THINK_S = (10.0, 30.0)  # s between a page and the next: it is read; own choice
PATIENCE_S = 90.0  # s after which a page that does not come counts as an error
CORES = 2
ATHLETE_PAGES = ("", "check-in", "my-start", "my-work", "methods")
COACH_PAGES = ("", "group", "plan", "athlete", "two-starts", "data")
PHRASE = "a phrase of four words"


@dataclass
class Told:
    """What the people met."""

    turns_s: list[float] = field(default_factory=list)
    by_page_s: dict[str, list[float]] = field(default_factory=dict)  # by whose page and which
    errors: list[str] = field(default_factory=list)
    foreign: list[str] = field(default_factory=list)
    loads: int = 0
    publishes: int = 0
    peak_bytes: int = 0


@dataclass(frozen=True)
class Person:
    """One signed-in person: their cookie, their pages, and whose names they may never meet."""

    cookie: str
    pages: tuple[str, ...]
    own: str
    others: tuple[bytes, ...]


async def turn_pages(person: Person, address: str, told: Told, number: int, until: float | None = None) -> None:
    """Open the dashboard and turn its pages, as somebody reading does: so many, or until a moment."""
    rng = np.random.default_rng(number)
    try:
        async with websockets.connect(
            address.replace("http", "ws") + "/_stcore/stream",
            additional_headers={"cookie": person.cookie},
            subprotocols=["streamlit", "bench"],  # type: ignore[list-item]
            origin=address,  # type: ignore[arg-type]
            max_size=None, proxy=None, open_timeout=PATIENCE_S,
        ) as wire:  # fmt: skip
            await asyncio.sleep(rng.uniform(0, THINK_S[1]))
            for turn in range(TURNS) if until is None else count():
                if until is not None and time.monotonic() >= until:
                    return
                page = person.pages[(number + turn) % len(person.pages)]
                message = BackMsg()
                message.rerun_script.page_name = page
                start = time.perf_counter()
                await wire.send(message.SerializeToString())
                came, failed = await _page(wire)
                took = time.perf_counter() - start
                told.turns_s.append(took)
                whose = "coach" if person.pages is COACH_PAGES else "athlete"
                told.by_page_s.setdefault(f"{whose} {page or 'home'}", []).append(took)
                if failed:
                    told.errors.append(f"{person.own} {page or 'home'}: {failed}")
                told.foreign += [f"{person.own} {page}: {name!r}" for name in person.others if name in came]
                await asyncio.sleep(rng.uniform(*THINK_S))
    except Exception as trouble:
        told.errors.append(f"{person.own}: {type(trouble).__name__} {trouble}")


async def _page(wire: websockets.ClientConnection) -> tuple[bytes, str]:
    """Return all that comes until the page is done, and what failed in it."""
    came, failed = b"", ""
    async with asyncio.timeout(PATIENCE_S):
        while True:
            data = await wire.recv()
            assert isinstance(data, bytes)
            came += data
            message = ForwardMsg()
            message.ParseFromString(data)
            if message.delta.new_element.HasField("exception"):
                failed = message.delta.new_element.exception.message or "an exception"
            if message.WhichOneof("type") == "script_finished":
                if message.script_finished == ForwardMsg.FINISHED_SUCCESSFULLY:
                    return came, failed
                if message.script_finished == ForwardMsg.FINISHED_WITH_COMPILE_ERROR:
                    return came, "it did not compile"


def write_meanwhile(home: flow.Home, told: Told, ended: threading.Event) -> None:
    """Load a file and publish, again and again, each in a process of its own as a coach at the command line does."""
    who = flow.table(home, "athlete")["athlete_id"].to_list()
    while not ended.is_set():
        rows = "".join(f"{one},2026-11-0{1 + told.loads % 9},{told.loads % 5 + 1}\n" for one in who)
        path = home.root.parent / f"checkins-{told.loads}.csv"
        path.write_text("athlete_id,checked_on,mood\n" + rows, encoding="utf-8")
        command = [sys.executable, "-m", "pipelines.cli", "--home", str(home.root), "--quiet", "load", str(path)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode:
            told.errors.append(f"load: {done.stderr.strip()}")
        told.loads += 1
        told.publishes += int(done.returncode == 0)


@pytest.fixture
def address(demo_home: flow.Home, tmp_path: Path) -> Iterator[tuple[flow.Home, str, int]]:
    """The demo served from a copy of its home, on two cores."""
    shutil.copytree(demo_home.root, tmp_path / "home")
    home = flow.find_home(tmp_path / "home")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "pipelines.cli", "--home", str(home.root), "open", "--port", str(port)]
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[:CORES])  # children inherit it
    child = subprocess.Popen([*command, "--no-browser"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    where = f"http://127.0.0.1:{port}"
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            urllib.request.urlopen(f"{where}/_stcore/health", timeout=2).close()
            break
        except OSError:
            assert child.poll() is None
            assert time.monotonic() < until
            time.sleep(0.2)
    yield home, where, child.pid
    child.terminate()
    child.wait(20)


def people(home: flow.Home) -> list[Person]:
    """Make an account for each of fifty people and sign them in."""
    accounts = flow.accounts(home)
    named = cookie_name(SIGN_IN, home.root)
    names = dict(flow.table(home, "athlete").select("athlete_id", "display_name").iter_rows())
    found = []
    for number in range(PEOPLE):
        if number < COACHES:
            accounts.add(f"coach {number}", "head_coach", PHRASE)
            cookie = f"{named}={accounts.sign_in(f'coach {number}', PHRASE)}"
            found.append(Person(cookie, COACH_PAGES, f"coach {number}", ()))
            continue
        own = sorted(names)[number % len(names)]
        accounts.add(f"reader {number}", "athlete", PHRASE, athlete_id=own)
        foreign = [text.encode() for key, name in names.items() if key != own for text in (key, name)]
        cookie = f"{named}={accounts.sign_in(f'reader {number}', PHRASE)}"
        found.append(Person(cookie, ATHLETE_PAGES, own, tuple(foreign)))
    return found


def peak_memory(pid: int) -> int:
    """Return the most memory the server's processes have held, in bytes (Linux's VmHWM; 0 elsewhere)."""
    total = 0
    for status in Path("/proc").glob("[0-9]*/status"):
        try:
            lines = dict(line.split(":", 1) for line in status.read_text(encoding="utf-8").splitlines() if ":" in line)
        except OSError:
            continue
        if pid in (int(lines["Pid"]), int(lines["PPid"])):
            total += int(lines.get("VmHWM", "0 kB").split()[0]) * 1024
    return total


def test_fifty_people_turn_pages_while_files_load_and_boards_are_published(address: tuple[flow.Home, str, int]):
    home, where, pid = address
    everyone, told, ended = people(home), Told(), threading.Event()

    async def all_at_once() -> None:
        await asyncio.gather(*(turn_pages(one, where, told, number) for number, one in enumerate(everyone)))

    start = time.perf_counter()
    writer = threading.Thread(target=write_meanwhile, args=(home, told, ended))
    writer.start()
    asyncio.run(all_at_once())
    took = time.perf_counter() - start
    ended.set()
    writer.join()
    told.peak_bytes = peak_memory(pid)
    half, most = np.percentile(told.turns_s, [50, 95])
    print(f"\n{PEOPLE} people, {len(told.turns_s)} pages turned in {took:.0f} s beside {told.loads} loads, "
          f"{told.publishes} boards published, {os.cpu_count()} cores")  # fmt: skip
    print(f"page turn: median {half:.2f} s, p95 {most:.2f} s, longest {max(told.turns_s):.2f} s")
    print(f"peak memory of the server: {told.peak_bytes / 2**30:.2f} GiB")
    assert told.errors == []
    assert told.foreign == []
    assert len(told.turns_s) == PEOPLE * TURNS
    assert told.publishes >= 1
