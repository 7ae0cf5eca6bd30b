"""The profile of a run: time zero by how the clock was started, trust and its reasons, what is null and why."""

import datetime as dt

import numpy as np
import polars as pl
import pytest

from pipelines.derived.sprint.air import drag_constant
from pipelines.derived.sprint.force_velocity import profile_force
from pipelines.derived.sprint.motion import time_at
from pipelines.derived.sprint.profile import sprint_profile, sprint_session
from pipelines.derived.sprint.profile_columns import delta_error
from pipelines.derived.sprint.run_error import sprint_noise
from pipelines.derived.sprint.time_zero import FOOT_RELEASE_MEAN_S, HAND_RELEASE_MEAN_S
from schemas.caveats.sprint import CAVEATS
from schemas.derived.sprint import SprintNoise, SprintProfile, SprintSession
from schemas.settings import SquadSettings
from tests.derived.sprint.sprint_frames import DAY, ELECTRONIC, Track, empty, no_noise

GATES = (10.0, 20.0, 30.0, 40.0)
EXACT = time_at(np.array(GATES), 10.0, 1.2)
FIRST = {"clock_start": "first_movement", "start_kind": "blocks", **ELECTRONIC}


def profile(track: Track) -> pl.DataFrame:
    found = sprint_profile(**track.frames(), settings=SquadSettings())
    return SprintProfile.validate(found)


def one(distances, times, *, mass_kg=75.0, **rep):
    return profile(Track(mass_kg=mass_kg).run(distances, times, **rep)).row(0, named=True)


@pytest.mark.parametrize(
    ("shift", "rep", "rule"),
    [
        (0.15, {"clock_start": "gun", "reaction_s": 0.15, "start_kind": "blocks"}, "gun_reaction"),
        (0.15, {"clock_start": "gun", "start_kind": "blocks"}, "gun_prior"),
        (0.0, {"clock_start": "first_movement", "start_kind": "blocks"}, "first_movement"),
        (-HAND_RELEASE_MEAN_S, {"clock_start": "hand_release", "start_kind": "three_point"}, "release_prior"),
        (-FOOT_RELEASE_MEAN_S, {"clock_start": "hand_release", "start_kind": "standing"}, "release_prior"),
    ],
)
def test_every_clock_is_brought_back_to_first_movement(shift, rep, rule):
    row = one(GATES, EXACT + shift, **rep, **ELECTRONIC)
    assert row["time_zero"] == rule
    assert (row["vmax_mps"], row["tau_s"]) == pytest.approx((10.0, 1.2), abs=1e-4)
    assert row["time_offset_s"] == pytest.approx(shift, abs=1e-4)
    assert row["t_10_s"] == pytest.approx(1.967037, abs=1e-4)
    assert row["v_10_mps"] == pytest.approx(8.0586, abs=1e-3)
    assert row["a0_mps2"] == pytest.approx(10 / 1.2, abs=1e-3)


@pytest.mark.parametrize(("offset", "rule"), [(0.5, "gate_known"), (None, "gate_unknown")])
def test_standing_half_a_metre_behind_the_first_gate(offset, rule):
    rep = {"clock_start": "first_gate", "start_kind": "standing", "gate_offset_m": offset, **ELECTRONIC}
    row = one(GATES, (1.6648, 2.8002, 3.8503, 4.8708), **rep)
    assert row["time_zero"] == rule
    assert (row["vmax_mps"], row["tau_s"]) == pytest.approx((10.0, 1.2), abs=0.005)
    assert row["behind_m"] == pytest.approx(0.5, abs=0.002)
    assert row["time_offset_s"] == pytest.approx(-0.363910, abs=5e-4)  # the hidden time t(0.5), computed
    assert row["t_10_s"] == pytest.approx(1.967, abs=0.002)
    assert row["trust"] == ("good" if offset else "thin")
    assert row["trust_reason"] == (None if offset else "gate_offset_unknown")


def test_a_hidden_start_is_suspected_and_gets_no_force():
    # the same run told as if the clock had started with the athlete: tau 0.707 s, no sprint start
    row = one(GATES, (1.6648, 2.8002, 3.8503, 4.8708), **FIRST)
    assert (row["vmax_mps"], row["tau_s"]) == pytest.approx((9.576, 0.707), abs=0.003)
    assert (row["trust"], row["trust_reason"]) == ("poor", "start_doubtful")
    assert row["force_velocity_reason"] == "start_doubtful"
    assert [row[name] for name in ("f0_n_per_kg", "pmax_w_per_kg", "rf_max", "drf_s_per_m", "t_10_s")] == [None] * 5
    assert row["free_tau_s"] == pytest.approx(1.149, abs=0.003)  # the check that points at the clock


