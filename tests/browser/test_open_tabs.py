"""Tabs and lines that are left open, against the dashboard as it is served: what was drawn for somebody is theirs only
while they look, and five hundred who say nothing keep nobody out.
"""

import socket
import time
from collections.abc import Iterator

import polars as pl
import pytest

from dashboard import wording
from pipelines import flow
from pipelines.accounts.accounts import token_sha256
from tests.browser.conftest import Served
from tests.browser.tabs import PATIENCE_S, Tab, in_tab, rerun

PHRASE = "a phrase of four words"
MUTE = 500


@pytest.fixture
def assistant(served: Served, served_home: flow.Home) -> Iterator[str]:
    """A staff account of hurdles alone."""
    accounts = flow.accounts(served_home)
    if "beside" not in {one.name for one in accounts.list()}:
        accounts.add("beside", "staff", PHRASE, groups=["hurdles"])
    accounts.reset("beside", PHRASE)
    accounts.change("beside", groups=["hurdles"], reads_injuries=False)
    yield "beside"
    accounts.close("beside")


@pytest.fixture(scope="module")
def hurdlers(served_home: flow.Home) -> pl.DataFrame:
    return flow.table(served_home, "athlete").filter(event_group="hurdles")


PARTS = {"film": "athlete={}", "two-starts": "athlete={}"}


@pytest.mark.parametrize("change", ["signed out", "another group", "closed"])
@pytest.mark.parametrize("page", PARTS)
def test_a_part_of_an_open_page_shows_nobody_once_the_one_it_was_drawn_for_is_not_looking(
    served: Served, served_home: flow.Home, assistant: str, hurdlers: pl.DataFrame, page: str, change: str
):
    accounts = flow.accounts(served_home)
    token = accounts.sign_in(assistant, PHRASE)
    who = hurdlers.row(0, named=True)
    query = PARTS[page].format(who["athlete_id"])

    async def talk(tab: Tab) -> bytes:
        assert who["display_name"].encode() in await tab.ask(rerun(page, query))
        parts = list(dict.fromkeys(tab.fragments))
        assert parts, "nothing of this page is drawn alone any more"
        if change == "signed out":
            accounts.sign_out(token_sha256(token))
        elif change == "closed":
            accounts.close(assistant)
        else:
            accounts.change(assistant, groups=["long_sprints"], reads_injuries=False)
        return b"".join([await tab.ask(rerun(page, query, part)) for part in parts])

    came = in_tab(served, token, talk)
    found = [one for one in (*hurdlers["athlete_id"], *hurdlers["display_name"]) if one.encode() in came]
    assert [one for one in found if one not in query] == []  # the address goes round as it was asked for
    assert change == "another group" or wording.NO_ACCESS.encode() in came


def test_the_coach_gets_a_page_beside_five_hundred_lines_that_say_nothing(served: Served, served_home: flow.Home):
    token = flow.accounts(served_home).sign_in(served.names["head_coach"], served.passphrases["head_coach"])
    host, port = served.address.removeprefix("http://").split(":")
    mute = []
    for number in range(MUTE):
        mute.append(socket.create_connection((host, int(port)), timeout=PATIENCE_S))
        if number % 2:
            mute[-1].sendall(b"POST /login HTTP/1.1\r\nhost: ")

    async def talk(tab: Tab) -> bytes:
        return await tab.ask(rerun(""))

    start = time.monotonic()
    assert len(in_tab(served, token, talk)) > 1_000
    assert time.monotonic() - start < PATIENCE_S
    mute[-1].settimeout(PATIENCE_S)
    assert mute[-1].recv(1_000) == b"", "a head that never comes to its end is still waited for"
    for line in mute:
        line.close()
