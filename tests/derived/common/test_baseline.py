"""An athlete's own usual, against hand-worked numbers and scipy."""

import datetime as dt
import math

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pipelines.derived.common.baseline import add_baseline, compute_prediction_t, compute_robust_z, compute_z

# Own example, values computed by us with numpy: median and MAD by Leys et al. 2013 (read in the source), mean and SD
# by any textbook (from memory).
PAST = [7, 8, 7, 6, 8, 7, 7, 9, 7, 8, 6, 7, 7, 8]
FIRST = dt.date(2026, 9, 1)


def answers(values: list[float | None], step: float = 1.0, athlete: str = "ann", item: str = "mood") -> pl.DataFrame:
    return pl.DataFrame(
        {
            "athlete_id": athlete,
            "item": item,
            "day_on": [FIRST + dt.timedelta(days=i) for i in range(len(values))],
            "value": values,
            "step": step,
        },
        schema_overrides={"value": pl.Float64, "day_on": pl.Date},
    )


def judge(values: list[float | None], least: int = 14, days: int = 42, step: float = 1.0) -> dict[str, object]:
    return add_baseline(answers(values, step), days=days, least_days=least).row(-1, named=True)


def test_plain_z_is_the_worked_one():
    # mean 102 / 14 = 7.285714, SD(n - 1) 0.825420: (4 - 7.285714) / 0.825420 = -3.980656 (own computation)
    assert compute_z(4, PAST) == pytest.approx(-3.980656, abs=1e-5)
    assert compute_z(4, PAST) == pytest.approx((4 - np.mean(PAST)) / np.std(PAST, ddof=1))


def test_robust_z_is_the_worked_one():
    # median 7, MAD 0.5: (4 - 7) / (1.4826 x 0.5) = -4.046945; source Leys et al. 2013 (read; computed)
    assert compute_robust_z(4, PAST) == pytest.approx(-4.046945, abs=1e-5)
    assert stats.median_abs_deviation(PAST) == 0.5  # scipy agrees on the MAD


def test_prediction_t_is_scipys_interval_turned_round():
    # -3.980656 / sqrt(1 + 1/14) = -3.845679, one-sided p 0.001012 with 13 df; any textbook (computed)
    t = compute_prediction_t(4, PAST)
    assert t == pytest.approx(-3.845679, abs=1e-5)
    assert stats.t.cdf(t, df=13) == pytest.approx(0.001012, abs=1e-6)
    # 4 stands exactly on the lower edge of the two-sided prediction interval with twice that tail
    edge = stats.t.ppf(stats.t.cdf(t, 13), 13) * np.std(PAST, ddof=1) * math.sqrt(1 + 1 / 14) + np.mean(PAST)
    assert edge == pytest.approx(4.0)


def test_one_bad_day_masks_the_plain_z_and_not_the_robust_one():
    # last day of the baseline 1 instead of 8: -1.508087 (own computation), robust unchanged (own computation)
    contaminated = [*PAST[:-1], 1]
    assert compute_z(4, contaminated) == pytest.approx(-1.508087, abs=1e-5)
    assert compute_robust_z(4, contaminated) == pytest.approx(-4.046945, abs=1e-5)


def test_frame_gives_the_robust_z_in_prediction_form():
    row = judge([*PAST, 4])
    # spread 1.4826 x 0.5 = 0.7413 (IQR / 1.349 = 0.741290 beside it); -4.046945 / sqrt(1 + 1/14) = -3.909725
    assert row["usual"] == 7
    assert row["spread"] == pytest.approx(0.7413)
    assert row["spread_kind"] == "mad"
    assert row["baseline_days"] == 14
    assert row["z"] == pytest.approx(-4.046945 / math.sqrt(1 + 1 / 14), abs=1e-5)


def test_today_is_not_part_of_its_own_baseline():
    assert judge([*PAST, 4])["usual"] == judge([*PAST, 400])["usual"]


