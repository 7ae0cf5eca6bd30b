"""Whose error a class of runs is given, what its smallest change is a share of, and which of two films counts."""

import datetime as dt

import numpy as np
import polars as pl
import pytest

from pipelines.derived.common.ordering import number_of
from pipelines.derived.sprint.motion import time_at
from pipelines.derived.sprint.profile import sprint_profile
from pipelines.derived.start.left_out import start_left_out
from pipelines.derived.start.noise import _smallest_change, noise_from
from pipelines.derived.start.noise_runs import by_series
from pipelines.derived.start.phase import start_phase, start_steps
from pipelines.derived.start.trend_runs import trend_runs
from schemas.derived.progress import SERIES_KEY
from tests.derived.sprint.sprint_frames import DAY, ELECTRONIC, Track
from tests.derived.start.progress_frames import SETTINGS
from tests.derived.start.start_frames import record, rep_row, run_key, step_rows

CLASS = {"metric": "t_10_s", "clock_start": "gun", "timing_kind": "electronic", "measured_by": "gate",
         "age_group": "adult", "set_up": "a"}  # fmt: skip


def repeated(start_kind: str, error: float, people: int = 20, days: int = 4, runs: int = 3) -> pl.DataFrame:
    rng = np.random.default_rng(7)
    told = pl.DataFrame(
        [CLASS | {"start_kind": start_kind, "athlete_id": f"{start_kind}-{who:02}", "se": 0.001,
                  "session_date": DAY + dt.timedelta(days=on), "value": 2.0 + error * rng.standard_normal()}
         for who in range(people) for on in range(days) for _ in range(runs)]
    )  # fmt: skip
    return told.with_columns(_series=number_of(told, SERIES_KEY))


def test_a_class_has_its_own_error_and_one_without_repeats_that_of_all_starts():
    # simulated: errors 10 and 40 ms, 160 degrees of freedom each; falling starts were run once
    every = [repeated("blocks", 0.010), repeated("standing", 0.040), repeated("falling", 0.0, 1, 1, 1)]
    people = pl.concat(every).select("athlete_id", sex=pl.lit("f")).unique()
    noise = noise_from([by_series(runs) for runs in every], athlete=people, settings=SETTINGS)
    found = {row["start_kind"]: row for row in noise.iter_rows(named=True)}
    assert found["blocks"]["typical_error"] == pytest.approx(0.010, rel=0.2)
    assert found["standing"]["typical_error"] == pytest.approx(0.040, rel=0.2)
    assert 0.012 < found["falling"]["typical_error"] < 0.033
    assert {kind: row["typical_error_of"] for kind, row in found.items()} == {
        "blocks": "such_runs", "standing": "such_runs", "falling": "all_starts",
    }  # fmt: skip


def test_the_spread_of_a_measure_is_taken_within_that_measure():
    # nine people one hundredth apart: SD = 0.01 sqrt(60 / 8) = 0.02739; the times to 20 m spread twice as far
    days = pl.DataFrame(
        [CLASS | {"start_kind": "blocks", "athlete_id": f"a{who}", "metric": metric, "typical_error": 0.02,
                  "observed": level + share * 0.01 * who}
         for metric, level, share in (("t_10_s", 2.0, 1), ("t_20_s", 3.2, 2)) for who in range(9)]
    )  # fmt: skip
    people = pl.DataFrame({"athlete_id": [f"a{who}" for who in range(9)], "sex": ["f"] * 9})
    found = dict(_smallest_change(days, people, 0.2).select("metric", "swc").iter_rows())
    spread = 0.01 * (60 / 8) ** 0.5
    assert found == {"t_10_s": pytest.approx(0.2 * spread), "t_20_s": pytest.approx(0.4 * spread)}


@pytest.mark.parametrize(
    ("high", "middle", "kept"), [(2, 2, "high"), (1, 2, "middle"), (2, 1, "high")], ids=["a tie", "fewer", "more"]
)
def test_of_films_of_two_frame_rates_the_one_with_most_runs_counts_and_the_higher_rate_on_a_tie(high, middle, kept):
    days = {"high": (dt.date(2026, 3, 2), 240.0, high), "middle": (dt.date(2026, 3, 9), 120.0, middle)}
    told = [(run_key(day, number + 1), rate) for day, rate, count in days.values() for number in range(count)]
    rep = record("rep", [rep_row(key) for key, _ in told])
    step = record("step", [row for key, rate in told for row in step_rows(key, frame_rate=rate)])
    phase = start_phase(rep, step, record("set_position"), record("technique_note"), start_steps(rep, step))
    frames = Track().frames()
    profile = sprint_profile(**frames, settings=SETTINGS)
    athlete = record("athlete", [{"athlete_id": "ida-fell", "display_name": "Ida Fell"}])
    found = trend_runs(profile, phase, rep, record("split"), record("session"), athlete)
    assert found["session_date"].unique().to_list() == [days[kept][0]]
    assert found.filter(pl.col("metric") == found["metric"][0]).height == days[kept][2]


def test_a_run_timed_at_other_gates_counts_by_its_curve_and_is_not_told_as_left_out():
    gates = (12.0, 24.0, 36.0, 48.0)
    frames = Track().run(gates, time_at(np.array(gates), 10.0, 1.2), clock_start="first_movement",
                         start_kind="blocks", **ELECTRONIC).frames()  # fmt: skip
    profile = sprint_profile(**frames, settings=SETTINGS)
    assert profile["trust"].item() == "good"
    rest = frames["rep"], frames["split"], frames["session"], frames["athlete"]
    assert start_left_out(profile, *rest, as_of=DAY).is_empty()
    poor = profile.with_columns(trust=pl.lit("poor"))
    told = start_left_out(poor, *rest, as_of=DAY)
    assert told["reason"].to_list() == ["no_gate_and_no_curve"]
    assert told["sentence"].item().endswith(": no gate at 5, 10, 20 or 30 m and too few or unfit times for a curve")
