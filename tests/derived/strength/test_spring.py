"""Jump height, reactive strength under two names, hop stiffness, and the height against own usual."""

import datetime as dt
from typing import Any

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.weightstats import DescrStatsW

from pipelines.derived.strength.spring import hop_stiffness_per_kg, spring_state
from schemas.caveats.strength import CAVEATS
from schemas.derived.spring import SpringState
from tests.derived.load.work_frames import MONDAY, SETTINGS, checked, day, record, schema_of
from tests.examples import examples

MASS = record("body_measure", {"measured_on": day(-10), "body_mass_kg": 70})
ATHLETES = record("athlete", *({"athlete_id": f"a{n}", "display_name": f"A{n}", "sex": "f"} for n in range(30)))
LATER = day(1000)
G = 9.81


def jump(flight: float | None, contact: float | None = None, **fields: Any) -> dict[str, Any]:
    return {"tested_on": MONDAY, "test": "countermovement", "trial_no": 1, "flight_s": flight,
            "contact_s": contact} | fields  # fmt: skip


def state_of(*trials: dict[str, Any], mass: pl.DataFrame = MASS, as_of: dt.date = LATER) -> pl.DataFrame:
    frame = spring_state(record("jump_test", *trials), mass, ATHLETES, settings=SETTINGS, as_of=as_of)
    return checked(SpringState, frame)


@pytest.mark.parametrize(
    ("flight", "height"), [(0.50, 0.3065625), (0.45, 0.24831563), (0.55, 0.37094063), (0.60, 0.44145)]
)
def test_jump_height_from_time_in_the_air(flight, height):
    # g t^2 / 8 with g = 9.81 (textbook, derived: V; values C), e.g. 9.81 x 0.25 / 8 = 0.3065625 m
    ours = state_of(jump(flight))["jump_height_m"][0]
    assert ours == pytest.approx(height, abs=1e-7)
    # the same height from take-off speed v = g t / 2: v^2 / (2 g)
    assert ours == pytest.approx((G * flight / 2) ** 2 / (2 * G), rel=1e-12)


def test_height_is_the_mean_of_trials_with_its_standard_error():
    # Claudino et al. 2017 (read): the mean of trials, not the best
    flights = [0.50, 0.52, 0.54]
    row = state_of(*(jump(flight, trial_no=n + 1) for n, flight in enumerate(flights))).row(0, named=True)
    heights = [G * flight**2 / 8 for flight in flights]
    assert row["jump_height_m"] == pytest.approx(np.mean(heights))
    assert row["jump_height_m_se"] == pytest.approx(DescrStatsW(heights).std_mean)
    assert row["trials"] == 3
    assert state_of(jump(0.5))["jump_height_m_se"][0] is None


def test_reactive_strength_under_two_names():
    row = state_of(jump(0.50, 0.18, test="drop")).row(0, named=True)
    # 0.3065625 / 0.18 = 1.703125 m/s; 0.50 / 0.18 = 2.777778 (by definition); 0.55 s over 0.18 s: 2.0608 m/s
    higher = state_of(jump(0.55, 0.18, test="drop"))
    assert higher["reactive_strength_mps"].item() == pytest.approx(2.0608, abs=1e-4)
    assert row["reactive_strength_mps"] == pytest.approx(1.703125, abs=1e-6)
    assert row["flight_contact_ratio"] == pytest.approx(2.777778, abs=1e-6)
    # one is g t / 8 times the other, so they are no fixed multiple of each other
    assert row["reactive_strength_mps"] / row["flight_contact_ratio"] == pytest.approx(G * 0.50 / 8)
    assert row["contact_s"] == 0.18
    # stiffness is for repeated hops only
    assert row["hop_stiffness_n_per_m"] is None


def test_hop_stiffness_of_the_note():
    row = state_of(jump(0.30, 0.18, test="repeated_hop")).row(0, named=True)
    # Dalleau et al. 2004 (formula from memory, derived again): 70 kg, tc 0.18, tf 0.30: 30225.31 N/m = 431.790 N/m/kg
    assert row["hop_stiffness_n_per_m"] == pytest.approx(30225.31, abs=0.01)
    assert row["stiffness_n_per_m_per_kg"] == pytest.approx(431.790, abs=1e-3)
    # peak force 2876.4422 N over a sinking of 0.0951667 m
    peak = 70 * G * np.pi / 2 * (0.30 / 0.18 + 1)
    sinking = peak * 0.18**2 / (70 * np.pi**2) - G * 0.18**2 / 8
    assert peak == pytest.approx(2876.4422, abs=1e-4)
    assert sinking == pytest.approx(0.0951667, abs=1e-7)
    assert row["hop_stiffness_n_per_m"] == pytest.approx(peak / sinking, rel=1e-9)


