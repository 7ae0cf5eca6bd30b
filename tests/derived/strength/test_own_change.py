"""A test against the athlete's own tests before it: shrunk, by hand, and never sinking with a loss."""

import datetime as dt
import math

import polars as pl
import pytest
from scipy import stats

from pipelines.derived.strength.own_change import add_own_change
from schemas.settings import SquadSettings

FIRST = dt.date(2026, 1, 7)
TE, SWC, DF = 0.06, 0.02, 40.0


def judged(forces: list[float], every: int = 28) -> pl.DataFrame:
    rows = pl.DataFrame({
        "who": "ann", "on": [FIRST + dt.timedelta(days=every * n) for n in range(len(forces))], "force": forces,
        "test_error": TE, "test_error_df": DF, "smallest_change": SWC,
    })  # fmt: skip
    return add_own_change(rows, ["who"], "on", "force", SquadSettings())


def test_one_test_is_shrunk_towards_no_change():
    # normal prior and error, textbook: v = TE^2 (1 + 1/4), w = 0.01 / (0.01 + v), mean w d, SD sqrt(w v); Student's
    # distribution from scipy
    last = judged([400.0] * 4 + [340.0]).row(-1, named=True)
    v, d = TE**2 * 1.25, math.log(340 / 400)
    w = 0.01 / (0.01 + v)
    assert last["own_change"] == pytest.approx(w * d)
    assert last["p_lower"] == pytest.approx(stats.t.cdf((-SWC - w * d) / math.sqrt(w * v), DF))
    assert abs(last["own_change"]) < abs(d)


def test_two_low_tests_together_are_surer_than_one():
    once = judged([400.0] * 4 + [350.0])["p_lower"][-1]
    twice = judged([400.0] * 4 + [350.0, 350.0])["p_lower"][-1]
    assert twice > once


def test_a_standing_level_is_no_change_and_a_first_test_is_unknown():
    found = judged([300.0] * 5)
    assert found["p_lower"][0] is None
    assert found["p_lower"].drop_nulls().max() < 0.5


def test_own_usual_does_not_sink_with_a_loss():
    # fallen by a third and staying there: were it part of own usual, it would be the usual after a few tests
    found = judged([400.0] * 4 + [270.0] * 8)
    assert found["own_usual"].tail(7).to_list() == pytest.approx([math.log(400.0)] * 7)
    assert found["p_lower"].tail(8).min() > 0.95


def test_without_the_squads_error_nothing_is_said():
    rows = judged([400.0, 300.0]).drop("own_usual", "own_change", "p_lower", "p_higher")
    blank = rows.with_columns(test_error=pl.lit(None, pl.Float64))
    assert add_own_change(blank, ["who"], "on", "force", SquadSettings())["p_lower"].null_count() == 2
