"""Calls and reasons of an athlete, for the tests of readiness."""

import datetime as dt
from typing import Any

import polars as pl

from pipelines.derived.readiness.call import readiness_day, readiness_reason
from pipelines.derived.readiness.checkin_answers import checkin_answer
from schemas.derived.readiness import CheckinAnswer, ReadinessDay, ReadinessReason
from schemas.settings import SquadSettings
from tests.derived.common.review_frames import AS_OF, SETTINGS, athletes, day, frame


def review(
    checkins: list[dict[str, Any]],
    *,
    injuries: list[dict[str, Any]] | None = None,
    jumps: list[dict[str, Any]] | None = None,
    weeks: list[dict[str, Any]] | None = None,
    athlete: pl.DataFrame | None = None,
    squad: SquadSettings = SETTINGS,
    as_of: dt.date = AS_OF,
) -> tuple[pl.DataFrame, pl.DataFrame]:
    checkin = frame("checkin", *checkins)
    spring = frame("spring_state", *(jumps or []))
    people = athletes("ann") if athlete is None else athlete
    before = checkin.clone()
    answers = checkin_answer(checkin, settings=squad, as_of=as_of)
    CheckinAnswer.validate(answers)
    reasons = readiness_reason(
        checkin, answers, frame("injury", *(injuries or [])), spring, frame("load_week", *(weeks or [])), people,
        settings=squad, as_of=as_of,
    )  # fmt: skip
    days = readiness_day(reasons, checkin, answers, spring, people, settings=squad, as_of=as_of)
    assert checkin.equals(before)
    ReadinessReason.validate(reasons)
    ReadinessDay.validate(days)
    return reasons, days


def today(days: pl.DataFrame, on: dt.date = AS_OF) -> dict[str, Any]:
    return days.filter(pl.col("day_on") == on).row(0, named=True)


def todays_reasons(reasons: pl.DataFrame, on: dt.date = AS_OF) -> list[dict[str, Any]]:
    return reasons.filter(pl.col("day_on") == on).sort("rank").to_dicts()


WEEK = {"athlete_id": "ann", "week_of": day(6), "load_au": 3000.0, "expected_au": 2100.0, "above_z": 4.0,
        "own_low_au": 1500.0, "own_high_au": 2400.0}  # fmt: skip
INJURY = {"athlete_id": "ann", "onset_on": day(30), "site": "hamstring", "side": "l", "stopped_training": True}