def test_where_the_mad_is_0_the_iqr_speaks_and_is_said():
    past = [4.0] * 9 + [2.0] * 5
    row = judge([*past, 1.0])
    # more than half alike, so MAD 0; quartiles 2 and 4, IQR 2 / 1.349 = 1.482580; (1 - 4) / (1.482580 x 1.035098)
    q1, q3 = np.quantile(past, [0.25, 0.75])
    assert (q1, q3) == (2.0, 4.0)
    assert row["spread_kind"] == "iqr"
    assert row["spread"] == pytest.approx(2 / 1.349)
    assert row["z"] == pytest.approx(-3 / (2 / 1.349 * math.sqrt(15 / 14)))


def test_constant_answers_get_the_floor_of_half_a_step_and_no_invented_spread():
    row = judge([4.0] * 20 + [2.0])
    assert (row["spread"], row["spread_kind"]) == (0.5, "floor")
    assert row["z"] == pytest.approx(-2 / (0.5 * math.sqrt(1 + 1 / 20)))  # -3.904
    one_step = judge([4.0] * 20 + [3.0])
    assert one_step["z"] == pytest.approx(-1.9518, abs=1e-4)  # one step is never called unusual at 2


def test_a_wider_scale_has_a_wider_floor():
    assert judge([40.0] * 20 + [30.0], step=10.0)["spread"] == 5.0


def test_too_few_days_say_nothing():
    row = judge([*PAST[:13], 4])
    assert row["baseline_days"] == 13
    assert row["z"] is row["usual"] is row["spread"] is row["spread_kind"] is None


def test_an_answer_left_out_is_neither_today_nor_baseline():
    row = judge([*PAST, None])
    assert row["z"] is None
    assert row["usual"] == 7
    assert judge([*PAST, *[None] * 5, 4])["baseline_days"] == 14


def test_days_older_than_the_window_are_forgotten():
    # 10 old days and 14 new ones, window 14: only the new ones count
    row = judge([1.0] * 10 + [float(v) for v in PAST] + [4.0], days=14)
    assert row["baseline_days"] == 14
    assert row["usual"] == 7


def test_a_month_away_empties_the_baseline():
    away = answers([float(v) for v in PAST])
    back = answers([4.0]).with_columns(day_on=pl.lit(FIRST + dt.timedelta(days=60)))
    row = add_baseline(pl.concat([away, back]), days=42, least_days=14).row(-1, named=True)
    assert row["baseline_days"] == 0
    assert row["z"] is None


def test_athletes_and_items_are_kept_apart_and_the_input_is_left_alone():
    two = pl.concat([answers([*PAST, 4]), answers([1] * 14 + [1], athlete="bob")])
    before = two.clone()
    judged = add_baseline(two, days=42, least_days=14)
    assert judged.height == two.height
    assert judged.filter(athlete_id="bob")["usual"].to_list()[-1] == 1
    assert two.equals(before)


def test_an_empty_frame_stays_empty():
    judged = add_baseline(answers([]), days=42, least_days=14)
    assert judged.height == 0
    assert {"usual", "spread", "spread_kind", "z", "baseline_days"} <= set(judged.columns)


@given(st.lists(st.integers(1, 5), min_size=14, max_size=40), st.integers(1, 5))
def test_the_frame_agrees_with_numpy(past: list[int], today: int):
    row = judge([float(v) for v in [*past, today]])
    median = np.median(past)
    mad = 1.4826 * np.median(np.abs(past - median))
    quartiles = np.quantile(past, [0.25, 0.75])
    spread = max(mad if mad > 0 else (quartiles[1] - quartiles[0]) / 1.349, 0.5)
    assert row["z"] == pytest.approx((today - median) / (spread * math.sqrt(1 + 1 / len(past))))


def test_plain_forms_say_nothing_without_spread():
    assert compute_z(4, [4, 4, 4]) is None
    assert compute_z(4, [4]) is None
    assert compute_prediction_t(4, []) is None
    assert compute_robust_z(4, [4, 4, 4]) is None
    assert compute_robust_z(4, []) is None
