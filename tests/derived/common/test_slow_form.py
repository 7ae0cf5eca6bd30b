"""Form that comes and goes within a month, against dense matrices, and on squads of which the truth is known."""

import numpy as np
import pytest
from scipy import stats

from pipelines.derived.common import slow_form as slow
from pipelines.derived.common.day_noise import squad_noise

USUAL_SD = 0.010


def squad(
    seed: int, *, athletes: int = 16, weeks: int = 26, wave: float = 0.0, noise: float = 0.0077, gain: float = 0.0
):
    """Return days and times of a squad run weekly, one day in ten missing; ``gain``: all faster in weeks 14 to 20."""
    rng = np.random.default_rng(seed)
    form = np.zeros((athletes, weeks))
    form[:, 0] = rng.standard_normal(athletes)
    for week in range(1, weeks):
        form[:, week] = 0.8 * form[:, week - 1] + 0.6 * rng.standard_normal(athletes)
    value = 1.8 + wave * form + noise * rng.standard_normal((athletes, weeks))
    value -= gain * np.clip((np.arange(weeks) - 14) / 6, 0, 1)
    day = np.where(rng.random((athletes, weeks)) < 0.9, 7.0 * np.arange(weeks), np.nan)
    order = np.argsort(np.isnan(day), axis=1, kind="stable")
    day = np.take_along_axis(day, order, axis=1)
    return day, np.where(np.isfinite(day), np.take_along_axis(value, order, axis=1), np.nan)


def found(day: np.ndarray, value: np.ndarray):
    return squad_noise(day, value, np.where(np.isfinite(day), 0.0, np.nan), USUAL_SD)


def test_the_likelihood_of_a_part_is_that_of_dense_matrices():
    # restricted likelihood by hand: -(log |V| + log |1' V^-1 1| + y' P y) / 2, a change x of SD 1 adding x x' to V
    day, value = squad(3, athletes=3, weeks=12, wave=0.008)
    runs = np.where(np.isfinite(day), np.random.default_rng(4).uniform(1e-5, 4e-5, day.shape), np.nan)
    share, wave, form = np.array([0.7, 1.0, 1.6]), np.array([0.0, 4e-5, 9e-5]), np.array([5e-5, 4e-5, 3e-5])
    parts = slow.cut_in_parts(day, value, runs, share)
    shapes, weights = slow.changes(parts.since, USUAL_SD)
    assert weights.sum() + slow.FLAT == pytest.approx(1.0)
    flat, more = slow.part_likelihoods(parts, wave, form, shapes)
    for row in range(3):
        at = np.isfinite(parts.since[row])
        days, y, ones = parts.since[row, at], parts.value[row, at], np.ones(at.sum())
        for place in range(3):
            plain = wave[place] * np.exp(-np.abs(days[:, None] - days) / 31) + np.diag(
                share[row] * (parts.variance[row, at] + form[place])
            )

            def dense(cover: np.ndarray, y: np.ndarray = y, ones: np.ndarray = ones) -> float:
                inverse = np.linalg.inv(cover)
                level = ones @ inverse @ y / (ones @ inverse @ ones)
                # scipy's normal density at the best level, its constant of 2 pi taken out
                density = stats.multivariate_normal.logpdf(y, level * ones, cover) + len(y) / 2 * np.log(2 * np.pi)
                return float(density - 0.5 * np.log(ones @ inverse @ ones))

            assert flat[row, place] == pytest.approx(dense(plain), abs=1e-8)
            assert more[row, place, 0] == 0.0
            for kind in (0, 3, shapes.shape[2] - 1):
                x = shapes[row, at, kind]
                changed = dense(plain + np.outer(x, x))
                assert flat[row, place] + more[row, place, kind + 1] == pytest.approx(changed, abs=1e-8)


def test_a_wave_is_found_in_its_size_and_none_where_there_is_none():
    waving = [found(*squad(seed, wave=0.008)) for seed in range(12)]
    assert np.median([one.wave**0.5 for one in waving]) == pytest.approx(0.008, abs=0.0012)
    assert 0.007 < np.median([one.wave_high**0.5 for one in waving]) < 0.009
    calm = [found(*squad(seed)) for seed in range(12)]
    assert np.median([one.wave**0.5 for one in calm]) < 0.001
    assert all(one.wave_high >= one.wave for one in [*waving, *calm])


def test_a_squad_that_all_gets_faster_is_not_read_as_one_that_waves():
    gaining = [found(*squad(seed, gain=0.020)) for seed in range(8)]
    assert np.median([one.wave**0.5 for one in gaining]) < 0.002
    assert np.median([one.wave_high**0.5 for one in gaining]) < 0.004


def test_a_series_weighs_the_same_alone_and_beside_longer_ones():
    day, value = squad(9, athletes=4, weeks=40, wave=0.01)
    short = day < 100
    day[0, ~short[0]] = value[0, ~short[0]] = np.nan
    share, wave, form = np.ones(4), np.array([0.0, 5e-5]), np.array([6e-5, 4e-5])
    runs = np.where(np.isfinite(day), 0.0, np.nan)
    together, alone = (
        slow.part_likelihoods(parts, wave, form, slow.changes(parts.since, USUAL_SD)[0])
        for parts in (slow.cut_in_parts(day[:n], value[:n], runs[:n], share[:n]) for n in (4, 1))
    )
    for one, all_of_them in zip(alone, together, strict=True):
        assert one[0] == pytest.approx(all_of_them[0], abs=1e-9)


def test_half_years_have_a_level_of_their_own():
    # a step of half a second between two half years is no slow form
    day, value = squad(5, weeks=52)
    assert found(day, value + 0.5 * (day >= slow.SPAN_DAYS)).wave <= 0.002**2


@pytest.mark.parametrize("days", [0, 1, 2])
def test_with_too_few_days_no_slow_form_is_claimed(days: int):
    day, value = squad(6, athletes=3, weeks=max(days, 1))
    if not days:
        day, value = np.full((3, 1), np.nan), np.full((3, 1), np.nan)
    seen = found(day, value)
    assert (seen.wave, seen.wave_high) == (0.0, 0.0)


def test_one_athlete_with_a_few_days_leaves_much_open():
    day, value = squad(7, athletes=1, weeks=8)
    seen = found(day, value)
    assert seen.wave_high > 0.003**2  # a wave of 3 ms is not ruled out by eight days of one athlete


def test_a_step_of_one_athlete_alone_is_a_change_and_no_wave():
    day, value = squad(8, athletes=1, weeks=30)
    stepped = found(day, value - 0.060 * (day >= 140))
    assert stepped.wave <= 0.004**2
