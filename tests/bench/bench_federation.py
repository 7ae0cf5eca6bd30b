"""What a federation costs: an athlete-year derived, what it shares, and the questions at the size of 500 squads.

Run with the extra: ``uv run --extra federation python -m tests.bench.bench_federation [SQUADS]``. The squads of the big
lake are copies of invented ones under other keys, ten years each, so that counts of people and of squads are real.
"""

import os
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("POLARS_MAX_THREADS", "1")  # a task has a core

import ibis
import polars as pl

from pipelines.federation import demo, questions, running
from pipelines.federation.lake import Lake
from schemas.shared import SHARED

INVENTED, COPIED_TO, YEARS = 8, 500, 10
PEOPLE_OF_A_SQUAD = 40  # each invented squad of ten is four times in a copied one


def main(squads: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        homes = demo.build(folder, INVENTED)
        report = running.run(homes, folder, running.Here())
        athletes = sum(one.athletes for one in report.derived)
        cpu = sum(one.cpu_s for one in report.derived)
        rows = sum(count for one in report.derived for count, _ in one.derived.values())
        print(f"derived: {cpu / athletes:.3f} s of processor and {rows / athletes:,.0f} rows an athlete-year")
        print(f"worker: {max(one.peak_mb for one in report.derived):.0f} MB at most")
        lake = Lake(folder / "lake")
        files = [Path(path) for name in SHARED for path in lake.files(name)]
        shared = {name: lake.read(name) for name in SHARED}
        count = sum(frame.height for frame in shared.values())
        size = sum(path.stat().st_size for path in files)
        print(f"shared: {count / athletes:.0f} rows, {size / count:.1f} bytes a row")
        big = folder / "big"
        total = _grow(shared, big, squads)
        stored = sum(path.stat().st_size for path in big.rglob("*.parquet"))
        print(f"{squads} squads of {PEOPLE_OF_A_SQUAD} over {YEARS} years: {total:,} rows, {stored / 1e6:,.0f} MB")
        connection = ibis.duckdb.connect()
        tables = {
            name: connection.read_parquet(
                str(big / name / "*" / "*.parquet"), table_name=name, hive_partitioning=True, hive_types_autocast=False
            )
            for name in SHARED
        }
        for name, (table, question) in questions.QUESTIONS.items():
            wall, cpu_s = time.perf_counter(), time.process_time()
            cells = connection.to_pyarrow(question(tables[table])).num_rows
            took = f"{time.perf_counter() - wall:.1f} s, {time.process_time() - cpu_s:.1f} s of processor"
            print(f"  {name:<14} {cells:>3} cells: {took}")


def _grow(shared: dict[str, pl.DataFrame], big: Path, squads: int) -> int:
    """Write copies of the invented squads; return how many rows they have."""
    keys = shared["shared_run"]["squad"].unique().sort().to_list()
    total = 0
    for name, frame in shared.items():
        for number, key in enumerate(keys):
            own = frame.filter(squad=key).drop("squad")
            times = PEOPLE_OF_A_SQUAD // 10
            whole = pl.concat(
                own.with_columns(
                    person=pl.concat_str(pl.col("person").str.slice(0, 22), pl.lit(f"{again:02d}")),
                    week_no=pl.col("week_no") - 52 * year,
                )
                for again in range(times)
                for year in range(YEARS)
            )
            for copy in range(number, squads, len(keys)):
                folder = big / name / f"squad=s{copy:04d}"
                folder.mkdir(parents=True)
                whole.write_parquet(folder / "part.parquet", compression="zstd")
                total += whole.height
    return total


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else COPIED_TO)
