"""A second factor asked of some roles, that locks nobody out; and its secret, which lies sealed."""

import datetime as dt
import sqlite3
import zipfile
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from dashboard.access.gate import signed_header, viewer_from_header
from pipelines import flow
from pipelines.accounts import at_rest
from pipelines.accounts.accounts import Accounts, token_sha256
from pipelines.errors import ThirdstepError
from tests.access.test_gate import PHRASE, sign_in
from tests.access.test_second_factor import client, code_at, field, turned_on
from tests.flow.squad import ROSTER, write

__all__ = ["client", "turned_on"]  # fixtures


def act(client: TestClient, **told: str):
    return client.post("/account", data={"form": field(client.get("/account").text, "form"), **told})


def test_who_owes_one_finds_nothing_open_but_setting_it_up(client, accounts):
    sign_in(client, "coach")
    assert client.get("/").json()["viewer"] == "coach"
    accounts.ask_second("head_coach")
    # from the next click on, in the sign-in that was there already
    for path in ("/", "/people", "/sheets/week.pdf", "/own/some-file", "/_stcore/host-config"):
        assert client.get(path).status_code == 403
        led = client.get(path, headers={"accept": "text/html"}, follow_redirects=False)
        assert (led.status_code, led.headers["location"]) == (303, "/account")
    with pytest.raises(WebSocketDisconnect), client.websocket_connect("/_stcore/stream"):
        pass
    page = client.get("/account").text
    assert "Your squad asks for one" in page
    assert "Back to the dashboard" not in page
    assert act(client, do="begin", passphrase=PHRASE).status_code == 200
    secret = accounts.second_begun("coach")
    assert client.get("/").status_code == 403  # begun is not on
    page = act(client, do="confirm", code=code_at(secret, dt.datetime.now(dt.UTC))).text
    assert page.count("<li><code>") == 10
    assert client.get("/").json()["viewer"] == "coach"


def test_a_page_that_is_open_already_shows_nobody_from_the_next_click_on(accounts):
    token = token_sha256(accounts.sign_in("coach", PHRASE))
    header = signed_header(token)
    accounts.ask_second("coaches")
    assert viewer_from_header(header) is None
    assert viewer_from_header(header, sets_up=True).name == "coach"


@pytest.mark.parametrize(
    ("whom", "owes"),
    [("nobody", set()), ("head_coach", {"coach"}), ("coaches", {"coach"}), ("everybody", {"coach", "marit"})],
)
def test_it_is_owed_by_the_roles_that_are_asked_and_by_nobody_else(accounts, whom, owes):
    accounts.ask_second(whom)
    found = {name for name in ("coach", "marit") if accounts.account_of(token_sha256(accounts.sign_in(name, PHRASE)))}
    assert found == {"coach", "marit"}  # nobody is shut out
    told = {name: accounts.account_of(token_sha256(accounts.sign_in(name, PHRASE))) for name in found}
    assert {name for name, one in told.items() if one.owes_second} == owes
    assert accounts.second_asked() == whom


def test_who_comes_through_the_club_was_asked_there(accounts):
    accounts.set_email("coach", "coach@club.example")
    accounts.ask_second("everybody")
    token = token_sha256(accounts.sign_in_by_email("coach@club.example", True))
    assert not accounts.account_of(token).owes_second


def test_who_asks_it_of_themselves_has_one_first_and_it_stands_in_the_trail(accounts, clock):
    with pytest.raises(ThirdstepError, match="your own second factor first"):
        accounts.ask_second("coaches", by="coach")
    assert accounts.second_asked() == "nobody"
    with pytest.raises(ThirdstepError, match="Not of 'the cat'"):
        accounts.ask_second("the cat")
    secret, _ = accounts.begin_second("coach")
    accounts.confirm_second("coach", code_at(secret, clock[0]))
    accounts.ask_second("coaches", by="coach")
    clock[0] += dt.timedelta(minutes=1)
    assert ("coach", "second factor asked of coaches, before of nobody") in [(w, s) for _, w, s, _ in accounts.trail()]


def test_a_lost_phone_and_lost_codes_end_in_setting_it_up_again_not_in_a_closed_door(accounts, turned_on, clock):
    accounts.ask_second("head_coach")
    due = accounts.look_at_try(accounts.count_try("coach"), PHRASE).due
    assert accounts.finish_second(due, turned_on[1][0]).token  # a recovery code
    accounts.remove_second("coach", by="this machine")  # thirdstep account second-off
    one = accounts.account_of(token_sha256(accounts.sign_in("coach", PHRASE)))
    assert one.owes_second


