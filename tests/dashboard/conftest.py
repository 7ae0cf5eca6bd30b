"""One small real home for all page tests, boards like its own, and a way to open a page as somebody."""

import itertools
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from streamlit.components.v2 import manifest_scanner
from streamlit.testing.v1 import AppTest

from dashboard.access import current
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from pipelines import flow
from tests.dashboard.small_board import put_board, rows_of
from tests.kept_demo import copy_empty

APP = Path(__file__).resolve().parents[2] / "dashboard" / "app.py"
HEAD = Viewer("Head coach", "head_coach", may_read_injuries=True, is_fresh=True)
STAFF = Viewer("Staff coach", "staff", event_groups=("short_sprints", "hurdles"))
STAFF_WITH_GRANT = Viewer("Physio", "staff", event_groups=("horizontal_jumps",), may_read_injuries=True)
ATHLETE = Viewer("Teo", "athlete", athlete_id="teo-brandmere")
GUARDIAN = Viewer("Parent", "guardian", athlete_id="luca-pemberwick")  # who is under 18
_hashes: dict[str, str] = {}  # of the pages opened so far: the same for everybody who has them
OPENERS = {"head_coach": HEAD, "staff": STAFF, "athlete": ATHLETE, "guardian": GUARDIAN}


@pytest.fixture(scope="session", autouse=True)
def _packages_are_looked_through_once() -> Iterator[None]:
    """Let the framework look for components of other packages once: it reads what all say of themselves, each opening.

    A server does so when it starts, and opens pages afterwards; a third of the processor of these tests was this.
    """
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(manifest_scanner, "scan_component_manifests", cache(manifest_scanner.scan_component_manifests))
        yield


@pytest.fixture(scope="session")
def home(few_home: flow.Home, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The home of the few, to read; what pages write beside it (who read injury detail) stays this room's."""
    folder = tmp_path_factory.mktemp("pages") / "home"
    shutil.copytree(few_home.root, folder)
    return folder


@pytest.fixture(scope="session")
def empty_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_empty(tmp_path_factory.mktemp("empty") / "home").root


@pytest.fixture(scope="session")
def home_of_one(tmp_path_factory: pytest.TempPathFactory) -> flow.Home:
    """A home of one athlete with a board, to copy."""
    home = flow.Home(tmp_path_factory.mktemp("one") / "home")
    flow.enter(home, "athlete", [{"athlete_id": "ann", "display_name": "Ann Ash", "event_group": "hurdles"}], "coach")
    return home


@pytest.fixture
def own_home_of_one(home_of_one: flow.Home, tmp_path: Path) -> flow.Home:
    """A copy of it, to change."""
    shutil.copytree(home_of_one.root, tmp_path / "home")
    return flow.Home(tmp_path / "home")


@pytest.fixture
def board(home: Path) -> Board:
    return Board(home)


@pytest.fixture
def board_like(home: Path, tmp_path: Path) -> Callable[..., Path]:
    """Return a function that makes a home with the board of the few but for the tables given, whole or as rows."""
    made = itertools.count(1)

    def make(**tables: pl.DataFrame | list[dict[str, Any]]) -> Path:
        frames = {
            name: given if isinstance(given, pl.DataFrame) else rows_of(home, name, given)
            for name, given in tables.items()
        }
        return put_board(tmp_path / f"like-{next(made)}", home, frames)

    return make


@pytest.fixture
def open_as(home: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., AppTest]:
    """Open the dashboard as a viewer, at a page of a room (``week``) or at one of its others (``athlete/today``).

    The gate's signature check is stood in for, as it has tests of its own.
    """

    def opened(viewer: Viewer | None, page: str | None = None, at_home: Path | None = None, **query: str) -> AppTest:
        monkeypatch.setattr(current, "viewer_from_header", lambda value: viewer)
        monkeypatch.setenv("THIRDSTEP_HOME", str(at_home or home))
        at = AppTest.from_file(str(APP), default_timeout=30)
        at.user["local_user"] = "invented"
        if page is None:
            at.query_params.update(query)
            return at.run()
        file = f"screens/{page}.py" if "/" in page else f"screens/{page}/page.py"
        if page not in _hashes:
            at.run()
            at.switch_page(file)
            _hashes[page] = at._page_hash
        at._page_hash = _hashes[page]  # as by its address: the first page need not be drawn before
        at.query_params.update(query)
        at.run()
        at.switch_page(file)  # raises where the page is not among this viewer's
        return at

    return opened


def html_of(at: AppTest) -> str:
    """Return all HTML of ours on a page: plain parts and sheets."""
    plain = [element.proto.body for element in at.get("html")]
    sheets = [element.proto.json for element in at.get("bidi_component")]
    return "\n".join([*plain, *sheets])
