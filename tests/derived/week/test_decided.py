"""How decisions stand: what speaks and came in later opens them again, and a call overruled is said as what it is."""

import datetime as dt
from typing import Any

import polars as pl
import pytest

from pipelines.derived.week.decided import decision_state
from schemas.derived.decided import DecisionState

AS_OF = dt.date(2026, 11, 22)  # a Sunday
MONDAY = dt.date(2026, 11, 16)
DECISION = {"athlete_id": pl.String, "week_of": pl.Date, "topic": pl.String, "call": pl.String,
            "decided_by": pl.String, "decided_at": pl.Datetime}  # fmt: skip
REASON = {"athlete_id": pl.String, "day_on": pl.Date, "evidence_table": pl.String, "evidence_on": pl.Date}
FLAG = {**REASON, "state": pl.String, "read_note_on": pl.Date}
ENTRY = {"table_name": pl.String, "athlete_id": pl.String, "day_on": pl.Date, "last_at": pl.Datetime}


def at(hour: int, minute: int = 0, day: int = 22) -> dt.datetime:
    """Return a time of November."""
    return dt.datetime(2026, 11, day, hour, minute)


def state(
    call: str = "talk_first",
    decided: tuple[tuple[str, str, dt.datetime | None], ...] = (("training", "as planned", at(21, 15)),),
    evidence: str | None = "checkin",
    entered: tuple[tuple[str, dt.date, dt.datetime], ...] = (("checkin", AS_OF, at(21, 22)),),
    flag: dict[str, Any] | None = None,
    week: dt.date = MONDAY,
) -> dict[str, Any]:
    """Return how the decisions of one athlete stand."""
    who = {"athlete_id": "a"}
    made = [{**who, "week_of": week, "topic": topic, "call": said, "decided_by": "coach", "decided_at": when}
            for topic, said, when in decided]  # fmt: skip
    reasons = [{**who, "day_on": AS_OF, "evidence_table": evidence, "evidence_on": AS_OF}] if evidence else []
    flags = [{**who, "day_on": AS_OF, "state": "speaks", **flag}] if flag else []
    entries = [{**who, "table_name": table, "day_on": day, "last_at": when} for table, day, when in entered]
    found = decision_state(
        pl.DataFrame(made, schema=DECISION),
        pl.DataFrame([{**who, "day_on": AS_OF, "call": call}]),
        pl.DataFrame(reasons, schema=REASON),
        pl.DataFrame(flags, schema=FLAG),
        pl.DataFrame(entries, schema=ENTRY),
        as_of=AS_OF,
    )
    [row] = DecisionState.validate(found).to_dicts() or [{}]
    return row


def test_an_agreement_of_before_the_answer_is_to_be_looked_at_again_and_overrules_nothing():
    row = state()
    assert (row["is_older"], row["is_overruled"]) == (True, False)
    assert row["words"] == "decided 21:15, before the answer of 21:22: look again"
    assert row["own_words"] == "decided 21:15, before the answer of 21:22"


def test_one_made_after_the_answer_is_said_as_overruling_the_call():
    row = state(decided=(("training", "as planned", at(21, 30)),))
    assert (row["is_older"], row["is_overruled"]) == (False, True)
    assert row["words"] == row["own_words"] == "as planned, not talk first (coach)"


@pytest.mark.parametrize(
    ("call", "decided", "overruled"),
    [
        ("talk_first", "as planned", True), ("talk_first", "adapt: less volume", True), ("adapt", "as planned", True),
        ("talk_first", "talk first", False), ("adapt", "adapt: no maximal runs", False), ("adapt", "talk first", False),
        ("as_planned", "as planned", False), ("talk_first", "physio on Monday, then we see", False),
    ],
)  # fmt: skip
def test_less_care_than_the_call_asks_for_overrules_it(call: str, decided: str, overruled: bool):
    row = state(call, (("training", decided, at(22)),))
    assert row["is_overruled"] is overruled
    assert (row["words"] is not None) is overruled


@pytest.mark.parametrize(
    ("evidence", "table", "said"),
    [
        ("injury", "injury", "the entry"), ("spring_state", "jump_test", "the test"),
        ("load_week", "session", "the session"), ("checkin", "checkin", "the answer"),
    ],
)  # fmt: skip
def test_whatever_speaks_opens_it_again_and_an_injury_is_not_named(evidence: str, table: str, said: str):
    row = state(evidence=evidence, entered=((table, AS_OF, at(21, 49)),))
    assert row["words"] == f"decided 21:15, before {said} of 21:49: look again"


def test_a_flag_that_speaks_and_a_note_to_be_read_open_it_too():
    quiet: dict[str, Any] = {"call": "as_planned", "evidence": None}
    force = {"evidence_table": "strength_state", "evidence_on": AS_OF}
    assert state(**quiet, flag=force, entered=(("force_test", AS_OF, at(21, 40)),))["is_older"]
    assert state(**quiet, flag={"state": "quiet", "read_note_on": AS_OF})["is_older"]
    assert not state(**quiet)["is_older"]  # an answer that says nothing opens nothing


def test_it_was_decided_on_a_day_before_the_answer_or_nobody_knows_when():
    day_before = state(decided=(("training", "as planned", at(21, 15, day=21)),))
    assert day_before["words"] == "decided 21 Nov, 21:15, before the answer of 22 Nov, 21:22: look again"
    never = state(decided=(("training", "as planned", None),))
    assert never["words"] == "decided before the answer of 22 Nov, 21:22: look again"


def test_the_same_second_is_not_later():
    assert not state(entered=(("checkin", AS_OF, at(21, 15).replace(microsecond=400_000)),))["is_older"]


def test_the_decision_on_training_counts_before_one_on_the_work():
    work = ("start_work", "Keep the work as it is", at(21, 10))
    training = ("training", "talk first", at(21, 40))
    assert not state(decided=(work, training))["is_older"]
    assert state(decided=(work,))["is_older"]
    assert state(decided=(work,))["training"] is None


def test_of_another_week_there_is_no_row():
    assert state(week=MONDAY - dt.timedelta(days=7)) == {}
