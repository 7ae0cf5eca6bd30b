"""Counts of weeks looked back on: shares with their intervals, chance, and how much of an effect is found."""

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from pipelines.derived.hindsight.backtest import compute_chance, draw_athletes
from tests.derived.hindsight.backtest_frames import SEASON, counted, judged_weeks, row_of


def test_a_season_worked_by_hand():
    found = counted(judged_weeks(SEASON))
    flag = row_of(found)
    assert (flag["weeks"], flag["athletes"], flag["judged"], flag["injuries"]) == (40, 25, 1000, 10)
    assert (flag["hits"], flag["false_flags"], flag["missed"], flag["quiet"]) == (6, 198, 4, 792)
    assert flag["without_injury"] == 990  # 1000 - 10
    assert flag["sensitivity"] == 0.6  # 6 / 10
    assert flag["specificity"] == 0.8  # 792 / 990
    assert flag["ppv"] == pytest.approx(0.0294118, abs=1e-7)  # 6 / 204
    assert flag["lift"] == pytest.approx(2.941176, abs=1e-6)  # 0.0294118 / 0.01
    assert flag["false_per_hit"] == 33  # 198 / 6
    assert flag["flags_a_week"] == 5.1  # 204 / 40
    assert flag["reason"] is None
    assert flag["sentence"].startswith("In 40 weeks: 6 of 10 injuries were flagged (26 to 88 %")


def test_intervals_stand_beside_every_share():
    flag = row_of(counted(judged_weeks(SEASON)))
    # Wilson 1927, Clopper & Pearson 1934 (both from memory), and statsmodels
    for share, count, of in (("sensitivity", 6, 10), ("ppv", 6, 204), ("specificity", 792, 990)):
        for method, ours in (("wilson", "wilson"), ("beta", "exact")):
            low, high = proportion_confint(count, of, method=method)
            assert (flag[f"{share}_{ours}_low"], flag[f"{share}_{ours}_high"]) == pytest.approx((low, high), abs=1e-6)
        assert flag[f"{share}_athletes_low"] <= flag[share] <= flag[f"{share}_athletes_high"]
    assert (flag["ppv_exact_low"], flag["ppv_exact_high"]) == pytest.approx((0.010869, 0.062915), abs=1e-6)


def test_the_comparisons_over_the_same_weeks():
    found = counted(judged_weeks(SEASON))
    never, always, random = (row_of(found, rule) for rule in ("never", "always", "random"))
    assert (never["hits"], never["missed"], never["specificity"], never["ppv"]) == (0, 10, 1.0, None)
    assert (always["hits"], always["false_flags"], always["lift"]) == (10, 990, 1.0)
    # by hand: six injured athletes with 8 flags in 40 weeks, four with 7: 6 x 8 / 40 + 4 x 7 / 40 = 1.9 hits
    assert random["hits"] == pytest.approx(1.9)
    assert random["false_flags"] == pytest.approx(204 - 1.9)
    assert random["quiet"] + random["missed"] == pytest.approx(796)


def test_chance_is_the_distribution_of_all_shuffles():
    counts = np.array([(1, 7, 0, 32)] * 6 + [(0, 7, 1, 32)] * 4)
    expected, as_good = compute_chance(counts)
    # every athlete has one injury: a hit with probability flags / weeks. Poisson-binomial by scipy's binomials:
    # P(X + Y >= 6), X ~ Bin(6, 8/40), Y ~ Bin(4, 7/40)
    x, y = stats.binom(6, 0.2), stats.binom(4, 0.175)
    by_hand = sum(x.pmf(i) * y.pmf(j) for i in range(7) for j in range(5) if i + j >= 6)
    assert expected == pytest.approx(1.9)
    assert as_good == pytest.approx(by_hand)
    # two injuries of one athlete: hypergeometric, scipy
    assert compute_chance(np.array([(2, 3, 0, 15)]))[1] == pytest.approx(stats.hypergeom(20, 5, 2).sf(1))
    assert compute_chance(np.array([(0, 3, 0, 15)])) == (0.0, None)


def test_chance_agrees_with_flags_shuffled_one_by_one():
    rng = np.random.default_rng(11)
    counts = np.array([(2, 4, 1, 13), (1, 9, 1, 9), (0, 2, 1, 17)])
    shuffles = 20_000
    hits = np.zeros(shuffles)
    for hit, false_flags, missed, quiet in counts:
        total, flags = hit + false_flags + missed + quiet, hit + false_flags
        drawn = rng.random((shuffles, total)).argsort(axis=1) < flags
        hits += drawn[:, : hit + missed].sum(axis=1)
    # Monte Carlo: two standard errors of a share of 20,000 are at most 0.007
    assert compute_chance(counts)[1] == pytest.approx((hits >= 3).mean(), abs=0.01)
    assert compute_chance(counts)[0] == pytest.approx(hits.mean(), abs=0.03)


