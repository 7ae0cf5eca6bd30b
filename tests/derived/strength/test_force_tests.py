"""Tests of force: best and mean, the difference of the sides, and whether it lasts."""

import datetime as dt
from typing import Any

import numpy as np
import polars as pl
import pytest

from pipelines.derived.strength.force import _shift_of_sides
from tests.derived.load.work_frames import SETTINGS, record
from tests.derived.strength.strength_frames import of_side, state_of, trial


def test_best_and_mean_of_trials_in_newtons_and_per_kilogram():
    tests = record("force_test", trial("l", 300), trial("l", 330, trial_no=2), trial("r", 375))
    left = of_side(state_of(tests=tests), "l").row(0, named=True)
    # best 330, mean 315; 330 / 75 = 4.4 and 315 / 75 = 4.2 N/kg
    assert (left["peak_force_n"], left["mean_force_n"], left["trials"]) == (330, 315, 2)
    assert (left["force_n_per_kg"], left["mean_force_n_per_kg"]) == (pytest.approx(4.4), pytest.approx(4.2))
    assert (left["kind"], left["family"]) == ("force", "hamstring_eccentric")


def test_difference_keeps_its_side():
    tests = record("force_test", trial("l", 300), trial("r", 360))
    both = of_side(state_of(tests=tests), "both").row(0, named=True)
    # (R - L) / max: 60 / 360 = +16.666667 % (Bishop 2016 concept V, number C); no trials repeated: noise unknown
    assert both["difference_percent"] == pytest.approx(16.666667, abs=1e-5)
    assert (both["difference_noise_percent"], both["reason"]) == (None, "squad_noise_unknown")
    assert (both["peak_force_n"], both["persistent_side"]) == (None, None)
    turned = of_side(state_of(tests=record("force_test", trial("l", 360), trial("r", 300))), "both")
    assert turned["difference_percent"][0] == pytest.approx(-16.666667, abs=1e-5)


def test_noise_of_a_difference_by_hand():
    # Eight sides of two trials, each pair apart by a factor exp(0.05 sqrt 2): trial error 0.05 with 8 df
    apart = float(np.exp(0.05 * 2**0.5))
    rows = [
        trial(side, 300 * (apart if n == 2 else 1), 0, n, f"a{who}")
        for who in range(4)
        for side in "lr"
        for n in (1, 2)
    ]
    both = of_side(state_of(tests=record("force_test", *rows)), "both", "a0").row(0, named=True)
    # equal limbs, two trials each: SD of the difference 5 % x sqrt(1/2 + 1/2) = 5 %; 1.96 x 5 = 9.8 %
    assert both["difference_percent"] == pytest.approx(0, abs=1e-12)
    assert both["difference_noise_percent"] == pytest.approx(9.8, abs=1e-9)
    # with one trial a side: 5 % x sqrt 2 = 7.0711 % as in the note (C)
    single = [row for row in rows if not (row["athlete_id"] == "a0" and row["trial_no"] == 2)]
    single += [trial(side, 300 * (apart if n == 2 else 1), 0, n, "a4") for side in "lr" for n in (1, 2)]
    one = of_side(state_of(tests=record("force_test", *single)), "both", "a0").row(0, named=True)
    assert one["difference_noise_percent"] / 1.96 == pytest.approx(7.0711, abs=1e-4)


def paired_trials(who: str, after: int, left: float, right: float) -> list[dict[str, Any]]:
    """Two trials a side, 2 % apart."""
    return [
        trial(side, force * (1.02 if n == 2 else 1), after, n, who)
        for side, force in (("l", left), ("r", right))
        for n in (1, 2)
    ]


@pytest.mark.parametrize(
    ("rights", "expected"),
    [
        ([400, 400, 400], "l"),
        ([250, 250, 250], "r"),
        ([400, 250, 400], None),  # another side in between
        ([400, 300, 400], None),  # within noise in between
        ([400, 400], None),  # two tests only
    ],
)
def test_a_weaker_side_persists_when_three_tests_running_show_it_beyond_noise(rights, expected):
    rows = [row for n, right in enumerate(rights) for row in paired_trials("ann", 42 * n, 300, right)]
    rows += [row for n in range(3) for row in paired_trials("a1", n, 300, 300)]
    both = of_side(state_of(tests=record("force_test", *rows)), "both")
    assert both["persistent_side"].to_list()[-1] == expected
    assert both["persistent_side"].to_list()[:2] == [None, None]
    if expected:
        assert "third test in a row" in both["sentence"][-1]


def test_three_tests_over_more_than_a_year_are_not_running():
    rows = [row for n in (0, 200, 400) for row in paired_trials("ann", n, 300, 400)]
    rows += [row for n in range(3) for row in paired_trials("a1", n, 300, 300)]
    assert of_side(state_of(tests=record("force_test", *rows)), "both")["persistent_side"].to_list() == [None] * 3


def test_one_side_alone_has_no_difference():
    both = of_side(state_of(tests=record("force_test", trial("l", 300))), "both").row(0, named=True)
    assert (both["difference_percent"], both["reason"]) == (None, "one_side_only")


def test_a_test_of_both_legs_together_is_a_row_of_its_own():
    pull = trial("both", 2400) | {"test": "mid_thigh_pull"}
    row = state_of(tests=record("force_test", pull)).row(0, named=True)
    assert (row["side"], row["peak_force_n"], row["difference_percent"], row["family"]) == ("both", 2400, None, None)


# --- error, smallest change, probability ---------------------------------------------------------------------------


@pytest.mark.parametrize(("side", "other"), [("r", "l"), ("l", "r")])
def test_the_side_that_lost_force_against_the_other_is_named(side: str, other: str):
    # six tests alike but for a wobble of 2 %, in eight people; then a third of one side is gone in one of them
    rows = []
    for who in range(8):
        for month in range(6):
            wobble = 1.02 if (who + month) % 2 else 1.0
            lost = 2 / 3 if who == 0 and month == 5 else 1.0
            on = dt.date(2026, 1, 5) + dt.timedelta(days=28 * month)
            rows += [{"athlete_id": f"a{who}", "measured_on": on, "item": "eccentric_hamstring", "side": one,
                      "mean_force_n": 300.0 * (wobble if one == "l" else 1.0) * (lost if one == side else 1.0)}
                     for one in (side, other)]  # fmt: skip
    smallest = pl.DataFrame({"item": ["eccentric_hamstring"], "smallest_change": [0.02]})
    last = _shift_of_sides(pl.DataFrame(rows), smallest, SETTINGS).filter(athlete_id="a0").tail(1).row(0, named=True)
    assert last["lost_side"] == side
    assert (last["shift_percent"] < 0) is (side == "r")  # right over left
    assert last["p_shift"] > 0.9
