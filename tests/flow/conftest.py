"""A home of its own for every test, and derived tables small enough to work out by hand."""

from collections.abc import Callable, Iterator
from typing import ClassVar

import polars as pl
import pytest
from argon2 import PasswordHasher

from pipelines.accounts import phrases
from pipelines.board import building
from pipelines.home.folder import Home
from schemas.base import DerivedTable, column
from tests.flow import squad
from tests.flow.forked import Mother

CHEAP = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)


class LoadDay(DerivedTable):
    """One row per athlete and day: minutes trained."""

    athlete_id: str = column("Athlete.", source="definition")
    day_on: pl.Date = column("Day.", source="definition")
    minutes: float = column("Minutes trained.", unit="min", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """Key."""

        metadata: ClassVar = {"key": ["athlete_id", "day_on"]}


class LoadWeek(DerivedTable):
    """One row per athlete: minutes of all days."""

    athlete_id: str = column("Athlete.", source="definition")
    minutes: float = column("Minutes trained.", unit="min", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """Key."""

        metadata: ClassVar = {"key": ["athlete_id"]}


def load_day(session: pl.DataFrame) -> pl.DataFrame:
    """Add up the minutes of a day."""
    return session.group_by("athlete_id", day_on="session_date").agg(minutes=pl.col("duration_min").sum())


def load_week(load_day: pl.DataFrame) -> pl.DataFrame:
    """Add up the minutes of an athlete."""
    return load_day.group_by("athlete_id").agg(pl.col("minutes").sum())


@pytest.fixture
def home(tmp_path) -> Home:
    """Return a home folder that is not there yet."""
    return Home(tmp_path / "home")


@pytest.fixture
def small_derived(monkeypatch):
    """Put two small derived tables in place of the real ones; they are given out of order on purpose."""
    monkeypatch.setattr(building, "derivations", lambda: {"load_week": load_week, "load_day": load_day})
    monkeypatch.setattr(building, "derived_models", lambda: {"load_week": LoadWeek, "load_day": LoadDay})


@pytest.fixture(autouse=True)
def _cheap_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make a pass-phrase's hash cheap here: what a guess costs is held in tests/access."""
    monkeypatch.setattr(phrases, "_hasher", CHEAP)


@pytest.fixture(scope="session", autouse=True)
def _place(tmp_path_factory: pytest.TempPathFactory) -> None:
    squad.place_of_the_made.append(tmp_path_factory.mktemp("filled"))


@pytest.fixture(scope="session")
def filled_once() -> Callable[[Home, Callable[[Home], object]], Home]:
    """Return a function that fills a home, by a function that does so: once a process, and from then on by a copy."""
    return squad.fill


@pytest.fixture(scope="session")
def forked() -> Iterator[Mother]:
    """What runs code in a process of its own, with everything imported beforehand."""
    mother = Mother()
    yield mother
    mother.close()
