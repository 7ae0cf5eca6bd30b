"""A page's websocket is for a page: one on which nothing is asked is closed, and nobody holds them without end."""

import asyncio
import contextlib
import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route, WebSocketRoute
from starlette.testclient import TestClient
from starlette.websockets import WebSocket, WebSocketDisconnect

from dashboard.access import sockets, turns
from dashboard.access.cookies import SIGN_IN, cookie_name
from dashboard.access.gate import Gate
from pipelines.accounts.accounts import Accounts, token_sha256
from tests.access.conftest import PHRASE

STREAM = "ws://127.0.0.1:8501/_stcore/stream"


def client_of(accounts: Accounts, name: str) -> TestClient:
    async def stream(socket: WebSocket) -> None:
        await socket.accept()
        with contextlib.suppress(WebSocketDisconnect):
            while True:
                await socket.send_bytes(await socket.receive_bytes())

    async def slow(request: Request) -> PlainTextResponse:
        await asyncio.sleep(float(request.query_params["s"]))
        return PlainTextResponse("a page")

    app = Starlette(
        routes=[Route("/slow", slow), WebSocketRoute("/_stcore/stream", stream)], middleware=[Middleware(Gate)]
    )
    here = "http://127.0.0.1:8501"
    client = TestClient(app, base_url=here, headers={"origin": here})
    client.cookies.set(cookie_name(SIGN_IN), accounts.sign_in(name, PHRASE))
    return client


def test_a_websocket_on_which_no_page_is_asked_for_is_closed(accounts: Accounts, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(sockets, "FIRST_S", 0.2)
    client = client_of(accounts, "marit")
    with client.websocket_connect(STREAM) as mute, pytest.raises(WebSocketDisconnect) as closed:
        mute.receive_bytes()
    assert closed.value.code == 1001


def test_an_idle_page_and_one_that_was_open_before_stay_open(accounts: Accounts, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(sockets, "FIRST_S", 0.1)
    monkeypatch.setattr(sockets, "QUIET_S", 0.1)
    client = client_of(accounts, "coach")
    with client.websocket_connect(STREAM) as read, client.websocket_connect(STREAM, ["streamlit", "x", "old"]) as old:
        read.send_bytes(b"a page")
        assert read.receive_bytes() == b"a page"
        time.sleep(0.5)
        for page in (read, old):
            page.send_bytes(b"a click")
            assert page.receive_bytes() == b"a click"


def test_a_quiet_page_is_closed_once_its_sign_in_has_ended(accounts: Accounts, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(sockets, "QUIET_S", 0.1)
    client = client_of(accounts, "coach")
    with client.websocket_connect(STREAM) as page:
        page.send_bytes(b"a page")
        assert page.receive_bytes() == b"a page"
        accounts.sign_out(token_sha256(client.cookies[cookie_name(SIGN_IN)]))
        with pytest.raises(WebSocketDisconnect):
            page.receive_bytes()


def test_text_on_a_page_s_websocket_closes_it_and_logs_no_fault(accounts: Accounts, caplog: pytest.LogCaptureFixture):
    with client_of(accounts, "marit").websocket_connect(STREAM) as page:
        page.send_text("hello")
        with pytest.raises(WebSocketDisconnect) as closed:
            page.receive_bytes()
    assert closed.value.code == 1003
    assert "Traceback" not in caplog.text


def test_one_person_holds_so_many_websockets_and_others_are_not_kept_from_theirs(
    accounts: Accounts, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setitem(sockets.MOST, "websocket", 2)
    marit, coach = client_of(accounts, "marit"), client_of(accounts, "coach")
    with marit.websocket_connect(STREAM):
        with marit.websocket_connect(STREAM), pytest.raises(WebSocketDisconnect), marit.websocket_connect(STREAM):
            pass
        with marit.websocket_connect(STREAM), coach.websocket_connect(STREAM) as page:  # a place was given back
            page.send_bytes(b"a page")
            assert page.receive_bytes() == b"a page"
    assert not sockets._held


def test_one_person_asks_so_much_at_once(accounts: Accounts, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(sockets.MOST, "http", 0)
    refused = client_of(accounts, "marit").get("/slow?s=0")
    assert (refused.status_code, refused.headers["connection"]) == (429, "close")
    monkeypatch.setitem(sockets.MOST, "http", 1)
    assert client_of(accounts, "marit").get("/slow?s=0").status_code == 200
    assert not sockets._held


def test_files_of_one_person_are_made_few_at_once_and_keep_no_sign_in_waiting(accounts: Accounts):
    ended = threading.Event()

    async def print_all() -> tuple[list[object], bool]:
        def one() -> str:
            ended.wait(20)
            return "printed"

        printing = [asyncio.create_task(sockets.make(who, one)) for who in ("marit", "coach") for _ in range(20)]
        await asyncio.sleep(0.1)
        is_open = await asyncio.wait_for(run_in_threadpool(lambda: True), 10)  # what a sign-in is counted in
        ended.set()
        return await asyncio.gather(*printing, return_exceptions=True), is_open

    sockets._files.clear()
    # In a thread of its own: a test of a browser may have left this one with a loop that runs.
    with ThreadPoolExecutor(1) as aside:
        came, is_open = aside.submit(asyncio.run, print_all()).result(60)
    sockets._files.clear()
    assert is_open
    assert came.count("printed") == 2 * sockets.MOST_FILES
    assert sum(isinstance(one, sockets.TooManyFiles) for one in came) == 2 * (20 - sockets.MOST_FILES)
    assert not sockets._held


def test_somebody_who_asks_for_many_pages_at_once_keeps_nobody_else_waiting():
    ended, drawing = threading.Event(), []

    def draw(name: str) -> None:
        with turns.turn_of(name):
            drawing.append(name)
            ended.wait(20)

    drawn = [threading.Thread(target=draw, args=("a reader",)) for _ in range(20)]
    drawn.append(threading.Thread(target=draw, args=("a coach",)))
    for one in drawn:
        one.start()
    until = time.monotonic() + 20
    while len(drawing) < turns.DRAWN_AT_ONCE + 1 and time.monotonic() < until:
        time.sleep(0.01)
    time.sleep(0.1)
    assert sorted(drawing) == ["a coach", *["a reader"] * turns.DRAWN_AT_ONCE]
    ended.set()
    for one in drawn:
        one.join(20)
    assert len(drawing) == 21
