"""Single steps of the start's tables, by hand: what runs share, which are own best, which measure stands first."""

import datetime as dt
import re
from typing import Any

import polars as pl
import pytest

from pipelines.derived.sprint.curve import sprint_curve
from pipelines.derived.sprint.motion import time_at
from pipelines.derived.sprint.trust import STATUS_REASONS
from pipelines.derived.start.base_run import _say
from pipelines.derived.start.own_best import _with_own_best
from pipelines.derived.start.series import add_set_up
from pipelines.derived.start.what_if import simulate, start_from_steps
from schemas.caveats import all_caveats
from schemas.derived.sprint import SprintProfile
from tests.derived.load.work_frames import schema_of
from tests.derived.start.start_frames import CONTACTS, DAY, FLIGHTS, record, run_key


def set_ups(*runs: tuple[str, str | None]) -> list[str]:
    """Return the set-up of runs given by kind of start and shoes, each of a session of its own."""
    keys = [run_key(DAY + dt.timedelta(days=number)) for number in range(len(runs))]
    reps = record("rep", [
        {**key, "start_kind": kind, "clock_start": "gun", "timing_kind": "electronic"}
        for key, (kind, _) in zip(keys, runs, strict=True)
    ])  # fmt: skip
    sessions = record("session", [{**key, "footwear": shoes} for key, (_, shoes) in zip(keys, runs, strict=True)])
    return add_set_up(reps, sessions).sort("session_date")["set_up"].to_list()


def test_shoes_are_told_apart_within_a_kind_of_start_and_not_across():
    assert set_ups(("blocks", "spikes"), ("blocks", None), ("standing", "flats"), ("standing", None)) == [
        "spikes where said", "spikes where said", "flats where said", "flats where said",
    ]  # fmt: skip
    assert set_ups(("blocks", "Spikes "), ("blocks", None), ("blocks", "flats")) == [
        "spikes",
        "shoes not said",
        "flats",
    ]


MEASURES = ("contact_sum_s", "early_frequency_hz", "speed_after_3_mps", "angle_hold_deg", "knee_toeoff_deg",
            "shin_touchdown_deg")  # fmt: skip


def own_best(*runs: tuple[int, float]) -> pl.DataFrame:
    """Return what own best stands beside runs given by days back and speed after three steps."""
    return _with_own_best(pl.DataFrame([
        {"athlete_id": "ida", "start_kind": "blocks", "_method": "frames_high", "_free": True,
         "session_date": DAY - dt.timedelta(days=back), **dict.fromkeys(MEASURES, speed)}
        for back, speed in runs
    ]))  # fmt: skip


def test_the_other_runs_of_a_day_are_own_runs_too_and_a_run_is_none_of_its_own():
    found = own_best(*((0, speed) for speed in (6.0, 6.1, 6.2, 6.3, 6.4, 6.5)))
    # by hand: of the five others the fastest quarter, two runs; the fastest run has 6.4 and 6.3, the others 6.5
    assert found["best_runs"].to_list() == [2] * 6
    assert found["best_speed_after_3_mps"].to_list() == pytest.approx([6.45, 6.45, 6.45, 6.45, 6.4, 6.35])
    assert found["usual_speed_mps"][0] == pytest.approx(6.3)  # the middle of 6.1 to 6.5


def test_own_runs_are_those_of_half_a_year_and_five_are_needed():
    old = [(180, 6.0 + n / 10) for n in range(5)]
    assert own_best((0, 6.2), *old)["best_runs"][0] is None
    assert own_best((0, 6.2), *[(179, speed) for _, speed in old])["best_runs"][0] == 2
    assert own_best((0, 6.2), *[(1, 6.0)] * 4)["best_runs"][0] is None


def profile(**fields: Any) -> pl.DataFrame:
    schema = schema_of(SprintProfile)
    row = {**run_key(), "vmax_mps": 9.0, "tau_s": 1.2, "time_offset_s": 0.1, "fitted_to_m": 20.0,
           "timing_kind": "electronic"} | fields  # fmt: skip
    return pl.DataFrame([{name: row.get(name) for name in schema}], schema=schema, orient="row")


@pytest.mark.parametrize("behind", [0.0, 0.5])
def test_a_gate_is_held_against_the_time_to_it_from_where_the_athlete_stood(behind):
    splits = record("split", [{**run_key(), "distance_m": metres, "elapsed_s": 2.0} for metres in (10.0, 30.0)])
    found = sprint_curve(profile(behind_m=behind), splits)
    assert found["fitted_s"].to_list() == pytest.approx(
        [float(time_at(10.0 + behind, 9.0, 1.2)), float(time_at(30.0 + behind, 9.0, 1.2))]
    )
    assert found["is_fitted"].to_list() == [True, False]


def test_every_end_of_a_fit_that_is_none_has_its_caveat():
    assert set(STATUS_REASONS.values()) <= set(all_caveats())


@pytest.mark.parametrize(
    ("change", "words"),
    [(-0.02, "0.020 s faster"), (0.0204, "0.020 s slower"), (0.0004, "no change"), (-0.0006, "0.001 s faster")],
)
def test_a_change_of_a_model_is_said_in_thousandths_with_its_way(change, words):
    assert _say(change) == words


def test_a_question_to_the_step_model_is_answered_with_its_range_and_what_is_assumed():
    run = start_from_steps(
        mass_kg=75.0, drag_kg_per_m=0.28, vmax_mps=9.5, tau_s=1.15, contact_s=tuple(CONTACTS), flight_s=tuple(FLIGHTS)
    )
    told = simulate(run, step=1, contact_change_s=0.020).sentence
    one = r"(no change|\d\.\d{3} s (faster|slower))"
    assert re.fullmatch(
        rf"At 10 m the model gives {one} \([^)]+\) to {one} \([^)]+\)\. If the push stays the same in total, {one}\. "
        r"A model, not a promise\.",
        told,
    ), told
