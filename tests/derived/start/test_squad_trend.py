"""The squad's trends together: the mixed model against published and independent fits, and what becomes of a slope."""

import datetime as dt
from pathlib import Path

import numpy as np
import pandas as pd
import polars as pl
import pytest
import statsmodels.regression.tests.results as reference
from statsmodels.regression.mixed_linear_model import MixedLM

from pipelines.derived.common.mixed_model import Sums, fit_mixed, with_factor
from pipelines.derived.start.squad_trend import squad_trend
from schemas.derived.squad_trend import SquadTrend
from tests.derived.load.work_frames import checked
from tests.derived.start.start_frames import record

TODAY = dt.date(2026, 11, 22)


def growing_pigs() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A published data set of weights over twelve weeks, 72 animals, from the installed reference library."""
    data = pd.read_csv(Path(reference.__file__).parent / "dietox.csv")
    week = data["Time"].to_numpy(float)
    return data["Weight"].to_numpy(float), np.column_stack([np.ones_like(week), week]), pd.factorize(data["Pig"])[0]


@pytest.mark.parametrize(
    ("restricted", "beta", "errors", "residual", "between", "log_likelihood"),
    [
        (True, [15.738650, 6.939014], [0.5501253, 0.0798254], 6.03745, [19.4934552, 0.2938323, 0.4160620], -2217.047),
        (False, [15.73863, 6.93902], [0.54629282, 0.07926954], 6.037441, [19.190922, 0.2936, 0.409694], -2215.753),
    ],
)
def test_a_published_data_set_gives_the_numbers_printed_for_it(
    restricted, beta, errors, residual, between, log_likelihood
):
    # Source: output of the R package lme4 for Weight ~ Time + (1 + Time | Pig), as printed in statsmodels' own tests
    # (the covariance of the full-likelihood fit: own fit, agrees with theirs to their tolerance).
    y, x, group = growing_pigs()
    fit = fit_mixed(y, x, x, group, restricted=restricted)
    assert fit.beta == pytest.approx(beta, rel=1e-5)
    assert np.sqrt(np.diag(fit.beta_covariance)) == pytest.approx(errors, rel=1e-3)
    assert fit.residual_variance == pytest.approx(residual, rel=1e-3)
    assert fit.between[np.tril_indices(2)] == pytest.approx(between, rel=1e-3)
    assert -0.5 * fit.criterion == pytest.approx(log_likelihood, abs=0.01)


def test_random_levels_alone_give_the_printed_numbers_too():
    # Source: lme4, Weight ~ Time + (1 | Pig), REML, printed in statsmodels' tests
    y, x, group = growing_pigs()
    fit = fit_mixed(y, x, x[:, :1], group)
    assert fit.beta == pytest.approx([15.723523, 6.942505], rel=1e-6)
    assert np.sqrt(np.diag(fit.beta_covariance)) == pytest.approx([0.78805374, 0.03338727], rel=1e-5)
    assert (fit.residual_variance, fit.between[0, 0]) == pytest.approx((11.36692, 40.39395), rel=1e-5)
    assert -0.5 * fit.criterion == pytest.approx(-2404.775, abs=1e-3)


@pytest.mark.parametrize(
    ("days", "weight", "pulled"), [(2, 0.181818, 9.090909), (10, 0.526316, 11.157895), (40, 0.816327, 12.897959)]
)
def test_a_mean_is_pulled_as_the_closed_form_says(days: int, weight: float, pulled: float):
    # Worked example of the science note: centre 8, SD between 2, within 6, own mean 14. w = 4 / (4 + 36 / n).
    # Two groups at 14 and at 2 make the shared mean 8; L = 2 / 6.
    group = np.repeat([0, 1], days)
    y, x = np.where(group == 0, 14.0, 2.0), np.ones((2 * days, 1))
    fit = with_factor(Sums.of(y, x, x, group), np.array([[2.0 / 6.0]]), np.ones(1))
    assert fit.weight(0)[0] == pytest.approx(weight, abs=1e-6)
    assert fit.value(np.ones((2, 1)), np.ones(1))[0][0] == pytest.approx(pulled, abs=1e-6)


def test_what_is_left_unknown_of_a_mean_is_the_closed_form():
    # The same example: (1/t^2 + n/s^2)^(-1/2) with t 2, s 6, n 10 is 1.376494, here in units of s
    y, x, group = np.repeat([14.0, 2.0], 10), np.ones((20, 1)), np.repeat([0, 1], 10)
    fit = with_factor(Sums.of(y, x, x, group), np.array([[2.0 / 6.0]]), np.ones(1))
    left = fit.effect_covariance[0, 0, 0] / fit.residual_variance
    assert 6.0 * np.sqrt(left) == pytest.approx(1.376494, abs=1e-6)


def test_an_independent_fit_of_a_simulated_squad_agrees():
    # statsmodels MixedLM as an independent implementation, on unequal numbers of days. Hundredths of a second and
    # periods of six weeks, since its search wants numbers near one.
    rng = np.random.default_rng(7)
    group = np.repeat(np.arange(20), rng.integers(4, 15, 20))
    period = rng.uniform(-2, 0, len(group))
    own = rng.multivariate_normal([0, 0], [[9.0, 1.2], [1.2, 2.0]], 20)
    y = 193 + own[group, 0] + (own[group, 1] - 0.6) * period + 1.1 * rng.standard_normal(len(group))
    x = np.column_stack([np.ones_like(period), period])
    ours = fit_mixed(y, x, x, group)
    theirs = MixedLM(y, x, groups=group, exog_re=x).fit(reml=True, method="lbfgs")
    assert theirs.converged
    assert ours.beta == pytest.approx(np.asarray(theirs.fe_params), rel=1e-4, abs=1e-3)
    assert ours.residual_variance == pytest.approx(theirs.scale, rel=1e-3)
    assert ours.between_sd == pytest.approx(np.sqrt(np.diag(np.asarray(theirs.cov_re))), rel=2e-3)
    assert -0.5 * ours.criterion == pytest.approx(theirs.llf, abs=1e-3)
    assert ours.effects == pytest.approx(np.array([theirs.random_effects[g] for g in range(20)]), abs=0.01)


# --- the table -------------------------------------------------------------------------------------------------------


def trend_rows(slopes: list[float], days: int, noise: float, seed: int = 1, sex_step: float = 0.0) -> pl.DataFrame:
    rng = np.random.default_rng(seed)
    rows = []
    for a, slope in enumerate(slopes):
        level = 1.95 + (sex_step if a % 2 else 0.0) + 0.02 * rng.standard_normal()
        for back in np.linspace(0, 77, days).round().astype(int):
            value = level - slope * back / 7 + noise * rng.standard_normal()
            rows.append((f"athlete-{a:02d}", TODAY - dt.timedelta(days=int(back)), value))
    return pl.DataFrame(rows, schema=["athlete_id", "session_date", "observed"], orient="row").with_columns(
        metric=pl.lit("t_10_s"),
        start_kind=pl.lit("blocks"),
        clock_start=pl.lit("gun"),
        timing_kind=pl.lit("electronic"),
        measured_by=pl.lit("gate"),
        set_up=pl.lit("not_stated"),
    )


def people(count: int) -> pl.DataFrame:
    says = {"display_name": "Ida Fell", "event_group": "short_sprints"}
    return record("athlete", [says | {"athlete_id": f"athlete-{a:02d}", "sex": "fm"[a % 2]} for a in range(count)])


def test_an_own_line_is_least_squares_by_hand():
    # ordinary least squares by scipy: weeks 0-5 give slope -0.0117143 and error 0.0020068 for these six values
    values = [4.20, 4.19, 4.17, 4.18, 4.16, 4.14]
    rows = (
        trend_rows([0.0], 6, 0.0)
        .sort("session_date")
        .with_columns(
            session_date=pl.Series([TODAY - dt.timedelta(weeks=5 - i) for i in range(6)]), observed=pl.Series(values)
        )
    )
    x = np.arange(6.0)
    slope = ((x - 2.5) * values).sum() / ((x - 2.5) ** 2).sum()
    left = ((np.array(values) - np.mean(values) - slope * (x - 2.5)) ** 2).sum()
    row = squad_trend(rows, people(1), as_of=TODAY).row(0, named=True)
    assert row["raw_slope_s_per_week"] == pytest.approx(slope)
    assert row["raw_slope_s_per_week_se"] == pytest.approx(np.sqrt(left / 4 / 17.5))
    assert row["raw_slope_s_per_week"] == pytest.approx(-0.0108571, abs=1e-6)
    assert row["model_reason"] == "squad_too_small"
    assert row["pooled_slope_s_per_week"] is None


def test_pooled_slopes_lie_closer_together_and_nearer_the_truth_than_own_lines():
    rng = np.random.default_rng(3)
    truth = rng.normal(-0.002, 0.002, 16)
    frame = checked(SquadTrend, squad_trend(trend_rows(truth.tolist(), 7, 0.02), people(16), as_of=TODAY))
    own, pooled = (frame[n].to_numpy() for n in ("raw_slope_s_per_week", "pooled_slope_s_per_week"))
    squad = frame["squad_slope_s_per_week"][0]
    assert ((pooled - squad) ** 2).sum() < 0.8 * ((own - squad) ** 2).sum()
    assert np.sqrt(((pooled - truth) ** 2).mean()) < 0.8 * np.sqrt(((own - truth) ** 2).mean())
    assert frame["shrinkage_weight"].is_between(0.05, 0.95).all()


def test_intervals_of_pooled_slopes_hold_the_truth_about_as_often_as_they_say():
    held = total = 0
    for seed in range(25):
        truth = np.random.default_rng(100 + seed).normal(-0.001, 0.003, 14)
        frame = squad_trend(trend_rows(truth.tolist(), 10, 0.012, seed=seed), people(14), as_of=TODAY)
        low, high = (frame[f"pooled_slope_{end}_s_per_week"].to_numpy() for end in ("low", "high"))
        held += int(((low <= truth) & (truth <= high)).sum())
        total += 14
    assert 0.90 <= held / total <= 0.98  # 95 % claimed, somewhat short with few athletes


def test_slopes_that_cannot_be_told_apart_are_said_to_be_alike():
    frame = squad_trend(trend_rows([0.0] * 8, 8, 0.02, seed=4), people(8), as_of=TODAY)
    codes = set(frame["model_reason"].to_list())
    assert codes <= {"slopes_alike", "level_and_slope_tied"}
    if codes == {"slopes_alike"}:
        assert frame["shrinkage_weight"].to_list() == [0.0] * 8
    assert frame["pooled_slope_s_per_week"].std() < frame["raw_slope_s_per_week"].std()


def test_too_few_days_share_one_slope_and_too_few_athletes_none():
    shared = squad_trend(trend_rows([-0.004, 0.0] * 4, 3, 0.01), people(8), as_of=TODAY)
    assert shared["model_reason"].unique().to_list() == ["slopes_not_separable"]
    assert shared["pooled_slope_s_per_week"].n_unique() == 1
    assert shared["shrinkage_weight"].to_list() == [0.0] * 8
    small = squad_trend(trend_rows([-0.004, 0.0, 0.001], 9, 0.01), people(3), as_of=TODAY)
    assert small["reason"].unique().to_list() == ["squad_too_small"]
    assert small["raw_slope_s_per_week"].is_not_null().all()


def test_a_level_by_sex_is_taken_out_before_athletes_are_compared():
    frame = squad_trend(trend_rows([0.0] * 12, 8, 0.01, sex_step=-0.2), people(12), as_of=TODAY)
    assert frame["fixed_effects"][0] == "sex"
    assert frame["level_sd_s"][0] < 0.05  # 0.1 with the two sexes thrown together


def test_starts_of_two_kinds_are_never_fitted_together():
    both = pl.concat(
        [trend_rows([0.0] * 7, 6, 0.01), trend_rows([-0.01] * 7, 6, 0.01).with_columns(start_kind=pl.lit("standing"))]
    )
    frame = squad_trend(both, people(7), as_of=TODAY)
    by_kind = dict(frame.group_by("start_kind").agg(pl.col("squad_slope_s_per_week").first()).iter_rows())
    assert by_kind["standing"] == pytest.approx(-0.01, abs=0.001)
    assert by_kind["blocks"] == pytest.approx(0.0, abs=0.001)


def test_days_before_the_window_and_after_today_are_not_read_and_nothing_gives_nothing():
    rows = trend_rows([0.0] * 6, 6, 0.01)
    outside = rows.with_columns(session_date=pl.lit(TODAY + dt.timedelta(days=1)))
    old = rows.with_columns(session_date=pl.lit(TODAY - dt.timedelta(weeks=12)))
    assert squad_trend(pl.concat([outside, old]), people(6), as_of=TODAY).is_empty()
    nothing = squad_trend(rows.clear(), people(6), as_of=TODAY)
    assert nothing.columns == list(SquadTrend.to_schema().columns)
