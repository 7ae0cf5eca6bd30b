"""Sled runs: the load-speed line against worked values and published slow-downs, and what it refuses."""

import datetime as dt

import numpy as np
import polars as pl
import pytest
import statsmodels.api as sm
from scipy import stats

from pipelines.derived.sprint.sled import (
    _fastest_stretch,
    class_of_slow_down,
    effective_friction,
    fit_load_speed,
    sled_mass,
    sled_profile,
)
from pipelines.derived.sprint.time_zero import Gates
from schemas.caveats.sprint import CAVEATS
from schemas.derived.sled import SledProfile
from tests.derived.sprint.sprint_frames import DAY, Track, empty

LOADS = np.array([0.0, 15.0, 30.0, 45.0])
SPEEDS = np.array([9.60, 8.55, 7.42, 6.38])


def add_run(track, load, speed, **rep):
    """Add a run whose last 20 m are run at a steady speed."""
    times = (3.0, 3.0 + 10.0 / speed, 3.0 + 20.0 / speed)
    kind = {"resistance_kind": "sled", "resistance_load_kg": load} if load else {"resistance_kind": "none"}
    return track.run((20, 30, 40), times, **({"timing_kind": "electronic", "start_kind": "standing"} | kind | rep))


def worked_track(**track):
    found = Track(**track)
    for load, speed in zip(LOADS, SPEEDS, strict=True):
        add_run(found, float(load), float(speed))
    return found


def table(track):
    return SledProfile.validate(sled_profile(**without_noise(track.frames())))


def without_noise(frames):
    """Return the tables a sled profile reads: the squad's noise of timing is none of them."""
    return {name: frame for name, frame in frames.items() if name not in ("athlete", "sprint_noise")}


def test_worked_line_and_loads():
    # computed: v0 9.6060, b 0.071933, R2 0.99975, zero speed at 133.54 kg; L(D) = D v0/(100 b)
    line = fit_load_speed(LOADS, SPEEDS)
    assert line.v0_mps[0] == pytest.approx(9.6060, abs=1e-4)
    assert line.slope_mps_per_kg[0] == pytest.approx(0.071933, abs=1e-6)
    assert line.r_squared[0] == pytest.approx(0.99975, abs=1e-5)
    for slow_down, load in ((10, 13.35), (25, 33.39), (50, 66.77), (75, 100.16)):
        assert line.load_for(slow_down)[0][0] == pytest.approx(load, abs=0.01)


def test_statsmodels_gives_the_same_line_errors_and_interval():
    reference = sm.OLS(SPEEDS, sm.add_constant(-LOADS)).fit()
    line = fit_load_speed(LOADS, SPEEDS)
    assert (line.v0_mps[0], line.slope_mps_per_kg[0]) == pytest.approx(tuple(reference.params))
    assert np.sqrt([line.v0_variance[0], line.slope_variance[0]]) == pytest.approx(reference.bse)
    assert line.covariance[0] == pytest.approx(reference.cov_params()[0, 1])
    load, low, high = (float(part[0]) for part in line.load_for(50))
    _, slope = reference.params
    by_delta = np.array([0.5 / slope, -load / slope])
    reach = stats.t.ppf(0.975, 2) * np.sqrt(by_delta @ reference.cov_params() @ by_delta)
    assert (low, high) == pytest.approx((load - reach, load + reach))


def test_interval_of_a_load_holds_the_truth_as_often_as_it_claims():
    rng = np.random.default_rng(11)
    count = 4000
    speeds = 9.6 - 0.072 * LOADS + rng.normal(0, 0.05, (count, 4))
    line = fit_load_speed(np.tile(LOADS, count), speeds.ravel(), np.repeat(np.arange(count), 4))
    _, low, high = line.load_for(50)
    inside = np.mean((low <= 66.667) & (high >= 66.667))
    assert inside == pytest.approx(0.95, abs=0.0125)  # 3 Monte Carlo errors of 0.0034, and the delta method's bend


def test_published_loads_lie_on_one_line():
    # Cahill et al. 2020 (verified): 44, 89, 133 % of body mass gave 25, 50, 75 % slow-down. Line through the origin:
    # sum(xy)/sum(xx) = (44*25 + 89*50 + 133*75)/(44^2 + 89^2 + 133^2) = 15525/27546 = 0.5636 % per % of body mass.
    # A runner whose line has that slope needs 44.4, 88.7 and 133.1 % for them.
    body = np.array([44.0, 89.0, 133.0])
    per_percent = float(body @ np.array([25.0, 50.0, 75.0]) / (body @ body))
    assert per_percent == pytest.approx(0.5636, abs=0.001)
    line = fit_load_speed(np.array([0.0, 50.0, 100.0]), 10.0 * (1 - per_percent / 100 * np.array([0.0, 50.0, 100.0])))
    for slow_down, load in ((25, 44.4), (50, 88.7), (75, 133.1)):
        assert line.load_for(slow_down)[0][0] == pytest.approx(load, abs=0.06)


def test_friction_and_power_at_the_optimum():
    # Cross et al. 2017 (verified): 3.62 N/kg at 0.82 of body mass, 4.90 m/s -> mu = 3.62/(0.82 * 9.81) = 0.450;
    # recreational 3.37 at 0.78 -> 0.440. Force balance at that plateau, no drag: a sled of 0.82 * 75 kg again.
    assert effective_friction(3.62, 0.82) == pytest.approx(0.450, abs=0.001)
    assert effective_friction(3.37, 0.78) == pytest.approx(0.440, abs=0.001)
    assert sled_mass(2 * 3.62 * 75, 9.80, 4.90, 0.0, 0.450) == pytest.approx(0.82 * 75, rel=0.001)
    # power is greatest at half of V0: 3.62 * 4.90 = 17.74 W/kg
    powers = [7.24 * (1 - v / 9.80) * v for v in np.linspace(0, 9.8, 99)]
    assert max(powers) == pytest.approx(17.74, abs=0.01)


