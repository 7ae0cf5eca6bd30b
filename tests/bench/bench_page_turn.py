"""Page turns at a thousand athletes over three years, beside a bare Streamlit page of as many elements, in one run.

``python -m pytest tests/bench/bench_page_turn.py -s``; ``python -m tests.bench.bench_page_turn [ATHLETES YEARS]``.
Server time is from asking for a page to its script's end, over a websocket, without a browser. What the browser then
needs is measured in Chromium, up to the first line of the sheet. The bare page shows as many elements with as many
characters in each, without a gate, a board or a viewer, as ``streamlit run`` serves it.
"""

import asyncio
import collections
import contextlib
import datetime as dt
import json
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import duckdb
import polars as pl
import pytest
import websockets
from playwright.sync_api import sync_playwright
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from dashboard.access.cookies import SIGN_IN, cookie_name
from pipelines import flow
from pipelines.board import publish
from pipelines.home.folder import Home
from tests.bench.big_squad import ATHLETES, ONCE, YEARS, grow
from tests.browser.conftest import CHROMIUM, FLAGS

pytestmark = pytest.mark.bench

ONE = "athlete=teo-brandmere-1"
PAGES = ("", f"athlete?{ONE}", "group", f"two-starts?{ONE}", "plan", "hindsight", "data", "methods")
PAINTS = 5
TURNS = 12  # of each page; the first is left out, as it reads the board
MOST_MS = 300.0  # median server time of a page turn over all pages; the project's own bound
MOST_RATIO = 1.5  # of a bare page's; the project's own bound
CORES = 2
PHRASE = "a phrase of four words"
LONG_PAST_DAYS = 70  # a table whose rows reach further back than this grows with the years; the others are of now
BARE = """
import json, os, sys
import streamlit as st
for kind, size in json.load(open(os.environ["BARE_ELEMENTS"])):
    st.html("<p>" + "x" * size + "</p>") if kind == "html" else st.markdown("x" * size)
"""


def big_board(folder: Path, athletes: int, years: int) -> Home:
    """Publish the demo's board as that of many athletes over years: the same shape, every athlete copied."""
    home = flow.find_home(folder / "home")
    flow.build_demo(home)
    with duckdb.connect(str(publish.current_board(home)), read_only=True) as con:
        names = [name for (name,) in con.sql("select table_name from duckdb_tables()").fetchall()]
        frames = {name: con.sql(f'from "{name}"').pl() for name in names}
    now = {name for name, frame in frames.items() if name in ONCE or not _reaches_back(frame)}
    build = publish.Build(home)
    for name, frame in grow(frames, athletes, years, once=now).items():
        build.add(name, frame)
    build.publish(dict(frames["board_info"].iter_rows()))
    return home


def _reaches_back(frame: pl.DataFrame) -> bool:
    days = [name for name, kind in frame.schema.items() if kind == pl.Date]
    if "athlete_id" not in frame.columns or not days or frame.is_empty():
        return False
    span = frame[days[0]].max(), frame[days[0]].min()
    return isinstance(span[0], dt.date) and isinstance(span[1], dt.date) and (span[0] - span[1]).days > LONG_PAST_DAYS