def test_a_run_behind_the_line_with_a_clock_at_first_movement_has_moved_further():
    times = time_at(np.array(GATES) + 0.4, 10.0, 1.2)
    row = one(GATES, times, gate_offset_m=0.4, **FIRST)
    assert (row["vmax_mps"], row["tau_s"]) == pytest.approx((10.0, 1.2), abs=1e-4)


def test_a_rolling_start_gives_top_speed_only():
    # by hand: 10 m in 1.05, 1.01 and 1.00 s, 9.524, 9.901 and 10.0 m/s, variance 0.06314; timing alone
    # (sqrt(2) 0.01 v/t)^2 = 0.01645, 0.01922, 0.02, mean 0.01856; B = 1 - 1.5 x 0.01856 / 0.06314 = 0.559;
    # the whole 30/3.06 = 9.8039, so 9.8039 + 0.559 x 0.1961 = 9.9135;
    # error: 0.559 x 0.14142 = 0.07907 and 0.441 x sqrt(2) 0.01 x 9.8039/3.06 = 0.01998, together 0.0816
    row = one((10, 20, 30), (1.05, 2.06, 3.06), clock_start="first_gate", start_kind="rolling", **ELECTRONIC)
    assert row["vmax_mps"] == pytest.approx(9.9135, abs=1e-3)
    assert row["vmax_mps_se"] == pytest.approx(0.0816, abs=1e-3)
    assert (row["tau_s"], row["t_10_s"], row["f0_n_per_kg"]) == (None, None, None)
    assert (row["trust"], row["trust_reason"]) == ("thin", "rolling_start")


def test_a_flying_ten_metres_is_enough_for_top_speed():
    row = one((10,), (0.95,), clock_start="first_gate", start_kind="rolling", **ELECTRONIC)
    assert row["vmax_mps"] == pytest.approx(10 / 0.95)


def test_force_velocity_numbers_of_the_worked_example():
    # computed (V 10, tau 1.2, 75 kg, 1.80 m, 20 degrees C, 760 Torr): 8.2311 N/kg, 10.4453 m/s, 21.494 W/kg
    row = one(GATES, EXACT, **FIRST)
    assert row["f0_n_per_kg"] == pytest.approx(8.2311, rel=5e-4)
    assert row["v0_mps"] == pytest.approx(10.4453, rel=5e-4)
    assert row["pmax_w_per_kg"] == pytest.approx(21.494, rel=5e-4)
    assert row["rf_max"] == pytest.approx(0.5528, abs=5e-4)
    assert row["drf_s_per_m"] == pytest.approx(-0.0697, abs=5e-4)
    assert row["remarks"] == "air_assumed wind_not_measured"


def test_measured_air_and_wind_are_used():
    frames = Track().run(GATES, EXACT, wind_ms=2.0, **FIRST).frames()
    frames["session"] = frames["session"].with_columns(
        air_temperature_c=pl.lit(0.0), air_pressure_torr=pl.lit(750.0), indoor=pl.lit(False)
    )
    row = sprint_profile(**frames, settings=SquadSettings()).row(0, named=True)
    drag = np.array([float(drag_constant(75.0, 1.80, 0.0, 750.0))])
    by_hand = profile_force(np.array([10.0]), np.array([1.2]), np.array([75.0]), drag, np.array([2.0]))
    assert row["f0_n_per_kg"] == pytest.approx(by_hand.f0_n_per_kg[0], rel=1e-6)
    assert row["remarks"] is None


def test_body_mass_is_the_latest_before_the_run_and_not_older_than_180_days():
    frames = Track().run(GATES, EXACT, **FIRST).frames()

    def reason(measures):
        rows = [{"athlete_id": "ada", "measured_on": d, "body_mass_kg": m, "height_m": h} for d, m, h in measures]
        body = pl.DataFrame(rows, schema_overrides=dict(empty("body_measure").schema))
        body = pl.concat([empty("body_measure"), body], how="diagonal")
        row = sprint_profile(**(frames | {"body_measure": body}), settings=SquadSettings()).row(0, named=True)
        return row["force_velocity_reason"], row["body_mass_kg"], row["height_m"]

    day = dt.timedelta(days=1)
    assert reason([(DAY - 180 * day, 70.0, 1.8)]) == (None, 70.0, 1.8)
    assert reason([(DAY - 181 * day, 70.0, 1.8)]) == ("no_body_mass", None, 1.8)
    assert reason([(DAY + day, 70.0, 1.8)]) == ("no_body_mass", None, None)
    assert reason([(DAY - 9 * day, 70.0, 1.8), (DAY, 71.0, None)]) == (None, 71.0, 1.8)
    assert reason([(DAY, 71.0, None)]) == ("no_height", 71.0, None)
    assert reason([(DAY - 731 * day, None, 1.8), (DAY, 71.0, None)]) == ("no_height", 71.0, None)


