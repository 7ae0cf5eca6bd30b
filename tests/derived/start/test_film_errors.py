"""The measures of a start use the errors of its own film where there are any, and the usual ones where it was typed."""

import polars as pl
import pytest

from pipelines.derived.start.phase import start_phase, start_steps
from tests.derived.start.start_frames import CONTACTS, FLIGHTS, record, rep_row, run_key, step_rows

KEY = run_key()


def phase_of(steps, set_position=None):
    rep, step = record("rep", [rep_row(KEY)]), record("step", steps)
    frames = (rep, step, record("set_position", set_position), record("technique_note"))
    return start_phase(*frames, start_steps(rep, step))


def test_lengths_carry_the_film_s_own_error_into_distance_and_speed():
    steps = [row | {"step_length_m_se": 0.01 + 0.002 * row["step_no"]} for row in step_rows(KEY)]
    found = start_steps(record("rep", [rep_row(KEY)]), record("step", steps)).sort("step_no")
    assert found["step_length_m_se"].to_list()[:3] == pytest.approx([0.012, 0.014, 0.016])
    # by hand: sqrt(0.012^2 + 0.014^2 + 0.016^2) = 0.02441
    assert found["distance_m_se"][2] == pytest.approx(0.024413, abs=1e-6)
    # speed of step 1 rests on the length of step 2 (0.014 m) and on its own time
    time, frames = CONTACTS[0] + FLIGHTS[0], 1 / (240 * 6**0.5)
    by_hand = ((1.05 / time**2 * frames) ** 2 + (0.014 / time) ** 2) ** 0.5
    assert found["speed_mps_se"][0] == pytest.approx(by_hand, rel=1e-9)
    typed = start_steps(record("rep", [rep_row(KEY)]), record("step", step_rows(KEY)))
    assert typed["step_length_m_se"].unique().to_list() == [0.03]


def test_angles_carry_the_film_s_own_error_and_typed_ones_the_usual():
    seen = [
        row | {"shin_touchdown_deg": 50.0, "knee_toeoff_deg": 160.0, "shin_deg_se": 1.8, "knee_deg_se": 3.0}
        for row in step_rows(KEY)
    ]
    [run] = phase_of(seen).to_dicts()
    # by hand: three readings of 1.8 degrees, mean known to 1.8 / sqrt 3 = 1.0392
    assert run["shin_touchdown_deg_se"] == pytest.approx(1.8 / 3**0.5)
    assert run["knee_toeoff_deg_se"] == pytest.approx(3.0 / 3**0.5)
    typed = [row | {"shin_deg_se": None, "knee_deg_se": None} for row in seen]
    [run] = phase_of(typed).to_dicts()
    assert run["shin_touchdown_deg_se"] == pytest.approx(1.5 / 3**0.5)
    assert run["knee_toeoff_deg_se"] == pytest.approx(1.5 * 2**0.5 / 3**0.5)


@pytest.mark.parametrize(("told", "usual"), [(2.0, 2.0), (None, 1.5)])
def test_the_front_shin_is_held_with_its_own_error(told, usual):
    held = {**KEY, "front_shin_set_deg": 44.0, "front_shin_push_deg": 41.0, "front_shin_deg_se": told}
    [run] = phase_of(step_rows(KEY), [held]).to_dicts()
    assert run["angle_hold_deg"] == -3.0
    assert run["angle_hold_deg_se"] == pytest.approx(usual * 2**0.5)
    assert isinstance(phase_of(step_rows(KEY)), pl.DataFrame)
