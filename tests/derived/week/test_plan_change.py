"""What a decision changes in the plan. The amounts are common practice, no source; the sums are by hand."""

import datetime as dt
from typing import Any

import polars as pl
import pytest

from pipelines.derived.week.plan_caution import plan_caution, standing_decision
from pipelines.derived.week.plan_change import plan_change
from schemas.derived.plan_change import PlanChange
from tests.derived.week.test_plan_caution import ADVICE, AS_OF, DECISION, MONDAY, decided, state

PLAN = {"athlete_id": pl.String, "planned_on": pl.Date, "plan_no": pl.Int64, "kind": pl.String,
        "fast_metres": pl.Float64, "planned_min": pl.Float64, "planned_effort_0_10": pl.Float64,
        "note": pl.String}  # fmt: skip
FAST = {"athlete_id": "a", "planned_on": AS_OF + dt.timedelta(days=3), "plan_no": 1, "kind": "top_speed",
        "fast_metres": 90.0, "planned_min": 80.0, "planned_effort_0_10": 7.0, "note": "3 x flying 30 m"}  # fmt: skip
GYM = FAST | {"planned_on": AS_OF + dt.timedelta(days=4), "kind": "strength", "fast_metres": 0.0, "note": "squat"}
NOW = dt.datetime(2026, 11, 22, 18, 0)


def changed(
    call: str | None, *sessions: dict[str, Any], adaptation: str | None = None, **more: Any
) -> list[dict[str, Any]]:
    """Return what a decision changes; ``adaptation``: how the advice has it."""
    decision = pl.DataFrame([] if call is None else [decided(call, NOW, **more)], schema=DECISION)
    told = [{"athlete_id": "a", "week_of": MONDAY, "day_on": AS_OF, "stands": "adapt", "adaptation": adaptation}]
    advice = pl.DataFrame(told, schema=ADVICE)
    plan = pl.DataFrame(list(sessions or (FAST, GYM)), schema=PLAN)
    found = plan_change(plan, advice, decision, standing_decision(decision), as_of=AS_OF)
    return PlanChange.validate(found).to_dicts()


@pytest.mark.parametrize("call", [None, "as planned", "adapt", "keine Maximalläufe", "mit Physio sprechen"])
def test_nothing_changes_where_nothing_is_decided_or_the_words_are_the_coach_s_own(call: str | None):
    assert changed(call) == []


@pytest.mark.parametrize(
    ("call", "begins"), [("talk first", "Waits for the talk"), ("adapt: no maximal runs", "No maximal runs")]
)
def test_of_full_speed_alone_the_fast_metres_go_and_the_session_is_named_as_it_was(call: str, begins: str):
    [row] = changed(call)
    assert (row["planned_on"], row["fast_metres"], row["planned_min"]) == (FAST["planned_on"], 0, 80)
    assert row["planned_effort_0_10"] == 5  # of 7
    assert row["note"].startswith(begins)
    assert row["note"].endswith("; planned: 3 x flying 30 m")


def test_less_volume_is_two_thirds_of_every_session():
    # 80 x 2 / 3 = 53.3, to five minutes 55; 90 m x 2 / 3 = 60 m
    fast, gym = changed("adapt: less volume")
    assert (fast["planned_min"], fast["fast_metres"], fast["planned_effort_0_10"]) == (55, 60, 7)
    assert (gym["planned_min"], gym["fast_metres"]) == (55, 0)


def test_less_intensity_is_two_steps_less_and_nothing_fast():
    fast, gym = changed("adapt: less intensity", FAST, GYM | {"planned_effort_0_10": 2.0})
    assert (fast["planned_min"], fast["fast_metres"], fast["planned_effort_0_10"]) == (80, 0, 5)
    assert gym["planned_effort_0_10"] == 1
    [easy] = changed("adapt: less intensity", GYM | {"planned_effort_0_10": 0.5})
    assert easy["planned_effort_0_10"] == 0.5  # never harder than planned


def test_an_adapt_that_does_not_say_how_is_done_as_the_advice_has_it():
    assert [row["change"] for row in changed("adapt", adaptation="less_volume")] == ["less_volume", "less_volume"]


def test_what_is_off_past_a_week_ahead_or_changed_already_stays():
    off = FAST | {"planned_min": 0.0}
    late = FAST | {"planned_on": AS_OF + dt.timedelta(days=8)}
    assert changed("adapt: no maximal runs", off, late) == []
    [row] = changed("adapt: less volume", FAST)
    again = FAST | {name: row[name] for name in ("note", "planned_min", "fast_metres")}
    assert changed("adapt: less volume", again) == []


def test_what_a_plan_does_not_say_stays_unsaid():
    bare = FAST | {"fast_metres": None, "planned_min": None, "planned_effort_0_10": None, "note": None}
    [row] = changed("talk first", bare)
    assert (row["fast_metres"], row["planned_min"], row["planned_effort_0_10"]) == (0, None, None)
    assert row["note"] == "Waits for the talk"


def test_a_decision_that_stands_for_weeks_counts_too_and_once_the_plan_follows_nothing_is_left_to_mind():
    decision = pl.DataFrame(
        [decided("no maximal runs for two weeks", dt.datetime(2026, 11, 15, 18), week=MONDAY - dt.timedelta(days=7))],
        schema=DECISION,
    )
    stands, advice = standing_decision(decision), pl.DataFrame(schema=ADVICE)
    plan = pl.DataFrame([FAST], schema=PLAN)
    assert plan_caution(plan, advice, state(), stands, as_of=AS_OF).height == 1
    change = plan_change(plan, advice, decision, stands, as_of=AS_OF)
    after = change.select(list(PLAN))
    assert plan_caution(after, advice, state(), stands, as_of=AS_OF).is_empty()
    assert plan_change(after, advice, decision, stands, as_of=AS_OF).is_empty()