def test_new_recovery_codes_take_the_place_of_the_former_ones(accounts, turned_on, clock):
    renewed = accounts.renew_codes("coach")
    assert accounts.codes_left("coach") == len(set(renewed)) == 10
    due = accounts.look_at_try(accounts.count_try("coach"), PHRASE).due
    with pytest.raises(ThirdstepError, match="not right"):
        accounts.finish_second(due, turned_on[1][0])
    assert accounts.finish_second(due, renewed[0]).token
    assert accounts.codes_left("coach") == 9


# --- at rest ------------------------------------------------------------------------------------------------------


def kept_secret(kept: Accounts, name: str) -> str:
    with sqlite3.connect(kept.path) as db:
        return db.execute("select secret from second_factor where name = ?", (name,)).fetchone()[0]


def everything_in(folder: Path) -> bytes:
    return b"".join(path.read_bytes() for path in folder.iterdir() if path.is_file() and "key" not in path.name)


def test_the_file_of_accounts_alone_tells_no_secret(accounts, turned_on, tmp_path):
    assert turned_on[0].encode() not in everything_in(tmp_path)
    key = tmp_path / at_rest.KEY_FILE
    assert key.stat().st_mode & 0o077 == 0
    assert key.stat().st_size == at_rest.KEY_BYTES
    assert at_rest.unseal(accounts.path, "coach", kept_secret(accounts, "coach")) == turned_on[0]


def test_a_secret_opens_for_its_own_account_and_with_its_own_key_alone(accounts, turned_on, tmp_path):
    kept = kept_secret(accounts, "coach")
    assert at_rest.unseal(accounts.path, "marit", kept) is None  # put under another name by who may write the file
    for changed in (kept[:-4] + "AAA=", "sealed:", "not base64!", kept.replace("sealed:", "")[:-8]):
        assert at_rest.unseal(accounts.path, "coach", changed) is None
    (tmp_path / at_rest.KEY_FILE).write_bytes(bytes(at_rest.KEY_BYTES))
    assert at_rest.unseal(accounts.path, "coach", kept) is None
    assert not accounts.second_is_readable("coach")


def test_without_the_key_a_recovery_code_still_opens(accounts, turned_on, clock, tmp_path):
    (tmp_path / at_rest.KEY_FILE).unlink()
    due = accounts.look_at_try(accounts.count_try("coach"), PHRASE).due
    with pytest.raises(ThirdstepError, match="not right"):
        accounts.finish_second(due, code_at(turned_on[0], clock[0]))
    assert accounts.finish_second(due, turned_on[1][0]).token


def test_secrets_of_before_are_sealed_when_the_file_is_opened_and_still_work(accounts, turned_on, clock, tmp_path):
    with sqlite3.connect(accounts.path) as db:
        db.execute("update second_factor set secret = ?", (turned_on[0],))
        db.execute("pragma user_version = 6")
    assert turned_on[0].encode() in everything_in(tmp_path)
    due = accounts.look_at_try(accounts.count_try("coach"), PHRASE).due
    assert accounts.finish_second(due, code_at(turned_on[0], clock[0])).token
    assert turned_on[0].encode() not in everything_in(tmp_path)


def test_the_key_goes_with_a_sealed_backup_alone_and_a_restore_says_what_is_missing(accounts, turned_on, tmp_path):
    home = flow.Home(tmp_path / "home")
    flow.load(home, write(tmp_path / "in", roster=ROSTER), by="coach", derive_after=False)
    for name in ("access.sqlite", at_rest.KEY_FILE):
        (home.root / name).write_bytes((tmp_path / name).read_bytes())
    told: dict[str, int] = {}
    for phrase in ("", "a long phrase of mine for this"):
        file = tmp_path / f"backup-{len(phrase)}"
        flow.backup(home, file, phrase=phrase)
        if not phrase:
            assert at_rest.KEY_FILE not in zipfile.ZipFile(file).namelist()

        def agree(brought, phrase=phrase) -> bool:
            told[phrase] = brought.second_without_key
            return False

        with pytest.raises(ThirdstepError, match="Nothing was restored"):
            flow.restore(flow.Home(tmp_path / f"to{len(phrase)}"), file, phrase=phrase, agree=agree)
    assert list(told.values()) == [1, 0]
