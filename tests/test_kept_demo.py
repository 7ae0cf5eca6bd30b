"""The kept demo is the demo of this code, of today, on this machine; and never somebody else's folder."""

import datetime as dt
import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests import kept_demo
from tests.compiled import COMPILED

DAY = dt.date(2026, 11, 30)


@pytest.fixture
def project(tmp_path: Path) -> Path:
    for room in kept_demo.DECIDES:
        (tmp_path / room / "inner").mkdir(parents=True)
        (tmp_path / room / "inner" / "rule.py").write_text("SHARE = 0.1\n")
    return tmp_path


@pytest.mark.parametrize("room", kept_demo.DECIDES)
def test_a_changed_line_asks_for_another_demo(project, room):
    before = kept_demo.key_of(project, DAY)
    assert kept_demo.key_of(project, DAY) == before
    (project / room / "inner" / "rule.py").write_text("SHARE = 0.2\n")
    assert kept_demo.key_of(project, DAY) != before


def test_a_renamed_file_another_day_and_other_threads_ask_for_another_demo(project, monkeypatch):
    keys = [kept_demo.key_of(project, DAY), kept_demo.key_of(project, DAY + dt.timedelta(days=1))]
    monkeypatch.setenv("POLARS_MAX_THREADS", "7")
    keys.append(kept_demo.key_of(project, DAY))
    (project / "schemas" / "inner" / "rule.py").rename(project / "schemas" / "inner" / "rules.py")
    keys.append(kept_demo.key_of(project, DAY))
    assert len(set(keys)) == 4


def test_what_the_interpreter_leaves_beside_the_code_asks_for_none(project):
    before = kept_demo.key_of(project, DAY)
    (project / "pipelines" / "inner" / "rule.pyc").write_bytes(b"1")
    assert kept_demo.key_of(project, DAY) == before


def test_the_demos_longest_out_of_use_go_and_one_in_use_stays(tmp_path, monkeypatch):
    monkeypatch.setattr(kept_demo, "MOST_KEPT", 2)
    for age, name in enumerate(("new", "late", "recent", "old", "older", COMPILED)):
        (tmp_path / name).mkdir()
        at = (tmp_path / name).stat().st_mtime - age * 1700
        os.utime(tmp_path / name, (at, at))
    with kept_demo.FileLock(tmp_path / "old.lock"):
        kept_demo.clear(tmp_path)
    assert {one.name for one in tmp_path.iterdir() if one.is_dir()} == {"new", "late", "recent", "old", COMPILED}


@pytest.fixture
def built(project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., tuple[str, list[str]]]:
    """Return a function that has a demo built of a small project: what was handed over, and what was kept."""
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    monkeypatch.setattr(kept_demo, "shelf", lambda: shelf)
    monkeypatch.setattr(kept_demo, "PROJECT", project)

    def build(meanwhile: Callable[[], object], *, begun_at: float) -> tuple[str, list[str]]:
        def make(home: kept_demo.flow.Home) -> None:
            home.root.mkdir()
            (home.root / "row.txt").write_text("a row", encoding="utf-8")
            meanwhile()

        monkeypatch.setattr(kept_demo, "BEGUN_AT", begun_at)
        home = kept_demo._copy("", make, tmp_path / "copy")
        return (home.root / "row.txt").read_text(encoding="utf-8"), [
            one.name for one in shelf.iterdir() if one.is_dir()
        ]

    return build


def test_a_demo_of_code_that_stood_still_is_kept(project, built):
    later = time.time() + 1.0
    assert built(lambda: None, begun_at=later) == ("a row", [kept_demo.key_of(project, dt.date.today())])


@pytest.mark.parametrize("what", ["changed", "came from elsewhere", "went"])
def test_a_demo_during_whose_build_code_changed_serves_once_and_is_not_kept(project, built, what):
    rule = project / "schemas" / "inner" / "rule.py"
    steps = {
        "changed": lambda: rule.write_text("SHARE = 0.2\n", encoding="utf-8"),
        "came from elsewhere": lambda: os.utime(rule.rename(rule.with_name("rules.py")), (1.0, 1.0)),
        "went": rule.unlink,
    }
    with pytest.warns(UserWarning, match="not kept"):
        assert built(steps[what], begun_at=time.time() + 1.0) == ("a row", [])


def test_a_demo_of_code_that_changed_since_the_process_began_is_not_kept(project, built):
    # its modules may be those from before, whatever the files say when the build begins
    old = project / "pipelines" / "inner" / "rule.py"
    os.utime(old, (1.0, 1.0))  # written long ago, and put there a moment ago
    with pytest.warns(UserWarning, match=r"pipelines/inner/rule\.py"):
        assert built(lambda: None, begun_at=time.time() - 60.0) == ("a row", [])
