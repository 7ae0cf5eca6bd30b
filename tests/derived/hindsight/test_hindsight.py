"""Judging flags: a season worked by hand, statsmodels and scipy."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import confint_poisson

from pipelines.derived.hindsight.counts import (
    FlagTable,
    compute_auc,
    compute_base_rate,
    compute_brier,
    compute_brier_skill,
    compute_exact,
    compute_false_per_hit,
    compute_lift,
    compute_net_benefit,
    compute_net_benefit_of_all,
    compute_npv,
    compute_poisson,
    compute_ppv,
    compute_ppv_at,
    compute_sensitivity,
    compute_specificity,
    compute_wilson,
    say_verdict,
)

# Own example: 25 athletes x 40 weeks, 10 injuries; definitions are textbook, values computed by us.
SEASON = FlagTable(hits=6, false_flags=198, missed=4, quiet=792)
NOTHING = FlagTable(0, 0, 0, 0)


def test_the_worked_season():
    assert compute_sensitivity(SEASON) == 0.60  # 6 / 10
    assert compute_specificity(SEASON) == 0.80  # 792 / 990
    assert compute_ppv(SEASON) == pytest.approx(0.0294118, abs=1e-6)  # 6 / 204
    assert compute_npv(SEASON) == pytest.approx(0.9949749, abs=1e-6)  # 792 / 796
    assert compute_lift(SEASON) == pytest.approx(2.941176, abs=1e-6)  # 0.0294118 / 0.01
    assert compute_false_per_hit(SEASON) == 33  # 198 / 6
    assert compute_base_rate(SEASON) == 0.01


def test_significant_is_not_useful():
    # Fisher 1922 by scipy: p 0.006776, and still 97 % of the flags are followed by no injury
    assert stats.fisher_exact([[6, 198], [4, 792]]).pvalue == pytest.approx(0.006776, abs=1e-6)
    assert 1 - compute_ppv(SEASON) == pytest.approx(0.97, abs=1e-3)


@pytest.mark.parametrize(
    ("rate", "ppv"), [(0.002, 0.005976), (0.005, 0.014851), (0.01, 0.029412), (0.05, 0.136364), (0.20, 0.428571)]
)
def test_ppv_falls_with_the_base_rate(rate: float, ppv: float):
    assert compute_ppv_at(0.6, 0.8, rate) == pytest.approx(
        ppv, abs=1e-6
    )  # Bayes 1763 as in Altman & Bland 1994 (from memory)


@pytest.mark.parametrize(
    ("count", "of", "wilson", "exact"),
    [
        (6, 10, (0.312674, 0.831820), (0.262378, 0.878448)),
        (6, 204, (0.013548, 0.062671), (0.010869, 0.062915)),
        (4, 796, (0.001956, 0.012849), (0.001371, 0.012816)),
        (3, 5, (0.230724, 0.882379), (0.146633, 0.947255)),
        (2, 25, (0.022220, 0.249661), (0.009840, 0.260306)),
        (0, 25, (0.0, 0.133192), (0.0, 0.137185)),
        (3, 3, (0.438503, 1.0), (0.292402, 1.0)),
    ],
)
def test_intervals_of_shares(count: int, of: int, wilson: tuple[float, float], exact: tuple[float, float]):
    # Wilson 1927 and Clopper & Pearson 1934 (from memory), and statsmodels beside them
    assert compute_wilson(count, of) == pytest.approx(wilson, abs=1e-5)
    assert compute_exact(count, of) == pytest.approx(exact, abs=1e-5)
    assert compute_wilson(count, of) == pytest.approx(proportion_confint(count, of, method="wilson"), abs=1e-6)
    # scipy's own way goes by the tails of the binomial, not by the incomplete beta function that we invert;
    # statsmodels gives nan for 3 of 3 and 0 of 25 in its exact form on the closed side; scipy does not
    beta = stats.binomtest(count, of).proportion_ci(method="exact")
    assert compute_exact(count, of) == pytest.approx((beta.low, beta.high), abs=1e-9)


@pytest.mark.parametrize("count", [0, 1, 3, 17, 400])
def test_the_interval_of_a_count_is_where_its_tails_are_rare(count: int):
    low, high = compute_poisson(count)
    assert stats.poisson.cdf(count, high) == pytest.approx(0.025, rel=1e-9)
    assert low == 0 if count == 0 else stats.poisson.sf(count - 1, low) == pytest.approx(0.025, rel=1e-9)


@pytest.mark.parametrize("count", [0, 1, 44_000, 149_999])
def test_many_weeks_have_an_exact_interval_too(count: int):
    low, high = compute_exact(count, 150_000) or (0.0, 0.0)
    assert stats.binom.cdf(count, 150_000, high) == pytest.approx(0.025, rel=1e-6)
    assert low == 0 if count == 0 else stats.binom.sf(count - 1, 150_000, low) == pytest.approx(0.025, rel=1e-6)


@given(st.integers(2, 400).flatmap(lambda of: st.tuples(st.integers(1, of - 1), st.just(of))))
def test_intervals_agree_with_statsmodels_everywhere(pair: tuple[int, int]):
    count, of = pair
    assert compute_wilson(count, of) == pytest.approx(proportion_confint(count, of, method="wilson"), abs=1e-6)
    assert compute_exact(count, of) == pytest.approx(proportion_confint(count, of, method="beta"), abs=1e-8)


def test_other_levels_of_the_exact_interval():
    # 0 of 25, one-sided 95 % upper bound 0.112928 = 1 - 0.05^(1/25): the upper end of a two-sided 90 % interval
    assert compute_exact(0, 25, level=0.90)[1] == pytest.approx(0.112928, abs=1e-6)


def test_injury_rate_has_an_exact_interval():
    # 3 in 2400 h = 1.25 per 1000 h, 0.257778 to 3.653030 (Garwood 1936, from memory); statsmodels 'exact-c' beside it
    low, high = compute_poisson(3)
    assert (3 / 2.4, low / 2.4, high / 2.4) == pytest.approx((1.25, 0.257778, 3.653030), abs=1e-5)
    assert (low, high) == pytest.approx(confint_poisson(3, 1, method="exact-c"), abs=1e-6)
    assert compute_poisson(0) == pytest.approx((0.0, -math.log(0.025)))  # P(0) = e^-m = 0.025


def test_brier_of_six_forecasts():
    # squares .0025 .0025 .9025 .04 .04 .36, sum 1.3475 / 6 = 0.224583; base rate 2 of 6: 0.222222; Brier 1950 (from
    # memory)
    stated, happened = [0.05, 0.05, 0.05, 0.2, 0.2, 0.4], [0, 0, 1, 0, 0, 1]
    assert compute_brier(stated, happened) == pytest.approx(0.224583, abs=1e-6)
    assert compute_brier_skill(stated, happened) == pytest.approx(-0.010625, abs=1e-6)


def test_brier_of_the_season():
    # stated: PPV where flagged, 1 - NPV where not: 0.0098034 against 0.0099, skill 0.009755 (own computation)
    stated = [6 / 204] * 204 + [4 / 796] * 796
    happened = [1] * 6 + [0] * 198 + [1] * 4 + [0] * 792
    assert compute_brier(stated, happened) == pytest.approx(0.0098034, abs=1e-6)
    assert compute_brier_skill(stated, happened) == pytest.approx(0.009755, abs=1e-5)


def test_auc_is_the_share_of_pairs_in_order():
    # cases .35 and .8 against .1 and .4: three of four pairs in order; rank definition, by hand
    assert compute_auc([0.1, 0.4, 0.35, 0.8], [0, 0, 1, 1]) == 0.75
    assert compute_auc([0.5, 0.5], [0, 1]) == 0.5
    u = stats.mannwhitneyu([3, 4, 4, 9], [1, 4, 5], method="asymptotic").statistic
    assert compute_auc([3, 4, 4, 9, 1, 4, 5], [1, 1, 1, 1, 0, 0, 0]) == pytest.approx(u / 12)  # scipy


@pytest.mark.parametrize(
    ("threshold", "flag", "everybody"),
    [(0.01, 0.004, 0.0), (0.02, 0.00195918, -0.01020408), (0.025, 0.00092308, -0.01538462),
     (0.03, -0.00012371, -0.02061856)],
)  # fmt: skip
def test_net_benefit(threshold: float, flag: float, everybody: float):
    # Vickers & Elkin 2006 (formula read in Vickers et al. 2019), values by hand: 6/1000 - 198/1000 x t / (1 - t)
    assert compute_net_benefit(SEASON, threshold) == pytest.approx(flag, abs=1e-7)
    assert compute_net_benefit_of_all(SEASON, threshold) == pytest.approx(everybody, abs=1e-7)


def test_a_share_of_nothing_is_unknown():
    for compute in (
        compute_sensitivity, compute_specificity, compute_ppv, compute_npv, compute_lift, compute_false_per_hit,
        compute_base_rate,
    ):  # fmt: skip
        assert compute(NOTHING) is None
    assert compute_wilson(0, 0) is compute_exact(0, 0) is None
    assert compute_brier([], []) is compute_auc([0.1], [1]) is None
    assert compute_brier_skill([0.1, 0.2], [0, 0]) is None
    assert compute_net_benefit(NOTHING, 0.02) is compute_net_benefit_of_all(NOTHING, 0.02) is None


def test_under_ten_injuries_nothing_can_be_concluded():
    assert say_verdict(FlagTable(3, 40, 0, 400)) == "3 injuries: nothing can be concluded."
    assert say_verdict(FlagTable(1, 40, 0, 400)) == "1 injury: nothing can be concluded."
    assert say_verdict(FlagTable(5, 40, 4, 400)) == "9 injuries: nothing can be concluded."
    assert say_verdict(SEASON) == (
        "6 of 10 injuries were flagged (26 to 88 %, exact 95 % interval); 198 of 204 flags were followed by none."
    )
