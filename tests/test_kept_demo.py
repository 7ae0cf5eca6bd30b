"""The kept demo is the demo of this code, of today, on this machine; and never somebody else's folder."""

import datetime as dt
import os
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
