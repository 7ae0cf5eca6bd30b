"""Every line that is open to the dashboard: how long it may say or read nothing, and how many there may be.

The framework's server ends a line that is quiet between two requests and a websocket that no longer answers. What it
waits for without end is ended here: a request whose head or body never comes or comes a byte at a time, and somebody
who reads nothing of what is sent. Where all room is taken, the line that has kept us waiting longest makes room, so
that whoever says what they want is let in beside five hundred who say nothing.
"""

import asyncio
import time
from dataclasses import dataclass, field
from typing import Any

import h11
from starlette.types import Receive, Scope, Send
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.protocols.websockets.websockets_sansio_impl import WebSocketsSansIOProtocol

from pipelines.accounts.limits import whereabouts

# Times and rates are those that web servers are usually set to (Apache's RequestReadTimeout: 20 to 40 s for a head,
# 20 s for a body and then 500 bytes a second; from memory). The counts are our own choice.
HEAD_S = 20.0  # s until the head of a request has come
BODY_S, UNREAD_S = 30.0, 60.0  # s that a body, and what is sent, may take ...
SLOWEST = 500.0  # ... and so many bytes a second more, which a phone at the edge of the net still has
MOST_LINES = 1_000
MOST_OF_A_PLACE = 400  # of one address: a club's phones behind one; not of this machine, whose web server passes us on
LARGEST_FRAME = 25_000_000  # bytes; the framework takes no larger message of a browser
LOOK_S = 1.0
FULL = b"HTTP/1.1 503 Service Unavailable\r\nconnection: close\r\ncontent-length: 0\r\nretry-after: 30\r\n\r\n"


@dataclass(eq=False)
class Line:
    """One connection: since when something is waited for on it, and how much of it has come."""

    transport: asyncio.Transport
    protocol: "WatchedHttp | WatchedSocket"
    place: str
    since: float = field(default_factory=time.monotonic)
    came: int = 0  # bytes of the body that is coming
    is_signed_in: bool = False
    unread_since: float = 0.0  # 0 where all that was sent is read
    unread: int = 0
    read: int = 0  # bytes, since something waits to be read

    def end(self) -> None:
        """Close the line at once, whatever waits to be sent on it."""
        self.transport.abort()

    def waits(self) -> bool:
        """Return whether the other side is waited for, and not signed in with what it asked last."""
        if self.transport.get_write_buffer_size():
            return not self.is_signed_in
        if self.protocol.awaits_body():
            return not self.is_signed_in or self.protocol.has_answered()
        return self.protocol.awaits_head()

    def is_late(self, now: float) -> bool:
        """Return whether the other side took longer than it may."""
        if self.unread_since:
            return now - self.unread_since > UNREAD_S + self.read / SLOWEST
        if self.protocol.awaits_head():
            return now - self.since > HEAD_S
        return self.protocol.awaits_body() and now - self.since > BODY_S + self.came / SLOWEST

    def is_read(self, now: float) -> None:
        """Note that all was read that kept more from being sent: what comes next is waited for from now on."""
        if self.unread_since:
            self.unread_since, self.unread, self.read, self.since = 0.0, 0, 0, now

    def note_unread(self, now: float) -> None:
        """Note how much of what was sent is still to be read."""
        left = self.transport.get_write_buffer_size()
        if not left:
            self.is_read(now)
            return
        self.unread_since = self.unread_since or now
        self.read += max(self.unread - left, 0)
        self.unread = left


class Lines:
    """All open lines of this process."""

    def __init__(self) -> None:
        self.open: dict[object, Line] = {}  # by transport, in the order they were opened
        self._looking: asyncio.TimerHandle | None = None

    def opened(self, protocol: "WatchedHttp | WatchedSocket", transport: asyncio.Transport) -> Line | None:
        """Take a line in, making room for it; or turn it away and return nothing."""
        peer = transport.get_extra_info("peername")
        place = whereabouts(str(peer[0])) if isinstance(peer, tuple) else ""
        of_place = [] if _is_here(place) else [one for one in self.open.values() if one.place == place]
        among = of_place if len(of_place) >= MOST_OF_A_PLACE else [*self.open.values()]
        is_full = len(of_place) >= MOST_OF_A_PLACE or len(self.open) >= MOST_LINES
        if is_full and not self._make_room(among):
            transport.write(FULL)
            transport.close()
            return None
        line = self.open[transport] = Line(transport, protocol, place)
        if self._looking is None:
            self._look_again()
        return line

    def closed(self, transport: object) -> None:
        """Forget a line that has ended."""
        self.open.pop(transport, None)

    def _make_room(self, among: list[Line]) -> bool:
        waiting = [one for one in among if one.waits()]
        if not waiting:
            return False
        longest = min(waiting, key=lambda one: one.since)
        self.closed(longest.transport)
        longest.end()
        return True

    def _look_again(self) -> None:
        self._looking = asyncio.get_running_loop().call_later(LOOK_S, self._look)

    def _look(self) -> None:
        self._looking, now = None, time.monotonic()
        for line in [*self.open.values()]:
            line.note_unread(now)
            line.protocol.note_pause(LOOK_S)
            if line.is_late(now):
                line.end()
        if self.open:
            self._look_again()


