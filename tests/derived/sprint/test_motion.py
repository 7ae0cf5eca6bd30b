"""The sprint model and the air, against closed forms, scipy's Lambert W and a bracketing root finder.

Values marked 'computed' come from the model's definition; 'verified' were read in the source; 'memory' were not.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import lambertw

from pipelines.derived.sprint.air import air_density, drag_constant, drag_force, frontal_area
from pipelines.derived.sprint.motion import (
    acceleration_at,
    distance_at,
    drag_impulse,
    net_impulse,
    peak_power_per_kg,
    solve_scaled_time,
    speed_at,
    time_at,
    time_slopes,
    time_to_share,
)

MODEL = {"vmax_mps": 10.0, "tau_s": 1.2}


@pytest.mark.parametrize(
    ("vmax", "tau", "distances", "times"),
    [  # computed: inverse of x(t) by Lambert W
        (10.0, 1.2, (0.5, 5, 10, 20, 30, 40, 60, 100),
         (0.363910, 1.290672, 1.967037, 3.110136, 4.162616, 5.184041, 7.197018, 11.199894)),
        (12.0, 1.3, (10, 20, 30, 40, 60), (1.810375, 2.817879, 3.726008, 4.595425, 6.289703)),
        (8.5, 1.1, (10, 20, 30, 40), (2.115752, 3.403074, 4.612808, 5.800241)),
    ],
)  # fmt: skip
def test_time_at_a_distance_is_the_inverse_of_the_model(vmax, tau, distances, times):
    assert time_at(np.array(distances, dtype=float), vmax, tau) == pytest.approx(times, abs=1e-6)


def test_speed_distance_and_acceleration_after_one_and_two_seconds():
    # by hand at 1 s: e^(-1/1.2) = 0.434598; v = 10 * 0.565402 = 5.654018; x = 10 (1 - 1.2 * 0.565402) = 3.215179;
    # a = 10/1.2 * 0.434598 = 3.621652
    for time, speed, distance, acceleration in (
        (1.0, 5.654018, 3.215179, 3.621652),
        (2.0, 8.111243, 10.266507, 1.573963),
    ):
        assert speed_at(time, **MODEL) == pytest.approx(speed, abs=1e-6)
        assert distance_at(time, **MODEL) == pytest.approx(distance, abs=1e-6)
        assert acceleration_at(time, **MODEL) == pytest.approx(acceleration, abs=1e-6)


def test_speed_at_gates():
    # computed: v at t(x)
    gates = np.array([5.0, 10.0, 20.0, 30.0, 40.0])
    speeds = speed_at(time_at(gates, **MODEL), **MODEL)
    assert speeds == pytest.approx([6.5889, 8.0586, 9.2511, 9.6885, 9.8670], abs=5e-5)


def test_time_hidden_by_standing_behind_the_gate():
    # computed; Haugen et al. 2012 (verified): a photocell across the line reads 0.27 +- 0.12 s below block start to gun
    assert time_at(np.array([0.3, 0.5, 1.0]), **MODEL) == pytest.approx([0.2787, 0.3639, 0.5256], abs=5e-5)


def test_tiny_distance_uses_the_series():
    # by hand: x = 1e-9, xi = 1e-9/12, s = sqrt(2 xi) = 1.29099e-5, t = 1.2 (s + s^2/6) = 1.5491967e-5
    assert float(time_at(1e-9, **MODEL)) == pytest.approx(1.5491967e-5, abs=1e-10)


def test_lambert_w_of_scipy_gives_the_same_times():
    xi = np.logspace(-2, 2.5, 400)
    assert solve_scaled_time(xi) == pytest.approx((1 + xi + lambertw(-np.exp(-1 - xi), 0)).real, abs=5e-14)


def test_a_bracketing_root_finder_gives_the_same_times():
    for xi in np.logspace(-3, 2, 60):
        root = brentq(lambda u, xi=xi: u + np.expm1(-u) - xi, 0.0, xi + 2.0, xtol=1e-15)
        assert float(solve_scaled_time(np.array([xi]))[0]) == pytest.approx(root, abs=5e-15 * max(root, 1.0))


@given(st.floats(0.01, 100.0), st.floats(4.0, 13.0), st.floats(0.5, 2.5))
def test_distance_of_the_time_at_a_distance_is_that_distance(distance, vmax, tau):
    assert float(distance_at(time_at(distance, vmax, tau), vmax, tau)) == pytest.approx(distance, abs=1e-9)


@given(st.floats(1e-12, 1e-2), st.floats(4.0, 13.0), st.floats(0.5, 2.5))
def test_small_distances_keep_their_digits(distance, vmax, tau):
    assert float(distance_at(time_at(distance, vmax, tau), vmax, tau)) == pytest.approx(distance, rel=1e-7)


@given(st.floats(0.1, 80.0), st.floats(6.0, 12.0), st.floats(0.7, 1.8))
def test_slopes_of_the_time_are_those_of_differences(distance, vmax, tau):
    step = 1e-5
    by_vmax, by_tau = time_slopes(time_at(distance, vmax, tau), vmax, tau)
    assert float(by_vmax) == pytest.approx(
        float(time_at(distance, vmax + step, tau) - time_at(distance, vmax - step, tau)) / (2 * step), abs=1e-6
    )
    assert float(by_tau) == pytest.approx(
        float(time_at(distance, vmax, tau + step) - time_at(distance, vmax, tau - step)) / (2 * step), abs=1e-6
    )


def test_far_away_the_time_is_distance_over_vmax_plus_tau():
    # 60/10 + 1.2 = 7.2; the model is less than 0.003 s below (computed)
    assert 0.0 < 7.2 - float(time_at(60.0, **MODEL)) < 0.003
    assert 0.0 < 5.2 - float(time_at(40.0, **MODEL)) < 0.016


def test_time_to_a_share_of_top_speed():
    # -1.2 ln 0.1 = 2.763102
    assert float(time_to_share(0.9, 1.2)) == pytest.approx(2.763102, abs=1e-6)


def test_time_constant_from_speed_and_acceleration_of_a_published_group():
    # di Prampero et al. 2005, J Exp Biol 208:2809 (verified in the abstract): 9.46 m/s, 6.42 m/s^2 -> tau 1.474 s
    assert float(acceleration_at(0.0, 9.46, 1.474)) == pytest.approx(6.42, abs=0.005)


def test_net_impulse_from_start_to_ten_metres():
    # computed: 75 kg * 8.0586 m/s = 604.40 N s; then 75 * 1.1925 = 89.44 and 75 * 0.4373 = 32.80
    t10, t20, t30 = time_at(np.array([10.0, 20.0, 30.0]), **MODEL)
    assert float(net_impulse(75.0, 0.0, t10, **MODEL)) == pytest.approx(604.40, abs=0.01)
    assert float(net_impulse(75.0, t10, t20, **MODEL)) == pytest.approx(89.44, abs=0.01)
    assert float(net_impulse(75.0, t20, t30, **MODEL)) == pytest.approx(32.80, abs=0.01)


def test_drag_impulse_to_ten_metres_in_closed_form_and_by_quadrature():
    drag, until = float(drag_constant(75.0, 1.80, 20.0, 760.0)), float(time_at(10.0, **MODEL))
    numeric, _ = quad(lambda t: drag * float(speed_at(t, **MODEL)) ** 2, 0.0, until)
    assert float(drag_impulse(drag, until, **MODEL)) == pytest.approx(17.099, abs=0.01)  # computed
    assert float(drag_impulse(drag, until, **MODEL)) == pytest.approx(numeric, rel=1e-9)


def test_peak_power_of_a_world_record_run():
    # Hernandez Gomez et al. 2013, Eur J Phys 34:1227 (seen in news reports; mass 86 kg from memory): 2619.5 W.
    # The fit of the same run, V 12.1472, tau 1.2212, gives 86 * V^2/(4 tau) = 2598 W, within 1.5 %.
    watts = 86.0 * float(peak_power_per_kg(12.1472, 1.2212))
    assert watts == pytest.approx(2598.0, abs=1.0)
    assert watts == pytest.approx(2619.5, rel=0.015)


def test_air_density_area_and_drag():
    # 1.293 * 273/293 = 1.204741 (formula from memory of Samozino 2016);
    # 0.2025 * 1.8^0.725 * 75^0.425 * 0.266 = 0.516750 (formula verified: DuBois 1916, Pugh 1971)
    assert float(air_density(20.0, 760.0)) == pytest.approx(1.20474, abs=1e-5)
    assert float(frontal_area(75.0, 1.80)) == pytest.approx(0.51675, abs=1e-5)
    assert float(drag_constant(75.0, 1.80, 20.0, 760.0)) == pytest.approx(0.28015, abs=1e-5)


@pytest.mark.parametrize(
    ("mass", "height", "temperature", "pressure", "drag"),
    [  # computed
        (75, 1.80, 25, 760, 0.27545), (75, 1.80, 0, 760, 0.30067), (75, 1.80, 20, 750, 0.27646),
        (95, 1.95, 20, 760, 0.32826), (60, 1.68, 20, 760, 0.24237), (70, 1.75, 20, 760, 0.26655),
    ],
)  # fmt: skip
def test_drag_follows_body_and_weather(mass, height, temperature, pressure, drag):
    assert float(drag_constant(mass, height, temperature, pressure)) == pytest.approx(drag, abs=1.5e-5)


def test_air_of_the_international_standard_atmosphere_at_zero_degrees():
    # ISO 2533 / ICAO: 101.325 kPa, 15 degrees C: 1.225 kg/m^3 (memory). Dry-air factor 1.293 gives 1.2257: 0.06 % off.
    assert float(air_density(15.0, 760.0)) == pytest.approx(1.225, rel=1e-3)


def test_tailwind_lowers_drag_and_can_push():
    # computed: 0.28015 * 10^2 = 28.0 N; with +2 m/s 0.28015 * 8^2 = 17.9 N; standing in a tailwind: pushed
    assert float(drag_force(0.28015, 10.0)) == pytest.approx(28.0, abs=0.05)
    assert float(drag_force(0.28015, 10.0, 2.0)) == pytest.approx(17.9, abs=0.05)
    assert float(drag_force(0.28015, 0.0, 2.0)) < 0