def test_splits_past_the_fastest_ten_metres_are_left_out_and_said():
    # Berlin 2009, place 1, rounding A (Graubner & Nixdorf 2011, seen second-hand): fastest 60-70 m in 0.81 s
    times = (1.89, 2.88, 3.78, 4.64, 5.47, 6.29, 7.10, 7.92, 8.75, 9.58)
    gun = {"clock_start": "gun", "reaction_s": 0.146, "start_kind": "blocks", **ELECTRONIC}
    row = one(range(10, 101, 10), times, **gun)
    assert (row["fitted_to_m"], row["splits_used"], row["splits_left_out"]) == (70.0, 7, 3)
    assert "past_fastest_cut" in row["remarks"]
    to_60 = one(range(10, 61, 10), times[:6], **gun)
    assert (to_60["vmax_mps"], to_60["tau_s"], to_60["rmse_s"]) == pytest.approx((12.147, 1.221, 0.0076), abs=0.002)
    # fastest 10 m: 10/0.81 = 12.346 m/s (12.35 in a news report), 0.2 above the fit: within timing noise, not poor;
    # as a rolling run it is drawn in for being the fastest of nine, by less than its error of 0.22
    flying = one(range(10, 101, 10), times, **(gun | {"start_kind": "rolling"}))
    assert 12.346 - 0.22 < flying["vmax_mps"] < 12.346
    assert row["trust"] == "good"


def test_five_metre_gates_do_not_name_the_fastest_part_by_noise():
    gates = np.arange(5.0, 31.0, 5.0)
    times = time_at(gates, 9.5, 1.2)
    times[4] -= 0.006  # 25 m read early: 20-25 m looks faster than 25-30 m, but not over 10 m
    row = one(gates, times, **FIRST)
    assert row["splits_left_out"] == 0


def test_a_ceiling_below_a_speed_the_run_shows_is_poor():
    times = EXACT.copy()
    times[1:] += 0.045  # a late second gate: the run then shows 10 m in 0.94 s at the end
    times[3] -= 0.075
    row = one(GATES, times, **FIRST)
    assert row["fit_status"] == "converged"
    assert (row["trust"], row["trust_reason"]) == ("poor", "vmax_below_run")
    assert row["vmax_mps"] < 10.0 / (times[3] - times[2])
    assert row["f0_n_per_kg"] is None


@pytest.mark.parametrize(
    ("distances", "times", "rep", "status", "reason"),
    [
        (GATES, EXACT, {"timing_kind": "hand"}, "not_fitted", "hand_timed"),
        (GATES, EXACT, {"outcome": "false_start"}, "not_fitted", "false_start"),
        ((), (), {}, "too_few_splits", "no_splits"),
        (GATES[:2], EXACT[:2], {"clock_start": "first_gate"}, "too_few_splits", "too_few_splits"),
        (GATES, EXACT[[1, 0, 2, 3]], {}, "not_increasing", "times_not_increasing"),
        (GATES, EXACT * 1000, {}, "at_bound", "fit_at_bound"),
        (GATES, EXACT + np.array([0.0, 0.3, 0.0, 0.0]), {}, "poor_fit", "poor_fit"),
        (GATES, EXACT, {"clock_start": None}, "converged", "clock_start_unknown"),
    ],
)
def test_a_run_that_cannot_be_used_says_why(distances, times, rep, status, reason):
    row = one(distances, times, **(FIRST | rep))
    assert (row["fit_status"], row["trust"], row["trust_reason"]) == (status, "poor", reason)
    assert row["force_velocity_reason"] == reason
    assert row["f0_n_per_kg"] is None
    if status not in ("converged",):
        assert row["vmax_mps"] is None
        assert row["tau_s"] is None


