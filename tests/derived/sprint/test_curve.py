"""Every gate of a run against the run's own curve."""

import math

import numpy as np
import polars as pl
import pytest
from scipy.special import lambertw

from pipelines.derived.sprint.curve import speed_curve, sprint_curve
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
