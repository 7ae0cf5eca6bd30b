"""The formulas that decide most, on random inputs, each against another way of reckoning it."""

import datetime as dt
import math

import numpy as np
import polars as pl
import pytest
import statsmodels.formula.api as smf
from scipy import integrate, stats

from pipelines.derived.common.day_noise import draw_in, own_share
from pipelines.derived.common.typical_error import change_probabilities, typical_error
from pipelines.derived.common.window_contrast import contrast
from pipelines.derived.strength.own_change import PRIOR_SD, add_own_change
from schemas.settings import SquadSettings


@pytest.mark.parametrize("seed", range(4))
def test_the_typical_error_is_the_residual_sd_of_a_linear_model_in_statsmodels(seed: int):
    rng = np.random.default_rng(seed)
    runs = rng.integers(1, 5, 40)  # unbalanced: one to four runs of a session
    session = np.repeat(np.arange(40), runs)
    order = np.concatenate([np.arange(1, n + 1) for n in runs])
    value = 1.8 + 0.05 * rng.standard_normal(40)[session] + 0.01 * (order == 1)
    value = value + 0.012 * np.clip(rng.standard_normal(len(session)), -2.5, 2.5)  # none wild: the plain value
    found = typical_error(session, order, value)
    frame = pl.DataFrame({"y": value, "s": session, "o": order}).to_pandas()
    model = smf.ols("y ~ C(s) + C(o)", data=frame).fit()
    assert found is not None
    assert found.freedom == model.df_resid
    assert found.value == pytest.approx(math.sqrt(model.mse_resid), rel=1e-9)


def test_the_probability_of_a_change_is_the_share_of_draws():
    rng = np.random.default_rng(1)
    change, error = rng.normal(0, 0.02, 200), rng.uniform(0.002, 0.02, 200)
    smallest = rng.uniform(0.002, 0.02, 200)
    below, within, above = change_probabilities(change, error, smallest)
    law = stats.norm(change, error)
    assert below == pytest.approx(law.cdf(-smallest), abs=1e-12)
    assert above == pytest.approx(law.sf(smallest), abs=1e-12)
    drawn = change[:, None] + error[:, None] * rng.standard_normal((200, 20_000))
    assert np.abs((np.abs(drawn) < smallest[:, None]).mean(axis=1) - within).max() < 0.02


def test_the_error_of_a_contrast_is_that_of_a_full_covariance_matrix():
    rng = np.random.default_rng(2)
    for _ in range(20):
        age = np.sort(rng.choice(190, 30, replace=False))[::-1].astype(float)
        value, variance = 1.8 + 0.01 * rng.standard_normal(30), rng.uniform(1e-5, 2e-4, 30)
        wave, high = rng.uniform(0, 1e-4), rng.uniform(1e-4, 2e-4)
        now, then = age < 28, age >= 42
        if now.sum() < 4 or then.sum() < 4:  # else the last four days of six weeks count as now
            continue
        seen = contrast(
            age[None], value[None], variance[None], np.array([wave]), (np.array([42.0]), np.array([196.0])),
            np.array([high]),
        )  # fmt: skip
        weight = 1 / variance
        a = np.where(now, weight / weight[now].sum(), 0.0) - np.where(then, weight / weight[then].sum(), 0.0)
        together = np.exp(-np.abs(age[:, None] - age) / 31.0)
        assert seen.change[0] == pytest.approx(np.average(value[now], weights=weight[now])
                                               - np.average(value[then], weights=weight[then]), abs=1e-12)  # fmt: skip
        for error, slow in ((seen.error[0], wave), (seen.told_error[0], high)):
            assert error**2 == pytest.approx(a @ (np.diag(variance) + slow * together) @ a, rel=1e-9)


def test_a_day_is_drawn_in_to_the_median_around_it_as_a_plain_loop_does():
    rng = np.random.default_rng(3)
    values = 1.8 + 0.02 * rng.standard_t(2, (12, 15))
    lengths = rng.integers(1, 16, 12)
    values[np.arange(15) >= lengths[:, None]] = np.nan
    variance = np.full((12, 15), 1e-4)
    drawn = draw_in(values, variance)
    for row, length in enumerate(lengths):
        own = values[row, :length]
        for k in range(length):
            if k >= length - 2:
                around = own[max(length - 4, 0) : length]  # the last four at the end
            elif k < 2:
                around = own[:4]  # the first four at the start
            else:
                around = own[k - 2 : k + 3]
            middle = np.median(around)
            assert drawn[row, k] == pytest.approx(np.clip(own[k], middle - 0.02, middle + 0.02), abs=1e-12)
    assert np.isnan(drawn[np.isnan(values)]).all()


def test_an_athletes_own_share_of_the_noise_is_found_and_drawn_towards_the_squads():
    rng = np.random.default_rng(4)
    day = np.tile(7.0 * np.arange(400), (3, 1))
    noise = np.array([0.5, 1.0, 2.0])[:, None]
    share = own_share(day, np.sqrt(noise) * rng.standard_normal((3, 400)), np.ones(3))
    # by hand, with 399 pairs: m = 2/3 x 399 = 266; (15 + 266 u) / 281; the cap lets u of 2.0 pass as E min(2 z^2, 4)
    u = np.array([0.5, 1.0, 2.0])
    capped = np.array([stats.norm.expect(lambda z, v=v: min(v * z**2, 4.0)) for v in u]) / 0.9205
    assert share == pytest.approx((15 + 266 * capped) / 281, rel=0.12)


@pytest.mark.parametrize("seed", range(6))
def test_a_test_against_own_tests_is_the_posterior_by_numerical_integration(seed: int):
    rng = np.random.default_rng(seed)
    forces = [float(f) for f in np.exp(rng.normal(6.0, 0.05, 3))]
    error, smallest = float(rng.uniform(0.03, 0.08)), float(rng.uniform(0.01, 0.03))
    rows = pl.DataFrame({
        "who": "ann", "on": [dt.date(2026, 1, 7) + dt.timedelta(days=100 * n) for n in range(3)], "force": forces,
        "test_error": error, "test_error_df": 1e7, "smallest_change": smallest,
    })  # fmt: skip
    last = add_own_change(rows, ["who"], "on", "force", SquadSettings()).row(-1, named=True)
    seen = math.log(forces[2]) - (math.log(forces[0]) + math.log(forces[1])) / 2
    spread = error * math.sqrt(1 + 1 / 2)  # a hundred days apart no second test confirms

    def density(true: float) -> float:
        return float(stats.norm.pdf(true, 0, PRIOR_SD) * stats.norm.pdf(seen, true, spread))

    whole = integrate.quad(density, -1, 1, points=[0.0, seen])[0]
    below = integrate.quad(density, -1, -smallest, points=[min(seen, -smallest - 1e-6)])[0]
    mean = integrate.quad(lambda true: true * density(true), -1, 1, points=[0.0, seen])[0] / whole
    assert last["own_change"] == pytest.approx(mean, abs=1e-6)
    assert last["p_lower"] == pytest.approx(below / whole, abs=1e-5)
