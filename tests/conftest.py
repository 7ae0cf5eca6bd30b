"""What several rooms' tests share: the demo, built once a run."""

import shutil
from pathlib import Path

import pytest

from pipelines import flow


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> flow.Home:
    """The demo squad's home, to read only."""
    home = flow.find_home(tmp_path_factory.mktemp("demo"))
    flow.build_demo(home)
    return home


@pytest.fixture
def own_demo_home(demo_home: flow.Home, tmp_path: Path) -> flow.Home:
    """A copy of the demo squad's home, to change."""
    shutil.copytree(demo_home.root, tmp_path / "home")
    return flow.find_home(tmp_path / "home")
