"""One new row from the hand to the page: typed, stored, derived for its athlete, published, read from the board.

And behind it the squad's tables.

Each measurement is a process of its own, as the dashboard is: imported and warm, its board open, the row then typed.
``python -m tests.bench.bench_write [ATHLETES YEARS]`` prints the figures; ``pytest -s`` on this file holds them against
each other. 0 years is the demo as it is.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from pipelines import flow
from pipelines.board import building
from tests.bench.big_squad import build_home, demo_record, grow
from tests.compiled import spare_waiting

pytestmark = pytest.mark.bench

ROWS = 5  # of each kind, the first of which warms up and does not count
MOST_SHARE = 0.5  # of a whole derivation in the same process, for one row to stand on the page; own choice
HAND_TO_PAGE = """
import os, sys, time
from pathlib import Path
from statistics import median
home_folder = Path(sys.argv[1]); os.environ["THIRDSTEP_HOME"] = str(home_folder)
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from pipelines import flow
home, coach = flow.Home(home_folder), Viewer("Coach", "head_coach")
who = flow.table(home, "athlete")["athlete_id"][2]
day = flow.settings(home).as_of
Board(home.root).read(coach, "week_sheet", {"athlete_id": who})

def checkin(number):
    rows = [{"athlete_id": who, "checked_on": day, "sleep_h": 5.0 + number / 10, "mood": 3}]
    flow.enter(home, "checkin", rows, "bench", derive_after=False, follow_next=True)
    flow.follow(home)
    found = Board(home.root).read(coach, "checkin", {"athlete_id": who, "checked_on": day})
    assert found["sleep_h"].to_list() == [5.0 + number / 10]
    Board(home.root).read(coach, "readiness_day", {"athlete_id": who})

def run(number):
    key = {"athlete_id": who, "session_date": day, "session_no": 1, "rep_no": 50 + number}
    kind = {"distance_m": 30.0, "start_kind": "blocks", "timing_kind": "electronic", "clock_start": "gun"}
    times = {"5 m": 1.41, "10 m": 2.12, "20 m": 3.23, "30 m": 4.27}
    flow.enter(home, "rep", [{**key, **kind, **times}], "bench", derive_after=False, follow_next=True)
    flow.follow(home)
    found = Board(home.root).read(coach, "sprint_profile", key)
    assert found.height == 1

def timed(act, number):
    wall, cpu = time.perf_counter(), time.process_time()
    act(number)
    return time.perf_counter() - wall, time.process_time() - cpu

for name, act in (("check-in", checkin), ("run", run)):
    told, behind = [], []
    for number in range(int(sys.argv[2])):
        told.append(timed(act, number))
        behind.append(timed(lambda _: flow.follow_squad(home), 0))
        assert not Board(home.root).older
    for called, found in ((name, told[1:]), (f"the squad behind a {name}", behind[1:])):
        print(called, median(wall for wall, _ in found), median(cpu for _, cpu in found), sep=";")
wall, cpu = timed(lambda _: flow.derive_board(home), 0)
print("whole", wall, cpu, sep=";")
"""


def measure(folder: Path, athletes: int = 24, years: int = 0) -> dict[str, tuple[float, float]]:
    """Return wall and processor seconds of a check-in, of a run, and of the derivation that follows for the squad."""
    record, settings, as_of = demo_record(folder / "demo")
    assert as_of == settings.as_of
    home = flow.find_home(folder / "demo")
    if years:
        home = build_home(folder, grow(record, athletes, years), home.settings)
    if building.is_stale(home):
        flow.derive_board(home)
    command = [sys.executable, "-c", HAND_TO_PAGE, str(home.root), str(ROWS)]
    said = subprocess.run(command, capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2])
    lines = (line.split(";") for line in said.stdout.splitlines())
    return {name: (float(wall), float(cpu)) for name, wall, cpu in lines}


def told(found: dict[str, tuple[float, float]]) -> str:
    """Return the figures in words, with how busy the machine is."""
    parts = [f"{name} {wall:.2f} s ({cpu:.2f} s of processor)" for name, (wall, cpu) in found.items()]
    return f"{'; '.join(parts)}; {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}"


def test_a_row_stands_on_the_page_in_half_the_time_of_a_whole_derivation(tmp_path: Path):
    found = measure(tmp_path)
    print(told(found))
    assert found["check-in"][1] < MOST_SHARE * found["whole"][1]
    assert found["run"][1] < found["whole"][1]
    assert found["the squad behind a check-in"][1] < MOST_SHARE * found["whole"][1]


if __name__ == "__main__":
    spare_waiting()  # as commands do
    with tempfile.TemporaryDirectory() as place:
        print(told(measure(Path(place), *(int(word) for word in sys.argv[1:]))))