@pytest.mark.parametrize(
    ("rep", "reason"),
    [
        ({"outcome": "stopped"}, "stopped_early"),
        ({"effort_percent": 90.0}, "submaximal_effort"),
        ({"timing_kind": None}, "timing_unknown"),
        ({"clock_start": "gun", "reaction_s": 0.0}, "reaction_doubtful"),
    ],
)
def test_a_run_to_take_with_care_says_why(rep, reason):
    row = one(GATES, EXACT, **(FIRST | rep))
    assert (row["trust"], row["trust_reason"]) == ("thin", reason)


def test_three_splits_are_thin():
    row = one(GATES[:3], EXACT[:3], **FIRST)
    assert (row["trust"], row["trust_reason"], row["splits_used"]) == ("thin", "few_splits", 3)
    assert row["vmax_mps"] == pytest.approx(10.0, abs=1e-4)


def test_resisted_runs_keep_their_curve_and_get_no_force():
    row = one(
        GATES, time_at(np.array(GATES), 6.0, 1.4), **(FIRST | {"resistance_kind": "sled", "resistance_load_kg": 40.0})
    )
    assert row["vmax_mps"] == pytest.approx(6.0, abs=1e-4)
    assert (row["f0_n_per_kg"], row["force_velocity_reason"]) == (None, "resisted")
    unsaid = one(GATES, EXACT, **(FIRST | {"resistance_kind": None, "resistance_load_kg": 40.0}))
    assert unsaid["force_velocity_reason"] == "resisted"


def test_one_gate_and_a_known_clock_still_give_the_time_there():
    # gun, reaction 0.140: 2.00 - 0.140 = 1.86 s; reaction unknown: 2.00 - 0.15, error sqrt(0.01^2 + 0.02^2 + 0.01^2)
    known = one((10,), (2.00,), clock_start="gun", reaction_s=0.14, start_kind="blocks", **ELECTRONIC)
    prior = one((10,), (2.00,), clock_start="gun", start_kind="blocks", **ELECTRONIC)
    assert (known["t_10_s"], known["t_10_s_se"]) == pytest.approx((1.86, 0.01))
    assert (prior["t_10_s"], prior["t_10_s_se"]) == pytest.approx((1.85, np.sqrt(0.0006)))
    assert known["trust"] == "thin"
    assert (known["trust_reason"], known["vmax_mps"], known["t_20_s"]) == ("too_few_splits", None, None)


def test_a_run_too_short_for_top_speed_keeps_its_times_and_is_thin():
    gates = np.array([2.0, 4, 6])
    row = one(gates, time_at(gates, 10.0, 1.2), **(FIRST | {"timing_kind": "video"}))
    assert (row["fit_status"], row["trust"], row["trust_reason"]) == (
        "vmax_not_identified", "thin", "vmax_not_identified",
    )  # fmt: skip
    assert row["t_5_s"] == pytest.approx(1.290672, abs=1e-4)
    assert [row[name] for name in ("vmax_mps", "tau_s", "a0_mps2", "f0_n_per_kg", "t_20_s")] == [None] * 5


def test_times_are_read_off_the_curve_only_near_the_gates():
    row = one((20, 40, 60), time_at(np.array([20.0, 40, 60]), 10.0, 1.2), **FIRST)
    assert row["t_5_s"] is None  # nearer than half the first gate
    assert row["t_10_s"] == pytest.approx(1.967037, abs=1e-4)
    short = one((5, 10, 15, 20), time_at(np.array([5.0, 10, 15, 20]), 9.0, 1.1), **FIRST)
    assert short["t_20_s"] is not None
    assert short["t_30_s"] is None  # 30 m lies more than a tenth past 20 m


def test_time_errors_are_those_of_many_simulated_runs():
    rng = np.random.default_rng(2)
    track = Track()
    for number in range(1500):
        # 0.010 s of timing and 0.010 s between the first movement and what was taken for it, as is stated
        track.run(
            GATES,
            EXACT + rng.normal(0, 0.01, 4) + rng.normal(0, 0.01),
            rep_no=number % 190 + 1,
            session_no=number // 190 + 1,
            **FIRST,
        )
    found = profile(track).filter(pl.col("trust") != "poor", pl.col("fitted_to_m") == 40.0)
    for name in ("t_5_s", "t_10_s", "t_30_s", "v_5_mps", "v_10_mps", "vmax_mps", "tau_s", "f0_n_per_kg"):
        # one run's error against the spread of all: within 10 %
        assert found[f"{name}_se"].median() == pytest.approx(found[name].std(), rel=0.10)
        truth = {"t_10_s": 1.967037, "vmax_mps": 10.0, "tau_s": 1.2}.get(name)
        if truth is not None:
            inside = ((found[name] - truth).abs() <= 1.96 * found[f"{name}_se"]).mean()
            assert 0.93 <= inside <= 0.995


