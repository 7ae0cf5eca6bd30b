"""Published programmes, formulas and counts that no other test holds, each with authors and year.

'Read': seen in the source. 'Computed': by us, from what the source prints. Where the tool leaves a measure out, the
last test says so, and fails when somebody adds it without its check value.
"""

from itertools import product
from math import comb, exp, log

import numpy as np
import polars as pl
import pytest
from scipy import stats

from pipelines.derived.common.change import drop_probability, pool_smallest_change
from pipelines.derived.common.typical_error import MDC_FACTOR, change_probabilities
from pipelines.derived.load.work import work_week
from pipelines.derived.strength.state import strength_state
from schemas.derived.registry import derived_models
from tests.derived.load.work_frames import MONDAY, SETTINGS, day, record

FIRST = [38.2, 41.0, 35.5, 44.1, 39.8, 36.9]
SECOND = [38.9, 40.1, 36.4, 44.6, 38.8, 37.9]
# Sessions a week, repetitions of each set. Petersen et al. 2011, read in Impellizzeri et al. 2021; middle of the
# printed ranges.
PETERSEN = [(1, [5, 5]), (2, [6, 6]), (3, [7, 7, 7]), (3, [9, 9, 9]), *[(3, [12, 10, 8])] * 6]
# van der Horst 2015: repetitions a week read in the same table; how they are dealt to sets is from memory.
VAN_DER_HORST = [(1, [5, 5]), (2, [6, 6]), (2, [6, 6, 6]), (2, [7, 7, 7]), *[(2, [9, 9, 9])] * 9]


def eccentric_weeks(programme: list[tuple[int, list[int]]]) -> pl.DataFrame:
    """Return the weeks of a programme of lowering, logged as sets on Mondays, Wednesdays and Fridays."""
    sets, sessions = [], []
    for week, (times, reps) in enumerate(programme):
        for time in range(times):
            on = day(7 * week + 2 * time)
            sessions.append({"session_date": on, "kind": "strength", "duration_min": 60.0, "effort_0_10": 5.0})
            sets += [
                {"session_date": on, "exercise": "nordic", "set_no": n, "side": "both", "reps": r}
                for n, r in enumerate(reps, start=1)
            ]
    return work_week(
        record("lift_set", *sets), record("exercise", {"exercise": "nordic", "family": "hamstring_eccentric"}),
        record("rep"), record("session", *sessions), record("day_log"), record("plan"),
        as_of=day(7 * len(programme) - 1),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("programme", "sessions", "reps"),
    [(PETERSEN, 27, 718), (VAN_DER_HORST, 25, 598)],
    ids=["petersen", "van_der_horst"],
)
def test_published_programmes_add_up_to_their_repetitions(programme, sessions, reps):
    weeks = eccentric_weeks(programme)
    assert sum(times for times, _ in programme) == sessions
    assert weeks["eccentric_hamstring_reps"].sum() == reps


def test_the_maintenance_week_is_thirty_repetitions():
    # Petersen et al. 2011 (read): 12 + 10 + 8 once a week
    assert eccentric_weeks([(1, [12, 10, 8])])["eccentric_hamstring_reps"].to_list() == [30]


def test_minimal_difference_from_a_spread_and_a_reliability():
    # Weir 2005 (from memory, computed): SEM = 5 sqrt(1 - 0.9) = 1.581139; MD = 1.96 sqrt 2 SEM = 4.382693
    sem = 5 * (1 - 0.9) ** 0.5
    assert sem == pytest.approx(1.581139, abs=1e-6)
    assert MDC_FACTOR * sem == pytest.approx(4.382693, abs=1e-5)


def test_smallest_change_is_a_fifth_of_the_spread_of_the_two_trials():
    # Hopkins 2004 (read, computed): 0.2 x the two trials' SD together, 2.948729 = 0.589746; exp() makes our log scale
    # the raw one
    people = pl.DataFrame({"athlete_id": [f"a{n}" for n in range(6)], "sex": ["f"] * 6})
    found = []
    for trial in (FIRST, SECOND):
        days = pl.DataFrame({"athlete_id": people["athlete_id"], "test": ["jump"] * 6, "value": np.exp(trial)})
        found.append(pool_smallest_change(days, people, "test", "value", 0.2)["smallest_change"].item())
    assert np.sqrt(np.mean(np.square(found))) == pytest.approx(0.589746, abs=1e-5)


def test_what_is_neither_worse_nor_better_is_trivial():
    # Hopkins 2004 (formula from memory, computed): d -3, TE 1.5, SWC 1: worse 0.827111, trivial 0.143216, better
    # 0.029673
    below, trivial, above = change_probabilities(np.array([-3.0]), np.array([1.5 * 2**0.5]), np.array([1.0]))
    assert (below[0], trivial[0], above[0]) == pytest.approx((0.827111, 0.143216, 0.029673), abs=1e-5)


def test_a_slope_below_minus_five_thousandths():
    # Ordinary least squares by scipy over weeks 0-5: slope, its error, and P(slope < -0.005) on 4 degrees of freedom
    fit = stats.linregress(np.arange(6), [4.20, 4.19, 4.17, 4.18, 4.15, 4.14])
    assert (fit.slope, fit.stderr) == pytest.approx((-0.0117143, 0.0020068), abs=1e-6)
    row = pl.DataFrame(
        {"observed": [fit.slope], "observed_se": [fit.stderr], "smallest_change": [0.005], "test_error_df": [4.0]}
    )
    assert drop_probability(row)[0] == pytest.approx(0.985659, abs=1e-5)


