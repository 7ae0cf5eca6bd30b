"""The step-by-step point mass, against its reference run and closed forms. The composite athlete is not a person."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from pipelines.derived.sprint.motion import speed_at, time_at
from pipelines.derived.start.what_if import (
    StartRun,
    change_profile,
    distance_after_steps,
    gain_curve,
    gate_time,
    run_steps,
    simulate,
    start_from_steps,
)
from tests.examples import examples

RUN = StartRun(
    mass_kg=75.0,
    drag_kg_per_m=0.28,
    exit_s=0.350,
    exit_m=0.45,
    exit_mps=3.40,
    flight_s=(0.060, 0.055, 0.065, 0.075, 0.083, 0.090, 0.095, 0.100, 0.103, 0.106),
    contact_s=(0.195, 0.170, 0.155, 0.140, 0.132, 0.125, 0.120, 0.115, 0.112, 0.110),
    force_n_per_kg=(6.60, 5.40, 4.80, 4.40, 3.90, 3.50, 3.10, 2.75, 2.45, 2.20),
)


@pytest.mark.parametrize(
    ("step", "touchdown_s", "touchdown_mps", "off_m", "off_mps"),
    [  # computed
        (1, 0.410, 3.3974, 1.4411, 4.6760), (2, 0.660, 4.6715, 2.5691, 5.5757), (3, 0.895, 5.5681, 3.8507, 6.2942),
        (4, 1.125, 6.2831, 5.2436, 6.8785), (7, 1.790, 7.7283, 10.0398, 8.0735),
    ],
)  # fmt: skip
def test_reference_run_step_by_step(step, touchdown_s, touchdown_mps, off_m, off_mps):
    contact = run_steps(RUN)[2 * step - 1]
    assert contact.start_s == pytest.approx(touchdown_s, abs=1e-9)
    assert contact.start_mps == pytest.approx(touchdown_mps, abs=1e-4)
    assert (contact.end_m, contact.end_mps) == pytest.approx((off_m, off_mps), abs=1e-4)


def test_reference_run_at_the_gates():
    # computed: 3 m 0.9073, 5 m 1.2292, 10 m 1.9051 s; block exit to third toe-off 3.4007 m
    parts = run_steps(RUN)
    assert [gate_time(parts, gate) for gate in (3, 5, 10)] == pytest.approx([0.9073, 1.2292, 1.9051], abs=1e-4)
    assert distance_after_steps(parts) == pytest.approx(3.4007, abs=1e-4)


def test_first_contact_balances_impulse_and_momentum():
    # computed: 75 * 1.2786 = 95.895 N s = push 75 * 6.60 * 0.195 = 96.525 less drag 0.28 * 3.3974^2 * 0.195 = 0.630
    contact = run_steps(RUN)[1]
    net = 75 * (contact.end_mps - contact.start_mps)
    assert net == pytest.approx(95.895, abs=0.001)
    assert net == pytest.approx(96.525 - 0.28 * contact.start_mps**2 * 0.195, abs=1e-9)


def test_an_ode_solver_with_drag_at_every_instant_runs_the_same_start():
    edges, pushes = [RUN.exit_s], []
    for flight, contact, force in zip(RUN.flight_s, RUN.contact_s, RUN.force_n_per_kg, strict=True):
        edges += [edges[-1] + flight, edges[-1] + flight + contact]
        pushes += [0.0, force]
    state = np.array([RUN.exit_m, RUN.exit_mps])
    for start, end, push in zip(edges, edges[1:], pushes, strict=False):
        state = solve_ivp(
            lambda _, y, push=push: [y[1], push - 0.28 * y[1] ** 2 / 75], (start, end), state, rtol=1e-10
        ).y[:, -1]
    last = run_steps(RUN)[-1]
    assert (last.end_m, last.end_mps) == pytest.approx(tuple(state), rel=2e-3)  # drag frozen within a part


@pytest.mark.parametrize(
    ("closure", "off_3", "gates"),
    [  # computed, first contact 0.020 s longer: change of speed after step 3, of the times at 3, 5 and 10 m
        ("A", 0.1289, (-0.0035, -0.0058, -0.0120)), ("B", 0.0937, (-0.0030, -0.0039, -0.0058)),
        ("C", 0.1279, (-0.0016, -0.0023, -0.0070)), ("D", 0.0930, (-0.0011, -0.0005, -0.0009)),
        ("E", 0.1306, (-0.0067, -0.0118, -0.0204)), ("F", -0.0008, (0.0056, 0.0080, 0.0101)),
    ],
)  # fmt: skip
def test_a_longer_first_contact_under_each_closure(closure, off_3, gates):
    answer = simulate(RUN, contact_change_s=0.020)
    assert answer.speed_changes_mps[closure] == pytest.approx(off_3, abs=1e-4)
    assert [answer.gate_changes_s[closure][gate] for gate in (3.0, 5.0, 10.0)] == pytest.approx(gates, abs=1e-4)


def test_a_shorter_first_contact():
    # computed, closure A, -0.020 s
    answer = simulate(RUN, contact_change_s=-0.020)
    assert answer.speed_changes_mps["A"] == pytest.approx(-0.1290, abs=1e-4)
    changes = [answer.gate_changes_s["A"][gate] for gate in (3.0, 5.0, 10.0)]
    assert changes == pytest.approx([0.0037, 0.0060, 0.0125], abs=1e-4)


def test_closed_form_of_a_longer_contact_at_the_same_force():
    # a_c dt = 6.5569 * 0.020 = 0.1311 m/s more at the first toe-off; first order at 10 m -0.0128 s (run -0.0120)
    base = run_steps(RUN)
    contact = base[1]
    assert contact.acceleration_mps2 * 0.020 == pytest.approx(0.1311, abs=1e-4)
    at_gate = gate_time(base, 10.0)
    last = next(part for part in base if part.start_m <= 10.0 <= part.end_m)
    speed = last.start_mps + last.acceleration_mps2 * (at_gate - last.start_s)
    gained = 0.020 * (contact.acceleration_mps2 * (at_gate - 0.605) - (speed - contact.end_mps))
    assert -gained / speed == pytest.approx(-0.0128, abs=2e-4)
    assert simulate(RUN, contact_change_s=0.020).gate_changes_s["A"][10.0] == pytest.approx(-gained / speed, abs=1e-3)


def test_the_answer_is_a_range_with_its_assumptions_in_words():
    answer = simulate(RUN, contact_change_s=0.020)
    assert (answer.gate_m, answer.low_s, answer.high_s) == pytest.approx((10.0, -0.0204, -0.0009), abs=1e-4)
    assert "0.020 s faster" in answer.sentence
    assert "0.001 s faster" in answer.sentence
    assert "the next flight shorter by as much" in answer.sentence
    assert "later forces falling" in answer.sentence
    assert "0.010 s slower" in answer.sentence  # the pure delay
    assert answer.sentence.endswith("A model, not a promise.")


def test_gates_beyond_the_steps_have_no_answer():
    answer = simulate(RUN, contact_change_s=0.01, gates_m=(10.0, 40.0))
    assert answer.gate_changes_s["A"][40.0] is None
    assert answer.gate_m == 10.0
    none = simulate(RUN, contact_change_s=0.01, gates_m=(60.0,))
    assert (none.low_s, none.gate_m) == (None, None)


@examples(40)
@given(st.integers(1, 8), st.floats(0.1, 1.0))
def test_more_force_is_never_slower(step, force):
    answer = simulate(RUN, step=step, force_change_n_per_kg=force)
    assert set(answer.gate_changes_s) == {"A", "B"}
    assert all(change <= 1e-12 for by_gate in answer.gate_changes_s.values() for change in by_gate.values())


def test_no_change_changes_nothing_and_the_curve_passes_through_it():
    curve = gain_curve(RUN, [-0.02, 0.0, 0.02])
    assert curve[1] == (0.0, 0.0, 0.0)
    assert curve[2][1] < curve[2][2]


@pytest.mark.parametrize(
    "change", [{"contact_change_s": -0.2}, {"step": 11}, {"force_change_n_per_kg": -60.0}, {"flight_change_s": -0.1}]
)
def test_impossible_changes_are_refused(change):
    with pytest.raises(ValueError, match=r"step|above 0|stop"):
        simulate(RUN, **change)


def test_a_start_built_from_steps_follows_its_curve():
    run = start_from_steps(
        mass_kg=75.0, drag_kg_per_m=0.28, vmax_mps=10.0, tau_s=1.2, contact_s=RUN.contact_s, flight_s=RUN.flight_s
    )
    parts = run_steps(run)
    # speeds agree at each toe-off; between them a flight comes first, so the steps lag by up to half a step's gain
    for gate in (3.0, 5.0, 10.0):
        assert gate_time(parts, gate) == pytest.approx(float(time_at(gate, 10.0, 1.2)), abs=0.03)
    off = parts[5]
    by_curve = float(speed_at(off.start_s + off.duration_s, 10.0, 1.2))
    assert off.end_mps == pytest.approx(by_curve, rel=0.005)


def test_changes_of_ceiling_constant_and_mass():
    # tau 1.2 -> 1.1 at 10 m: t(10; 10, 1.1) - 1.967037
    quicker = change_profile(vmax_mps=10.0, tau_s=1.2, tau_change_s=-0.1, gates_m=(10.0,))[10.0]
    expected = float(time_at(10.0, 10.0, 1.1)) - 1.967037
    assert quicker == pytest.approx((expected, expected), abs=1e-6)
    # 10 -> 10.2 m/s at 10 m: with tau 1.2 held, and with 10 / 1.2 m/s2 from rest held (tau 1.224)
    faster = change_profile(vmax_mps=10.0, tau_s=1.2, vmax_change_mps=0.2, gates_m=(10.0,))[10.0]
    held, grown = (float(time_at(10.0, 10.2, tau)) - 1.967037 for tau in (1.224, 1.2))
    assert faster == pytest.approx((grown, held), abs=1e-6)
    # 3 % heavier: nothing with the same force per kg, tau 1.236 s with the same force
    heavier = change_profile(vmax_mps=10.0, tau_s=1.2, mass_change_share=0.03, gates_m=(10.0,))[10.0]
    assert heavier == pytest.approx((0.0, float(time_at(10.0, 10.0, 1.236)) - 1.967037), abs=1e-6)
    with pytest.raises(ValueError, match="above 0"):
        change_profile(vmax_mps=10.0, tau_s=1.2, tau_change_s=-2.0)
