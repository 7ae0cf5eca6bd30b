"""How often a run's 95 % interval holds the truth, over timing noise, gates and clocks; truth made by no model of ours.

Run it:  python -m tests.bench.bench_run_error     (two minutes on one core; prints the table)
"""

import pytest

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


@pytest.mark.bench
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_the_interval_holds_the_truth_as_often_as_it_says(row: Timed):
    found = coverage(row, SEED)
    print("\n", row.name, found)
    # A hand leaves the ground after the body has begun to move, which its published spread (Haugen et al. 2012: 0.17 s,
    # SD 0.09) does not say: with good timing the interval is wider than it need be.
    most = 100.0 if row.rule == "hand_release" else 97.0 + ROOM
    least = 90.0 if row.rule == "hand_release" else 93.0 - ROOM
    for name in MEASURES:
        assert least <= found[name] <= most, (name, found)


if __name__ == "__main__":
    for one in ROWS:
        told = coverage(one, SEED)
        print(f"{one.name:36s}", *(f"{name} {told[name]:5.1f}" for name in MEASURES), flush=True)