def test_which_of_the_indices_of_asymmetry_ours_is():
    # Bishop et al. 2016 (read; computed): left 300, right 360. Ours is signed, over the larger: +16.666667 %. The
    # others follow.
    tests = record("force_test", *(
        {"tested_on": MONDAY, "test": "eccentric_hamstring", "side": side, "trial_no": 1, "peak_force_n": newtons}
        for side, newtons in (("l", 300.0), ("r", 360.0))
    ))  # fmt: skip
    rows = strength_state(
        record("lift_set"), record("exercise"), tests, record("body_measure"), record("athlete", {}),
        settings=SETTINGS, as_of=MONDAY,
    )  # fmt: skip
    ours = rows.filter(pl.col("side") == "both")["difference_percent"].item() / 100
    assert 100 * ours == pytest.approx(16.666667, abs=1e-5)
    assert 100 * 2 * ours / (2 - ours) == pytest.approx(18.181818, abs=1e-5)  # over the mean
    assert -100 * log(1 - ours) == pytest.approx(18.232156, abs=1e-5)  # log form


def ewma(loads: list[float], days: int, seed: float | None = None) -> list[float]:
    """Return Williams's mean, lambda = 2 / (N + 1) (from memory), from the first day or another seed; by polars."""
    started = loads if seed is None else [seed, *loads]
    return pl.Series(started, dtype=pl.Float64).ewm_mean(alpha=2 / (days + 1), adjust=False).to_list()


def test_why_no_exponentially_weighted_ratio_is_shown():
    # Williams et al. 2017 (formula from memory, computed), Wang et al. 2020 (the problem): the seed alone decides 0.80
    # or 2.06 on the same seven days
    week = [400.0, 0, 600, 300, 0, 700, 0]
    assert pytest.approx((0.25, 0.06896552), abs=1e-8) == (2 / (7 + 1), 2 / (28 + 1))
    assert (ewma(week, 7)[-1], ewma(week, 28)[-1]) == pytest.approx((281.542969, 353.263900), abs=1e-5)
    assert ewma(week, 7)[-1] / ewma(week, 28)[-1] == pytest.approx(0.796976, abs=1e-5)
    assert ewma(week, 7, 0.0)[-1] / ewma(week, 28, 0.0)[-1] == pytest.approx(2.060910, abs=1e-5)
    step = [300.0] * 28 + [450.0] * 7
    assert ewma(step, 7)[-1] / ewma(step, 28)[-1] == pytest.approx(1.197576, abs=1e-5)
    # how much of the first day is still in it 27 days later
    assert ewma([1.0] + [0.0] * 27, 28)[-1] == pytest.approx(0.145236, abs=1e-5)
    assert not [c for m in derived_models().values() for c in m.to_schema().columns if "ewma" in c or "acute" in c]


def test_why_a_season_of_one_squad_proves_little():
    # Mendiguchia et al. 2017 (counts read, computed): 6 of 24 against 1 of 24, and still p 0.097
    assert stats.fisher_exact([[6, 18], [1, 23]]).pvalue == pytest.approx(0.09715, abs=1e-4)
    # 12 exposed, 13 not, true risks 32 and 16 %: power by counting every outcome
    power = sum(
        comb(12, a) * 0.32**a * 0.68 ** (12 - a) * comb(13, b) * 0.16**b * 0.84 ** (13 - b)
        for a, b in product(range(13), range(14))
        if stats.fisher_exact([[a, 12 - a], [b, 13 - b]]).pvalue <= 0.05
    )
    assert power == pytest.approx(0.117597, abs=1e-5)


# Measures of the table that the tool does not compute, with words that a column of them would carry.
LEFT_OUT = {
    "maturity offset (Mirwald 2002, Moore 2015): about a year off for an individual": ("maturity", "peak_height"),
    "running leg stiffness (Morin 2005): a point mass is too crude at sprint speed": ("leg_stiffness", "k_leg"),
    "modified reactive strength (jump height over time to take-off)": ("rsi_mod", "time_to_takeoff"),
    "number needed to treat (Petersen 2011): of a trial, not of a squad": ("needed_to_treat",),
    "weekly change on the log scale (31.0155): the percent is shown": ("change_log",),
    "retest by regression to the mean (Barnett 2005)": ("regression_to_mean",),
    "shrunken rates (beta-binomial)": ("shrunken_rate", "posterior_rate"),
    "smallest change of a race as a share of race-to-race spread (Hopkins 2001, 2005)": ("swc_race",),
}


@pytest.mark.parametrize("measure", LEFT_OUT, ids=lambda m: m.split(" (")[0].split(":")[0])
def test_a_measure_left_out_is_in_no_table(measure: str):
    columns = [(name, c) for name, model in derived_models().items() for c in model.to_schema().columns]
    assert not [found for found in columns if any(word in found[1] for word in LEFT_OUT[measure])]
    assert exp(31.0155 / 100) - 1 == pytest.approx(0.363636, abs=1e-5)  # the same change as percent, 3000 on 2200
