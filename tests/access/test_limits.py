"""What a guess may cost: counted before it is looked at, alike for every name, and never at the owner's expense."""

import contextlib
import datetime as dt
import sqlite3
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.testclient import TestClient

from dashboard.access import hashing, login, own
from dashboard.access.cookies import KNOWN, SIGN_IN, cookie_name
from dashboard.access.gate import Gate
from pipelines.accounts import accounts as accounts_module
from pipelines.accounts import devices, limits
from pipelines.accounts.accounts import WRONG, Accounts
from pipelines.errors import ThirdstepError
from tests.access.test_gate import client_of

PHRASE = "four quiet lanes at dawn"
GUESS = "wrong wrong wrong"


@pytest.fixture
def accounts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Accounts:
    monkeypatch.setenv("THIRDSTEP_HOME", str(tmp_path))
    kept = Accounts(tmp_path / "access.sqlite")
    kept.add("coach", "head_coach", PHRASE)
    return kept


@pytest.fixture
def looked_at(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The guesses whose pass-phrase was looked at."""
    seen: list[str] = []

    def matches(kept: str | None, passphrase: str) -> bool:
        seen.append(passphrase)
        return bool(kept) and passphrase == PHRASE

    monkeypatch.setattr(accounts_module, "matches", matches)
    return seen


def said(accounts: Accounts, name: str, phrase: str = GUESS, **more: str) -> str:
    try:
        accounts.sign_in(name, phrase, **more)
    except ThirdstepError as refused:
        return refused.message
    return "in"


def test_guesses_for_one_name_from_one_place_end_before_they_are_looked_at(accounts: Accounts, looked_at: list[str]):
    told = [said(accounts, "coach", address="192.0.2.7") for _ in range(50)]
    assert told == [WRONG] * limits.PAIR_TRIES + [limits.WAIT] * (50 - limits.PAIR_TRIES)
    assert len(looked_at) == limits.PAIR_TRIES


def test_a_name_that_nobody_has_is_answered_alike(accounts: Accounts, looked_at: list[str]):
    told = {name: [said(accounts, name, address="192.0.2.7") for _ in range(15)] for name in ("coach", "nobody")}
    assert told["coach"] == told["nobody"]
    assert len(looked_at) == 2 * limits.PAIR_TRIES


def test_a_name_that_nobody_has_costs_the_same_writes_and_is_not_written_down(
    accounts: Accounts, looked_at: list[str], monkeypatch: pytest.MonkeyPatch
):
    done: dict[str, list[str]] = {}
    for name in ("coach", "nobody of ours"):
        asked = done.setdefault(name, [])
        opened = type(accounts).opened

        @contextlib.contextmanager
        def listening(self: Accounts, asked: list[str] = asked, opened=opened) -> Iterator[sqlite3.Connection]:
            with opened(self) as db:
                db.set_trace_callback(lambda text: asked.append(text.split()[0]))
                yield db

        with monkeypatch.context() as patch:
            patch.setattr(type(accounts), "opened", listening)
            said(accounts, name, address="192.0.2.9")
    assert done["coach"] == done["nobody of ours"]
    assert accounts.trail()[0][1:3] == ("somebody", "sign-in refused")


def test_the_owner_comes_in_from_elsewhere_while_a_stranger_guesses(accounts: Accounts, clock: list[dt.datetime]):
    for _ in range(24):  # six hours, four tries an hour: what locked an account for good before
        said(accounts, "coach", address="192.0.2.7")
        clock[0] += dt.timedelta(minutes=15)
        assert said(accounts, "coach", PHRASE, address="192.0.2.8") == "in"


def test_many_places_together_have_few_guesses_and_a_known_browser_comes_in_all_the_same(
    accounts: Accounts, looked_at: list[str]
):
    _, browser, _ = accounts.look_at_try(accounts.count_try("coach"), PHRASE)
    looked_at.clear()
    for place in range(100):
        said(accounts, "coach", address=f"192.0.2.{place}")
    assert len(looked_at) == limits.NAME_TRIES
    assert said(accounts, "coach", PHRASE, address="192.0.2.200") == limits.WAIT  # a browser nobody knows
    assert said(accounts, "coach", PHRASE, address="192.0.2.200", browser=browser) == "in"


def test_a_known_browser_is_known_for_its_own_name_and_not_for_ever(accounts: Accounts, clock: list[dt.datetime]):
    accounts.add("second", "head_coach", PHRASE)
    _, browser, _ = accounts.look_at_try(accounts.count_try("coach"), PHRASE)
    assert accounts.count_try("second", browser=browser).browser == ""
    assert accounts.count_try("coach", browser=browser).browser == browser
    clock[0] += dt.timedelta(days=limits.KNOWN_DAYS + 1)
    assert accounts.count_try("coach", browser=browser).browser == ""


def test_a_stolen_browser_that_guesses_is_a_stranger_soon(accounts: Accounts, looked_at: list[str]):
    _, browser, _ = accounts.look_at_try(accounts.count_try("coach"), PHRASE)
    looked_at.clear()
    with ThreadPoolExecutor(16) as pool:
        list(pool.map(lambda _: said(accounts, "coach", address="192.0.2.9", browser=browser), range(60)))
    assert len(looked_at) == limits.BROWSER_TRIES + limits.PAIR_TRIES


def test_sixty_guesses_at_once_are_counted_like_sixty_in_a_row(accounts: Accounts, looked_at: list[str]):
    with ThreadPoolExecutor(30) as pool:
        told = list(pool.map(lambda _: said(accounts, "coach", address="192.0.2.7"), range(60)))
    assert len(looked_at) == limits.PAIR_TRIES
    assert told.count(limits.WAIT) == 60 - limits.PAIR_TRIES


def test_many_names_from_one_place_end_too_and_one_household_is_one_place(accounts: Accounts, looked_at: list[str]):
    for number in range(limits.ADDRESS_TRIES + 10):
        said(accounts, f"name {number}", address=f"2001:db8:1:2::{number:x}")
    assert len(looked_at) == limits.ADDRESS_TRIES
    assert said(accounts, "coach", PHRASE, address="2001:db8:1:3::1") == "in"


def test_a_reset_lets_in_at_once_and_no_name_that_was_tried_is_kept(accounts: Accounts):
    for place in range(limits.NAME_TRIES):
        said(accounts, "coach", address=f"192.0.2.{place}")
    said(accounts, "my pass-phrase typed in the wrong box", address="198.51.100.1")
    accounts.reset("coach", "another phrase of four")
    assert said(accounts, "coach", "another phrase of four") == "in"
    kept = b"".join(file.read_bytes() for file in accounts.path.parent.glob("access.sqlite*"))
    assert b"wrong box" not in kept


# --- as it is served -------------------------------------------------------------------------------------------------


@pytest.fixture
def client(accounts: Accounts, monkeypatch: pytest.MonkeyPatch) -> TestClient:
    monkeypatch.setattr(hashing, "_places", {})
    return client_of(Starlette(routes=login.ROUTES, middleware=[Middleware(Gate)]))


def post(client: TestClient, form: str, phrase: str = GUESS, name: str = "coach") -> int:
    return client.post("/login", data={"form": form, "name": name, "passphrase": phrase}).status_code


def form_of(client: TestClient) -> str:
    return client.get("/login").text.split('name="form" value="')[1].split('"')[0]


def test_at_most_two_pass_phrases_are_looked_at_together(client: TestClient, monkeypatch: pytest.MonkeyPatch):
    busy, most, lock = [0], [0], threading.Lock()

    def matches(*_: object) -> bool:
        with lock:
            busy[0] += 1
            most[0] = max(most[0], busy[0])
        time.sleep(0.02)
        with lock:
            busy[0] -= 1
        return False

    monkeypatch.setattr(accounts_module, "matches", matches)
    monkeypatch.setattr(login, "is_own_form", lambda *_: True)  # one client's cookie jar is not made for threads
    monkeypatch.setattr(limits, "PAIR_TRIES", 1000)
    monkeypatch.setattr(limits, "NAME_TRIES", 1000)
    monkeypatch.setattr(limits, "ADDRESS_TRIES", 1000)
    with client:  # one event loop for all of them
        form = form_of(client)
        with ThreadPoolExecutor(40) as pool:
            told = list(pool.map(lambda _: post(client, form), range(60)))
    assert most[0] == hashing.HASHES_AT_ONCE
    assert set(told) <= {401, 503}


def test_a_pass_phrase_that_is_asked_again_is_looked_at_one_at_a_time(
    accounts: Accounts, monkeypatch: pytest.MonkeyPatch
):
    busy, most, lock = [0], [0], threading.Lock()

    def matches(*_: object) -> bool:
        with lock:
            busy[0] += 1
            most[0] = max(most[0], busy[0])
        time.sleep(0.05)
        with lock:
            busy[0] -= 1
        return True

    monkeypatch.setattr(hashing, "_places", {})
    monkeypatch.setattr(devices, "matches", matches)
    monkeypatch.setattr(own, "is_own_form", lambda *_: True)
    tokens = [accounts.sign_in("coach", PHRASE) for _ in range(4)]
    with client_of(Starlette(routes=own.ROUTES, middleware=[Middleware(Gate)])) as client, ThreadPoolExecutor(20) as at:
        told = {"form": "", "do": "begin", "passphrase": PHRASE}
        for_all = [{"cookie": f"{cookie_name(SIGN_IN)}={token}"} for token in tokens for _ in range(5)]
        came = list(at.map(lambda who: client.post("/account", data=told, headers=who).status_code, for_all))
    assert most[0] == hashing.KNOWN_AT_ONCE
    assert came.count(200) == 20


def test_a_browser_that_signed_in_once_is_let_in_while_others_guess(client: TestClient, accounts: Accounts):
    assert post(client, form_of(client), PHRASE) == 303
    for place in range(limits.NAME_TRIES):
        said(accounts, "coach", address=f"192.0.2.{place}")
    known = client.cookies[cookie_name(KNOWN)]
    stranger = client_of(client.app)
    assert post(stranger, form_of(stranger), PHRASE) == 401
    assert post(client, form_of(client), PHRASE) == 303
    assert known.encode() not in b"".join(file.read_bytes() for file in accounts.path.parent.glob("access.sqlite*"))


def test_the_known_browser_s_cookie_goes_to_the_sign_in_page_alone(client: TestClient):
    form = form_of(client)
    answer = client.post("/login", data={"form": form, "name": "coach", "passphrase": PHRASE})
    [told] = [one for one in answer.headers.get_list("set-cookie") if one.startswith(cookie_name(KNOWN))]
    assert all(word in told.lower() for word in ("httponly", "samesite=strict", "path=/login"))
