"""What progress of the start sees and what it imagines, on squads that no model of ours made.

Run it:  python -m tests.bench.bench_seeing          (ten minutes of one core; writes the table of Methods)
         python -m tests.bench.bench_seeing 0 12     (rows 0 to 11 of the list alone, the others as they stand)

Every row goes from record frames through sprint_profile, start_noise, start_trend, start_shift and start_progress at 24
weekly looks. The plain contrast (last three days against the ten before) stands beside it, with the day SD known to
it and its threshold set so that ten of a hundred flat athletes get a word; mistyped runs it does not see at all.
"""

import csv
import datetime as dt
import sys
from dataclasses import asdict, replace

import pytest

from pipelines.board.seen_table import SEEN_TABLE
from tests.bench.seen_squads import Seen, Squads, anchor_threshold, judge, looks_of, make

SEED = 20261130
COVER_ROOM = 0.5  # points: a Monte Carlo error of 320 athletes, whose 24 looks see much the same days
ATHLETES = 320  # simulated per row
MOST_SQUADS = 100  # that can be derived at once
FEW_SQUADS = 60  # of rows in which one athlete of a squad changes

FLAT = [
    Squads("flat, squads of 16"),
    Squads("flat, squads of 5", athletes=5),
    Squads("flat, squads of 30", athletes=30),
    Squads("flat, twice a week", days_a_week=2),
    Squads("flat, one run a day", runs=(1, 1)),
    Squads("flat, 40 % of days missing", missing=0.4),
    Squads("flat, day SD 5 ms", day_sd=5.0),
    Squads("flat, day SD 15 ms", day_sd=15.0),
    Squads("flat, 5 % of days 40 ms slow", outliers=0.05),
    Squads("flat, athletes noisier or steadier (x/ 1.35)", uneven=0.30),
    Squads("flat, a third of days by stopwatch", stopwatch=1 / 3),
    Squads("flat, one run of 100 mistyped by 7 s", mistyped=0.01),
    Squads("flat, gate moved: everybody 30 ms faster", gate_moved=30.0),
    Squads("waves of a month, 8 ms, nothing lasting", wave=8.0),
    Squads("waves of a month, 15 ms, nothing lasting", wave=15.0),
]
RAMP = Squads("", shape="ramp")
CHANGED = [
    *(
        replace(RAMP, name=f"{size} ms faster in six weeks, half of 16, day SD {sd:g} ms", size=float(size), day_sd=sd)
        for sd, size in ((7.7, 20), (7.7, 30), (7.7, 40), (15.0, 20), (15.0, 30), (15.0, 40), (5.0, 20), (10.0, 20))
    ),
    replace(RAMP, name="20 ms, half of 5", size=20.0, athletes=5),
    replace(RAMP, name="20 ms, half of 30", size=20.0, athletes=30),
    replace(RAMP, name="20 ms, one of 16", size=20.0, changed=1 / 16),
    replace(RAMP, name="20 ms, all 16", size=20.0, changed=1.0),
    replace(RAMP, name="30 ms, all 16", size=30.0, changed=1.0),
    replace(RAMP, name="20 ms, half, twice a week", size=20.0, days_a_week=2),
    replace(RAMP, name="20 ms, half, one run a day", size=20.0, runs=(1, 1)),
    replace(RAMP, name="20 ms, half, 40 % of days missing", size=20.0, missing=0.4),
    replace(RAMP, name="20 ms, half, one run of 100 mistyped by 7 s", size=20.0, mistyped=0.01),
    replace(RAMP, name="30 ms, half, 5 % of days 40 ms slow", size=30.0, outliers=0.05),
    replace(RAMP, name="30 ms, half, a third of days by stopwatch", size=30.0, stopwatch=1 / 3),
    replace(RAMP, name="30 ms, half, on waves of 8 ms", size=30.0, wave=8.0),
    replace(RAMP, name="20 ms in twelve weeks, half", size=20.0, weeks=12),
    Squads("20 ms from one day on, half", shape="step", size=20.0),
    Squads("30 ms from one day on, half", shape="step", size=30.0),
    Squads("20 ms slower for four weeks, half", shape="dip", size=20.0),
    Squads("youth, 60 ms a year faster, all", shape="youth", size=60.0, changed=1.0),
]
ROWS = [*FLAT, *CHANGED]
COLUMNS = ["row", "seed", "made_on", *Seen.__dataclass_fields__]


def run(row: Squads, athletes: int = ATHLETES, seed: int = SEED) -> Seen:
    """Simulate one row and hold what was said against what was true."""
    few = row.shape != "flat" and row.changed * row.athletes < 2  # one changes in a squad: more squads
    athletes = 2 * athletes if row.wave and row.shape == "flat" else athletes
    squads = FEW_SQUADS if few else min(MOST_SQUADS, max(1, round(athletes / row.athletes)))
    made = make(row, squads, seed)
    return judge(row, made, looks_of(made), anchor_threshold(row, MOST_SQUADS, seed + 1))


def write_table(first: int, last: int) -> None:
    """Run some rows, each written as soon as it is done, into the table that Methods shows."""
    today = dt.date.today().isoformat()
    for row in ROWS[first:last]:
        seen = run(row)
        print(row.name, seen, flush=True)
        with SEEN_TABLE.open(encoding="utf-8", newline="") as file:
            lines = {line["row"]: line for line in csv.DictReader(file)}
        lines[row.name] = {"row": row.name, "seed": SEED, "made_on": today, **asdict(seen)}
        kept = [lines[one.name] for one in ROWS if one.name in lines]
        with SEEN_TABLE.open("w", encoding="utf-8", newline="") as file:
            table = csv.DictWriter(file, COLUMNS, lineterminator="\n", extrasaction="ignore")
            table.writeheader()
            table.writerows(kept)


@pytest.mark.bench
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_a_row_sees_at_least_what_the_plain_contrast_sees_and_imagines_no_more(row: Squads):
    seen = run(row)
    print("\n", row.name, seen)
    check(row, seen)


def check(row: Squads, seen: Seen) -> None:
    """Hold one row against what was promised; three Monte Carlo errors of room."""

    def room(share: float) -> float:
        return 300 * ((share / 100 * (1 - share / 100)) / max(seen.athletes / 2, 1)) ** 0.5

    if row.shape == "flat" and seen.any_flat is not None:  # waves come and go: none of them is a lasting change
        assert seen.any_flat <= 10.0 + room(10.0)
    if not row.wave:
        assert 93.0 - COVER_ROOM <= seen.cover <= 97.0 + COVER_ROOM
    if seen.holding is not None and row.shape == "ramp":
        assert seen.holding <= 5.0 + room(5.0) / 3
    if row.shape == "ramp" and not row.wave and seen.power is not None and seen.anchor is not None:
        assert seen.power >= seen.anchor - room(seen.anchor)


if __name__ == "__main__":
    write_table(*(int(word) for word in sys.argv[1:3] or ("0", str(len(ROWS)))))