def vertical_stiffness(mass: float, contact: float, flight: float) -> float:
    """Half-sine force model of running, Morin 2005 (equations M, derived): k_vert = F_max / dy."""
    peak = mass * G * np.pi / 2 * (flight / contact + 1)
    return float(peak / abs(-peak * contact**2 / (mass * np.pi**2) + G * contact**2 / 8))


def test_the_sine_model_gives_the_notes_running_value():
    # m 75, tc 0.105, tf 0.125: k_vert 104669.6 N/m (Morin 2005: M formula, C)
    assert vertical_stiffness(75, 0.105, 0.125) == pytest.approx(104669.6, abs=0.1)


def test_stiffness_gives_the_peak_force_printed_for_a_sprinter():
    # Coh 2018 prints 3932 N, 4.2 times body weight, for contact 0.086 s and flight 0.145 s (V; mass 95 kg inferred; the
    # model's equations M); the lowering under that force, 0.02195 m, and the rise of the flight add to 0.0477 m.
    frame = pl.DataFrame({"tf": [0.145], "tc": [0.086]})
    ours = 95 * frame.select(hop_stiffness_per_kg(pl.col("tf"), pl.col("tc"))).to_series()[0]
    lowering = 0.0477 - G * 0.145**2 / 8
    assert ours * lowering == pytest.approx(3932, rel=2e-3)
    assert ours * lowering / (95 * G) == pytest.approx(4.2, abs=0.03)


@given(st.floats(0.08, 0.4), st.floats(0.1, 0.6))
@examples(50)
def test_hop_stiffness_is_the_sine_models_vertical_stiffness(contact, flight):
    frame = pl.DataFrame({"tf": [flight], "tc": [contact]})
    ours = frame.select(hop_stiffness_per_kg(pl.col("tf"), pl.col("tc"))).to_series()[0]
    assert 70 * ours == pytest.approx(vertical_stiffness(70, contact, flight), rel=1e-9)


def test_stiffness_per_kilogram_needs_no_body_mass():
    row = state_of(jump(0.30, 0.18, test="repeated_hop"), mass=record("body_measure")).row(0, named=True)
    assert row["stiffness_n_per_m_per_kg"] == pytest.approx(431.790, abs=1e-3)
    assert (row["hop_stiffness_n_per_m"], row["reason"]) == (None, "body_mass_not_recent")


def test_a_trial_without_a_time_is_left_out_of_what_needs_it():
    rows = state_of(
        jump(0.5, None, test="drop"), jump(0.5, 0.2, test="drop", trial_no=2), jump(None, 0.2, test="drop", trial_no=3)
    )
    row = rows.row(0, named=True)
    assert (row["trials"], row["flight_contact_ratio"]) == (2, pytest.approx(2.5))
    none = state_of(jump(None, 0.2, test="drop")).row(0, named=True)
    assert (none["trials"], none["jump_height_m"], none["reason"]) == (0, None, "no_flight_time")


def test_usual_height_is_own_mean_of_the_days_before_today_left_out():
    days = [(0, 0.50), (7, 0.52), (14, 0.50), (21, 0.52), (28, 0.46), (63, 0.50)]
    rows = state_of(*(jump(flight, tested_on=day(after)) for after, flight in days))
    # four days are needed: day 28 has .3065625 x 2 and 9.81 x .52^2 / 8 = .331578 x 2: usual .31907025
    assert rows["usual_height_m"].null_count() == 5
    usual = (2 * 0.3065625 + 2 * 0.331578) / 4
    assert rows["usual_height_m"][4] == pytest.approx(usual)
    # 9.81 x .46^2 / 8 = .2594745: -18.68 %
    assert rows["change_percent"][4] == pytest.approx(100 * (0.2594745 / usual - 1))
    # day 63 looks back 42 days, to day 21: two test days
    assert (rows["usual_days"][5], rows["usual_height_m"][5], rows["reason"][5]) == (2, None, "few_own_tests")


