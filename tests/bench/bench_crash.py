"""Every stage of load, undo, publish, erase, rebuild and restore: killed there, or without power; at least 200 runs.

``python -m pytest tests/bench/bench_crash.py -s``. Where strace is installed, children are also killed inside the
database's own calls to the disk, which Python does not see.
"""

import shutil
import time
from collections.abc import Iterator

import pytest

from pipelines.board import building
from tests.flow import conftest
from tests.flow.crashed import TASKS, Killed
from tests.flow.crashing import Mother

pytestmark = pytest.mark.bench

LEAST_RUNS = 200
MOST_STAGES = 22  # of one task and kind: spread over all of them where there are more
CALLS = ("pwrite64", "fsync", "ftruncate", "unlink")  # of the database to the disk
NUMBERS = (1, 2, 4, 8, 16)  # which of a thread's calls does not return


@pytest.fixture
def killed(tmp_path, monkeypatch) -> Iterator[Killed]:
    monkeypatch.setattr(
        building, "derivations", lambda: {"load_week": conftest.load_week, "load_day": conftest.load_day}
    )
    monkeypatch.setattr(
        building, "derived_models", lambda: {"load_week": conftest.LoadWeek, "load_day": conftest.LoadDay}
    )
    mother = Mother()
    yield Killed(tmp_path, mother)
    mother.close()


def test_two_hundred_kills_and_power_losses_lose_nothing_acknowledged(killed: Killed):
    start, died = time.perf_counter(), 0
    for task in TASKS:
        count = killed.learn(task)
        for lose in (False, True):
            stages = sorted({1 + place * (count - 1) // MOST_STAGES for place in range(MOST_STAGES + 1)})
            for die_at in stages:
                ended = killed.run(task, die_at, lose=lose)
                died += ended is None
                killed.check(task, acknowledged=ended is not None)
            print(f"{task:>8} {'power lost' if lose else 'killed':>10}: {len(stages)} of {count} stages", flush=True)
    print(f"{killed.runs} runs, {died} died, {time.perf_counter() - start:.0f} s")
    assert died >= LEAST_RUNS


def test_a_kill_inside_the_database_s_own_writes_loses_nothing_acknowledged(killed: Killed):
    strace = shutil.which("strace")
    if strace is None:
        print("no strace here: nothing was killed inside the database's own calls")
        return
    died = 0
    for task in ("load", "undo", "erase"):
        killed.learn(task)
    for call in CALLS:
        for number in NUMBERS:
            inject = f"inject={call}:signal=SIGKILL:when={number}"
            mother = Mother(strace, "-f", "-qq", "-o", "/dev/null", "-e", f"trace={call}", "-e", inject)
            for task in ("load", "undo", "erase"):
                if mother.process.poll() is not None:
                    break  # it was the mother that made the call
                file, home = killed.file, killed.fresh(task)
                ended = mother.run(task, home.root, file, 0, lose=False)
                died += ended is None
                killed.check(task, acknowledged=ended is not None)
            mother.close()
    print(f"{died} died inside the database's own calls")
    assert died >= 20
