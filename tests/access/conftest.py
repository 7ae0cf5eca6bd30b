"""Cheaper hashes: these tests are about the rules, not about the cost of a guess."""

import pytest
from argon2 import PasswordHasher

from pipelines.accounts import file as account_file


@pytest.fixture(autouse=True)
def _cheap_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    cheap = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    monkeypatch.setattr(account_file, "_hasher", cheap)
    monkeypatch.setattr(account_file, "_nobody_hash", cheap.hash("nobody"))
