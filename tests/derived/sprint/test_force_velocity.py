"""Force-velocity numbers against worked values and against the sums over 0.001 s that define them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.derived.sprint.air import drag_constant
from pipelines.derived.sprint.force_velocity import ForceVelocity, profile_force, profile_force_errors
from tests.examples import examples


def profile(vmax, tau, mass, height, wind=0.0):
    drag = np.array([float(drag_constant(mass, height, 20.0, 760.0))])
    return profile_force(np.array([vmax]), np.array([tau]), np.array([mass]), drag, np.array([wind]))


def sums_over_milliseconds(vmax, tau, mass, height, wind=0.0):
    """The convention written out: t from 0 to -tau ln 0.01 in steps of 0.001 s, ordinary least squares of F on v."""
    drag = float(drag_constant(mass, height, 20.0, 760.0))
    time = np.arange(0, -tau * np.log(0.01) + 0.0005, 0.001)
    speed = vmax * (1 - np.exp(-time / tau))
    force = mass * vmax / tau * np.exp(-time / tau) + drag * (speed - wind) * np.abs(speed - wind)
    slope, f0 = np.polyfit(speed, force, 1)
    ratio, later = force / np.hypot(force, mass * 9.81), time >= 0.3 - 1e-9
    return (
        f0 / mass,
        -f0 / slope,
        -f0 * f0 / slope / 4 / mass,
        ratio[later][0],
        np.polyfit(speed[later], ratio[later], 1)[0],
    )


@pytest.mark.parametrize(
    ("vmax", "tau", "mass", "height", "f0", "f0_kg", "v0", "pmax", "pmax_kg", "rf_max", "drf"),
    [  # computed by the convention of Samozino et al. 2016 (equations from memory), 20 degrees C, 760 Torr, no wind
        (10.0, 1.2, 75.0, 1.80, 617.33, 8.2311, 10.4453, 1612.06, 21.494, 0.5528, -0.0697),
        (9.0, 1.1, 60.0, 1.68, 485.54, 8.0923, 9.3554, 1135.59, 18.927, 0.5372, -0.0774),
        (8.5, 1.25, 70.0, 1.75, 470.73, 6.7247, 8.8397, 1040.28, 14.861, 0.4796, -0.0702),
    ],
)
def test_worked_profiles(vmax, tau, mass, height, f0, f0_kg, v0, pmax, pmax_kg, rf_max, drf):
    found = profile(vmax, tau, mass, height)
    assert found.f0_n_per_kg[0] * mass == pytest.approx(f0, rel=5e-4)
    assert found.f0_n_per_kg[0] == pytest.approx(f0_kg, rel=5e-4)
    assert found.v0_mps[0] == pytest.approx(v0, rel=5e-4)
    assert found.pmax_w_per_kg[0] * mass == pytest.approx(pmax, rel=5e-4)
    assert found.pmax_w_per_kg[0] == pytest.approx(pmax_kg, rel=5e-4)
    assert found.rf_max[0] == pytest.approx(rf_max, abs=5e-4)
    assert found.drf_s_per_m[0] == pytest.approx(drf, abs=5e-4)


@examples(40)
@given(
    st.floats(6.0, 12.0),
    st.floats(0.8, 1.6),
    st.floats(45, 110),
    st.floats(1.5, 2.0),
    st.sampled_from([-2.0, 0.0, 2.0]),
)
def test_quadrature_equals_the_sums_it_stands_for(vmax, tau, mass, height, wind):
    found = profile(vmax, tau, mass, height, wind)
    expected = sums_over_milliseconds(vmax, tau, mass, height, wind)
    for name, value in zip(ForceVelocity.__dataclass_fields__, expected, strict=True):
        assert getattr(found, name)[0] == pytest.approx(value, rel=2e-5)


def test_without_air_the_line_is_exact():
    # no drag: F = m (V - v)/tau is a straight line, so F0 = V/tau, V0 = V and Pmax = V^2/(4 tau)
    found = profile_force(np.array([9.0]), np.array([1.1]), np.array([60.0]), np.array([0.0]), np.array([0.0]))
    assert found.f0_n_per_kg[0] == pytest.approx(9.0 / 1.1, rel=1e-9)
    assert found.v0_mps[0] == pytest.approx(9.0, rel=1e-9)
    assert found.pmax_w_per_kg[0] == pytest.approx(81.0 / 4.4, rel=1e-9)


def test_ratio_of_force_at_three_tenths_of_a_second():
    # computed: v(0.3) = 2.21199, F = 488.12 N, RF = 488.12/sqrt(488.12^2 + 735.75^2) = 0.5528
    assert profile(10.0, 1.2, 75.0, 1.80).rf_max[0] == pytest.approx(488.12 / np.hypot(488.12, 735.75), abs=1e-5)


def test_power_is_a_quarter_of_force_times_speed_as_in_the_paper():
    # Samozino et al. 2016, abstract (verified): F0 638 N, V0 10.5 m/s, Pmax 1680 W. Without air, a runner of 70 kg with
    # V = 10.5 and tau = 70 * 10.5/638 has that F0 and V0, and 638 * 10.5/4 = 1675 W: 0.3 % from the paper's mean
    still = np.array([0.0])
    found = profile_force(np.array([10.5]), np.array([70 * 10.5 / 638]), np.array([70.0]), still, still)
    assert found.f0_n_per_kg[0] * 70 == pytest.approx(638.0)
    assert found.pmax_w_per_kg[0] * 70 == pytest.approx(1680.0, rel=0.005)


@pytest.mark.parametrize(
    ("vmax", "tau", "mass", "height", "f0", "v0", "pmax", "rf_max", "drf"),
    [  # computed from group mean splits of Haugen et al. 2019 (splits verified in an index copy); stature assumed
        (9.8255, 1.0662, 71.8, 1.80, 9.11, 10.21, 23.3, 0.580, -0.0777),
        (8.9252, 1.0385, 58.4, 1.68, 8.50, 9.26, 19.7, 0.550, -0.0816),
    ],
)
def test_profiles_of_national_team_group_means(vmax, tau, mass, height, f0, v0, pmax, rf_max, drf):
    found = profile(vmax, tau, mass, height)
    assert found.f0_n_per_kg[0] == pytest.approx(f0, abs=0.006)
    assert found.v0_mps[0] == pytest.approx(v0, abs=0.006)
    assert found.pmax_w_per_kg[0] == pytest.approx(pmax, abs=0.06)
    assert found.rf_max[0] == pytest.approx(rf_max, abs=6e-4)
    assert found.drf_s_per_m[0] == pytest.approx(drf, abs=6e-5)


def test_standard_errors_are_those_of_many_simulated_profiles():
    rng = np.random.default_rng(5)
    covariance = np.array([[0.0773**2, 0.974 * 0.0773 * 0.0269], [0.974 * 0.0773 * 0.0269, 0.0269**2]])
    draws = rng.multivariate_normal([10.0, 1.2], covariance, 4000)
    ones = np.ones(len(draws))
    drag = float(drag_constant(75.0, 1.80, 20.0, 760.0))
    spread = profile_force(draws[:, 0], draws[:, 1], 75.0 * ones, drag * ones, 0 * ones)
    one = np.array([1.0])
    _, errors = profile_force_errors(10 * one, 1.2 * one, covariance[None], 75 * one, drag * one, 0 * one)
    for name in ForceVelocity.__dataclass_fields__:  # a standard deviation of 4000 draws is good to 1.1 %
        assert getattr(errors, name)[0] == pytest.approx(np.std(getattr(spread, name)), rel=0.04)


def test_unknown_body_gives_no_number():
    found = profile_force(np.array([10.0]), np.array([1.2]), np.array([np.nan]), np.array([0.28]), np.array([0.0]))
    assert np.isnan(found.f0_n_per_kg[0])
