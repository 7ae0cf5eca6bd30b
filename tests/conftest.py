"""What several rooms' tests share: the demo, built once."""

import shutil
from pathlib import Path

import pytest

from pipelines import flow
from tests.examples import register_profiles
from tests.kept_demo import copy_demo

register_profiles()


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> flow.Home:
    """The demo squad's home, to read only: a copy of this process's own, of one that is kept between runs."""
    return copy_demo(tmp_path_factory.mktemp("demo") / "home")


@pytest.fixture
def own_demo_home(demo_home: flow.Home, tmp_path: Path) -> flow.Home:
    """A copy of the demo squad's home, to change."""
    shutil.copytree(demo_home.root, tmp_path / "home")
    return flow.find_home(tmp_path / "home")