@contextlib.contextmanager
def served(script: Path, **environment: str) -> Iterator[str]:
    """Serve a Streamlit script on two cores and give its address."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", str(script), "--server.port", str(port), "--server.address",
               "127.0.0.1", "--server.headless", "true", "--browser.gatherUsageStats", "false"]  # fmt: skip
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    child = subprocess.Popen(command, env=os.environ | environment, cwd=Path(__file__).parents[2], **quiet)
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(child.pid, sorted(os.sched_getaffinity(0))[:CORES])
    address = f"http://127.0.0.1:{port}"
    until = time.monotonic() + 90
    try:
        while True:
            try:
                urllib.request.urlopen(f"{address}/_stcore/health", timeout=2).close()
                break
            except OSError:
                assert child.poll() is None, "the page did not start"
                assert time.monotonic() < until
                time.sleep(0.2)
        yield address
    finally:
        child.terminate()
        child.wait(20)


async def turn(
    address: str, pages: tuple[str, ...], cookie: str = ""
) -> dict[str, tuple[list[float], list[tuple[str, int]]]]:
    """Turn each page several times; return the seconds of each and the elements of the last: kind and characters."""
    found = {}
    async with websockets.connect(
        address.replace("http", "ws") + "/_stcore/stream",
        additional_headers={"cookie": cookie} if cookie else {},
        subprotocols=["streamlit", "bench"],  # type: ignore[list-item]
        origin=address,  # type: ignore[arg-type]
        max_size=None, proxy=None,
    ) as wire:  # fmt: skip
        for page in pages:
            took, elements = [], []
            for _ in range(TURNS):
                message = BackMsg()
                message.rerun_script.page_name, _, message.rerun_script.query_string = page.partition("?")
                start = time.perf_counter()
                await wire.send(message.SerializeToString())
                elements = await _elements(wire)
                took.append(time.perf_counter() - start)
            found[page] = took[1:], elements
    return found


async def _elements(wire: websockets.ClientConnection) -> list[tuple[str, int]]:
    elements: list[tuple[str, int]] = []
    async with asyncio.timeout(120):
        while True:
            data = await wire.recv()
            assert isinstance(data, bytes)
            message = ForwardMsg()
            message.ParseFromString(data)
            if message.HasField("delta") and message.delta.HasField("new_element"):
                kind = message.delta.new_element.WhichOneof("type")
                assert kind != "exception", message.delta.new_element.exception.message
                elements.append((kind, len(data)))
            if message.WhichOneof("type") == "script_finished":
                assert message.script_finished == ForwardMsg.FINISHED_SUCCESSFULLY
                return elements


def bare_page(folder: Path, elements: list[tuple[str, int]]) -> tuple[Path, dict[str, str]]:
    """Write a Streamlit page that holds as many elements, as long, and nothing else."""
    script, told = folder / "bare.py", folder / "elements.json"
    script.write_text(BARE, encoding="utf-8")
    told.write_text(json.dumps(elements), encoding="utf-8")
    return script, {"BARE_ELEMENTS": str(told)}


def paint_s(address: str, mark: str, cookie: str = "") -> float:
    """Return the median seconds from asking for a page in Chromium until its first line stands there."""
    took = []
    with sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        context = chromium.new_context(viewport={"width": 1366, "height": 768})
        if cookie:
            name, value = cookie.split("=")
            context.add_cookies([{"name": name, "value": value, "url": address}])
        page = context.new_page()
        for _ in range(PAINTS):
            start = time.perf_counter()
            page.goto(address)
            page.wait_for_selector(mark, timeout=60_000)
            took.append(time.perf_counter() - start)
        chromium.close()
    return statistics.median(took)


def measure(folder: Path, athletes: int = ATHLETES, years: int = YEARS) -> dict[str, tuple[float, float]]:
    """Return, for each page, the median seconds of a turn and those of a bare page of as many elements."""
    home = big_board(folder, athletes, years)
    accounts = flow.accounts(home)
    accounts.add("bench coach", "head_coach", PHRASE)
    cookie = f"{cookie_name(SIGN_IN, home.root)}={accounts.sign_in('bench coach', PHRASE)}"
    run = Path(__file__).parents[2] / "dashboard" / "run.py"
    found, paints = {}, {}
    with served(run, THIRDSTEP_HOME=str(home.root)) as address:
        turned = asyncio.run(turn(address, PAGES, cookie))
        paints["ours"] = paint_s(address, "table.sheet", cookie)
    for name, (took, elements) in turned.items():
        script, told = bare_page(folder, elements)
        with served(script, **told) as address:
            bare, _ = asyncio.run(turn(address, ("",)))[""]
            if name == "":
                paints["bare"] = paint_s(address, "[data-testid='stMain'] p")
        found[name] = statistics.median(took), statistics.median(bare)
        kinds = collections.Counter(kind for kind, _ in elements)
        called = name.partition("?")[0] or "this week"
        print(
            f"  {called:12s}{1000 * found[name][0]:8.0f} ms, bare {1000 * found[name][1]:6.0f} ms, "
            f"{sum(size for _, size in elements) / 1000:7.0f} kB in {dict(kinds)}",
            flush=True,
        )
    print(f"  first useful paint in Chromium: {paints['ours']:.2f} s, bare {paints['bare']:.2f} s")
    return found


def test_a_page_turn_stays_short_at_a_thousand_athletes(tmp_path: Path):
    found = measure(tmp_path)
    assert statistics.median(took for took, _ in found.values()) < MOST_MS / 1000
    for name, (took, bare) in found.items():
        assert took < MOST_RATIO * bare, f"{name}: {took:.3f} s, bare {bare:.3f} s"


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        measure(Path(made), *(int(word) for word in sys.argv[1:]))
