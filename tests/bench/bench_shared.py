"""The whole derivation of a large squad as it is run: shared by processes, its record read table by table.

``python -m tests.bench.bench_shared [ATHLETES YEARS [PROCESSES]]`` prints seconds, processor and memory of all
processes together; ``pytest -s`` on this file holds twice the athletes against once.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import polars as pl
import pytest

from schemas.records import RECORDS
from tests.bench.big_squad import demo_record, grow

pytestmark = pytest.mark.bench

MOST_GROWTH = 1.35  # of the processor seconds of an athlete, from 100 athletes to 200; own choice
DERIVE = """
import os, resource, sys, tempfile, threading, time
from collections.abc import Mapping
from pathlib import Path
import polars as pl
from pipelines.board import sharing
from pipelines.board.derivation import NOTHING_EARLIER
from pipelines.derived.registry import OF_THE_SQUAD, derivations
from pipelines.home.settings import read_settings
from pipelines.record import opening
from schemas.derived.registry import derived_models

folder, count = Path(sys.argv[1]), int(sys.argv[2])
settings = read_settings(folder / "settings.toml")

class Files(Mapping):
    paths = {path.stem: path for path in (folder / "record").iterdir()}
    def __getitem__(self, name): return pl.read_parquet(self.paths[name])
    def __iter__(self): return iter(self.paths)
    def __len__(self): return len(self.paths)

def own_memory(pid):
    try:
        told = dict(line.split(":", 1) for line in Path(f"/proc/{pid}/status").read_text().splitlines())
        return int(told["RssAnon"].split()[0]) / 1024
    except (OSError, KeyError, ValueError):
        return 0.0

def with_mapped(pid):  # each page of a file once, however many map it; asking takes long
    try:
        told = dict(line.split(":", 1) for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()[1:])
        return int(told["Pss"].split()[0]) / 1024
    except (OSError, KeyError, ValueError):
        return 0.0

def family():
    own = os.getpid()
    yield own
    for task in Path(f"/proc/{own}/task").iterdir():
        try:
            yield from map(int, (task / "children").read_text().split())
        except OSError:
            continue

peak, rows = [0.0, 0.0], [0]
def watch():
    for turn in range(10**9):
        pids = [*family()]
        peak[0] = max(peak[0], sum(map(own_memory, pids)))
        if turn % 20 == 0:
            peak[1] = max(peak[1], sum(map(with_mapped, pids)))
        time.sleep(0.25)
threading.Thread(target=watch, daemon=True).start()
def put(name, frame): rows[0] += frame.height
at = [time.perf_counter(), ""]
def tell(done, of, name):
    if len(sys.argv) > 3:
        now = time.perf_counter(); print(f"  {at[1]:24s}{now - at[0]:8.1f} s", file=sys.stderr); at[:] = [now, name]

files = Files()
lazy = {name: pl.scan_parquet(path) for name, path in files.paths.items()}
named = {name: frame for name, frame in lazy.items() if "athlete_id" in frame.collect_schema()}
athletes = lazy["athlete"].select("athlete_id").collect()["athlete_id"].to_list()
held_rows = sum(frame.select(pl.len()).collect().item() for frame in named.values())
start, own = time.perf_counter(), time.process_time()
with tempfile.TemporaryDirectory(dir=folder) as spool:
    sharing.derive_shared(
        files, sharing.shares_of(athletes, held_rows, count), settings, opening.looking_from(settings),
        functions=derivations(), models=derived_models(), of_the_squad=OF_THE_SQUAD, folder=Path(spool), put=put,
        earlier=NOTHING_EARLIER, count=count, tell=tell,
    )
wall, own = time.perf_counter() - start, time.process_time() - own
others = resource.getrusage(resource.RUSAGE_CHILDREN)
print(wall, own + others.ru_utime + others.ru_stime, rows[0], peak[0], peak[1])
"""


def make_record(folder: Path, athletes: int, years: int) -> None:
    """Write a grown record into a folder, a file a table, with the demo's settings."""
    small, _, _ = demo_record(folder / "demo")
    (folder / "settings.toml").write_bytes((folder / "demo" / "settings.toml").read_bytes())
    (folder / "record").mkdir()
    for name, frame in grow(small, athletes, years).items():
        frame.write_parquet(folder / "record" / f"{name}.parquet")
    for name in RECORDS.keys() - {path.stem for path in (folder / "record").iterdir()}:
        pl.DataFrame(schema=RECORDS[name].to_schema().types).write_parquet(folder / "record" / f"{name}.parquet")


def measure(folder: Path, count: int = 2, *, show: bool = False) -> tuple[float, float, int, float, float]:
    """Return wall and processor seconds, rows, and MB held by all processes: of their own, and with files mapped."""
    command = [sys.executable, "-c", DERIVE, str(folder), str(count), *(["show"] if show else [])]
    said = subprocess.run(
        command, stdout=subprocess.PIPE, text=True, check=True, cwd=Path(__file__).parents[2],
        env={"OPENBLAS_NUM_THREADS": "1", **os.environ},  # as the commands set it
    )  # fmt: skip
    wall, cpu, rows, own, mapped = said.stdout.split()
    return float(wall), float(cpu), int(rows), float(own), float(mapped)


def told(found: tuple[float, float, int, float, float]) -> str:
    """Return the figures in words, with how busy the machine is."""
    wall, cpu, rows, own, mapped = found
    return (
        f"{rows:,} derived rows: {wall:.1f} s, {cpu:.1f} s of processor, {own / 1024:.2f} GiB held by all processes "
        f"({mapped / 1024:.2f} with files mapped); {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}"
    )


def test_twice_the_athletes_cost_twice(tmp_path: Path):
    an_athlete = {}
    for athletes in (100, 200):
        folder = tmp_path / str(athletes)
        folder.mkdir()
        make_record(folder, athletes, 1)
        found = measure(folder)
        print(f"{athletes} x 1: {told(found)}")
        an_athlete[athletes] = found[1] / athletes
    assert an_athlete[200] < MOST_GROWTH * an_athlete[100]


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        people, over, by = (*(int(word) for word in sys.argv[1:]), *(1000, 3, 2)[len(sys.argv) - 1 :])
        make_record(Path(place), people, over)
        print(f"{people} x {over}, {by} processes: {told(measure(Path(place), by, show=True))}")
