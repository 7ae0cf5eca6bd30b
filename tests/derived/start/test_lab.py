"""Questions about single runs: gates against the curve, two starts compared, and what a change is worth."""

import numpy as np
import polars as pl
import pytest

from pipelines.derived.sprint.curve import force_line, speed_curve, sprint_curve
from pipelines.derived.sprint.motion import time_at
from pipelines.derived.sprint.profile import sprint_profile
from pipelines.derived.start.base_run import what_if
from pipelines.derived.start.compare import compare_runs, compare_steps, say_differences
from pipelines.derived.start.what_if import simulate, start_from_steps
from schemas.derived.curve import SprintCurve
from schemas.settings import SquadSettings
from tests.derived.load.work_frames import checked
from tests.derived.sprint.sprint_frames import ELECTRONIC, Track

SETTINGS = SquadSettings()
GATES = [5.0, 10.0, 20.0, 30.0, 40.0]
RUN = {"start_kind": "blocks", "clock_start": "gun", "reaction_s": 0.150, **ELECTRONIC}


def profile_of(track: Track) -> tuple[dict[str, pl.DataFrame], pl.DataFrame]:
    frames = track.frames()
    return frames, sprint_profile(**frames, settings=SETTINGS)


def usain(noise: tuple[float, ...] = (0.004, -0.003, 0.005, -0.004, 0.002)) -> Track:
    # vmax 10, tau 1.2: not a person
    return Track().run(GATES, 0.150 + time_at(np.array(GATES), 10.0, 1.2) + np.array(noise), **RUN)


def test_the_misfit_of_a_run_is_the_root_mean_square_of_its_gates():
    frames, profile = profile_of(usain())
    curve = checked(SprintCurve, sprint_curve(profile, frames["split"]))
    # two computations of one number: rmse_s of the fit, and the residuals of the gates one by one
    assert float(np.sqrt((curve["residual_s"] ** 2).mean())) == pytest.approx(profile["rmse_s"][0], abs=1e-12)
    assert curve["is_fitted"].all()


def test_a_stretch_s_speed_is_its_length_over_its_time():
    frames, profile = profile_of(usain((0, 0, 0, 0, 0)))
    curve = sprint_curve(profile, frames["split"])
    elapsed = frames["split"]["elapsed_s"]
    # by hand: 10 m to 20 m in t20 - t10; error sqrt(2) 0.010 v / t for light gates
    speed = 10.0 / (elapsed[2] - elapsed[1])
    assert curve["stretch_speed_mps"][2] == pytest.approx(speed)
    assert curve["stretch_speed_mps_se"][2] == pytest.approx(2**0.5 * 0.010 * speed / (elapsed[2] - elapsed[1]))
    assert curve["stretch_speed_mps"][0] == pytest.approx(5.0 / (elapsed[0] - 0.150), rel=1e-4)


def test_hand_timed_and_rolling_runs_have_no_gates_against_a_curve():
    hand = Track().run(GATES, 0.15 + time_at(np.array(GATES), 10.0, 1.2), **(RUN | {"timing_kind": "hand"}))
    frames, profile = profile_of(hand)
    assert sprint_curve(profile, frames["split"]).is_empty()


def test_the_band_of_the_speed_curve_agrees_with_the_table_at_ten_metres():
    _, profile = profile_of(usain())
    row = profile.row(0, named=True)
    points = speed_curve(row)
    at_ten = min(points, key=lambda p: abs(p["distance_m"] - 10.0))
    near = min(abs(p["distance_m"] - 10.0) for p in points)
    assert near < 0.5
    assert at_ten["speed_mps"] == pytest.approx(row["v_10_mps"], abs=0.15)
    reach = (at_ten["high_mps"] - at_ten["low_mps"]) / 2
    assert reach == pytest.approx(1.96 * row["v_10_mps_se"], rel=0.10)


def test_the_force_line_runs_from_f0_to_v0_with_the_table_s_error_at_no_speed():
    _, profile = profile_of(usain())
    row = profile.row(0, named=True)
    line = force_line(row, SETTINGS)
    assert line[0]["force_n_per_kg"] == pytest.approx(row["f0_n_per_kg"])
    assert line[-1]["speed_mps"] == pytest.approx(row["v0_mps"])
    assert line[-1]["force_n_per_kg"] == pytest.approx(0.0, abs=1e-9)
    assert line[0]["high_n_per_kg"] - line[0]["force_n_per_kg"] == pytest.approx(1.96 * row["f0_n_per_kg_se"], rel=0.02)