@pytest.mark.parametrize(("friction", "mass"), [(0.20, 135.2), (0.35, 77.3), (0.45, 60.09), (0.58, 46.6)])
def test_sled_mass_by_friction(friction, mass):
    # computed: (543 (1 - 4.9/9.8) - 0.26 * 4.9^2)/(0.45 * 9.81) = 60.09 kg
    assert sled_mass(543, 9.80, 4.90, 0.26, friction) == pytest.approx(mass, abs=0.06)


def test_a_rope_pulled_upwards_lightens_the_sled():
    # computed: 60 kg, mu 0.45, rope 10 degrees up: 245.4 N instead of 264.9 N, so the same force holds a heavier sled
    level, rising = (sled_mass(543, 9.8, 4.9, 0.26, 0.45, rope_up_deg=angle) for angle in (0, 10))
    assert rising / level == pytest.approx(264.87 / 245.4, rel=1e-3)


@pytest.mark.parametrize(
    ("slow_down", "word"), [(5, "light"), (9.9, "light"), (12, "moderate"), (20, "heavy"), (35, "very_heavy")]
)
def test_class_by_slow_down(slow_down, word):
    # Petrakos, Morin & Egan 2016: light, moderate, very heavy verified in the abstract; heavy inferred from the gap
    assert class_of_slow_down(slow_down) == word


def test_the_table_gives_line_loads_and_says_what_lies_beyond():
    row = table(worked_track()).row(0, named=True)
    assert (row["v0_mps"], row["slope_mps_per_kg"]) == pytest.approx((9.6060, 0.071933), abs=1e-4)
    assert row["load_10_kg"] == pytest.approx(13.35, abs=0.01)
    assert row["load_10_share"] == pytest.approx(0.178, abs=1e-3)
    assert row["load_10_low_kg"] < row["load_10_kg"] < row["load_10_high_kg"]
    assert (row["load_25_is_beyond"], row["load_50_is_beyond"]) == (False, True)  # tested to 45 kg, 50 % is 66.8 kg
    assert row["reason"] == "sled_beyond_tested"
    assert row["heaviest_slow_down_percent"] == pytest.approx(100 * 0.071933 * 45 / 9.606, abs=0.01)
    assert (row["heaviest_class"], row["loads"], row["tested_to_kg"]) == ("very_heavy", 4, 45.0)


@pytest.mark.parametrize(
    ("make", "reason"),
    [
        (lambda: worked_track(surface=None), "sled_surface_unknown"),
        (lambda: add_run(add_run(Track(), 15.0, 8.55), 30.0, 7.42), "sled_no_free_run"),
        (lambda: add_run(add_run(Track(), 0.0, 9.6), 30.0, 7.42), "sled_too_few_loads"),
        (lambda: add_run(add_run(add_run(Track(), 0.0, 8.0), 15.0, 8.3), 30.0, 8.6), "sled_not_slower"),
        (lambda: add_run(add_run(add_run(Track(), 0.0, 9.0), 15.0, 6.0), 30.0, 7.9), "sled_not_straight"),
    ],
)
def test_no_line_without_what_it_needs(make, reason):
    row = table(make()).row(-1, named=True)
    assert row["reason"] == reason
    assert row["reason"] in CAVEATS
    assert [row[name] for name in ("v0_mps", "load_10_kg", "heaviest_class")] == [None] * 3


def test_surfaces_do_not_mix_and_old_runs_do_not_count():
    track = worked_track()
    old = DAY - dt.timedelta(days=21)
    add_run(track, 0.0, 11.0, session_date=old, rep_no=1)
    assert table(track).filter(pl.col("fitted_on") == DAY)["v0_mps"][0] == pytest.approx(9.606, abs=1e-3)
    frames = track.frames()
    grass = frames["session"].with_columns(
        surface=pl.when(pl.col("session_date") == DAY).then(pl.lit("grass")).otherwise(pl.lit("track"))
    )
    found = sled_profile(**without_noise(frames | {"session": grass}))
    assert found["surface"].to_list() == ["grass"]


def test_the_best_run_at_each_load_counts_and_hand_times_do_not():
    track = worked_track()
    add_run(track, 15.0, 8.0)
    add_run(track, 15.0, 9.5, timing_kind="hand")
    assert table(track)["v0_mps"][0] == pytest.approx(9.606, abs=1e-3)


def test_a_free_run_still_getting_faster_is_said():
    track = worked_track()
    track.reps.pop(0)
    track.splits = [row for row in track.splits if row["rep_no"] != 1]
    track.run((10, 20, 30), (1.9, 3.05, 4.09), timing_kind="electronic", resistance_kind="none", rep_no=1)
    assert table(track)["reason"][0] == "sled_not_at_top_speed"


def test_no_sled_runs_are_no_fault():
    found = sled_profile(**{name: empty(name) for name in ("rep", "split", "session", "body_measure")})
    assert SledProfile.validate(found).is_empty()


@pytest.mark.parametrize(("last_m", "is_rising"), [(30.3, False), (30.4, True), (29.0, False)])
def test_a_run_still_rises_where_its_last_stretch_is_more_than_three_percent_faster(last_m, is_rising):
    # by hand: 10 m in 1 s, then 10.3 m in 1 s are 3 % more and no rise, 10.4 are one
    speed, rising = _fastest_stretch(Gates(np.array([[10.0, 20.0, last_m]]), np.array([[2.0, 3.0, 4.0]])))
    assert speed.tolist() == [pytest.approx(max(10.0, last_m - 20.0))]
    assert rising.tolist() == [is_rising]
