"""A decision older than what speaks now is not shown as answering it, and one against the call not as agreed."""

import datetime as dt
from types import SimpleNamespace
from typing import Any, cast

import pytest

from dashboard.parts.week_sheet import sheet_table
from dashboard.reads import Opened
from dashboard.screens.athlete import plan_today
from dashboard.screens.week import rows as week_rows
from tests.dashboard.test_plan_minded import LINE, PERSON, opened_with, planned

TODAY = dt.date(2026, 11, 25)
MONDAY = dt.date(2026, 11, 23)
BEFORE = "decided 21:15, before the answer of 21:22"
AGAINST = "as planned, not talk first (coach)"
TALK_LINE = {**LINE, "training_call": "talk_first", "training_reason": "pain 4 of 10",
             "focus_headline": "No maximal runs before the talk"}  # fmt: skip


def decided(topic: str = "training", call: str = "as planned") -> dict[str, Any]:
    """Return a decision of the week."""
    return {"athlete_id": "a", "week_of": MONDAY, "topic": topic, "call": call, "decided_by": "coach", "drill": None,
            "decided_at": dt.datetime(2026, 11, 25, 21, 15)}  # fmt: skip


def state(*, older: bool) -> dict[str, Any]:
    """Return how it stands beside what is known now."""
    words = f"{BEFORE}: look again" if older else AGAINST
    return {"athlete_id": "a", "week_of": MONDAY, "training": "as planned", "is_older": older,
            "is_overruled": not older, "words": words, "own_words": BEFORE if older else AGAINST}  # fmt: skip


@pytest.mark.parametrize("is_own", [True, False])
@pytest.mark.parametrize("older", [True, False])
def test_who_reads_their_own_page_is_told_that_the_talk_holds(
    older: bool, is_own: bool, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(plan_today, "viewers_day", lambda: TODAY)
    tables = {"plan": [planned("a", 2)], "decision": [decided()], "decision_state": [state(older=older)],
              "plan_caution": []}  # fmt: skip
    opened = cast("Opened", SimpleNamespace(rows=opened_with(**tables).rows, board=SimpleNamespace(tables=set(tables)),
                                            viewer=SimpleNamespace(is_own=is_own)))  # fmt: skip
    drawn = str(plan_today.plan_today(opened, "a", {"stands": "talk"}))
    assert (f"D{BEFORE[1:]}: talk first holds until the coach has looked again." in drawn) is older
    assert ("oach decided otherwise, below:" in drawn) is not older
    assert ("Decided for this week by coach" in drawn) is not older
    assert (f"A{AGAINST[1:]}" in drawn) is not older


def week(older: bool) -> week_rows.Week:
    """Return the week of one athlete who was decided on."""
    board = SimpleNamespace(
        tables={"week_sheet", "decision_state"},
        allowed_athletes=lambda _: SimpleNamespace(to_dicts=lambda: [PERSON]),
        home=None,
    )
    line = {**TALK_LINE, "week_of": MONDAY, "day_on": TODAY, "loudness": 1000, "changed": None}
    tables = opened_with(week_sheet=[line], decision_state=[state(older=older)])
    opened = cast("Opened", SimpleNamespace(rows=tables.rows, board=board, viewer=SimpleNamespace(role="head_coach")))
    found = week_rows.gather(
        opened, {"now": None}, weeks=[MONDAY],
        decisions=[decided(), decided("start_work", "No maximal runs before the talk")], kept_lines=[],
    )  # fmt: skip
    assert found is not None
    return found


@pytest.fixture(autouse=True)
def _nothing_unread(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(week_rows.questions, "week_lede", lambda *_: "")
    monkeypatch.setattr(week_rows.questions, "unread_files", lambda *_: [])


def test_the_row_of_a_decision_from_before_the_answer_is_open_again_and_is_not_counted():
    found = week(older=True)
    assert (found.decided, week_rows.undecided(found)) == ({}, ["Ada Moss"])
    drawn = str(sheet_table(found.rows, found.athletes, found.decided, again=found.again))
    assert f"D{BEFORE[1:]}: look again" in drawn
    assert 'data-act="agree"' in drawn
    assert 'class="decided"' not in drawn
    assert week_rows.as_file(found, {**found.rows[0]})["decided"] == f"{BEFORE}: look again"


def test_a_call_that_was_overruled_is_shown_as_overruled_and_never_as_agreed():
    found = week(older=False)
    drawn = str(sheet_table(found.rows, found.athletes, found.decided, again=found.again))
    assert f'<span class="decided">{AGAINST}</span>' in drawn
    assert "agreed" not in drawn
    states = {"a": state(older=False)}
    both = [decided(), decided("start_work", "No maximal runs before the talk")]
    proposed = week_rows.proposals(found.every)
    assert week_rows.decided_in_words([decided()], states) == {"a": AGAINST}
    assert week_rows.decided_in_words(both, states, proposed) == {"a": AGAINST}  # that went with the call
    own = [decided(), decided("start_work", "easy runs")]
    assert week_rows.decided_in_words(own, states, proposed) == {"a": f"{AGAINST}; easy runs"}
    assert week_rows.as_stands(own[1], states["a"], proposed["a"])["call"] == f"{AGAINST}; easy runs"


def test_a_closed_review_marks_in_the_row_what_has_changed_and_says_who_was_not_decided_on():
    closed = {"closed_by": "coach", "closed_at": dt.datetime(2026, 11, 25, 20), "decided": None, "week_of": MONDAY,
              "work_on_next": "Keep the work", "lines_json": None, "changed": None, "work_caution": None}  # fmt: skip
    line = {**LINE, "day_on": TODAY, **closed}
    board = SimpleNamespace(tables={"week_sheet"}, home=None,
                            allowed_athletes=lambda _: SimpleNamespace(to_dicts=lambda: [PERSON]))  # fmt: skip
    since = [{"athlete_id": "a", "week_of": MONDAY, "changed": "now talk first"}]
    opened = cast("Opened", SimpleNamespace(rows=opened_with(review_since=since).rows, board=board, viewer=None))
    found = week_rows.gather(opened, {"now": None}, weeks=[MONDAY], kept_lines=[line])
    assert found is not None
    drawn = str(sheet_table(found.rows, found.athletes, found.decided, may_decide=False, standing=found.standing))
    assert "Since it was closed: now talk first." in drawn
    assert 'class="calm"' not in drawn
    assert '<span class="soft">not decided</span>' in drawn
    assert found.since_closing != ""
