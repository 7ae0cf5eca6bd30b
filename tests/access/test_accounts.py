"""Accounts: who may sign in, and what a wrong pass-phrase costs."""

import datetime as dt
import sqlite3
from pathlib import Path

import pytest

from pipelines.accounts import accounts as accounts_module
from pipelines.accounts import invitations as joining
from pipelines.accounts.accounts import Accounts, token_sha256
from pipelines.accounts.openid import club_sign_in
from pipelines.errors import ThirdstepError

PHRASE = "four quiet lanes at dawn"


@pytest.fixture
def accounts(tmp_path: Path) -> Accounts:
    kept = Accounts(tmp_path / "access.sqlite")
    kept.add("Coach", "head_coach", PHRASE)
    return kept


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


def test_a_sign_in_ends_after_its_hours(accounts: Accounts, clock: list[dt.datetime]):
    token = accounts.sign_in("coach", PHRASE)
    clock[0] += dt.timedelta(hours=accounts_module.SIGN_IN_HOURS, seconds=1)
    assert accounts.account_of(token_sha256(token)) is None


@pytest.mark.parametrize("end", ["sign_out", "reset", "close", "everywhere"])
def test_a_sign_in_ends_at_once_when(accounts: Accounts, end: str):
    accounts.add("second", "head_coach", PHRASE)
    token = accounts.sign_in("coach", PHRASE)
    if end == "sign_out":
        accounts.sign_out(token_sha256(token))
    elif end == "reset":
        accounts.reset("coach", "another phrase of four")
    elif end == "everywhere":
        accounts.sign_out_everywhere("coach")
    else:
        accounts.close("coach")
    assert accounts.account_of(token_sha256(token)) is None


