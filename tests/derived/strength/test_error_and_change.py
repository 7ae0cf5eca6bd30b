"""The error of a test, the smallest change that matters, and how probable a drop beyond it is."""

import numpy as np
import polars as pl
import pytest
from scipy import integrate, stats

from pipelines.derived.common.change import best_of_normals, drop_probability, pool_smallest_change, pool_test_error
from schemas.vocabulary import FORCE_TESTS
from tests.derived.load.work_frames import MONDAY, day, record
from tests.derived.strength.strength_frames import state_of, trial

# Own example: six athletes, two trials (cm).
FIRST = [38.2, 41.0, 35.5, 44.1, 39.8, 36.9]
SECOND = [38.9, 40.1, 36.4, 44.6, 38.8, 37.9]


def two_trials() -> pl.DataFrame:
    return pl.DataFrame(
        [{"athlete_id": f"a{n}", "test": "jump", "on": day(after), "value": value}
         for after, column in ((0, FIRST), (7, SECOND)) for n, value in enumerate(column)]
    )  # fmt: skip


def test_typical_error_of_six_athletes():
    frame = two_trials()
    error = pool_test_error(frame, "test", ["athlete_id", "test"], "on", "value").row(0, named=True)
    # Hopkins 2000 (read), log-method CV 1.672463 % (own computation), 6 - 1 = 5 degrees of freedom
    assert 100 * (np.exp(error["test_error"]) - 1) == pytest.approx(1.672463, abs=0.02)
    assert error["test_error"] == pytest.approx(np.std(np.log(SECOND) - np.log(FIRST), ddof=1) / 2**0.5)
    assert error["test_error_df"] == pytest.approx(5)
    # values exp(trial) make the log scale the raw one: TE 0.641872 (own computation)
    raw = pool_test_error(frame.with_columns(pl.col("value").exp()), "test", ["athlete_id", "test"], "on", "value")
    assert raw["test_error"][0] == pytest.approx(0.641872, abs=1e-5)
    # TE / mean is the CV of the raw scale, 1.631187 % (C); ICC(3,1) from the same error: 0.952616 (Weir 2005, C)
    assert 100 * raw["test_error"][0] / np.mean(FIRST + SECOND) == pytest.approx(1.631187, abs=1e-5)
    between = 2 * np.var((np.array(FIRST) + SECOND) / 2, ddof=1)
    noise = raw["test_error"][0] ** 2
    assert (between - noise) / (between + noise) == pytest.approx(0.952616, abs=1e-5)


def test_typical_error_needs_repeats_and_five_degrees_of_freedom():
    frame = two_trials()
    few = pool_test_error(frame.filter(pl.col("athlete_id") != "a5"), "test", ["athlete_id", "test"], "on", "value")
    assert few["test_error"].to_list() == [None]
    late = frame.with_columns(pl.when(pl.col("on") > MONDAY).then(pl.lit(day(91))).otherwise("on").alias("on"))
    assert pool_test_error(late, "test", ["athlete_id", "test"], "on", "value").is_empty()


def test_typical_error_is_found_in_simulated_tests_with_slow_change():
    rng = np.random.default_rng(20260302)
    rows = [
        {"athlete_id": f"a{n}", "test": "jump", "on": day(14 * k), "value": 300 * noise * float(np.exp(0.002 * k))}
        for n in range(40)
        for k, noise in enumerate(np.exp(0.04 * rng.normal(size=10)))
    ]
    error = pool_test_error(pl.DataFrame(rows), "test", ["athlete_id", "test"], "on", "value").row(0, named=True)
    # truth 0.04; 40 series of 10 tests count 40 x 2 x 81 / 26 - 1 = 248.2 degrees of freedom
    assert error["test_error_df"] == pytest.approx(248.23, abs=0.01)
    assert error["test_error"] == pytest.approx(0.04, abs=3 * 0.04 / (2 * 248) ** 0.5)


def test_smallest_change_is_a_share_of_the_spread_between_athletes_of_one_sex():
    rows = [("a0", "m", 100.0), ("a1", "m", 110.0), ("a2", "f", 60.0), ("a3", "f", 66.0)]
    days = pl.DataFrame([{"athlete_id": who, "test": "t", "value": value} for who, _, value in rows])
    athlete = record("athlete", *({"athlete_id": who, "display_name": who, "sex": sex} for who, sex, _ in rows))
    found = pool_smallest_change(days, athlete, "test", "value", 0.2)["smallest_change"][0]
    # both pairs apart by ln 1.1: pooled SD = ln 1.1 / sqrt 2 with 2 df; 0.2 of it (Hopkins, V)
    assert found == pytest.approx(0.2 * np.log(1.1) / 2**0.5)
    assert pool_smallest_change(days.head(3), athlete, "test", "value", 0.2)["smallest_change"][0] is None