lines = Lines()


def hurry_handshakes() -> None:
    """End, on the loop that runs, a line that was to be encrypted and never was: as soon as a head that never came.

    Such a line is not ours yet, so that it is asked of the loop before it listens. Its own time is a minute.
    """
    loop = asyncio.get_running_loop()
    create = loop.create_server

    async def create_server(*told: Any, **named: Any) -> Any:
        if named.get("ssl") is not None:
            named.setdefault("ssl_handshake_timeout", HEAD_S)
        return await create(*told, **named)

    loop.create_server = create_server  # type: ignore[method-assign]


def _is_here(place: str) -> bool:
    return place in ("127.0.0.1", "::", "")  # IPv6's own address counted as its network


def is_theirs(scope: Scope) -> None:
    """Note that what was asked on a line comes from somebody who is signed in."""
    line = scope.get("state", {}).get("line")
    if isinstance(line, Line):
        line.is_signed_in = True


class WatchedHttp(H11Protocol):
    """The framework's HTTP, with a watch over what the other side says and reads."""

    line: Line | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take the line in, or turn it away."""
        super().connection_made(transport)
        self.line = lines.opened(self, transport)
        inner = self.app

        async def app(scope: Any, receive: Receive, send: Send) -> None:
            if self.line is not None:
                self.line.is_signed_in = False
                scope["state"]["line"] = self.line
            await inner(scope, receive, send)

        self.app = app

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the line."""
        lines.closed(self.transport)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Count what comes of a body."""
        if self.line is None:
            return
        was_body = self.awaits_body()
        super().data_received(data)
        if self.awaits_body():
            if not was_body:
                self.line.since, self.line.came = time.monotonic(), 0
            self.line.came += len(data)

    def on_response_complete(self) -> None:
        """Wait for the next request from now on; a body that is still coming has begun before."""
        if self.line is not None and not self.awaits_body():
            self.line.since = time.monotonic()
        super().on_response_complete()

    def resume_writing(self) -> None:
        """Note that the other side reads."""
        if self.line is not None:
            self.line.is_read(time.monotonic())
        super().resume_writing()

    def awaits_head(self) -> bool:
        """Return whether a request is still to come, or its head to come to its end."""
        return self.conn.their_state is h11.IDLE

    def awaits_body(self) -> bool:
        """Return whether a body is still coming."""
        return self.conn.their_state is h11.SEND_BODY

    def has_answered(self) -> bool:
        """Return whether the answer went out, though more may come of what was asked."""
        return self.cycle is None or self.cycle.response_complete

    def note_pause(self, passed_s: float) -> None:
        """Leave the time out in which we ourselves take nothing."""
        if self.line is not None and self.flow.read_paused:
            self.line.since += passed_s


class WatchedSocket(WebSocketsSansIOProtocol):
    """The framework's websocket, with a watch over what the other side reads. It asks by itself who is still there."""

    line: Line | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Go on with the line that HTTP opened."""
        super().connection_made(transport)
        self.conn.max_message_size = min(self.conn.max_message_size or LARGEST_FRAME, LARGEST_FRAME)
        self.line = lines.open.get(transport)
        if self.line is not None:
            self.line.protocol = self

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the line."""
        lines.closed(self.transport)
        super().connection_lost(exc)

    def resume_writing(self) -> None:
        """Note that the other side reads."""
        if self.line is not None:
            self.line.is_read(time.monotonic())
        super().resume_writing()

    def awaits_head(self) -> bool:
        """Return False: it came with the request for the websocket."""
        return False

    def awaits_body(self) -> bool:
        """Return False: who is no longer there is found out by asking."""
        return False

    def has_answered(self) -> bool:
        """Return False: a page goes on."""
        return False

    def note_pause(self, passed_s: float) -> None:
        """Do nothing: no time is counted."""
