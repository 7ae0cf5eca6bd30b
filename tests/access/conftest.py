"""Cheaper hashes: these tests are about the rules, not about the cost of a guess."""

import datetime as dt
from pathlib import Path

import pytest
from argon2 import PasswordHasher

from pipelines.accounts import accounts as accounts_module
from pipelines.accounts import devices, phrases, second
from pipelines.accounts import file as account_file
from pipelines.accounts import invitations as joining
from pipelines.accounts.accounts import Accounts

PHRASE = "four quiet lanes at dawn"


@pytest.fixture(autouse=True)
def _cheap_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    cheap = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    monkeypatch.setattr(phrases, "_hasher", cheap)
    monkeypatch.setattr(phrases, "_nobody_hash", cheap.hash("nobody"))


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[dt.datetime]:
    """A clock the test sets: its only element is 'now'."""
    now = [dt.datetime(2026, 11, 22, 8, 0, tzinfo=dt.UTC)]
    for room in (account_file, accounts_module, joining, devices, second):
        monkeypatch.setattr(room, "now", lambda: now[0])
    return now


@pytest.fixture
def accounts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Accounts:
    """A home with a head coach and an athlete, who sign in with the same pass-phrase."""
    monkeypatch.setenv("THIRDSTEP_HOME", str(tmp_path))
    kept = Accounts(tmp_path / "access.sqlite")
    kept.add("coach", "head_coach", PHRASE)
    kept.add("marit", "athlete", PHRASE, athlete_id="marit-oakhollow")
    return kept
