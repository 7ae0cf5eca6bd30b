"""What several rooms' tests share: the demo, built once."""

import gc
import importlib
import os
import shutil
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tests.compiled import keep_compiled, spare_waiting

keep_compiled()
spare_waiting()

from pipelines import flow  # noqa: E402 - from here on compiled modules are kept
from pipelines.record import warehouse  # noqa: E402
from tests.examples import register_profiles  # noqa: E402
from tests.kept_demo import copy_demo, copy_few  # noqa: E402

register_profiles()
ROOT = Path(__file__).parents[1]
BETWEEN_LOOKS = 50_000  # objects more, until garbage is looked for: at 700 half the time of reading code as trees
# Files of which one server and one browser draw the pages, all of them in one process: twice, as each waits for its
# browser most of the time.
OF_ONE_SERVER = (
    ("tests/browser/test_pages.py", "tests/browser/test_openid.py"),
    ("tests/browser/test_hostile.py", "tests/browser/test_open_tabs.py", "tests/browser/test_review.py",
     "tests/browser/film/test_desk.py"),
)  # fmt: skip
# Those begin, as they take longest and wait for the demo's build, beside long files that need none; so that at the end
# no core waits for another's long file.
FIRST = (
    *(one.removeprefix("tests/") for files in OF_ONE_SERVER for one in files), "recipes/", "flow/test_crash",
    "flow/test_every", "flow/", "browser/", "demo/", "dashboard/", "readers/film/", "strangers/", "derived/start/",
)  # fmt: skip


def pytest_configure(config: pytest.Config) -> None:
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False  # by default the files with the most tests would begin


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """Two processes more than there are cores: those that open pages wait for the browser and the server."""
    return (os.cpu_count() or 1) + len(OF_ONE_SERVER)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> object:
    """Give a file to a process, and files that share a server and a browser to the same."""
    if config.getvalue("dist") != "loadfile":
        return None
    from xdist.scheduler import LoadFileScheduling

    class Rooms(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            file = super()._split_scope(nodeid)
            return next((files[0] for files in OF_ONE_SERVER if file in files), file)

    return Rooms(config, log)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection(session: pytest.Session) -> Iterator[None]:
    """Collect with the collector of garbage at rest: there is none yet, and what is imported is looked at no more.

    The processes of a run import all the same modules. Each begins elsewhere, so that what has to be compiled (all of
    it, in a new clone) is compiled by one of them and found by the others.
    """
    gc.disable()
    told = getattr(session.config, "workerinput", None)
    if told is not None:
        files = [one for given in session.config.args for one in modules_in(Path(given.split("::")[0]))]
        begin = len(files) * int(told["workerid"].removeprefix("gw")) // told["workercount"]
        for path in files[begin:] + files[:begin]:
            with suppress(Exception, pytest.skip.Exception):  # the collection proper comes to it, and tells
                importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))
    yield
    gc.freeze()
    gc.set_threshold(BETWEEN_LOOKS)
    gc.enable()


def modules_in(given: Path) -> list[Path]:
    """Return the modules of tests that a file or a folder of a command names."""
    path = (ROOT / given).resolve()
    return sorted(path.rglob("test_*.py")) if path.is_dir() else [path]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: place_of(item.path))


@cache
def place_of(path: Path) -> int:
    """Return the place in the order of files; the order within a file stays."""
    named = path.relative_to(Path(__file__).parent).as_posix()
    return next((place for place, room in enumerate(FIRST) if named.startswith(room)), len(FIRST))


@pytest.fixture(scope="session", autouse=True)
def _records_are_made_once() -> Iterator[None]:
    """Let a new home's empty record be a copy of the first one made in this process: its sixty tables take 0.07 s.

    How it is made proper, and what is left when that is stopped, is tried in processes of their own (flow/crashing.py).
    """
    really = warehouse.make
    made: list[bytes] = []

    def make(path: Path) -> None:
        if made and not list(path.parent.glob(f"{path.name}.*")):
            path.write_bytes(made[0])
            return
        really(path)
        made[:] = [path.read_bytes()]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(warehouse, "make", make)
        yield


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory: pytest.TempPathFactory) -> flow.Home:
    """The demo squad's home, to read only: a copy of this process's own, of one that is kept between runs."""
    return copy_demo(tmp_path_factory.mktemp("demo") / "home")


@pytest.fixture(scope="session")
def few_home(tmp_path_factory: pytest.TempPathFactory) -> flow.Home:
    """A real home of a few of the demo's athletes, to read only, where the whole squad would prove no more."""
    return copy_few(tmp_path_factory.mktemp("few") / "home")


@pytest.fixture
def own_demo_home(demo_home: flow.Home, tmp_path: Path) -> flow.Home:
    """A copy of the demo squad's home, to change."""
    shutil.copytree(demo_home.root, tmp_path / "home")
    return flow.find_home(tmp_path / "home")


@pytest.fixture
def own_few_home(few_home: flow.Home, tmp_path: Path) -> flow.Home:
    """A copy of the home of the few, to change."""
    shutil.copytree(few_home.root, tmp_path / "home")
    return flow.find_home(tmp_path / "home")
