"""Own best speed and metres near it: neither too fast for being the largest of many, nor hanging on the gates."""

import datetime as dt

import numpy as np
import polars as pl
import pytest

from pipelines.derived.load.exposure import judged_runs
from pipelines.derived.load.top_speed import find_bests, find_tops
from pipelines.derived.sprint.motion import time_at
from tests.derived.sprint.sprint_frames import ELECTRONIC, Track

DAY = dt.date(2026, 5, 4)
VMAX, TAU, LAST_M = 10.0, 1.2, 60.0
LAYOUTS = {"every 5 m": 5.0, "every 10 m": 10.0, "every 20 m": 20.0, "every 30 m": 30.0}


def season(every_m: float, noise_s: float = 0.010, days: int = 40) -> pl.DataFrame:
    """The same 40 runs of 60 m, two a day, by gates so far apart."""
    gates = np.arange(every_m, LAST_M + 1e-9, every_m)
    rng = np.random.default_rng(int(every_m))
    track = Track()
    for number in range(days):
        times = time_at(gates, VMAX, TAU) + noise_s * rng.standard_normal(len(gates))
        on = DAY + dt.timedelta(days=number // 2)
        track.run(gates, times, session_date=on, rep_no=number % 2 + 1, start_kind="standing", **ELECTRONIC)
    frames = track.frames()
    return judged_runs(frames["split"], frames["rep"], DAY + dt.timedelta(days=days))


def true_metres() -> float:
    """Metres of the run at 95 % of the speed it ends with: v = V (1 - e^(-t/tau)) at 60 m."""

    def at(x: float) -> float:
        return float(VMAX * (1 - np.exp(-time_at(np.array([x]), VMAX, TAU)[0] / TAU)))

    places = np.arange(0.0, LAST_M, 0.1)
    return LAST_M - float(places[[at(x) >= 0.95 * at(LAST_M) for x in places]][0])


@pytest.mark.parametrize("every_m", LAYOUTS.values(), ids=LAYOUTS)
def test_metres_at_95_percent_do_not_hang_on_where_the_gates_stand(every_m: float):
    found = season(every_m).tail(20)
    # a section of 20 or 30 m counts whole or not: half a section of room, and 3 m for chance
    assert true_metres() == pytest.approx(36.0, abs=0.2)
    assert found["metres_95"].mean() == pytest.approx(true_metres(), abs=max(every_m / 2, 5.0) * 0.6 + 3.0)
    assert found["is_95"].all()


@pytest.mark.parametrize("every_m", [5.0, 10.0, 20.0])
def test_own_best_of_forty_equal_runs_is_not_the_luckiest_of_them(every_m: float):
    # mean speed over the last 20 m, from the model
    over_20 = 20.0 / float(np.diff(time_at(np.array([40.0, 60.0]), VMAX, TAU))[0])
    best = season(every_m)["best"][-1]
    luckiest = 20.0 / (20.0 / over_20 - 2.2 * np.sqrt(2) * 0.010)  # of forty, some 2.2 SD
    assert luckiest - over_20 > 0.14
    assert best == pytest.approx(over_20, abs=0.06)


def test_a_best_that_timing_cannot_explain_stays():
    # by hand: tops 10.0 and 9.8 with variance 0.0001 from timing: S^2 = 0.02, B = 1 - 0.0001 / 0.02 = 0.995,
    # best = 9.9 + 0.995 x 0.1 = 9.9995
    tops = pl.DataFrame({
        "athlete_id": ["ada"] * 3, "session_date": [DAY, DAY, DAY + dt.timedelta(days=1)],
        "top_mps": [10.0, 9.8, 9.0], "_variance": [0.0001] * 3, "is_far": [True] * 3,
    })  # fmt: skip
    bests = find_bests(tops)
    assert bests["best"].to_list() == pytest.approx([9.9995, 9.9995])
    assert bests["timed_days"].to_list() == [1, 2]
    alone = find_bests(tops.head(1))
    assert alone["best"].to_list() == [10.0]


def test_a_top_is_over_twenty_metres_of_sections_that_follow_each_other():
    # 10 m in 1.00, 0.95, (a gate missing) 2.00 over 20 m, 0.98: 20 m of 1.95 s beat 2.00 s; 40 m gap is one section
    rows = pl.DataFrame({
        "athlete_id": "ada", "session_date": DAY, "session_no": 1, "rep_no": 1, "timing_kind": "electronic",
        "distance_m": [20.0, 30.0, 50.0, 60.0], "length_m": [10.0, 10.0, 20.0, 10.0], "time_s": [1.0, 0.95, 2.0, 0.98],
        "is_far": True,
    })  # fmt: skip
    top = find_tops(rows)
    assert top["top_mps"].item() == pytest.approx(20 / 1.95)
    assert top["_variance"].item() == pytest.approx(2 * (0.01 * 20 / 1.95 / 1.95) ** 2)
    # without the section between they do not follow each other
    parted = find_tops(rows.filter(pl.col("distance_m") != 30.0).with_columns(length_m=10.0, time_s=1.0))
    assert parted["top_mps"].item() == pytest.approx(20 / 2.0)


def test_a_stretch_is_of_four_sections_at_most():
    # five sections of 4 m, the first slow: four are 16 m in 2 s, all five 20 m in 3 s
    run = {"athlete_id": "ann", "session_date": DAY, "session_no": 1, "rep_no": 1, "timing_kind": "electronic"}
    sections = pl.DataFrame(
        [run | {"distance_m": 4.0 * n, "length_m": 4.0, "time_s": 1.0 if n == 1 else 0.5, "is_far": False}
         for n in range(1, 6)]
    )  # fmt: skip
    assert find_tops(sections)["top_mps"].to_list() == [8.0]
