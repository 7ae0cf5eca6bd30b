"""A page's websocket without a browser around it: whatever a page sends to somebody comes over it."""

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import websockets
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from tests.browser.conftest import Served

PATIENCE_S = 60.0


class Tab:
    """A page's websocket, kept open between what is asked."""

    def __init__(self, wire: websockets.ClientConnection) -> None:
        self.wire = wire
        self.fragments: list[str] = []

    async def ask(self, message: BackMsg) -> bytes:
        """Ask for a page or a part of one; return all that comes until it is drawn."""
        await self.wire.send(message.SerializeToString())
        came = b""
        async with asyncio.timeout(PATIENCE_S):
            while True:
                data = await self.wire.recv()
                assert isinstance(data, bytes)
                came += data
                told = ForwardMsg()
                told.ParseFromString(data)
                if told.delta.fragment_id:
                    self.fragments.append(told.delta.fragment_id)
                if told.WhichOneof("type") == "script_finished" and told.script_finished in (
                    ForwardMsg.FINISHED_SUCCESSFULLY, ForwardMsg.FINISHED_FRAGMENT_RUN_SUCCESSFULLY,
                ):  # fmt: skip
                    return came


def rerun(page: str = "", query: str = "", fragment: str = "") -> BackMsg:
    message = BackMsg()
    message.rerun_script.page_name, message.rerun_script.query_string = page, query
    message.rerun_script.fragment_id = fragment
    return message


def in_tab(served: Served, token: str, talk: Callable[[Tab], object]) -> bytes:
    """Open a tab as somebody and talk with it, in a thread of its own: the browser's loop has this one."""

    async def open_and_talk() -> bytes:
        async with websockets.connect(
            served.address.replace("http", "ws") + "/_stcore/stream",
            additional_headers={"cookie": f"{served.cookie}={token}"}, subprotocols=["streamlit", "x"],  # type: ignore[list-item]
            origin=served.address, max_size=None, proxy=None,  # type: ignore[arg-type]
        ) as wire:  # fmt: skip
            return await talk(Tab(wire))  # type: ignore[misc]

    with ThreadPoolExecutor(1) as pool:
        return pool.submit(lambda: asyncio.run(open_and_talk())).result()


def pages_as(served: Served, token: str, paths: tuple[str, ...], query: str) -> dict[str, bytes]:
    """Ask for pages one after the other over a forged websocket; return all that is sent for each."""
    came: dict[str, bytes] = {}

    async def talk(tab: Tab) -> bytes:
        for path in paths:  # each drawn to its end: of pages asked for together only the last would be
            came[path] = await tab.ask(rerun(path.strip("/"), query))
        return b""

    in_tab(served, token, talk)
    return came
