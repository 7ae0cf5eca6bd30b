"""Accounts: who may sign in, and what a wrong pass-phrase costs."""

import datetime as dt
from pathlib import Path

import pytest

from pipelines import accounts as accounts_module
from pipelines.accounts import FREE_FAILURES, Accounts, token_sha256
from pipelines.errors import ThirdstepError

PHRASE = "four quiet lanes at dawn"


@pytest.fixture
def accounts(tmp_path: Path) -> Accounts:
    kept = Accounts(tmp_path / "access.sqlite")
    kept.add("Coach", "head_coach", PHRASE)
    return kept


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[dt.datetime]:
    """A clock the test sets: its only element is 'now'."""
    now = [dt.datetime(2026, 11, 22, 8, 0, tzinfo=dt.UTC)]
    monkeypatch.setattr(accounts_module, "_now", lambda: now[0])
    return now


def test_a_sign_in_is_kept_as_a_hash_only(accounts: Accounts):
    token = accounts.sign_in("coach", PHRASE)
    kept = b"".join(file.read_bytes() for file in accounts.path.parent.glob("access.sqlite*"))
    assert token.encode() not in kept
    assert PHRASE.encode() not in kept
    account = accounts.account_of(token_sha256(token))
    assert account is not None
    assert (account.name, account.role) == ("coach", "head_coach")


def test_the_file_of_accounts_is_its_owner_s_alone(accounts: Accounts):
    assert accounts.path.stat().st_mode & 0o077 == 0


def test_a_wrong_name_and_a_wrong_pass_phrase_read_alike(accounts: Accounts):
    with pytest.raises(ThirdstepError) as wrong_phrase:
        accounts.sign_in("coach", "five quiet lanes at dawn")
    with pytest.raises(ThirdstepError) as wrong_name:
        accounts.sign_in("couch", PHRASE)
    assert str(wrong_phrase.value) == str(wrong_name.value)


def test_after_five_wrong_ones_even_the_right_one_waits(accounts: Accounts, clock: list[dt.datetime]):
    for _ in range(FREE_FAILURES):
        with pytest.raises(ThirdstepError, match="do not go together"):
            accounts.sign_in("coach", "wrong wrong wrong")
    with pytest.raises(ThirdstepError, match="Wait 31 seconds"):
        accounts.sign_in("coach", PHRASE)
    clock[0] += dt.timedelta(seconds=31)
    assert accounts.sign_in("coach", PHRASE)


def test_the_wait_doubles_with_each_further_failure(accounts: Accounts, clock: list[dt.datetime]):
    for _ in range(FREE_FAILURES + 1):
        with pytest.raises(ThirdstepError):
            accounts.sign_in("coach", "wrong wrong wrong")
        clock[0] += dt.timedelta(seconds=31)
    # the sixth failure came at 5 x 31 s and waits 60 s; 31 s of them have passed
    with pytest.raises(ThirdstepError, match="Wait 30 seconds"):
        accounts.sign_in("coach", PHRASE)


def test_a_sign_in_ends_after_its_hours(accounts: Accounts, clock: list[dt.datetime]):
    token = accounts.sign_in("coach", PHRASE)
    clock[0] += dt.timedelta(hours=accounts_module.SIGN_IN_HOURS, seconds=1)
    assert accounts.account_of(token_sha256(token)) is None


@pytest.mark.parametrize("end", ["sign_out", "reset", "close"])
def test_a_sign_in_ends_at_once_when(accounts: Accounts, end: str):
    token = accounts.sign_in("coach", PHRASE)
    if end == "sign_out":
        accounts.sign_out(token_sha256(token))
    elif end == "reset":
        accounts.reset("coach", "another phrase of four")
    else:
        accounts.close("coach")
    assert accounts.account_of(token_sha256(token)) is None


@pytest.mark.parametrize(
    ("role", "passphrase", "extra", "says"),
    [
        ("owner", PHRASE, {}, "There is no role 'owner'"),
        ("athlete", PHRASE, {}, "needs its athlete"),
        ("staff", PHRASE, {}, "needs its event groups"),
        ("head_coach", "short", {}, "at least 12 characters"),
        ("head_coach", "aaaaaaaaaaaaaaa", {}, "too easy to guess"),
    ],
)
def test_an_account_that_cannot_be_is_refused_with_a_way_out(
    accounts: Accounts, role: str, passphrase: str, extra: dict[str, str], says: str
):
    with pytest.raises(ThirdstepError, match=says):
        accounts.add("new", role, passphrase, **extra)
    assert [account.name for account in accounts.list()] == ["coach"]


def test_a_name_is_taken_whatever_its_case(accounts: Accounts):
    with pytest.raises(ThirdstepError, match="There is an account 'coach' already"):
        accounts.add(" COACH ", "head_coach", PHRASE)


def test_every_sign_in_and_refusal_is_on_the_trail(accounts: Accounts):
    accounts.sign_in("coach", PHRASE)
    with pytest.raises(ThirdstepError):
        accounts.sign_in("coach", "wrong wrong wrong")
    assert [(who, what) for _, who, what, _ in accounts.trail()] == [
        ("coach", "sign-in refused"),
        ("coach", "signed in"),
        ("coach", "account added"),
    ]
