"""A bad week does not become what is usual: an answer that spoke is part of no later usual of its item."""

import datetime as dt

import numpy as np
import polars as pl
import pytest

from pipelines.derived.readiness.checkin_answers import checkin_answer
from schemas.settings import SquadSettings
from tests.derived.start.start_frames import record

SETTINGS = SquadSettings()
AS_OF = dt.date(2026, 11, 29)
# A young athlete's freshness as it was answered, newest last; the last seven days are the complaint.
FRESHNESS = [3, 4, 4, 5, 4, 3, 4, 4, 5, 3, 4, 4, 3, 5, 5, 3, 3, 4, 4, 1, 3, 2, 1, 3, 2, 3]


def judged(values: list[int], name: str = "ann") -> pl.DataFrame:
    days = [AS_OF - dt.timedelta(days=len(values) - 1 - n) for n in range(len(values))]
    rows = [{"athlete_id": name, "checked_on": day, "fatigue": value} for day, value in zip(days, values, strict=True)]
    answers = checkin_answer(record("checkin", rows), settings=SETTINGS, as_of=AS_OF)
    return answers.filter(item="fatigue").sort("checked_on")


def test_freshness_one_after_a_two_the_day_before_still_speaks():
    speaks = judged(FRESHNESS)["speaks"].to_list()
    assert speaks[-5:-1] == [True] * 4  # 2, 1, 3, 2: the 1 was followed by "nothing unusual" before
    assert not any(speaks[:-7])


def test_usual_does_not_move_with_the_complaint():
    rows = judged([*FRESHNESS[:19], *[1] * 12])
    assert rows["speaks"].to_list()[19:] == [True] * 12
    assert rows["usual"].to_list()[-1] == rows["usual"].to_list()[19]
    assert rows["baseline_days"].to_list()[-1] <= 19


def test_an_answer_in_the_usual_range_after_the_complaint_is_unremarkable():
    assert judged([*FRESHNESS[:19], 1, 1, 1, 4, 4, 4, 4])["speaks"].to_list()[-3:] == [False] * 3


@pytest.mark.parametrize("seed", range(4))
def test_judging_all_anew_settles_on_what_judging_day_by_day_gives(seed: int):
    rng = np.random.default_rng(seed)
    values = np.clip(np.round(4 + 0.7 * rng.standard_normal(60)), 1, 5).astype(int).tolist()
    values[40:46] = [1, 2, 1, 1, 3, 1]
    whole = judged(values)["speaks"].to_list()
    assert whole[40]
    for last in (41, 43, 46, 50, 59):  # a day never hangs on the days after it
        days = [AS_OF - dt.timedelta(days=59 - n) for n in range(last + 1)]
        rows = [{"athlete_id": "ann", "checked_on": d, "fatigue": v} for d, v in zip(days, values, strict=False)]
        until = checkin_answer(record("checkin", rows), settings=SETTINGS, as_of=AS_OF).filter(item="fatigue")
        assert until.sort("checked_on")["speaks"].to_list() == whole[: last + 1]