@pytest.mark.parametrize(
    ("role", "passphrase", "extra", "says"),
    [
        ("owner", PHRASE, {}, "There is no role 'owner'"),
        ("athlete", PHRASE, {}, "needs its athlete"),
        ("guardian", PHRASE, {}, "needs its athlete"),
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
        ("coach", "account added: head_coach"),
    ]


def test_the_last_head_coach_cannot_be_closed(accounts: Accounts):
    with pytest.raises(ThirdstepError, match="last head coach"):
        accounts.close("coach")


def test_an_invitation_works_once_and_sets_the_own_pass_phrase(accounts: Accounts):
    accounts.add("teo", "athlete", None, athlete_id="teo-brandmere", by="coach")
    with pytest.raises(ThirdstepError, match="do not go together"):
        accounts.sign_in("teo", "")
    token = accounts.invite("teo", by="coach")
    kept = b"".join(file.read_bytes() for file in accounts.path.parent.glob("access.sqlite*"))
    assert token.encode() not in kept
    account = accounts.account_of(token_sha256(accounts.join(token, "a phrase of my own")))
    assert account is not None
    assert (account.name, account.athlete_id, account.has_joined) == ("teo", "teo-brandmere", True)
    with pytest.raises(ThirdstepError, match="has been used"):
        accounts.join(token, "a phrase of a thief")
    assert accounts.sign_in("teo", "a phrase of my own")


def test_an_invitation_runs_out(accounts: Accounts, clock: list[dt.datetime]):
    token = accounts.invite("coach")
    clock[0] += dt.timedelta(days=joining.INVITATION_DAYS, seconds=1)
    with pytest.raises(ThirdstepError, match="run out"):
        accounts.join(token, "a phrase of my own")


def test_a_new_invitation_and_a_closed_account_end_the_one_before(accounts: Accounts):
    accounts.add("teo", "athlete", None, athlete_id="teo-brandmere")
    first = accounts.invite("teo")
    second = accounts.invite("teo")
    assert accounts.invited(first) is None
    assert accounts.invited(second) is not None
    accounts.close("teo")
    assert accounts.invited(second) is None


def test_a_poor_pass_phrase_does_not_use_the_invitation_up(accounts: Accounts):
    token = accounts.invite("coach")
    with pytest.raises(ThirdstepError, match="at least 12"):
        accounts.join(token, "short")
    assert accounts.invited(token) is not None


def test_what_a_staff_account_reads_changes_at_once(accounts: Accounts):
    accounts.add("staff", "staff", PHRASE, groups=["hurdles"], reads_injuries=True)
    token_hash = token_sha256(accounts.sign_in("staff", PHRASE))
    accounts.change("staff", groups=["long_sprints"], reads_injuries=False, by="coach")
    account = accounts.account_of(token_hash)
    assert account is not None
    assert (account.event_groups, account.reads_injuries) == (("long_sprints",), False)


def test_forgetting_a_person_leaves_no_name_in_the_file(accounts: Accounts):
    accounts.add("teo-b", "athlete", PHRASE, athlete_id="teo-brandmere")
    accounts.add("parent-of-teo", "guardian", PHRASE, athlete_id="teo-brandmere")
    accounts.set_email("teo-b", "teo@club.example")
    accounts.sign_in("teo-b", PHRASE)
    accounts.note("coach", "injury detail read", "teo-brandmere")
    assert accounts.forget("teo-brandmere") == 2
    kept = b"".join(file.read_bytes() for file in accounts.path.parent.glob("access.sqlite*"))
    for name in (b"teo-b", b"parent-of-teo", b"teo-brandmere", b"teo@club.example"):
        assert name not in kept
    assert {who for _, who, _, _ in accounts.trail()} == {"coach", "an erased person", "thirdstep"}
    # three accounts added, an address set, a sign-in, a read: told of nobody; and that the chain starts anew
    assert len(accounts.trail()) == 7


# --- the club's own sign-in ------------------------------------------------------------------------------------------


def test_only_a_verified_address_of_an_open_account_signs_in(accounts: Accounts):
    accounts.add("marit", "athlete", None, athlete_id="marit-oakhollow")
    accounts.set_email("marit", " Marit@Club.Example ", by="coach")
    account = accounts.account_of(token_sha256(accounts.sign_in_by_email("marit@club.example", verified=True)))
    assert account is not None
    assert (account.name, account.athlete_id) == ("marit", "marit-oakhollow")
    for email, verified, says in (
        ("marit@club.example", False, "is verified"),
        ("other@club.example", True, "No account here"),
        ("", True, "told no e-mail address"),
    ):
        with pytest.raises(ThirdstepError, match=says):
            accounts.sign_in_by_email(email, verified)
    accounts.close("marit")
    with pytest.raises(ThirdstepError, match="No account here"):
        accounts.sign_in_by_email("marit@club.example", verified=True)


def test_an_address_is_one_account_s_and_looks_like_one(accounts: Accounts):
    accounts.add("second", "head_coach", PHRASE)
    accounts.set_email("coach", "coach@club.example")
    with pytest.raises(ThirdstepError, match="another account's"):
        accounts.set_email("second", "COACH@club.example")
    with pytest.raises(ThirdstepError, match="no e-mail address"):
        accounts.set_email("second", "coach at club")


def test_a_file_of_accounts_from_before_keeps_its_accounts_and_sign_ins(tmp_path: Path):
    path = tmp_path / "access.sqlite"
    db = sqlite3.connect(path)
    db.executescript(  # the file as version 2 of it was
        "create table account (name text primary key, role text not null, passphrase_hash text not null,"
        " athlete_id text, event_groups text not null, reads_injuries integer not null,"
        " failures integer not null default 0, wait_until text, closed_at text);"
        "create table sign_in (token_sha256 text primary key, name text not null, started_at text not null,"
        " ends_at text not null, ended_at text);"
        "insert into account values ('coach', 'head_coach', '', null, '[]', 1, 0, null, null);"
        f"insert into sign_in values ('{token_sha256('t')}', 'coach', '2026-01-01', '9999-01-01', null);"
        "pragma user_version = 2"
    )
    db.close()
    kept = Accounts(path)
    account = kept.account_of(token_sha256("t"))
    assert account is not None
    assert (account.name, account.email) == ("coach", None)
    kept.set_email("coach", "coach@club.example")
    assert kept.sign_in_by_email("coach@club.example", verified=True)
    assert kept.sign_out(token_sha256("t")) is False  # that one was by pass-phrase


@pytest.mark.parametrize(
    ("line", "mode", "says"),
    [
        ('issuer = "http://login.club.example"', 0o600, "must begin with https"),
        ('client_id = ""', 0o600, "lacks client_id"),
        ('secret = "in the wrong place"', 0o600, "knows no 'secret'"),
        ("", 0o644, "can be read by others"),
        ("", None, "secret of the club's sign-in is missing"),
        ("issuer =", 0o600, "cannot be read"),
    ],
)
def test_a_club_sign_in_set_up_wrongly_is_said_and_never_its_secret(
    tmp_path: Path, line: str, mode: int | None, says: str
):
    right = {"issuer": "https://login.club.example", "client_id": "x", "public_address": "https://squad.club.example"}
    kept = [f'{name} = "{value}"' for name, value in right.items() if not line.startswith(f"{name} ")]
    (tmp_path / "openid.toml").write_text("\n".join([*kept, line]))
    if mode is not None:
        (tmp_path / "openid-secret.txt").write_text("do not tell")
        (tmp_path / "openid-secret.txt").chmod(mode)
    with pytest.raises(ThirdstepError, match=says) as told:
        club_sign_in(tmp_path)
    assert "do not tell" not in str(told.value)


def test_the_secret_comes_from_its_file_or_the_environment_and_is_not_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    assert club_sign_in(tmp_path) is None
    (tmp_path / "openid.toml").write_text(
        'issuer = "https://login.club.example"\nclient_id = "x"\npublic_address = "https://squad.club.example/"\n'
    )
    monkeypatch.setenv("THIRDSTEP_OPENID_SECRET", "do not tell")
    club = club_sign_in(tmp_path)
    assert club is not None
    assert (club.client_secret, club.back) == ("do not tell", "https://squad.club.example/openid/back")
    assert "do not tell" not in repr(club)
