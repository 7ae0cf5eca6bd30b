"""Blocks of work: counted from what was done, two days a week and two weeks on end, and never filled in."""

import datetime as dt

import polars as pl

from pipelines.derived.load.blocks import training_block
from schemas.derived.blocks import TrainingBlock
from tests.derived.load.work_frames import checked, day, record

NORDIC = {"exercise": "nordic_lowering", "reps": 5, "set_no": 1, "side": "both"}
EXERCISES = record(
    "exercise",
    {"exercise": "nordic_lowering", "family": "hamstring_eccentric"},
    {"exercise": "back_squat", "family": "squat"},
)
TODAY = day(41)  # a Sunday, six weeks after the first Monday


def sled(*days: int, load: float | None = 40.0, **more) -> list[dict]:
    says = {"resistance_kind": "sled", "resistance_load_kg": load} | more
    return [{"session_date": day(d), "rep_no": n, **says} for d in days for n in (1, 2)]


def blocks(reps: list[dict], sets: list[dict] = (), as_of: dt.date = TODAY) -> pl.DataFrame:
    return checked(
        TrainingBlock, training_block(record("rep", *reps), record("lift_set", *sets), EXERCISES, as_of=as_of)
    )


def test_two_days_a_week_for_two_weeks_are_a_block():
    # by hand: Mon and Thu of weeks 1 and 2: 4 days, 8 runs; from Monday day 0 to Sunday day 13
    found = blocks(sled(0, 3, 7, 10)).row(0, named=True)
    assert (found["start_on"], found["end_on"]) == (day(0), day(13))
    assert (found["weeks"], found["days"], found["amount"], found["typical_load_kg"]) == (2, 4, 8, 40.0)
    assert found["is_running"] is False
    assert (
        found["sentence"]
        == "Sled runs on two days a week or more, 2 Mar to 15 Mar: 2 weeks, 4 days, 8 runs at about 40 kg."
    )


def test_one_day_a_week_or_one_week_alone_is_none():
    assert blocks(sled(0, 7, 14)).is_empty()
    assert blocks(sled(0, 3)).is_empty()


def test_a_week_without_the_work_ends_a_block():
    found = blocks(sled(0, 3, 7, 10, 21, 24, 28, 31))
    assert found["start_on"].to_list() == [day(0), day(21)]
    assert found["weeks"].to_list() == [2, 2]


def test_a_block_that_reaches_into_last_week_runs_on_and_ends_no_later_than_today():
    found = blocks(sled(28, 31, 35, 38), as_of=day(39)).row(0, named=True)
    assert found["is_running"] is True
    assert found["end_on"] == day(39)
    assert "since 30 Mar" in found["sentence"]
    assert blocks(sled(0, 3, 7, 10), as_of=day(4)).is_empty()  # days after today are not read


def test_left_and_right_of_one_set_are_one_set_and_other_lifts_none():
    sets = [NORDIC | {"session_date": day(d), "side": side} for d in (0, 3, 7, 10) for side in ("l", "r")]
    sets += [
        {"session_date": day(d), "exercise": "back_squat", "set_no": 1, "side": "both", "reps": 5}
        for d in (0, 3, 7, 10)
    ]
    found = blocks([], sets)
    assert found["kind"].to_list() == ["eccentric"]
    assert found["amount"].to_list() == [4]
    assert found["typical_load_kg"].to_list() == [None]  # no load was stated: unknown, not 0


def test_a_false_start_and_a_free_run_are_no_sled_work_but_a_load_without_a_kind_is():
    assert blocks(sled(0, 3, 7, 10, outcome="false_start")).is_empty()
    assert blocks(sled(0, 3, 7, 10, load=None, resistance_kind="none")).is_empty()
    assert blocks(sled(0, 3, 7, 10, resistance_kind=None)).height == 1


def test_an_empty_record_has_no_blocks():
    assert blocks([]).is_empty()
