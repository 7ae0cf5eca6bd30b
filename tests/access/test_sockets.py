"""A page's websocket is for a page: one on which nothing is asked is closed, and nobody holds them without end."""

import asyncio
import contextlib
import time
from pathlib import Path

import pytest
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route, WebSocketRoute
from starlette.testclient import TestClient
from starlette.websockets import WebSocket, WebSocketDisconnect

from dashboard.access import sockets
from dashboard.access.cookies import SIGN_IN, cookie_name
from dashboard.access.gate import Gate
from pipelines.accounts.accounts import Accounts, token_sha256

STREAM = "ws://127.0.0.1:8501/_stcore/stream"
PHRASE = "four quiet lanes at dawn"


@pytest.fixture
def accounts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Accounts:
    monkeypatch.setenv("THIRDSTEP_HOME", str(tmp_path))
    kept = Accounts(tmp_path / "access.sqlite")
    kept.add("coach", "head_coach", PHRASE)
    kept.add("marit", "athlete", PHRASE, athlete_id="marit-oakhollow")
    return kept


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
    monkeypatch.setattr(sockets, "MOST_SOCKETS", 2)
    marit, coach = client_of(accounts, "marit"), client_of(accounts, "coach")
    with marit.websocket_connect(STREAM):
        with marit.websocket_connect(STREAM), pytest.raises(WebSocketDisconnect), marit.websocket_connect(STREAM):
            pass
        with marit.websocket_connect(STREAM), coach.websocket_connect(STREAM) as page:  # a place was given back
            page.send_bytes(b"a page")
            assert page.receive_bytes() == b"a page"
    assert not sockets._held


def test_one_person_asks_so_much_at_once(accounts: Accounts, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(sockets, "MOST_REQUESTS", 0)
    refused = client_of(accounts, "marit").get("/slow?s=0")
    assert (refused.status_code, refused.headers["connection"]) == (429, "close")
    monkeypatch.setattr(sockets, "MOST_REQUESTS", 1)
    assert client_of(accounts, "marit").get("/slow?s=0").status_code == 200
    assert not sockets._held
