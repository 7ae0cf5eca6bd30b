"""Who has not answered: whom the list names, and whom it leaves alone."""

import datetime as dt
from typing import Any

import pytest

from pipelines.derived.readiness.due import answer_due
from schemas.derived.due import AnswerDue
from tests.derived.load.work_frames import checked, record

TODAY = dt.date(2026, 11, 18)
YESTERDAY, TWO_AGO, THREE_AGO = (TODAY - dt.timedelta(days=n) for n in (1, 2, 3))


def due(**tables: list[dict[str, Any]]) -> list[tuple[str, dt.date, str, int]]:
    frames = {
        name: record(name, *tables.get(name, []))
        for name in ("athlete", "consent", "checkin", "plan", "session", "day_log")
    }
    found = checked(AnswerDue, answer_due(**frames, as_of=TODAY))
    return [tuple(row) for row in found.iter_rows()]


WHO = {"athlete_id": "a", "display_name": "Invented"}
IN = {"athlete_id": "a", "checked_on": TODAY}  # with today's check-in, so that sessions stand alone


def test_a_check_in_is_waited_for_until_it_is_there():
    assert due(athlete=[WHO]) == [("a", TODAY, "checkin", 0)]
    assert due(athlete=[WHO], checkin=[IN]) == []
    assert due(athlete=[WHO], checkin=[IN | {"checked_on": YESTERDAY}]) == [("a", TODAY, "checkin", 0)]


@pytest.mark.parametrize("gone", [{"left_on": YESTERDAY}, {"joined_on": TODAY + dt.timedelta(days=1)}])
def test_nobody_is_asked_who_is_not_with_the_squad(gone: dict):
    assert due(athlete=[WHO | gone]) == []


def test_nobody_is_asked_whose_consent_is_withdrawn_until_it_is_given_again():
    given = {"athlete_id": "a", "topic": "health", "given_on": dt.date(2026, 1, 1)}
    withdrawn = given | {"withdrawn_on": YESTERDAY}
    again = given | {"given_on": TODAY}
    asked = [("a", TODAY, "checkin", 0)]
    assert due(athlete=[WHO], consent=[given]) == asked
    assert due(athlete=[WHO], consent=[withdrawn]) == []
    assert due(athlete=[WHO], consent=[withdrawn, again]) == asked
    assert due(athlete=[WHO], consent=[withdrawn | {"topic": "video"}]) == asked
    assert due(athlete=[WHO], consent=[given | {"withdrawn_on": TODAY + dt.timedelta(days=1)}]) == asked


@pytest.mark.parametrize(
    ("told", "waits"),
    [
        ({"duration_min": 80.0, "effort_0_10": 6.0}, False),
        ({"duration_min": 80.0}, True),
        ({"effort_0_10": 6.0}, True),
        ({}, True),
        ({"duration_min": 0.0}, False),  # a day off
    ],
)
def test_a_session_is_waited_for_until_minutes_and_effort_are_there(told: dict, waits: bool):
    session = {"athlete_id": "a", "session_date": YESTERDAY, "session_no": 1} | told
    expected = [("a", YESTERDAY, "session", 1)] if waits else []
    assert due(athlete=[WHO], checkin=[IN], session=[session]) == expected


def test_a_planned_session_that_nobody_logged_is_waited_for_unless_the_day_is_complete():
    plan = {"athlete_id": "a", "planned_on": TWO_AGO, "plan_no": 1, "kind": "strength", "planned_min": 70.0}
    day = {"athlete_id": "a", "logged_on": TWO_AGO}
    waited = [("a", TWO_AGO, "session", 2)]
    assert due(athlete=[WHO], checkin=[IN], plan=[plan]) == waited
    assert due(athlete=[WHO], checkin=[IN], plan=[plan | {"planned_min": 0.0}]) == []
    assert due(athlete=[WHO], checkin=[IN], plan=[plan], day_log=[day | {"is_complete": False}]) == waited
    assert due(athlete=[WHO], checkin=[IN], plan=[plan], day_log=[day | {"is_complete": True}]) == []
    assert due(athlete=[WHO], checkin=[IN], plan=[plan | {"planned_on": TODAY}]) == []  # the day is not over
    assert due(athlete=[WHO], checkin=[IN], plan=[plan | {"planned_on": THREE_AGO}]) == []  # too long ago to remember


def test_two_sessions_of_a_day_are_one_question():
    sessions = [{"athlete_id": "a", "session_date": YESTERDAY, "session_no": n} for n in (1, 2)]
    assert due(athlete=[WHO], checkin=[IN], session=sessions) == [("a", YESTERDAY, "session", 1)]
