"""What several rooms' tests share: the demo, built once a run."""

import shutil
from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import settings

from pipelines import flow

settings.register_profile("any machine", deadline=None)  # a busy machine is no fault
settings.load_profile("any machine")


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> flow.Home:
    """The demo squad's home, to read only.

    The first process of a run that asks builds it; the others copy what nobody has opened.
    """
    home = flow.find_home(tmp_path_factory.mktemp("demo") / "home")
    if worker_id == "master":
        flow.build_demo(home)
        return home
    built = tmp_path_factory.getbasetemp().parent / "demo"
    with FileLock(built.with_suffix(".lock")):
        if not built.exists():
            flow.build_demo(home)
            shutil.copytree(home.root, built.with_suffix(".part"))
            built.with_suffix(".part").rename(built)
            return home
    shutil.copytree(built, home.root)
    return home


@pytest.fixture
def own_demo_home(demo_home: flow.Home, tmp_path: Path) -> flow.Home:
    """A copy of the demo squad's home, to change."""
    shutil.copytree(demo_home.root, tmp_path / "home")
    return flow.find_home(tmp_path / "home")
