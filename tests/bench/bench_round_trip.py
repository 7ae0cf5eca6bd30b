"""A thousand athletes over three years: backed up, restored to an empty machine, made again from the sources, verified.

``python -m pytest tests/bench/bench_round_trip.py -s``; ``python -m tests.bench.bench_round_trip [ATHLETES YEARS]``.
The derived tables are left out: ``bench_derive.py`` measures those.
"""

import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest

from pipelines import flow
from pipelines.board import verification as verifying
from pipelines.home.folder import Home
from pipelines.record import backup, opening, replaying, warehouse
from tests.bench.big_squad import ATHLETES, YEARS, build_home, demo_record, grow

pytestmark = pytest.mark.bench


def rows(home: Home) -> dict[str, pl.DataFrame]:
    """Return the whole record."""
    with opening.record(home) as con:
        return {name: warehouse.table(con, name) for name in warehouse.SHAPES}


def measure(folder: Path, athletes: int = ATHLETES, years: int = YEARS) -> dict[str, float]:
    """Take a big home round once and return the seconds of each step."""
    record, _, _ = demo_record(folder / "demo")
    took: dict[str, float] = {}

    def timed(name: str, do: Callable[[], object]) -> object:
        start = time.perf_counter()
        found = do()
        took[name] = time.perf_counter() - start
        print(f"  {name:28s}{took[name]:8.1f} s", flush=True)
        return found

    home = timed("load", lambda: build_home(folder, grow(record, athletes, years), folder / "demo" / "settings.toml"))
    assert isinstance(home, Home)
    before = rows(home)
    took["rows"] = sum(frame.height for frame in before.values())
    timed("backup", lambda: flow.backup(home, folder / "away" / "big.zip"))
    took["backup_mb"] = (folder / "away" / "big.zip").stat().st_size / 1e6
    fresh = Home(folder / "machine")

    def restore() -> None:
        with opening.alone(fresh):
            backup.read_backup(fresh, folder / "away" / "big.zip")

    timed("restore", restore)
    _same(before, rows(fresh))
    assert timed("rebuild", lambda: verifying.rebuild_record(fresh, lambda _: None, lambda *_: None)) == []
    _same(before, rows(fresh))

    def replayed() -> list[str]:
        with opening.record(fresh) as con, warehouse.in_memory() as again:
            assert replaying.replay(again, fresh, lambda *_: None) == []
            return replaying.differing_tables(con, again)

    assert timed("verify: replay and compare", replayed) == []
    took["peak_gib"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    return took


def _same(one: dict[str, pl.DataFrame], other: dict[str, pl.DataFrame]) -> None:
    assert [name for name, frame in one.items() if not frame.equals(other[name], null_equal=True)] == []


def test_a_thousand_athletes_go_to_another_machine_and_back_unchanged(tmp_path: Path):
    took = measure(tmp_path)
    print({name: round(value, 1) for name, value in took.items()})
    assert took["rows"] > 1_000_000


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        print(measure(Path(place), *map(int, sys.argv[1:])))
