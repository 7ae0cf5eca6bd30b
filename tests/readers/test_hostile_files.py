"""Files made to flood who reads them: refused in a sentence, quickly, in little memory, or read for what they hold."""

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from pipelines.intake import apart
from pipelines.intake.passage import read_given
from schemas.intake import LayoutOptions
from tests.readers.hostile_files import HARMLESS, REFUSED

ROOT = Path(__file__).parents[2]
LONGEST_S = 2.0  # s of work for one file


@pytest.fixture(scope="module")
def told() -> dict[str, tuple[float, str]]:
    """What each file cost and what was said of it, in a process that holds 500 MB more than before at most."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.readers.hostile_files"], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return {name: (cost_s, said) for name, cost_s, said in map(json.loads, done.stdout.splitlines())}


@pytest.mark.parametrize("name", REFUSED)
def test_a_flood_is_refused_in_a_sentence_quickly_and_in_little_memory(told: dict[str, tuple[float, str]], name: str):
    cost_s, said = told[name]
    assert said.startswith(f"UnreadableSource: {name}: "), said
    assert said.endswith("."), said
    assert cost_s < LONGEST_S


@pytest.mark.parametrize("name", HARMLESS)
def test_what_only_says_that_it_is_huge_is_read(told: dict[str, tuple[float, str]], name: str):
    cost_s, said = told[name]
    assert said.startswith("read "), said
    assert cost_s < LONGEST_S


CHECKINS = b"athlete_id,checked_on,sleep_h,note\nada-reed,2025-11-03,7.5,ok\n"


@pytest.fixture
def _ended():
    yield
    apart.end()


@pytest.mark.usefixtures("_ended")
def test_what_is_read_apart_is_what_would_be_read_here():
    options = LayoutOptions(athletes={"Ada": "ada-reed"}, writer={"name": "a", "event_groups": ["hurdles"]})
    for name, content in (("a.csv", CHECKINS), ("b.csv", b"nothing"), ("c.ods", b"PK\x03\x04")):
        assert repr(apart.read_apart(name, content, options)) == repr(read_given(name, content, options))


@pytest.mark.usefixtures("_ended")
def test_a_reading_that_hangs_is_stopped_and_the_next_one_works(monkeypatch: pytest.MonkeyPatch):
    assert apart.read_apart("a.csv", CHECKINS, LayoutOptions()).tables == ["checkin"]
    monkeypatch.setattr(apart, "READ_S", 0.3)
    began = time.monotonic()
    wide = (",".join(f"header {n}" for n in range(900)) + "\n").encode() * 400
    said = apart.read_apart("wide.csv", wide, LayoutOptions()).problem
    assert "was stopped" in said
    assert time.monotonic() - began < 30
    monkeypatch.setattr(apart, "READ_S", 60.0)
    assert apart.read_apart("a.csv", CHECKINS, LayoutOptions()).tables == ["checkin"]


@pytest.mark.usefixtures("_ended")
def test_a_reading_that_ends_badly_is_said_and_the_next_one_works():
    apart.read_apart("a.csv", CHECKINS, LayoutOptions())
    apart._child[0].kill()
    first = apart.read_apart("a.csv", CHECKINS, LayoutOptions())
    again = apart.read_apart("a.csv", CHECKINS, LayoutOptions())
    assert "reading stopped" in first.problem or first.tables == ["checkin"]
    assert again.tables == ["checkin"]


def test_a_reading_holds_no_more_memory_than_it_may():
    code = "from pipelines.intake.apart import limit_memory as l; l(); bytearray(2_000_000_000)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT)
    assert "MemoryError" in done.stderr


def test_only_tables_come_back_and_nothing_that_runs():
    class Odd:
        pass

    with pytest.raises(TypeError):
        apart.pack({"a": Odd()})
    with pytest.raises(KeyError):
        apart.unpack(b'{"kind": "Popen", "held": {}}', [])
