"""What several rooms' tests share: the demo, built once a run."""

import shutil
from pathlib import Path

import pytest
from filelock import FileLock

from pipelines import flow


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> flow.Home:
    """The demo squad's home, to read only: built by the first process of the run that asks, shared by all."""
    alone = worker_id == "master"
    shared = tmp_path_factory.mktemp("demo") if alone else tmp_path_factory.getbasetemp().parent / "demo"
    home, built = flow.find_home(shared), shared.with_name("demo.built")
    with FileLock(shared.with_name("demo.lock")):
        if alone or not built.exists():
            flow.build_demo(home)
            built.touch()
    return home


@pytest.fixture
def own_demo_home(demo_home: flow.Home, tmp_path: Path) -> flow.Home:
    """A copy of the demo squad's home, to change."""
    shutil.copytree(demo_home.root, tmp_path / "home")
    return flow.find_home(tmp_path / "home")
