"""Every gate of a run against the run's own curve."""

import math

import numpy as np
import polars as pl
import pytest
from scipy.special import lambertw

from pipelines.derived.sprint.air import drag_constant
from pipelines.derived.sprint.curve import force_line, speed_curve, sprint_curve
from pipelines.derived.sprint.force_velocity import profile_force
from pipelines.derived.sprint.profile import sprint_profile
from schemas.settings import SquadSettings
from tests.derived.sprint.sprint_frames import ELECTRONIC, Track

VMAX, TAU = 9.0, 1.2
GATES = (5.0, 10.0, 20.0, 30.0, 40.0)


def exact_time(distance_m: float, vmax: float = VMAX, tau: float = TAU) -> float:
    """t(x) by scipy's Lambert W: tau (1 + xi + W0(-e^(-1-xi))), xi = x/(V tau). Source: samozino_2016."""
    xi = distance_m / (vmax * tau)
    return tau * (1.0 + xi + lambertw(-math.exp(-1.0 - xi)).real)


def curve_of(times: list[float], **rep: object) -> tuple[pl.DataFrame, pl.DataFrame]:
    given = {"start_kind": "blocks", "clock_start": "first_movement", **ELECTRONIC, **rep}
    frames = Track().run(GATES, times, **given).frames()
    profile = sprint_profile(**frames, settings=SquadSettings())
    return profile, sprint_curve(profile, frames["split"])


def test_times_of_the_model_lie_on_the_curve_and_agree_with_lambert_w():
    times = [exact_time(x) for x in GATES]
    profile, rows = curve_of(times)
    assert rows["distance_m"].to_list() == list(GATES)
    # outside check: scipy.special.lambertw with the fitted vmax and tau
    vmax, tau = profile["vmax_mps"][0], profile["tau_s"][0]
    expected = [exact_time(x, vmax, tau) for x in GATES]
    assert rows["fitted_s"].to_numpy() == pytest.approx(np.array(expected), abs=1e-9)
    assert rows["residual_s"].abs().max() < 2e-3


def test_a_gate_passed_late_stands_above_the_curve_by_hand():
    times = [exact_time(x) for x in GATES]
    times[2] += 0.030
    profile, rows = curve_of(times)
    late = rows.row(by_predicate=pl.col("distance_m") == 20.0, named=True)
    # by hand: clock - offset - t(20 m) of the fitted curve; the fit takes up part of the 0.030 s
    by_hand = times[2] - profile["time_offset_s"][0] - exact_time(20.0, profile["vmax_mps"][0], profile["tau_s"][0])
    assert late["residual_s"] == pytest.approx(by_hand, abs=1e-9)
    assert 0.010 < late["residual_s"] < 0.030
    # light gates: one time is good to 0.010 s
    assert late["residual_in_noise"] == pytest.approx(by_hand / 0.010, abs=1e-6)


def test_the_speed_of_a_stretch_is_its_length_over_its_time():
    times = [1.30, 2.05, 3.30, 4.45, 5.58]
    _, rows = curve_of(times)
    second = rows.row(1, named=True)
    # by hand: (10 - 5) / (2.05 - 1.30) = 6.6667 m/s; error sqrt(2) x 0.010 x 6.6667 / 0.75 = 0.1257 m/s
    assert second["stretch_from_m"] == 5.0
    assert second["stretch_speed_mps"] == pytest.approx(6.6667, abs=1e-4)
    assert second["stretch_speed_mps_se"] == pytest.approx(0.1257, abs=1e-4)
    # by hand: 6.6667 -+ 1.96 x 0.1257; halfway from 5 to 10 m; twice the 0.010 s of one time
    ends = (second["stretch_speed_low_mps"], second["stretch_speed_high_mps"])
    assert ends == pytest.approx((6.4203, 6.9131), abs=1e-3)
    assert (second["stretch_middle_m"], second["noise_band_s"]) == (7.5, 0.020)


def test_a_hand_timed_run_has_no_curve_and_no_row():
    _, rows = curve_of([exact_time(x) for x in GATES], timing_kind="hand")
    assert rows.is_empty()


def test_the_drawn_curve_ends_where_the_fit_ends_and_follows_the_model():
    profile, _ = curve_of([exact_time(x) for x in GATES])
    row = profile.row(0, named=True)
    drawn = speed_curve(row)
    assert drawn[0]["distance_m"] == 0.0
    assert drawn[-1]["distance_m"] == pytest.approx(row["fitted_to_m"])
    # outside check: v = V (1 - e^(-t/tau)) with t from scipy's Lambert W
    last = drawn[-1]
    time = exact_time(last["distance_m"], row["vmax_mps"], row["tau_s"])
    assert last["speed_mps"] == pytest.approx(row["vmax_mps"] * -math.expm1(-time / row["tau_s"]), abs=1e-9)
    assert all(point["low_mps"] <= point["speed_mps"] <= point["high_mps"] for point in drawn)


def test_a_split_without_a_distance_or_a_time_has_no_place_on_the_curve():
    frames = Track().run(GATES, [exact_time(x) for x in GATES], start_kind="blocks", clock_start="first_movement",
                         **ELECTRONIC).frames()  # fmt: skip
    profile = sprint_profile(**frames, settings=SquadSettings())
    last = frames["split"].tail(1)
    bare = [last.with_columns(pl.lit(None, pl.Float64).alias(name)) for name in ("distance_m", "elapsed_s")]
    assert sprint_curve(profile, pl.concat([frames["split"], *bare])).equals(sprint_curve(profile, frames["split"]))


def test_the_band_of_the_force_line_is_that_of_drawn_curves():
    times = [exact_time(x) + slip for x, slip in zip(GATES, (0.004, -0.004, 0.004, -0.004, 0.004), strict=True)]
    profile, _ = curve_of(times)
    row, settings = profile.row(0, named=True), SquadSettings()
    line = force_line(row, settings)
    # outside: 20,000 pairs of V and tau drawn from their covariance, each its own line; a spread is good to 1 %
    spread = np.array([row["vmax_mps_se"], row["tau_s_se"]])
    both = row["vmax_tau_correlation"] * spread.prod()
    drawn = np.random.default_rng(3).multivariate_normal(
        [row["vmax_mps"], row["tau_s"]], [[spread[0] ** 2, both], [both, spread[1] ** 2]], 20_000
    )
    drag = drag_constant(row["body_mass_kg"], row["height_m"], settings.air_temperature_c, settings.air_pressure_torr)
    air = (np.full(20_000, row["body_mass_kg"]), np.full(20_000, float(drag)), np.zeros(20_000))
    ends = profile_force(drawn[:, 0], drawn[:, 1], *air)
    for point in (line[0], line[6], line[12]):
        force = ends.f0_n_per_kg * (1.0 - point["speed_mps"] / ends.v0_mps)
        assert (point["high_n_per_kg"] - point["low_n_per_kg"]) / 2 == pytest.approx(1.96 * force.std(), rel=0.05)