def test_drop_jumps_are_compared_from_the_same_box_only():
    def drop(after: int, box: float | None, trial_no: int = 1) -> dict[str, Any]:
        return jump(0.5, 0.2, test="drop", tested_on=day(after), box_height_m=box, trial_no=trial_no)

    rows = state_of(drop(0, 0.3), drop(2, 0.3), drop(4, 0.3), drop(6, 0.4), drop(8, 0.3), drop(10, 0.3), drop(12, 0.4),
                    drop(14, 0.3), drop(14, 0.4, 2))  # fmt: skip
    assert rows["usual_days"].to_list() == [0, 1, 2, 0, 3, 4, 1, 0]
    assert rows["reason"].to_list()[-1] == "boxes_mixed"
    assert rows["box_height_m"].to_list()[-1] is None


def squad(drop: float, noise: float = 0.04, weeks: int = 8) -> list[dict[str, Any]]:
    """Thirty athletes, one test a week, heights with the noise given (log SD); on the last day all drop by a share."""
    rng = np.random.default_rng(11)
    rows = []
    for who in range(30):
        level = 0.30 * np.exp(0.10 * rng.normal())
        for week in range(weeks):
            height = level * np.exp(noise * rng.normal()) * (1 - drop if week == weeks - 1 else 1)
            flight = float((8 * height / G) ** 0.5)
            rows.append(jump(flight, athlete_id=f"a{who}", tested_on=day(7 * week)))
    return rows


def test_the_squads_own_noise_is_found_and_used():
    rows = state_of(*squad(0))
    last = rows.filter(pl.col("tested_on") == day(49))
    # truth 4 %; 30 series of 8 tests count 30 x 2 x 49 / 20 - 1 = 146 degrees of freedom
    assert last["squad_cv_percent"][0] == pytest.approx(4, abs=3 * 4 / (2 * 146) ** 0.5)
    # p_drop by hand for the first athlete: six usual days (weeks 1 to 6), prediction form, df 146
    one = last.row(0, named=True)
    assert one["usual_days"] == 6
    te = one["squad_cv_percent"] / 100
    levels = rows.with_columns(log=pl.col("jump_height_m").log()).group_by("athlete_id").agg(pl.col("log").mean())
    swc = 0.2 * levels["log"].std()
    d = np.log(one["jump_height_m"] / one["usual_height_m"])
    assert one["p_drop"] == pytest.approx(stats.t.cdf((-swc - d) / (te * (1 + 1 / 6) ** 0.5), 146), abs=1e-9)


def test_no_drop_is_seldom_called_one_and_a_large_one_is_found():
    quiet = state_of(*squad(0)).filter(pl.col("tested_on") == day(49))["p_drop"]
    assert (quiet > 0.95).mean() <= 0.10
    fallen = state_of(*squad(0.2)).filter(pl.col("tested_on") == day(49))["p_drop"]
    assert fallen.median() > 0.95


def test_a_noisy_squad_hides_a_drop_that_a_fixed_five_percent_rule_would_flag():
    # 1.96 sqrt 2 x 5.8 %, Hopkins 2000, own computation: at CV 5.8 % a single pair of tests needs 16.08 % to be beyond
    # 95 % noise
    rows = state_of(*squad(0, noise=0.058)).filter(pl.col("tested_on") == day(49))
    flagged = rows.filter(pl.col("change_percent") < -5)
    assert flagged.height > 0
    assert flagged["p_drop"].max() < 0.95


def test_one_athlete_alone_has_no_squad_noise():
    rows = state_of(*(jump(0.5 + 0.01 * (n % 2), tested_on=day(7 * n)) for n in range(5)))
    assert (rows["p_drop"][4], rows["squad_cv_percent"][4], rows["reason"][4]) == (None, None, "squad_noise_unknown")
    long = state_of(*(jump(0.5 + 0.01 * (n % 2), tested_on=day(7 * n)) for n in range(30)))
    # enough own repeats, but no spread between athletes: the smallest change is unknown
    assert (long["p_drop"][29], long["reason"][29]) == (None, "squad_spread_unknown")
    assert set(long["reason"].drop_nulls()) <= set(CAVEATS)


def test_constant_jumps_invent_no_noise():
    rows = state_of(*(jump(0.5, athlete_id=f"a{who}", tested_on=day(7 * n)) for who in range(5) for n in range(6)))
    last = rows.filter(pl.col("tested_on") == day(35)).row(0, named=True)
    assert (last["change_percent"], last["p_drop"], last["squad_cv_percent"]) == (pytest.approx(0), None, None)


def test_tests_after_the_day_looked_from_are_not_seen():
    assert state_of(jump(0.5), jump(0.5, tested_on=day(9)), as_of=day(8)).height == 1


def test_nothing_in_nothing_out():
    rows = state_of()
    assert rows.is_empty()
    assert rows.schema == pl.Schema(schema_of(SpringState))
