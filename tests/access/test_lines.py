"""Lines that say or read nothing are ended, and whoever says what they want is let in beside any number of them.

Against a real server with the framework's own way to start it, and limits made short.
"""

import datetime as dt
import http.client
import socket
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket

from dashboard.access import lines as watch

HEAD_S, BODY_S, UNREAD_S = 0.5, 0.5, 0.6
PATIENCE_S = 8.0  # on a busy machine
LARGE = b"x" * 30_000_000  # more than the system takes for a reader that does not read
UPGRADE = (
    b"GET /ws HTTP/1.1\r\nhost: h\r\nconnection: upgrade\r\nupgrade: websocket\r\n"
    b"sec-websocket-version: 13\r\nsec-websocket-key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n"
)


async def small(_: Request) -> Response:
    return PlainTextResponse("a page")


async def large(request: Request) -> Response:
    if request.headers.get("who") == "a coach":
        watch.is_theirs(request.scope)
    return Response(LARGE)


async def take(request: Request) -> Response:
    return PlainTextResponse(str(len(await request.body())))


async def flood(websocket: WebSocket) -> None:
    await websocket.accept()
    while True:
        await websocket.send_bytes(LARGE[:1_000_000])


PAGES = Starlette(routes=[
    Route("/", small), Route("/large", large), Route("/take", take, methods=["POST"]), WebSocketRoute("/ws", flood),
])  # fmt: skip


class Server(uvicorn.Server):
    """A server in a thread."""

    def __init__(self, **more: str) -> None:
        super().__init__(uvicorn.Config(
            PAGES, port=0, http=watch.WatchedHttp, ws=watch.WatchedSocket, lifespan="off", log_level="critical", **more,
        ))  # fmt: skip
        self.thread = threading.Thread(target=self.run, daemon=True)

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        watch.hurry_handshakes()
        await super().startup(sockets)

    @property
    def port(self) -> int:
        return self.servers[0].sockets[0].getsockname()[1]


@pytest.fixture
def short(monkeypatch: pytest.MonkeyPatch) -> watch.Lines:
    kept = watch.Lines()
    monkeypatch.setattr(watch, "lines", kept)
    for name, value in {"HEAD_S": HEAD_S, "BODY_S": BODY_S, "UNREAD_S": UNREAD_S, "LOOK_S": 0.05}.items():
        monkeypatch.setattr(watch, name, value)
    return kept


@pytest.fixture
def start(short: watch.Lines) -> Iterator[Callable[..., Server]]:
    begun: list[Server] = []

    def begin(**more: str) -> Server:
        server = Server(**more)
        begun.append(server)
        server.thread.start()
        until = time.monotonic() + PATIENCE_S
        while not server.started:
            assert time.monotonic() < until
            time.sleep(0.01)
        return server

    yield begin
    for server in begun:
        server.should_exit = server.force_exit = True
        server.thread.join(PATIENCE_S)


@pytest.fixture
def port(start: Callable[..., Server]) -> int:
    return start().port


def dial(port: int, said: bytes = b"", *, reads: int = 0) -> socket.socket:
    line = socket.socket()
    if reads:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, reads)
    line.settimeout(PATIENCE_S)
    line.connect(("127.0.0.1", port))
    if said:
        line.sendall(said)
    return line


def seconds_until_ended(line: socket.socket, drip: bytes = b"") -> float:
    """Wait until the server ends a line, saying a byte now and then."""
    start = time.monotonic()
    line.settimeout(0.1)
    while time.monotonic() - start < PATIENCE_S:
        try:
            if drip:
                line.sendall(drip)
            if not line.recv(65_536):
                return time.monotonic() - start
        except TimeoutError:
            continue
        except OSError:
            return time.monotonic() - start
    pytest.fail("the line is still open")


def page(port: int) -> int:
    asked = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    asked.request("GET", "/")
    answer = asked.getresponse()
    assert answer.read() == b"a page"
    asked.close()
    return answer.status


@pytest.mark.parametrize(
    ("said", "drip"),
    [(b"", b""), (b"GET / HTTP/1.1\r\nhost: h\r\n", b""), (b"GET / HTTP/1.1\r\nx: ", b"y")],
    ids=["nothing", "half a head", "a byte at a time"],
)
def test_a_head_that_never_comes_to_its_end_is_not_waited_for(port: int, said: bytes, drip: bytes):
    assert HEAD_S * 0.8 < seconds_until_ended(dial(port, said), drip) < PATIENCE_S


def test_a_second_head_on_the_same_line_is_not_waited_for_either(port: int):
    line = dial(port, b"GET / HTTP/1.1\r\nhost: h\r\n\r\n")
    came = b""
    while b"a page" not in came:
        came += line.recv(65_536)
    line.sendall(b"GET / HT")
    assert seconds_until_ended(line) < PATIENCE_S


@pytest.mark.parametrize("drip", [b"", b"y"], ids=["nothing", "a byte at a time"])
def test_a_body_that_never_comes_to_its_end_is_not_waited_for(port: int, drip: bytes):
    line = dial(port, b"POST /take HTTP/1.1\r\nhost: h\r\ncontent-length: 1000\r\n\r\nbegun")
    assert BODY_S * 0.8 < seconds_until_ended(line, drip) < PATIENCE_S