@pytest.mark.parametrize(
    ("d", "te", "n1", "n2", "df", "expected"),
    [
        (-3, 1.5, 1, 1, 1e9, 0.827111),  # Hopkins 2004 (from memory), own computation
        (-3, 1.5, 6, 3, 1e9, 0.970327),
        (-3, 1.5, 1, 1, 9, 0.814802),
        (3, 1.5, 1, 1, 1e9, 0.029673),  # the mirror image: P(true change > +SWC) of the same example
    ],
)
def test_probability_of_a_drop_beyond_the_smallest_change(d, te, n1, n2, df, expected):
    rows = pl.DataFrame(
        {"observed": [float(d), None], "observed_se": [te * (1 / n1 + 1 / n2) ** 0.5] * 2, "smallest_change": [1.0] * 2,
         "test_error_df": [float(df)] * 2}
    )  # fmt: skip
    assert drop_probability(rows).to_list() == [pytest.approx(expected, abs=1e-5), None]
    assert stats.t.cdf((-1 - d) / (te * (1 / n1 + 1 / n2) ** 0.5), df) == pytest.approx(expected, abs=1e-5)


def test_the_best_of_several_noisy_tests_lies_above_the_true_level():
    mean, variance = best_of_normals(np.array([1, 2, 3, 10]))
    # order statistics of the normal (tables, M): 1/sqrt(pi) = 0.56419 and 1 - 1/pi = 0.68169 for two; 0.84628,
    # 0.55947 for three; 1.53875, 0.34434 for ten
    assert mean == pytest.approx([0, 0.56419, 0.84628, 1.53875], abs=1e-5)
    assert variance == pytest.approx([1, 0.68169, 0.55947, 0.34434], abs=1e-5)
    by_scipy = integrate.quad(lambda x: x * 10 * stats.norm.pdf(x) * stats.norm.cdf(x) ** 9, -8, 8)[0]
    assert mean[3] == pytest.approx(by_scipy, abs=1e-8)


def steady_squad(drop: float, tests: int = 8, seed: int = 7) -> pl.DataFrame:
    """Forty sides without any change but, on the last day, the drop given (share); test error 4 %."""
    rng = np.random.default_rng(seed)
    rows = []
    for who in range(8):
        for k in range(tests):
            for n in range(5):
                level = 300 * (1 + 0.02 * who) * (1 - drop if k == tests - 1 else 1)
                force = float(level * np.exp(0.04 * rng.normal()))
                rows.append(trial("lr"[n // 4], force, 42 * k, 1, f"a{who}") | {"test": FORCE_TESTS[n % 4]})
    return state_of(tests=record("force_test", *rows)).filter(pl.col("measured_on") == day(42 * (tests - 1)))


def test_without_a_change_a_long_record_does_not_look_like_a_drop():
    p = steady_squad(0)["p_drop"].drop_nulls().to_numpy()
    assert len(p) == 40
    # the raw change against the best of seven reads -5 % on average; the probability stays below one half
    assert steady_squad(0)["change_vs_best_percent"].mean() < -3
    assert p.mean() < 0.5
    assert (p > 0.95).mean() <= 0.10


def test_a_real_drop_of_a_fifth_is_found():
    p = steady_squad(0.2)["p_drop"].drop_nulls().to_numpy()
    assert (p > 0.9).mean() > 0.9


def test_p_drop_of_two_tests_is_hopkinss_formula():
    rows = [trial("l", force, after, 1, f"a{n}") for after, column in ((0, FIRST), (7, SECOND)) for n, force in
            enumerate(10 * value for value in column)]  # fmt: skip
    state = state_of(tests=record("force_test", *rows)).filter(
        (pl.col("side") == "l") & (pl.col("measured_on") == day(7))
    )
    te = np.std(np.log(SECOND) - np.log(FIRST), ddof=1) / 2**0.5
    swc = 0.2 * np.std((np.log(FIRST) + np.log(SECOND)) / 2, ddof=1)
    d = np.log(40.1 / 41.0)
    expected = stats.t.cdf((-swc - d) / (te * 2**0.5), 5)
    assert state["p_drop"][1] == pytest.approx(expected, abs=1e-9)
    assert state["change_vs_best_percent"][1] == pytest.approx(100 * (40.1 / 41.0 - 1))