def test_every_reason_has_its_sentence():
    track = Track()
    track.run(GATES, EXACT, **(FIRST | {"timing_kind": "hand"})).run((), (), **FIRST).run(
        GATES, EXACT, start_kind="blocks"
    )
    found = profile(track)
    for name in ("trust_reason", "force_velocity_reason", "remarks"):
        for codes in found[name].drop_nulls():
            assert set(codes.split()) <= set(CAVEATS)


def test_runs_stay_separate_and_none_is_lost():
    track = Track()
    for number in range(5):
        track.run(GATES, EXACT + 0.01 * number, session_date=DAY + dt.timedelta(days=number), rep_no=1, **FIRST)
    assert profile(track)["session_date"].to_list() == [DAY + dt.timedelta(days=number) for number in range(5)]


def test_no_runs_are_no_fault():
    nothing = {name: empty(name) for name in ("rep", "split", "session", "body_measure", "athlete")}
    noise = sprint_noise(nothing["rep"], nothing["split"], nothing["athlete"])
    assert SprintNoise.validate(noise).is_empty()
    found = SprintProfile.validate(sprint_profile(**nothing, sprint_noise=no_noise(), settings=SquadSettings()))
    assert found.is_empty()
    assert SprintSession.validate(sprint_session(found)).is_empty()


def test_best_and_typical_of_a_session():
    # t_10 of three runs: tau 1.10, 1.20, 1.15 -> best is the least, typical the middle one; the sled run does not count
    track = Track()
    for tau in (1.10, 1.20, 1.15):
        track.run(GATES, time_at(np.array(GATES), 10.0, tau), **FIRST)
    track.run(GATES, time_at(np.array(GATES), 6.0, 1.2), **(FIRST | {"resistance_kind": "sled"}))
    track.run(GATES, time_at(np.array(GATES), 9.0, 1.2), **(FIRST | {"effort_percent": 90.0}))
    table = SprintSession.validate(sprint_session(profile(track)))
    row = table.filter(pl.col("metric") == "t_10_s").row(0, named=True)
    expected = [float(time_at(10.0, 10.0, tau)) for tau in (1.10, 1.15)]
    assert (row["best"], row["typical"]) == pytest.approx(expected, abs=1e-4)
    assert row["reps"] == 3
    speed = table.filter(pl.col("metric") == "v_10_mps").row(0, named=True)
    assert speed["best"] > speed["typical"]


def test_different_clocks_of_one_day_are_kept_apart():
    track = Track().run(GATES, EXACT, **FIRST)
    track.run(GATES, EXACT + 0.15, clock_start="gun", reaction_s=0.15, start_kind="blocks", **ELECTRONIC)
    table = sprint_session(profile(track)).filter(pl.col("metric") == "t_10_s")
    assert sorted(table["clock_start"]) == ["first_movement", "gun"]
    assert table["reps"].to_list() == [1, 1]


def test_an_error_is_the_same_to_the_last_bit_alone_and_among_others():
    rng = np.random.default_rng(4)
    slope, half = rng.standard_normal((200, 2)), rng.standard_normal((200, 2, 2))
    covariance = half @ half.transpose(0, 2, 1)
    together = delta_error(slope, covariance)
    alone = [delta_error(slope[i : i + 1], covariance[i : i + 1])[0] for i in range(200)]
    assert np.array_equal(together, alone)
    assert together == pytest.approx([np.sqrt(s @ c @ s) for s, c in zip(slope, covariance, strict=True)])


def test_the_same_times_from_a_gun_with_a_known_reaction_keep_their_numbers_as_thin():
    # No start can be hidden there; what the curve lacks is the push from the blocks (Healy et al. 2022 find it late).
    times = EXACT.copy()
    times[1:] += 0.045
    times[3] -= 0.075
    gun = {"clock_start": "gun", "start_kind": "blocks", "reaction_s": 0.15, **ELECTRONIC}
    row = one(GATES, times + 0.15, **gun)
    assert (row["trust"], row["trust_reason"]) == ("thin", "block_push_not_in_model")
    assert row["f0_n_per_kg"] > 0
    assert row["vmax_mps"] == pytest.approx(one(GATES, times, **FIRST)["vmax_mps"])
    # a reaction that is itself a slip may hide a start: then the run stays poor
    assert one(GATES, times + 0.05, **(gun | {"reaction_s": 0.05}))["trust"] == "poor"
