"""What else stands in a call beside the answers: jumps, the load of a week, injuries."""

from typing import Any

import pytest

from tests.derived.common.review_frames import day, quiet_month
from tests.derived.readiness.call_frames import INJURY, WEEK, review, today, todays_reasons

JUMP = {"athlete_id": "ann", "test": "countermovement", "jump_height_m": 0.376, "usual_height_m": 0.40}


def test_jump_drop_speaks_by_probability_not_by_percent():
    sure = JUMP | {"tested_on": day(1), "change_percent": -6.0, "p_drop": 0.97}
    reasons, days = review(quiet_month(), jumps=[sure])
    first = todays_reasons(reasons)[0]
    assert first["sentence"] == "jump 6 % under own usual, 97 % sure it is real"
    assert (first["probability"], first["evidence_on"], first["item"]) == (0.97, day(1), "jump_drop")
    assert today(days)["call"] == "adapt"
    unsure = sure | {"change_percent": -12.0, "p_drop": 0.85}
    assert todays_reasons(review(quiet_month(), jumps=[unsure])[0]) == []
    unknown = sure | {"p_drop": None}
    assert todays_reasons(review(quiet_month(), jumps=[unknown])[0]) == []


def test_jump_drop_of_last_week_or_of_another_test_says_nothing():
    old = JUMP | {"tested_on": day(3), "change_percent": -6.0, "p_drop": 0.95}
    hop = old | {"tested_on": day(0), "test": "repeated_hop"}
    assert todays_reasons(review(quiet_month(), jumps=[old, hop])[0]) == []


def test_a_test_alone_makes_a_call_and_says_so():
    jump = JUMP | {"tested_on": day(1), "change_percent": 1.0, "p_drop": 0.1}
    _, days = review([], jumps=[jump])
    assert today(days)["call"] == "as_planned"
    assert today(days)["reason"] == "no_checkin_but_test"
    assert today(days)["sentence"] == "as planned by test and known load alone; no check-in yet"
    assert today(days, day(2))["call"] == "no_call"


def test_week_load_speaks_when_the_week_is_over_and_far_above_plan_and_own_growth():
    # Monday 16 to Sunday 22 November: speaks from the Sunday on
    reasons, days = review(quiet_month(), weeks=[WEEK])
    assert todays_reasons(reasons)[0]["sentence"] == "week load 3000 AU, 2100 to be expected by plan and own weeks"
    assert today(days)["call"] == "adapt"
    assert todays_reasons(reasons, day(1)) == []


@pytest.mark.parametrize("change", [{"above_z": None, "load_au": None}, {"above_z": None}, {"above_z": 0.1}])
def test_week_load_unknown_or_as_planned_is_no_reason_however_high_it_stands(change: dict[str, Any]):
    assert todays_reasons(review(quiet_month(), weeks=[WEEK | change])[0]) == []


def test_week_load_lapses_when_the_next_week_ends():
    last = WEEK | {"week_of": day(13)}
    reasons, _ = review(quiet_month(), weeks=[last, WEEK | {"load_au": None, "above_z": None}])
    assert todays_reasons(reasons, day(1))[0]["item"] == "week_load"
    assert todays_reasons(reasons) == []


def test_open_injury_talks_first_even_without_a_checkin():
    reasons, days = review([], injuries=[INJURY])
    assert todays_reasons(reasons)[0]["sentence"] == "left hamstring injury since 23 Oct, not returned"
    assert today(days)["call"] == "talk_first"
    assert today(days, day(31))["call"] == "no_call"


def test_return_ends_the_open_injury_and_marks_the_first_weeks():
    reasons, _ = review([], injuries=[INJURY | {"returned_on": day(10)}])
    assert [r["item"] for r in todays_reasons(reasons, day(11))] == ["open_injury"]
    # 10 days since the return: the second week
    assert [r["sentence"] for r in todays_reasons(reasons)] == ["week 2 since return from left hamstring injury"]
    old, _ = review([], injuries=[INJURY | {"onset_on": day(60), "returned_on": day(28)}])
    assert todays_reasons(old) == []  # four weeks are over


def test_a_return_before_the_onset_counts_as_open_and_asks_to_be_mended():
    reasons, _ = review([], injuries=[INJURY | {"returned_on": day(40)}])
    assert todays_reasons(reasons)[0]["sentence"] == (
        "left hamstring injury since 23 Oct, not returned; its return day lies before the onset, mend the entry"
    )


def test_a_new_injury_that_did_not_stop_training_is_in_the_call_from_its_first_day():
    through = INJURY | {"onset_on": day(0), "stopped_training": False}
    reasons, days = review(quiet_month(), injuries=[through])
    assert today(days)["call"] == "adapt"
    assert todays_reasons(reasons)[0]["sentence"] == "left hamstring injury since 22 Nov, trained through"
    assert todays_reasons(review(quiet_month(), injuries=[through | {"onset_on": day(28)}])[0]) == []


def test_unknown_whether_it_stopped_training_is_asked_and_known_no_is_not_open():
    reasons, _ = review([], injuries=[INJURY | {"stopped_training": None}])
    assert todays_reasons(reasons)[0]["sentence"].endswith("not said whether it stopped training")
    through, _ = review([], injuries=[INJURY | {"stopped_training": False}])
    assert todays_reasons(through) == []


def test_overlapping_injuries_are_each_told_once():
    calf = INJURY | {"site": "calf", "side": "r", "onset_on": day(5)}
    again = INJURY | {"onset_on": day(3)}
    earlier = INJURY | {"onset_on": day(50), "returned_on": day(20)}
    reasons, days = review([], injuries=[INJURY | {"onset_on": day(45), "returned_on": day(20)}, calf, again, earlier])
    assert sorted(r["sentence"] for r in todays_reasons(reasons)) == [
        "left hamstring injury since 19 Nov, not returned",
        "right calf injury since 17 Nov, not returned",
    ]
    assert today(days)["reason_count"] == 2