def test_no_force_line_where_trust_forbids_it():
    track = Track(mass_kg=None).run(GATES, 0.15 + time_at(np.array(GATES), 10.0, 1.2), **RUN)
    row = profile_of(track)[1].row(0, named=True)
    assert row["force_velocity_reason"] == "no_body_mass"
    assert force_line(row, SETTINGS) == []


# --- two starts ------------------------------------------------------------------------------------------------------


def step(contact: float, error: float | None = 0.0017, step_no: int = 1) -> dict:
    return {"step_no": step_no, "contact_s": contact, "contact_s_se": error}


def test_a_difference_is_one_only_beyond_the_errors_of_both_and_the_eye():
    # by hand: frames alone 1.7 ms at 240 Hz; with the eye 3.4 ms; both runs 4.81 ms; 2.576 of it is 12.4 ms
    [within] = compare_steps([step(0.180)], [step(0.192)])
    [beyond] = compare_steps([step(0.180)], [step(0.193)])
    assert within["difference_se"] == pytest.approx(2**0.5 * 0.0034)
    assert (within["verdict"], beyond["verdict"]) == ("within_error", "differs")
    assert beyond["difference"] == pytest.approx(0.013)
    # by hand: 1.96 x 3.4 ms = 6.66 ms a side, 1.96 x 4.81 ms = 9.42 ms between them
    assert (beyond["a_reach"], beyond["difference_reach"]) == pytest.approx((0.006664, 0.009424), abs=1e-6)


def test_without_a_frame_rate_nothing_is_called_a_difference():
    [row] = compare_steps([step(0.180, None)], [step(0.240, None)])
    assert (row["verdict"], row["difference_se"]) == ("error_unknown", None)
    assert (row["a_reach"], row["difference_reach"]) == (None, None)
    assert say_differences([row], []).startswith("Nothing can be told apart")


def test_a_step_marked_in_one_start_only_has_no_difference():
    rows = compare_steps([step(0.180), step(0.160, step_no=2)], [step(0.180)])
    assert rows[1]["verdict"] == "one_missing"
    assert rows[1]["difference"] is None


def test_alike_starts_called_different_about_as_rarely_as_said():
    # marking error as it is told apart from the frames: SD of a contact is twice the frame error
    rng = np.random.default_rng(5)
    called = sum(
        compare_steps([step(0.18 + 0.0034 * rng.standard_normal())], [step(0.18 + 0.0034 * rng.standard_normal())])[0][
            "verdict"
        ]
        == "differs"
        for _ in range(4000)
    )
    assert 0.004 < called / 4000 < 0.017  # 1 % claimed


def test_whole_runs_are_put_in_a_sentence_with_direction_and_error():
    rows = compare_runs({"t_10_s": 1.900, "t_10_s_se": 0.006}, {"t_10_s": 1.870, "t_10_s_se": 0.008})
    # 1.96 * sqrt(0.006^2 + 0.008^2) = 0.0196
    assert say_differences([], rows) == (
        "B against A, beyond measuring error: 10 m −0.030 s (± 0.020). Step by step nothing of the first three differs."
    )


def test_differences_of_single_steps_are_named_by_their_steps():
    one = [step(0.180), step(0.170, step_no=2), step(0.160, step_no=3), step(0.150, step_no=4)]
    other = [step(0.200), step(0.171, step_no=2), step(0.180, step_no=3), step(0.190, step_no=4)]
    assert say_differences(compare_steps(one, other), []) == (
        "As whole runs they do not differ beyond measuring error. "
        "Of the first three steps, different: contact in 1 and 3."
    )


# --- what if ---------------------------------------------------------------------------------------------------------

CONTACTS = (0.195, 0.170, 0.155, 0.140, 0.132, 0.125, 0.120, 0.115, 0.112, 0.110)
FLIGHTS = (0.055, 0.065, 0.075, 0.083, 0.090, 0.095, 0.100, 0.103, 0.106, 0.108)
MARKED = [
    {"step_no": i + 1, "contact_s": c, "flight_s": f} for i, (c, f) in enumerate(zip(CONTACTS, FLIGHTS, strict=True))
]
PROFILE = {
    "trust": "good", "vmax_mps": 9.5, "tau_s": 1.15, "body_mass_kg": 75.0, "height_m": 1.80, "fitted_to_m": 30.0,
    "force_velocity_reason": None,
}  # fmt: skip


