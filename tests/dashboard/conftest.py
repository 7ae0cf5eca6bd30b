"""One invented home for all page tests, and a way to open a page as somebody."""

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from dashboard.access import current
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from tests.dashboard.make_board import board_tables, empty_tables, write_board

APP = Path(__file__).resolve().parents[2] / "dashboard" / "app.py"
HEAD = Viewer("Head coach", "head_coach", may_read_injuries=True, is_fresh=True)
STAFF = Viewer("Staff coach", "staff", event_groups=("short_sprints", "hurdles"))
STAFF_WITH_GRANT = Viewer("Physio", "staff", event_groups=("horizontal_jumps",), may_read_injuries=True)
ATHLETE = Viewer("Teo", "athlete", athlete_id="teo-brandmere")
GUARDIAN = Viewer("Parent", "guardian", athlete_id="teo-brandmere")
OPENERS = {"head_coach": HEAD, "staff": STAFF, "athlete": ATHLETE, "guardian": GUARDIAN}


@pytest.fixture(scope="session")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("home")
    write_board(folder, board_tables())
    return folder


@pytest.fixture(scope="session")
def empty_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("empty")
    write_board(folder, empty_tables())
    return folder


@pytest.fixture
def board(home: Path) -> Board:
    return Board(home)


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
        at.run()
        at.switch_page(f"screens/{page}.py" if "/" in page else f"screens/{page}/page.py")
        at.query_params.update(query)
        return at.run()

    return opened


def html_of(at: AppTest) -> str:
    """Return all HTML of ours on a page: plain parts and sheets."""
    plain = [element.proto.body for element in at.get("html")]
    sheets = [element.proto.json for element in at.get("bidi_component")]
    return "\n".join([*plain, *sheets])
