"""The whole derivation of a thousand athletes over three years, and that of one athlete's new run, in one run.

``python -m tests.bench.bench_derive [ATHLETES YEARS]`` prints them; ``pytest tests/bench/bench_derive.py`` checks them.
"""

import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import polars as pl
import pytest

from pipelines.board.derivation import Derived, Earlier, derive_all
from pipelines.derived.registry import BY_ATHLETE, derivations
from schemas.derived.registry import derived_models
from tests.bench.big_squad import ATHLETES, YEARS, demo_record, grow

pytestmark = pytest.mark.bench

MOST_SHARE = 0.02  # of the whole derivation, for one athlete's new run; the project's own bound
REP = ["athlete_id", "session_date", "session_no", "rep_no"]


@dataclass(frozen=True)
class Outcome:
    """Seconds, rows and memory."""

    runs: int
    rows: int
    whole_s: float
    again_s: float
    new_run_s: float
    peak_bytes: int
    same: bool


def measure(athletes: int = ATHLETES, years: int = YEARS, *, show: bool = False) -> Outcome:
    """Derive all, derive again with nothing new, then with one athlete's new run."""
    with tempfile.TemporaryDirectory() as folder:
        small, settings, as_of = demo_record(Path(folder))
    record = grow(small, athletes, years)
    functions, models = derivations(), derived_models()
    clock = {"at": time.perf_counter(), "name": ""}

    def tell(done: int, count: int, name: str) -> None:
        now = time.perf_counter()
        if show and clock["name"]:
            print(f"  {clock['name']:24s}{now - clock['at']:8.2f} s")
        clock.update(at=now, name=name)

    def derive(tables: dict[str, pl.DataFrame], earlier: Earlier | None = None) -> tuple[Derived, float]:
        start = time.perf_counter()
        more = {} if earlier is None else {"earlier": earlier}
        done = derive_all(
            tables, settings, as_of, functions=functions, models=models, by_athlete=BY_ATHLETE, tell=tell, **more
        )
        return done, time.perf_counter() - start

    whole, whole_s = derive(record)
    last = Earlier.of(whole)
    _, again_s = derive(record, last)
    after, new_run_s = derive(with_new_run(record), last)
    rows = sum(frame.height for frame in whole.frames.values())
    return Outcome(
        record["rep"].height, rows, whole_s, again_s, new_run_s,
        resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024,
        after.recomputed["sprint_profile"] == 1,
    )  # fmt: skip


def with_new_run(record: dict[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
    """Return the record with one more run of the last electronically timed day."""
    rep, split = record["rep"], record["split"]
    last = rep.filter(timing_kind="electronic").sort("session_date").tail(1)
    number = pl.lit(99, dtype=pl.Int64)
    times = split.join(last.select(REP), on=REP, how="semi")
    return {
        **record,
        "rep": pl.concat([rep, last.with_columns(rep_no=number)]).sort(REP),
        "split": pl.concat([split, times.with_columns(rep_no=number)]).sort([*REP, "distance_m"]),
    }


def told(outcome: Outcome) -> str:
    """Return the figures in words."""
    share = outcome.new_run_s / outcome.whole_s
    return (
        f"{outcome.runs:,} runs, {outcome.rows:,} derived rows\n"
        f"whole derivation {outcome.whole_s:.1f} s, again with nothing new {outcome.again_s:.1f} s, "
        f"one athlete's new run {outcome.new_run_s:.2f} s: {share:.2%} of the whole\n"
        f"peak memory {outcome.peak_bytes / 2**30:.1f} GiB"
    )


YEARS_SHOWN = (1, 3, 10)
SOME = 40  # athletes, so that ten years of them fit a small machine
MOST_GROWTH = 1.25  # of the seconds a year, from one year to ten; own choice
GROWTH = """
import resource, sys, time
from pathlib import Path
from pipelines.board.derivation import derive_all
from pipelines.derived.registry import BY_ATHLETE, derivations
from schemas.derived.registry import derived_models
from tests.bench.big_squad import demo_record, grow
small, settings, as_of = demo_record(Path(sys.argv[1]))
record = grow(small, int(sys.argv[2]), int(sys.argv[3]))
start = time.process_time()
derive_all(record, settings, as_of, functions=derivations(), models=derived_models(), by_athlete=BY_ATHLETE)
print(time.process_time() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)
"""


def measure_growth(demo: Path, athletes: int = SOME) -> dict[int, tuple[float, int]]:
    """Return processor seconds and peak memory of a whole derivation by years, each in a process of its own."""
    found = {}
    for years in YEARS_SHOWN:
        command = [sys.executable, "-c", GROWTH, str(demo), str(athletes), str(years)]
        said = subprocess.run(command, capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2])
        seconds, peak = said.stdout.split()
        found[years] = (float(seconds), int(peak))
    return found


def test_ten_years_cost_ten_times_one(tmp_path: Path):
    demo_record(tmp_path)
    found = measure_growth(tmp_path)
    for years, (seconds, peak) in found.items():
        print(f"{SOME} athletes x {years}: {seconds:.1f} s of processor, {peak / 2**30:.2f} GiB")
    a_year = {years: seconds / years for years, (seconds, _) in found.items()}
    assert a_year[10] < MOST_GROWTH * a_year[1]


def test_one_new_run_costs_a_fiftieth_of_the_whole():
    outcome = measure()
    print(told(outcome))
    assert outcome.same
    assert outcome.new_run_s < MOST_SHARE * outcome.whole_s


if __name__ == "__main__":
    print(told(measure(*(int(word) for word in sys.argv[1:]), show=True)))