def test_a_body_of_a_slow_phone_is_waited_for_as_long_as_it_comes(port: int):
    line = dial(port, b"POST /take HTTP/1.1\r\nhost: h\r\ncontent-length: 2000\r\n\r\n")
    for _ in range(20):  # 1,000 bytes a second, four times as long as a body may be silent
        line.sendall(b"y" * 100)
        time.sleep(0.1)
    assert line.recv(65_536).endswith(b"2000")


def test_a_body_that_comes_behind_the_answer_is_not_waited_for(port: int):
    line = dial(port, b"POST / HTTP/1.1\r\nhost: h\r\ncontent-length: 100000\r\n\r\n")
    assert seconds_until_ended(line, b"y") < PATIENCE_S


@pytest.mark.parametrize("said", [b"GET /large HTTP/1.1\r\nhost: h\r\n\r\n", UPGRADE], ids=["a page", "a websocket"])
def test_who_reads_nothing_of_what_is_sent_is_not_waited_for(port: int, short: watch.Lines, said: bytes):
    line = dial(port, said, reads=4096)
    until = time.monotonic() + PATIENCE_S
    while not any(one.unread for one in short.open.values()):
        assert time.monotonic() < until
        time.sleep(0.01)
    while short.open:
        assert time.monotonic() < until, "the line is still open"
        time.sleep(0.05)
    line.close()


def test_who_reads_slowly_gets_all_of_it(port: int, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(watch, "SLOWEST", 100_000.0)
    line, came = dial(port, b"GET /large HTTP/1.1\r\nhost: h\r\n\r\n", reads=65_536), 0
    start = time.monotonic()
    while came < len(LARGE) and (data := line.recv(1 << 20)):
        came += len(data)
        time.sleep(0.005 if time.monotonic() - start < 4 * UNREAD_S else 0)
    assert came > len(LARGE)
    assert time.monotonic() - start > 2 * UNREAD_S


def test_a_page_comes_beside_five_hundred_who_say_nothing(port: int, short: watch.Lines, monkeypatch):
    monkeypatch.setattr(watch, "MOST_LINES", 100)
    monkeypatch.setattr(watch, "HEAD_S", 60.0)
    mute = [dial(port) for _ in range(500)]
    assert page(port) == 200
    assert len(short.open) <= 100
    for line in mute:
        line.close()


def test_whoever_is_signed_in_and_reads_makes_no_room_for_strangers(port: int, short: watch.Lines, monkeypatch):
    monkeypatch.setattr(watch, "MOST_LINES", 10)
    monkeypatch.setattr(watch, "HEAD_S", 60.0)
    monkeypatch.setattr(watch, "UNREAD_S", 60.0)
    coach = dial(port, b"GET /large HTTP/1.1\r\nhost: h\r\nwho: a coach\r\n\r\n", reads=4096)
    until = time.monotonic() + PATIENCE_S
    while not any(one.unread for one in short.open.values()):
        assert time.monotonic() < until
        time.sleep(0.01)
    strangers = [dial(port, b"GET /large HTTP/1.1\r\nhost: h\r\n\r\n", reads=4096) for _ in range(30)]
    assert page(port) == 200
    came = 0
    while came < len(LARGE):
        data = coach.recv(1 << 20)
        assert data, "the coach was cut off"
        came += len(data)
    for line in (*strangers, coach):
        line.close()


def test_lines_of_one_address_make_room_for_each_other_first(short: watch.Lines, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(watch, "MOST_OF_A_PLACE", 3)
    ended: list[str] = []

    class Wire:
        def __init__(self, name: str, place: str) -> None:
            self.name, self.place = name, place

        def get_extra_info(self, _: str) -> tuple[str, int]:
            return self.place, 1

        def get_write_buffer_size(self) -> int:
            return 0

        def write(self, _: bytes) -> None:
            pass

        def close(self) -> None:
            ended.append(self.name)

        abort = close

    class Mute:
        def awaits_body(self) -> bool:
            return False

        def awaits_head(self) -> bool:
            return True

    short._looking = object()  # type: ignore[assignment] - nothing is looked at here
    for number, place in enumerate(["203.0.113.9", *["198.51.100.7"] * 5]):
        short.opened(Mute(), Wire(f"{number} {place}", place))  # type: ignore[arg-type]
    assert ended == ["1 198.51.100.7", "2 198.51.100.7"]
    for _ in range(9):  # a web server on this machine passes everybody on
        short.opened(Mute(), Wire("here", "127.0.0.1"))  # type: ignore[arg-type]
    assert len(short.open) == 13


def test_an_encrypted_line_that_never_says_hello_is_ended(start: Callable[..., Server], tmp_path: Path):
    from pipelines.home.certificate import certificate_for

    made = certificate_for(tmp_path, "127.0.0.1", dt.date.today())
    server = start(ssl_certfile=str(made.certificate), ssl_keyfile=str(made.key))
    assert seconds_until_ended(dial(server.port)) < PATIENCE_S
    trusted = ssl.create_default_context(cafile=str(made.authority))
    asked = http.client.HTTPSConnection("127.0.0.1", server.port, timeout=PATIENCE_S, context=trusted)
    asked.request("GET", "/")
    assert asked.getresponse().read() == b"a page"
    asked.close()