def simulated(rng: np.random.Generator, risk: float, times: float, athletes: int, weeks: int, rate: float):
    """Return counts of a season: flags at a rate of each athlete's own; an injury is ``times`` as likely after one."""
    rates = np.clip(rng.normal(rate, rate / 3, athletes), 0.02, 0.9)
    flags = rng.random((athletes, weeks)) < rates[:, None]
    hurt = rng.random((athletes, weeks)) < np.where(flags, times * risk, risk)
    cells = (flags & hurt, flags & ~hurt, ~flags & hurt, ~flags & ~hurt)
    return np.stack([cell.sum(axis=1) for cell in cells], axis=1)


def test_nothing_is_found_where_flags_and_injuries_have_nothing_to_do_with_each_other():
    rng = np.random.default_rng(5)
    seasons = 600
    found = [compute_chance(simulated(rng, 0.02, 1.0, 25, 40, 0.2))[1] for _ in range(seasons)]
    rate = np.mean([p is not None and p <= 0.05 for p in found])
    # a test of level 0.05 on counts is conservative; three standard errors above 0.05 are 0.077
    assert 0 < rate < 0.05 + 3 * np.sqrt(0.05 * 0.95 / seasons)


def test_shuffled_injuries_of_a_season_with_an_effect_are_found_no_more_often_than_stated():
    rng = np.random.default_rng(8)
    found = []
    for _ in range(400):
        counts = simulated(rng, 0.02, 4.0, 25, 40, 0.2)
        totals, flags, hurt = counts.sum(axis=1), counts[:, 0] + counts[:, 1], counts[:, 0] + counts[:, 2]
        hits = rng.hypergeometric(hurt, totals - hurt, flags)  # injuries dealt out anew within each athlete
        found.append(
            compute_chance(np.stack([hits, flags - hits, hurt - hits, totals - flags - hurt + hits], axis=1))[1]
        )
    assert np.mean(np.array(found) <= 0.05) < 0.05 + 3 * np.sqrt(0.05 * 0.95 / 400)


def test_a_planted_effect_is_found_at_the_stated_power():
    rng = np.random.default_rng(7)
    seasons, athletes, weeks, risk, rate, times = 300, 100, 120, 0.005, 0.2, 3.0
    found = np.mean(
        [compute_chance(simulated(rng, risk, times, athletes, weeks, rate))[1] <= 0.05 for _ in range(seasons)]
    )
    # stated: about 12,000 x (0.8 x 0.005 + 0.2 x 0.015) = 84 injuries, a share 0.6 / 1.4 = 0.43 of them flagged,
    # against 0.2 of all weeks. One-sample z test of a share, normal approximation (textbook):
    injuries, flagged = athletes * weeks * (0.8 * risk + 0.2 * times * risk), 3 * 0.2 / (3 * 0.2 + 0.8)
    spread0, spread1 = np.sqrt(0.2 * 0.8 / injuries), np.sqrt(flagged * (1 - flagged) / injuries)
    stated = stats.norm.sf((0.2 + 1.645 * spread0 - flagged) / spread1)
    assert stated > 0.99
    assert found > 0.97
    # with a tenth of the record, eight injuries, most such effects are missed: why under ten nothing is concluded
    small = np.mean([
        (compute_chance(simulated(rng, risk, times, 25, 48, rate))[1] or 1.0) <= 0.05 for _ in range(seasons)
    ])  # fmt: skip
    assert small < 0.6


def test_drawing_whole_athletes_is_wider_than_drawing_weeks_where_weeks_hang_together():
    # five athletes are flagged all year and carry all the injuries, twenty are never flagged
    counts = np.array([(2, 38, 0, 0)] * 5 + [(0, 0, 0, 40)] * 20)
    low, high = draw_athletes(counts)["specificity"]
    wilson = proportion_confint(800, 990, method="wilson")
    assert high - low > 3 * (wilson[1] - wilson[0])
    assert draw_athletes(counts) == draw_athletes(counts)  # the same record, the same interval


def test_the_bootstrap_interval_is_scipys():
    counts = np.array(SEASON)
    rows = (np.arange(len(counts)),)

    def sensitivity(drawn):
        taken = counts[drawn]
        return taken[:, 0].sum() / (taken[:, 0] + taken[:, 2]).sum()

    reference = stats.bootstrap(rows, sensitivity, n_resamples=2000, method="percentile", vectorized=False, rng=1)
    low, high = draw_athletes(counts)["sensitivity"]
    assert (low, high) == pytest.approx(tuple(reference.confidence_interval), abs=0.04)


# --- thin input ---
