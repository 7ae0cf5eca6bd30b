"""The ladder of return to running: what was done, what was felt, who signed, and how fast was run since."""

import datetime as dt
from typing import Any

import polars as pl
import pytest

from pipelines.derived.readiness.ladder import return_ladder
from schemas.derived.returning import ReturnLadder
from tests.derived.load.test_exposure import Track
from tests.derived.load.work_frames import SETTINGS, checked, record

ONSET = dt.date(2026, 3, 2)
HURT = {"onset_on": ONSET, "site": "hamstring", "side": "r"}


def on(after: int) -> dt.date:
    return ONSET + dt.timedelta(days=after)


def step(rung: int, after: int, symptoms: str | None = "none", by: str | None = None, **more: Any) -> dict[str, Any]:
    return HURT | {"rung_no": rung, "done_on": on(after), "symptoms": symptoms, "signed_by": by} | more


def ladder(
    *steps: dict[str, Any],
    injuries: list[dict[str, Any]] | None = None,
    track: Track | None = None,
    as_of: dt.date = dt.date(2026, 4, 1),  # 30 days after the onset
) -> list[dict[str, Any]]:
    hurt = [HURT | {"stopped_training": True}] if injuries is None else injuries
    runs = track or Track()
    found = return_ladder(
        record("injury", *hurt), record("return_step", *steps), record("split", *runs.splits),
        record("rep", *runs.reps), settings=SETTINGS, as_of=as_of,
    )  # fmt: skip
    return checked(ReturnLadder, found).to_dicts()


def test_the_ladder_counts_rungs_and_keeps_the_last_and_the_highest():
    [row] = ladder(step(1, 8), step(2, 10), step(3, 12, "slight"), step(4, 14, "stopped"), step(3, 16))
    assert (row["rungs_done"], row["highest_rung"], row["last_rung"], row["last_done_on"]) == (4, 3, 3, on(16))
    assert (row["last_symptoms"], row["days_with_symptoms"]) == ("none", 2)
    assert (row["days_since_onset"], row["is_open"], row["is_current"]) == (30, True, True)


def test_nothing_said_of_symptoms_stays_unknown():
    [row] = ladder(step(1, 8), step(2, 10, None))
    assert (row["highest_rung"], row["last_symptoms"]) == (2, None)


def test_the_highest_signed_rung_and_who_signed_it():
    [row] = ladder(step(1, 8, by="club physiotherapist"), step(2, 10, by="team doctor"), step(3, 12))
    assert (row["signed_rung"], row["signed_by"]) == (2, "team doctor")
    [unsigned] = ladder(step(1, 8))
    assert (unsigned["signed_rung"], unsigned["signed_by"]) == (None, None)


def test_the_fastest_share_is_of_runs_after_the_onset_day():
    track = Track().run(on(-20), [(20, 2.0)])  # own best 10 m/s
    track.run(on(0), [(20, 2.02)])  # the day it happened: left out
    track.run(on(15), [(20, 2.5)]).run(on(20), [(20, 2.2)]).run(on(25), [(20, 2.4)])
    [row] = ladder(track=track)
    # 20 / 2.2 = 9.0909 m/s; / 10 = 0.9091
    assert row["fastest_share"] == pytest.approx(0.90909, abs=1e-5)
    assert (row["fastest_on"], row["judged_runs"], row["reason"]) == (on(20), 3, None)
    [earlier] = ladder(track=track, as_of=on(16))
    assert earlier["fastest_share"] == pytest.approx(0.8)


def test_the_yardstick_is_own_best_before_the_injury_not_the_first_run_back():
    # no timed run before: the first run back would be 100 % of itself, so there is no share
    [row] = ladder(track=Track().run(on(15), [(20, 2.5)]))
    assert (row["fastest_mps"], row["fastest_share"], row["reason"]) == (8.0, None, "no_best_before_onset")
    # a best of the onset day counts; one of 365 days before does not: 20 / 2.5 = 8; 8 / 9.0909 = 0.88
    track = Track().run(on(-365), [(20, 1.9)]).run(on(0), [(20, 2.2)]).run(on(15), [(20, 2.5)])
    [row] = ladder(track=track)
    assert row["best_before_mps"] == pytest.approx(9.0909, abs=1e-4)
    assert row["fastest_share"] == pytest.approx(0.88)


def test_a_best_beaten_since_is_above_one():
    track = Track().run(on(-20), [(20, 2.0)]).run(on(25), [(20, 1.96)])
    [row] = ladder(track=track)
    assert row["fastest_share"] == pytest.approx(2.0 / 1.96)


def test_without_a_judged_run_the_share_is_unknown_not_nought():
    track = Track().run(on(-20), [(20, 2.0)]).run(on(15), [(20, 2.1)], timing_kind="hand")
    [row] = ladder(track=track)
    assert (row["fastest_share"], row["judged_runs"], row["reason"]) == (None, 0, "no_judged_run_since_onset")


@pytest.mark.parametrize(("weeks", "current"), [(0, True), (7, True), (8, False)])
def test_it_is_current_for_the_marked_weeks_after_the_return(weeks: int, current: bool):
    back = on(20)
    [row] = ladder(injuries=[HURT | {"stopped_training": True, "returned_on": back}],
                   as_of=back + dt.timedelta(weeks=weeks))  # fmt: skip
    assert (row["is_open"], row["returned_on"], row["weeks_since_return"]) == (False, back, weeks)
    assert row["is_current"] is current


def test_a_return_before_the_onset_is_read_as_open_and_said():
    [row] = ladder(injuries=[HURT | {"stopped_training": True, "returned_on": on(-3)}])
    assert (row["is_open"], row["returned_on"], row["reason"]) == (True, None, "return_before_onset")


def test_a_step_of_an_injury_not_on_record_is_shown_and_makes_no_injury():
    rows = ladder(step(1, 8), step(1, 9, side="l"))
    assert [(row["side"], row["reason"], row["rungs_done"]) for row in rows] == [
        ("l", "step_without_injury", 1), ("r", "no_judged_run_since_onset", 1),
    ]  # fmt: skip


def test_two_injuries_at_once_keep_their_own_ladders():
    other = {"onset_on": on(5), "site": "calf", "side": "l", "stopped_training": True}
    rows = ladder(step(1, 8), injuries=[HURT, other])
    assert [(row["site"], row["rungs_done"]) for row in rows] == [("hamstring", 1), ("calf", 0)]


def test_what_is_to_come_is_not_known_yet():
    assert ladder(as_of=on(-1)) == []
    [row] = ladder(step(1, 8), step(2, 40))
    assert row["rungs_done"] == 1


def test_no_injury_gives_an_empty_table():
    assert ladder(injuries=[]) == []
    assert isinstance(ladder(injuries=[]), list)


def test_the_input_is_left_alone():
    hurt, steps = record("injury", HURT), record("return_step", step(1, 8))
    before = hurt.clone(), steps.clone()
    return_ladder(hurt, steps, record("split"), record("rep"), settings=SETTINGS, as_of=on(30))
    assert hurt.equals(before[0])
    assert steps.equals(before[1])
    assert isinstance(hurt, pl.DataFrame)
