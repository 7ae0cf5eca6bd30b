"""How often a run's 95 % interval holds the truth, over timing noise, gates and clocks; truth made by no model of ours.

Run it:  python -m tests.bench.bench_run_error     (two minutes on one core; writes the table of Methods)
"""

import csv
import datetime as dt

import pytest

from pipelines.board.run_error_table import RUN_ERROR_TABLE
from tests.bench.run_error_squads import ATHLETES, GATES, RUNS, SESSIONS, Timed, coverage

RULES = ("gun_reaction", "first_movement", "gate_known", "hand_release")
ROWS = [
    Timed(f"{rule}, {noise:g} ms, {gates} gates", noise, gates, rule)
    for rule in RULES
    for noise in (3.0, 10.0, 30.0)
    for gates in GATES
]
MEASURES = ("vmax_mps", "tau_s", "t_10_s")
ROOM = 300 * (0.95 * 0.05 / (ATHLETES * SESSIONS * RUNS)) ** 0.5  # points: three binomial errors
SEED = 20261130
COLUMNS = ["row", "seed", "made_on", "rule", "noise_ms", "gates", "noise_found_ms",
           *(name + end for name in MEASURES for end in ("", "_known"))]  # fmt: skip


@pytest.mark.bench
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_the_interval_holds_the_truth_as_often_as_it_says(row: Timed):
    found = coverage(row, SEED)
    print("\n", row.name, found)
    for name in MEASURES:
        assert 93.0 - ROOM <= found[name] <= 97.0 + ROOM, (name, found)


def write_table() -> None:
    """Run every row and write the table that Methods shows."""
    today = dt.date.today().isoformat()
    with RUN_ERROR_TABLE.open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        table.writeheader()
        for row in ROWS:
            found = coverage(row, SEED)
            said = {"row": row.name, "seed": SEED, "made_on": today, "rule": row.rule, "noise_ms": row.noise_ms}
            table.writerow(said | {"gates": row.gates} | found)
            print(f"{row.name:36s}", *(f"{name} {found[name]:5.1f}" for name in MEASURES), flush=True)


if __name__ == "__main__":
    write_table()
