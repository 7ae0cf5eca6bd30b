"""The error of one run in its parts: timing, by squad and session; time zero; and what the model is late by."""

import datetime as dt

import numpy as np
import polars as pl
import pytest
from scipy import stats

from pipelines.derived.sprint.model_late import LEAST_RUNS, MODEL_LATE_S
from pipelines.derived.sprint.motion import time_at
from pipelines.derived.sprint.profile import sprint_profile
from pipelines.derived.sprint.run_error import sprint_noise
from pipelines.derived.sprint.time_zero import usual_reaction
from schemas.derived.sprint import SprintNoise, SprintProfile
from schemas.settings import SquadSettings
from tests.bench.run_error_squads import Timed, coverage
from tests.derived.sprint.sprint_frames import DAY, ELECTRONIC, Track

GATES = np.array([10.0, 20.0, 30.0, 40.0])
FIRST = {"clock_start": "first_movement", "start_kind": "blocks", **ELECTRONIC}


def runs_of(noise_s: float, days: int, *, seed: int = 3, **says: object) -> Track:
    rng = np.random.default_rng(seed)
    track = Track()
    for number in range(3 * days):
        times = time_at(GATES, 10.0, 1.2) + noise_s * rng.standard_normal(4)
        track.run(
            GATES, times, session_date=DAY - dt.timedelta(days=number // 3), rep_no=number % 3 + 1, **FIRST | says
        )
    return track


def profile(track: Track) -> pl.DataFrame:
    frames = track.frames()
    frames["sprint_noise"] = SprintNoise.validate(sprint_noise(frames["rep"], frames["split"], frames["athlete"]))
    return SprintProfile.validate(sprint_profile(**frames, settings=SquadSettings()))


@pytest.mark.parametrize("noise_ms", [3.0, 30.0])
def test_the_squads_own_times_say_how_noisy_they_are(noise_ms: float):
    frames = runs_of(noise_ms / 1000, 60).frames()
    row = sprint_noise(frames["rep"], frames["split"], frames["athlete"]).row(0, named=True)
    assert (row["runs"], row["freedom"], row["usual_s"]) == (180, 360, 0.010)  # four times less two unknowns
    # (10 x 10^2 + 360 s^2) / 370, with s known to 1 / sqrt(2 x 360) = 4 %
    expected = ((10 * 10.0**2 + 360 * noise_ms**2) / 370) ** 0.5
    assert 1000 * row["noise_s"] == pytest.approx(expected, rel=0.12)


def test_one_run_alone_has_the_usual_noise_and_the_t_of_what_stands_behind_it():
    # exact times: variance = (12 x 0.01^2 + 0) / (12 + 2), times t(14) / 1.96 (scipy)
    track = Track().run(GATES, time_at(GATES, 10.0, 1.2), **FIRST)
    frames = track.frames()
    row = sprint_profile(**frames, settings=SquadSettings()).row(0, named=True)
    jacobian = np.stack(
        [(time_at(GATES, 10.0 + h, 1.2 + k) - time_at(GATES, 10.0, 1.2)) / 1e-6 for h, k in ((1e-6, 0), (0, 1e-6))],
        axis=1,
    )
    inverse = np.linalg.inv(jacobian.T @ jacobian)
    sigma = (12 * 0.01**2 / 14) ** 0.5 * stats.t(14).ppf(0.975) / 1.96
    assert row["vmax_timing_error_mps"] == pytest.approx(sigma * inverse[0, 0] ** 0.5, rel=1e-3)
    assert row["tau_timing_error_s"] == pytest.approx(sigma * inverse[1, 1] ** 0.5, rel=1e-3)
    # time zero known to 10 ms: a clock late by 10 ms at every gate, solved by the same least squares
    shift = inverse @ jacobian.T @ np.full(4, 0.010)
    assert row["vmax_zero_error_mps"] == pytest.approx(abs(shift[0]), rel=0.02)
    assert row["tau_zero_error_s"] == pytest.approx(abs(shift[1]), rel=0.02)
    for name, unit in (("vmax", "mps"), ("tau", "s"), ("t_10", "s")):
        parts = row[f"{name}_timing_error_{unit}"] ** 2 + row[f"{name}_zero_error_{unit}"] ** 2
        assert row[f"{name}_{unit}_se"] == pytest.approx(parts**0.5, rel=1e-9)


def test_an_unknown_reaction_is_an_error_of_time_zero_not_of_the_timing():
    known = profile(runs_of(0.005, 10, clock_start="gun", reaction_s=0.15)).select(pl.col("^t_10_.*_error_s$").median())
    unknown = profile(runs_of(0.005, 10, clock_start="gun")).select(pl.col("^t_10_.*_error_s$").median())
    assert unknown["t_10_zero_error_s"].item() > 1.5 * known["t_10_zero_error_s"].item()
    assert unknown["t_10_timing_error_s"].item() == pytest.approx(known["t_10_timing_error_s"].item(), rel=0.35)


def test_what_the_model_is_late_by_is_stated_from_blocks_alone():
    # Healy et al. 2022 (abstract): the 10 m 1.6 % late, SD 1.3; of 1.9 s 30 ms, which 27 ms lies within
    assert abs(MODEL_LATE_S - 0.016 * 1.9) < 0.013 * 1.9
    assert profile(runs_of(0.005, 2))["t_10_model_late_s"].unique().to_list() == [MODEL_LATE_S]
    row = profile(runs_of(0.005, 2)).row(0, named=True)
    assert (row["t_10_model_by"], row["t_10_model_reason"]) == ("published_runs", None)
    for start in ("standing", "three_point", "falling"):
        row = profile(runs_of(0.005, 2, start_kind=start)).row(0, named=True)
        told = row["t_10_model_late_s"], row["t_10_model_by"], row["t_10_model_reason"]
        assert told == (None, None, "model_not_checked")
    rolling = profile(runs_of(0.005, 2, start_kind="rolling")).row(0, named=True)  # no 10 m, so nothing to be late
    assert (rolling["t_10_s"], rolling["t_10_model_late_s"], rolling["t_10_model_reason"]) == (None, None, None)


def late_squad(late_s: float, athletes: int, days: int) -> Track:
    """Runs that pass 10 m earlier than any one curve of the other gates says."""
    rng = np.random.default_rng(8)
    gates, track = np.array([5.0, 10.0, 20.0, 30.0, 40.0]), Track()
    for number in range(athletes * days):
        times = time_at(gates, 9.5, 1.2) + 0.004 * rng.standard_normal(5) - late_s * (gates == 10.0)
        track.run(
            gates, times, athlete_id=f"a{number % athletes}", session_date=DAY - dt.timedelta(days=number),
            start_kind="standing", clock_start="first_movement", **ELECTRONIC,
        )  # fmt: skip
    return track


def test_a_squads_own_gates_say_what_the_curve_of_other_starts_is_late_by():
    found = profile(late_squad(0.020, 4, 10))
    assert found["t_10_model_late_s"].to_list() == [pytest.approx(0.020, abs=0.003)] * 40  # 4 ms / sqrt(40), times 4
    assert found["t_10_model_by"].unique().to_list() == ["own_gates"]
    early = profile(late_squad(-0.015, 4, 10))
    assert early["t_10_model_late_s"][0] == pytest.approx(-0.015, abs=0.003)


@pytest.mark.parametrize(("athletes", "days"), [(2, 20), (4, (LEAST_RUNS - 4) // 4)])
def test_two_athletes_or_a_few_runs_say_nothing_of_it(athletes: int, days: int):
    frames = late_squad(0.020, athletes, days).frames()
    row = sprint_noise(frames["rep"], frames["split"], frames["athlete"]).row(0, named=True)
    assert (row["late_10_s"], row["late_10_error_s"], row["late_10_runs"]) == (None, None, athletes * days)


def test_a_child_is_reckoned_to_react_later_and_less_surely():
    # Dev Med Child Neurol 1984, 26:490-494 (abstract read): mean 465 ms at five years, 190 ms at fifteen
    track = Track()
    gun = {"clock_start": "gun", "start_kind": "blocks", **ELECTRONIC}
    track.run(GATES, time_at(GATES, 8.0, 1.2) + 0.19, **gun)
    rep = track.frames()["rep"]

    def at_age(years: float | None) -> tuple[float, float]:
        born = None if years is None else DAY - dt.timedelta(days=round(365.25 * years))
        people = track.frames()["athlete"].with_columns(birth_date=pl.lit(born, dtype=pl.Date))
        mean, sd = usual_reaction(rep, people)
        return float(mean[0]), float(sd[0])

    assert at_age(5)[0] / at_age(15)[0] == pytest.approx(465 / 190, rel=1e-3)
    # by hand at twelve: (16 / 12)^0.8147 = 1.2641: 0.1896 s; SD^2 = (0.02 x 1.2641)^2 + (0.075 x 0.2641)^2 + 0.01^2
    assert at_age(12) == (pytest.approx(0.18962, abs=1e-4), pytest.approx(0.03360, abs=1e-4))
    assert at_age(16) == at_age(30) == at_age(None) == (pytest.approx(0.15), pytest.approx(0.0005**0.5))


def test_a_rolling_top_speed_is_not_too_fast_for_being_the_fastest_of_several():
    rng = np.random.default_rng(8)
    track = Track()
    for number in range(400):
        times = np.arange(1.0, 4.0) + 0.010 * rng.standard_normal(3)
        on = DAY - dt.timedelta(days=number)
        rolling = {"start_kind": "rolling", "clock_start": "first_gate", **ELECTRONIC}
        track.run((10, 20, 30), times, session_date=on, rep_no=1, **rolling)
    found = profile(track)["vmax_mps"].to_numpy()
    fastest = []
    for key, rows in track.frames()["split"].group_by("session_date"):
        del key
        fastest.append((10 / np.diff(np.concatenate([[0.0], rows.sort("distance_m")["elapsed_s"].to_numpy()]))).max())
    assert np.mean(fastest) - 10.0 > 0.10  # what the fastest of three is too fast by
    assert abs(found.mean() - 10.0) < 0.05


@pytest.mark.parametrize(
    ("rule", "noise_ms", "gates"),
    [("gun_reaction", 3.0, 4), ("first_movement", 10.0, 3), ("gate_known", 30.0, 6), ("hand_release", 10.0, 6)],
)
def test_an_interval_holds_the_truth_of_a_body_that_is_not_our_model(rule: str, noise_ms: float, gates: int):
    # 576 runs: three binomial errors are 2.7 points of 95. The hand release cannot come before the start, which its
    # prior (Haugen et al. 2012) does not know: it holds more.
    found = coverage(Timed("", noise_ms, gates, rule), seed=11)
    most = 100.0 if rule == "hand_release" else 97.0 + 1.7
    for name in ("vmax_mps", "tau_s", "t_10_s"):
        assert 93.0 - 1.7 <= found[name] <= most, (name, found)


CHAMPIONSHIPS = [
    # Times from the gun at every 10 m, and the reaction. Berlin 2009: Graubner & Nixdorf 2011, New Studies in Athletics
    # 26(1/2), roundings A and B. Paris 2024, Doha 2019, Eugene 2023: results books. All seen second-hand.
    (0.146, (1.89, 2.88, 3.78, 4.64, 5.47, 6.29, 7.10, 7.92, 8.75, 9.58)),
    (0.146, (1.88, 2.88, 3.78, 4.64, 5.47, 6.29, 7.10, 7.92, 8.74, 9.58)),
    (0.178, (1.95, 2.98, 3.90, 4.76, 5.61, 6.44, 7.26, 8.09, 8.93, 9.79)),
    (0.176, (1.90, 2.93, 3.84, 4.72, 5.56, 6.41, 7.24, 8.07, 8.92, 9.79)),
    (0.108, (1.87, 2.92, 3.85, 4.73, 5.58, 6.41, 7.25, 8.09, 8.94, 9.81)),
    (0.163, (1.91, 2.96, 3.88, 4.75, 5.61, 6.46, 7.29, 8.14, 9.00, 9.88)),
    (0.128, (1.83, 2.85, 3.77, 4.64, 5.48, 6.32, 7.16, 8.01, 8.88, 9.76)),
    (0.144, (1.99, 3.13, 4.15, 5.12, 6.07, 7.02, 7.99, 8.95, 9.92, 10.92)),
    (0.134, (2.02, 3.14, 4.15, 5.11, 6.06, 6.99, 7.94, 8.89, 9.85, 10.83)),
]


@pytest.mark.parametrize("noise_s", [0.005, 0.010, 0.020])
def test_clean_championship_runs_keep_their_force_however_good_the_squads_timing(noise_s: float):
    track = Track(mass_kg=80.0, height_m=1.80)
    for reaction, times in CHAMPIONSHIPS:
        track.run(range(10, 101, 10), times, clock_start="gun", start_kind="blocks", reaction_s=reaction, **ELECTRONIC)
    noise = pl.DataFrame({
        "timing_kind": ["electronic"], "start_kind": ["blocks"], "runs": [100], "freedom": [300], "usual_s": [0.010],
        "noise_s": [noise_s], "late_10_s": pl.Series([None], dtype=pl.Float64),
    })  # fmt: skip
    found = sprint_profile(**(track.frames() | {"sprint_noise": noise}), settings=SquadSettings())
    assert found["trust"].is_in(["good", "thin"]).all(), found.select("trust", "trust_reason")
    assert found["f0_n_per_kg"].null_count() == 0
    # a reading that differs by 10 ms at two gates is judged as the other
    assert found["trust"][0] == found["trust"][1]
    thin = found.filter(pl.col("trust") == "thin")["trust_reason"].unique().to_list()
    assert set(thin) <= {"block_push_not_in_model"}


def test_a_reaction_that_was_not_measured_is_expected_to_be_the_athletes_own():
    # by hand: five own reactions of 0.20: mean (10 x 0.15 + 5 x 0.20) / 15 = 0.16667; SD^2 = (10 x 0.02^2 + 5 x
    # (0.20 - 0.16667)^2) / 15 + 0.01^2 = 0.00073704, SD 0.02715; a slip of 0.9 s counts for nothing
    track = Track()
    exact = time_at(GATES, 10.0, 1.2)
    gun = {"clock_start": "gun", "start_kind": "blocks", **ELECTRONIC}
    for number in range(5):
        track.run(GATES, exact + 0.20, reaction_s=0.20, rep_no=number + 1, **gun)
    track.run(GATES, exact + 0.90, reaction_s=0.90, rep_no=6, **gun)
    track.run(GATES, exact + 0.16667, rep_no=7, **gun)
    rep, people = track.frames()["rep"].sort("rep_no"), track.frames()["athlete"]
    mean, sd = usual_reaction(rep, people)
    assert mean == pytest.approx([0.166667] * 7, abs=1e-6)
    assert sd == pytest.approx([0.027148] * 7, abs=1e-5)
    row = profile(track).sort("rep_no").row(6, named=True)
    assert (row["time_zero"], row["vmax_mps"]) == ("gun_prior", pytest.approx(10.0, abs=1e-3))
    assert usual_reaction(rep.filter(pl.col("rep_no") == 7), people)[0].tolist() == [0.15]
