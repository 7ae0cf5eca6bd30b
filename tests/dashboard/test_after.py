"""After training and today's plan: both answers said by the athlete, for sessions offered, in words that agree."""

import datetime as dt
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.screens.after import words, writes
from dashboard.screens.check_in import writes as checking_in
from dashboard.writes import NotKept
from schemas.age import is_minor
from schemas.vocabulary import ADVICE
from tests.dashboard.conftest import ATHLETE, GUARDIAN, html_of

DAY = dt.date(2026, 11, 22)
OFFERED = {"2026-11-22 1": (DAY, 1)}
SAID = {"which": "2026-11-22 1", "minutes": "90", "effort": "7"}


def test_both_answers_of_an_offered_session_make_a_row_and_nothing_else_does():
    row = writes.row_of(ATHLETE, SAID, OFFERED)
    assert row == {"athlete_id": "teo-brandmere", "session_date": DAY, "session_no": 1, "duration_min": 90.0,
                   "effort_0_10": 7}  # fmt: skip


@pytest.mark.parametrize("missing", ["which", "minutes", "effort"])
def test_an_answer_left_out_is_never_made_up(missing: str):
    with pytest.raises(NotKept, match="Say both"):
        writes.row_of(ATHLETE, {**SAID, missing: ""}, OFFERED)


def test_a_session_that_was_not_offered_is_not_kept():
    with pytest.raises(NotKept):
        writes.row_of(ATHLETE, {**SAID, "which": "2020-01-01 1"}, OFFERED)


def test_minutes_typed_stand_before_those_tapped_and_take_a_comma():
    assert writes.row_of(ATHLETE, {**SAID, "own_minutes": "82,5"}, OFFERED)["duration_min"] == 82.5
    with pytest.raises(NotKept, match="no number of minutes"):
        writes.row_of(ATHLETE, {**SAID, "own_minutes": "long"}, OFFERED)
    with pytest.raises(NotKept, match="from 0 to 600"):
        writes.row_of(ATHLETE, {**SAID, "own_minutes": "900"}, OFFERED)


def test_a_guardian_answers_for_nobody():
    with pytest.raises(NotKept, match="tied to no athlete"):
        writes.row_of(GUARDIAN, SAID, OFFERED)


def test_every_advice_says_how_the_plan_is_to_be_read():
    assert set(words.PLAN_UNDER) == set(ADVICE)
    held = [stands for stands in ADVICE if stands not in wording.GOES_ON]
    assert all(words.PLAN_UNDER[stands] for stands in held)  # nothing held back goes with a bare plan


def test_a_decision_on_training_stands_before_the_advice():
    assert "decided" in words.plan_under("go_on", [{"topic": "training"}])
    assert words.plan_under("go_on", [{"topic": "start_work"}]) == ""
    assert words.plan_under(None, []) == words.NO_ADVICE_YET
    # Decided in the morning, answered after it: the answers hold.
    before = [{"topic": "training", "call": "as planned"}]
    assert "talk first, all the same" in words.plan_under("talk", before)
    assert "the talk comes first" in words.plan_under_for_guardian("talk", before)
    assert "all the same" not in words.plan_under("talk", [{"topic": "training", "call": "talk first"}])


def test_a_plan_is_read_as_a_sentence():
    row = {"kind": "acceleration", "planned_min": 75.0, "planned_effort_0_10": 7.0, "fast_metres": 120.0,
           "note": "4 x 30 m blocks, 3 x flying 20"}  # fmt: skip
    said = words.plan_sentence(row).replace("\u202f", " ").replace("\xa0", " ")
    assert said == "Acceleration, 75 min, effort 7 of 10, 120 m fast. 4 x 30 m blocks, 3 x flying 20"
    assert words.plan_sentence({**row, "planned_min": 0.0}) == "Day off."


def test_the_page_opens_with_no_answer_chosen(open_as: Callable):
    html = html_of(open_as(ATHLETE, "after"))
    assert words.EFFORT in html
    assert 'name=\\"effort\\" value=\\"7\\" checked' not in html


YOUNG = Viewer("Luca", "athlete", athlete_id="luca-pemberwick")  # 17 on the day
GIVEN = {"athlete_id": "luca-pemberwick", "topic": "health", "given_on": DAY}


def test_a_minor_s_check_in_opens_once_consent_is_on_record(board: Board, board_like: Callable[..., Path]):
    assert checking_in.waits_for_consent(YOUNG, board, DAY)
    assert not checking_in.waits_for_consent(YOUNG, Board(board_like(consent=[GIVEN])), DAY)


def test_a_minor_without_consent_saves_nothing(board: Board, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(checking_in, "viewers_day", lambda: DAY)
    with pytest.raises(NotKept, match="under age"):
        checking_in.save(YOUNG, board, {"mood": "4"})


def test_a_grown_athlete_and_one_without_a_birth_date_are_asked_for_no_guardian(board: Board):
    assert not checking_in.waits_for_consent(ATHLETE, board, DAY)
    assert not checking_in.waits_for_consent(Viewer("nobody", "athlete", athlete_id="nobody"), board, DAY)


def test_somebody_is_under_age_until_the_eighteenth_birthday():
    assert is_minor(dt.date(2008, 11, 23), DAY)
    assert not is_minor(dt.date(2008, 11, 22), DAY)


@pytest.mark.parametrize("stands", ADVICE)
def test_a_guardian_is_spoken_to_as_a_guardian(stands: str):
    told = {"stands": stands, "adaptation": "less_volume", "headline": "x", "sentence": "x"}
    for said in (*wording.told_guardian(told), words.plan_under_for_guardian(stands, [])):
        # 'you' is the athlete, and only the athlete warms up, runs and checks in
        assert not re.search(r"\byou(r)?\b|\b[Cc]heck in\b", said), said
        assert "{" not in said
    assert wording.told_guardian(told)[0]


def test_a_guardian_reads_today_about_the_athlete(open_as: Callable):
    page = html_of(open_as(GUARDIAN, "athlete/today"))
    assert "Talk to your coach" not in page
    assert words.DECIDED_TITLE not in page
    own = html_of(open_as(ATHLETE, "athlete/today"))
    assert wording.GUARDIAN_NOTE not in own


def test_a_day_off_on_record_is_called_one():
    told = {"kind": "recovery", "no": 1, "day": DAY, "duration_min": 0.0, "effort_0_10": 0.0}
    assert words.on_record(told, DAY) == "Today: a day off"
    done = told | {"kind": "acceleration", "duration_min": 85.0, "effort_0_10": 6.5}
    assert words.on_record(done, DAY + dt.timedelta(days=1)) == "Yesterday, acceleration: 85 min, effort 6.5"