def test_the_answer_is_that_of_the_step_model_for_the_athlete_s_own_run():
    found = what_if(PROFILE, MARKED, SETTINGS, step=1, contact_s=0.020)
    drag = 0.2772  # kg/m for 75 kg and 1.80 m at 20 degrees and 760 Torr: 0.5 * 1.2047 * 0.5115 * 0.9, by hand
    run = start_from_steps(
        mass_kg=75.0, drag_kg_per_m=drag, vmax_mps=9.5, tau_s=1.15, contact_s=CONTACTS, flight_s=FLIGHTS
    )
    same = simulate(run, step=1, contact_change_s=0.020)
    assert found.sentence == same.sentence
    assert found.sentence.endswith("A model, not a promise.")
    assert [row["change_10_s"] for row in found.closures] == pytest.approx(
        [gates[10.0] for gates in same.gate_changes_s.values()], abs=2e-4
    )


def test_the_curve_of_gain_passes_through_nought_and_agrees_with_the_slider():
    found = what_if(PROFILE, MARKED, SETTINGS, step=2, contact_s=0.010)
    by_change = {round(row["change"], 4): row for row in found.curve}
    assert by_change[0.0]["least_s"] == pytest.approx(0.0, abs=1e-12)
    changes = [
        row["change_10_s"] for row in found.closures if row["assumption"] != "the same push in total, only slower"
    ]
    assert by_change[0.010]["least_s"] == pytest.approx(-max(changes))
    assert by_change[0.010]["most_s"] == pytest.approx(-min(changes))


def test_a_heavier_body_and_another_top_speed_are_ranges():
    found = what_if(PROFILE, MARKED, SETTINGS, mass_percent=2.0)
    for row in found.run_rows:
        # by hand: force per kg held changes nothing; force held makes tau 1.02 times as long
        worse = float(time_at(row["gate_m"], 9.5, 1.15 * 1.02) - time_at(row["gate_m"], 9.5, 1.15))
        assert (row["low_s"], row["high_s"]) == pytest.approx((0.0, worse), abs=1e-12)
    faster = what_if(PROFILE, MARKED, SETTINGS, vmax_mps=0.2)
    for row in faster.run_rows:
        # tau held: the start grows stronger too; 9.5 / 1.15 held: tau is 1.15 * 9.7 / 9.5
        ends = [float(time_at(row["gate_m"], 9.7, tau) - time_at(row["gate_m"], 9.5, 1.15)) for tau in
                (1.15, 1.15 * 9.7 / 9.5)]  # fmt: skip
        assert (row["low_s"], row["high_s"]) == pytest.approx(ends, abs=1e-12)
        assert row["low_s"] < row["high_s"] < 0
    assert "holds it" in faster.run_sentence
    quicker = what_if(PROFILE, MARKED, SETTINGS, tau_s=-0.05)
    assert all(row["low_s"] == row["high_s"] < 0 for row in quicker.run_rows)


@pytest.mark.parametrize(
    ("profile", "steps", "reason"),
    [
        (PROFILE | {"trust": "poor", "trust_reason": "hand_timed"}, MARKED, "hand_timed"),
        (PROFILE | {"force_velocity_reason": "resisted"}, MARKED, "resisted"),
        (PROFILE | {"body_mass_kg": None}, MARKED, "no_body_mass"),
        (PROFILE, MARKED[:2], "few_steps"),
        (PROFILE, [], "no_steps"),
        (PROFILE, [MARKED[0], MARKED[2], MARKED[3]], "few_steps"),  # a gap is not bridged
    ],
)
def test_no_answer_without_what_it_needs(profile: dict, steps: list, reason: str):
    assert what_if(profile, steps, SETTINGS, contact_s=0.01).reason == reason


def test_a_change_that_leaves_no_contact_says_so():
    assert what_if(PROFILE, MARKED, SETTINGS, contact_s=-0.5).reason == "change_not_possible"
