"""A federation of four tiny invented squads, made once; each test that writes has a copy of its own."""

import shutil
from pathlib import Path

import pytest

from pipelines.home.folder import Home

SQUADS, ATHLETES, WEEKS = 4, 4, 14


@pytest.fixture(scope="session")
def squads_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from pipelines.federation import demo

    folder = tmp_path_factory.mktemp("federation")
    demo.build(folder, SQUADS, athletes=ATHLETES, weeks=WEEKS)
    return folder


@pytest.fixture(scope="session")
def run_once(squads_once: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same, run: with a lake and reference tables."""
    pytest.importorskip("deltalake")
    pytest.importorskip("ibis")
    from pipelines.federation import running

    folder = tmp_path_factory.mktemp("run") / "federation"
    shutil.copytree(squads_once, folder)
    report = running.run(homes_of(folder), folder, running.Here())
    assert len(report.derived) == SQUADS
    assert not report.left_out
    return folder


@pytest.fixture
def federation(run_once: Path, tmp_path: Path) -> Path:
    """A federation of the test's own, run once."""
    return shutil.copytree(run_once, tmp_path / "federation")


def homes_of(folder: Path) -> list[Home]:
    return [Home(path) for path in sorted((folder / "homes").iterdir())]


def home_of(folder: Path, key: str) -> Home:
    return Home(folder / "homes" / key)
