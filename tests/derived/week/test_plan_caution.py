"""Cautions beside the plan: what calls and decisions say against a planned session, and how long a decision stands."""

import datetime as dt
from typing import Any

import polars as pl
import pytest

from pipelines.derived.week.plan_caution import plan_caution, standing_decision
from schemas.derived.plan_caution import OF_INJURIES, PlanCaution, StandingDecision

AS_OF = dt.date(2026, 11, 22)  # a Sunday
MONDAY = dt.date(2026, 11, 16)
PLAN = {"athlete_id": pl.String, "planned_on": pl.Date, "plan_no": pl.Int64, "kind": pl.String,
        "fast_metres": pl.Float64, "planned_min": pl.Float64, "note": pl.String}  # fmt: skip
ADVICE = {"athlete_id": pl.String, "week_of": pl.Date, "day_on": pl.Date, "stands": pl.String,
          "adaptation": pl.String}  # fmt: skip
DECISION = {"athlete_id": pl.String, "week_of": pl.Date, "topic": pl.String, "call": pl.String,
            "decided_at": pl.Datetime}  # fmt: skip


def session(after: int, kind: str, fast: float | None = None, **more: Any) -> dict[str, Any]:
    """Return a session planned some days after the day looked from."""
    return {"athlete_id": "a", "planned_on": AS_OF + dt.timedelta(days=after), "plan_no": 1, "kind": kind,
            "fast_metres": fast, **more}  # fmt: skip


def decided(
    call: str, on: dt.datetime | None = None, topic: str = "training", week: dt.date = MONDAY
) -> dict[str, Any]:
    """Return a decision."""
    return {"athlete_id": "a", "week_of": week, "topic": topic, "call": call, "decided_at": on}


def standing(*decisions: dict[str, Any]) -> pl.DataFrame:
    """Return how long decisions stand."""
    return StandingDecision.validate(standing_decision(pl.DataFrame(list(decisions), schema=DECISION)))


def state(training: str | None = None, *, overruled: bool = False) -> pl.DataFrame:
    """Return how the decision of the week stands; none without words."""
    row = {"athlete_id": "a", "week_of": MONDAY, "training": training, "is_overruled": overruled}
    schema = {"athlete_id": pl.String, "week_of": pl.Date, "training": pl.String, "is_overruled": pl.Boolean}
    return pl.DataFrame([row] if training else [], schema=schema)


def minded(
    sessions: list[dict[str, Any]],
    stands: str = "go_on",
    how: str | None = None,
    decisions: Any = (),
    against: pl.DataFrame | None = None,
) -> list[tuple[int, str, str]]:
    """Return days ahead, kind and words of the cautions."""
    plan = pl.DataFrame(sessions, schema=PLAN)
    told = pl.DataFrame([{"athlete_id": "a", "week_of": MONDAY, "day_on": AS_OF, "stands": stands, "adaptation": how}],
                        schema=ADVICE)  # fmt: skip
    every = pl.DataFrame(list(decisions), schema=DECISION)
    found = PlanCaution.validate(plan_caution(plan, told, state() if against is None else against,
                                               standing_decision(every), as_of=AS_OF))  # fmt: skip
    return [((row["planned_on"] - AS_OF).days, row["caution"], row["words"]) for row in found.to_dicts()]


WEEK = [session(1, "acceleration", 30.0), session(2, "tempo", 0.0), session(3, "top_speed"), session(4, "race", 0.0),
        session(5, "top_speed", 0.0), session(6, "top_speed", planned_min=0.0)]  # fmt: skip


def test_sessions_at_full_speed_wait_for_the_talk_and_no_other_does():
    assert [one[0] for one in minded(WEEK, "talk")] == [1, 3, 4]
    assert {one[2] for one in minded(WEEK, "talk")} == {"waits for the talk"}


@pytest.mark.parametrize("stands", ["go_on", "go_on_watching", "ask", "too_few"])
def test_without_a_talk_or_an_adaptation_nothing_is_said_against_the_plan(stands: str):
    assert minded(WEEK, stands) == []


def test_while_an_injury_is_open_every_session_waits_for_a_professional_however_far_ahead():
    gym = session(12, "strength", 0.0)
    found = minded([*WEEK, gym], "injury", against=state("as planned", overruled=True))
    assert [one[0] for one in found] == [1, 2, 3, 4, 5, 12]
    assert {one[2] for one in found} == {"waits: a licensed professional sees the injury before any running"}


@pytest.mark.parametrize("stands", ["return", "return_planned"])
def test_on_the_way_back_a_session_at_full_speed_is_within_the_steps(stands: str):
    found = minded(WEEK, stands)
    assert [one[0] for one in found] == [1, 3, 4]
    assert {one[2] for one in found} == {"within the steps back, nothing at full effort beyond what is signed"}


def test_words_that_rest_on_the_injury_record_say_so():
    assert set(OF_INJURIES) == {"waits_for_professional", "within_steps_back"}
    told = pl.DataFrame([{"athlete_id": "a", "week_of": MONDAY, "day_on": AS_OF, "stands": "injury"}], schema=ADVICE)
    every = standing_decision(pl.DataFrame(schema=DECISION))
    found = plan_caution(pl.DataFrame(WEEK[:1], schema=PLAN), told, state(), every, as_of=AS_OF)
    assert found.select("for_athlete", "reads_injury").rows() == [(True, True)]


def test_a_call_reaches_seven_days_ahead_and_not_into_the_past():
    assert [one[0] for one in minded([session(n, "top_speed") for n in (-1, 0, 7, 8)], "talk")] == [0, 7]


def test_a_call_for_no_maximal_runs_is_said_as_the_call_of_its_day():
    assert minded(WEEK[:1], "adapt", "no_maximal_runs") == [(1, "no_maximal_runs", "no maximal runs (call of 22 Nov)")]
    assert minded(WEEK, "adapt", "less_volume") == []


def test_no_decision_takes_a_caution_away_and_one_made_against_the_call_is_named_behind_it():
    against, older = state("as planned", overruled=True), state("as planned")
    assert {one[2] for one in minded(WEEK, "talk", against=against)} == {"called talk first; coach decided: as planned"}
    assert {one[2] for one in minded(WEEK, "talk", against=older)} == {"waits for the talk"}
    adapted = minded(WEEK[:1], "adapt", "no_maximal_runs", against=against)
    assert adapted[0][2] == "no maximal runs (call of 22 Nov); coach decided: as planned"


def test_a_decision_that_forbids_maximal_runs_stands_beside_each_of_them_while_it_stands():
    rule = decided("no maximal runs for ten days, exams", dt.datetime(2026, 11, 15, 18), week=dt.date(2026, 11, 9))
    assert minded(WEEK, decisions=[rule]) == [
        (1, "no_maximal_runs", "no maximal runs (decided, to 25 Nov)"),
        (3, "no_maximal_runs", "no maximal runs (decided, to 25 Nov)"),
    ]


def test_what_was_decided_is_said_before_what_was_called():
    rule = decided("No maximal runs", dt.datetime(2026, 11, 22, 18), topic="start_work")
    assert minded(WEEK[:1], "adapt", "no_maximal_runs", [rule])[0][2] == "no maximal runs (decided, to 29 Nov)"


@pytest.mark.parametrize(
    ("call", "days"),
    [("no maximal runs for two weeks, exams", 14), ("easy for 3 days", 3), ("For the next week: rest", None),
     ("keep it light for a week", 7), ("no running for 10 days", 10)],
)  # fmt: skip
def test_a_decision_stands_as_long_as_its_words_say_from_the_day_it_was_decided(call: str, days: int | None):
    row = standing(decided(call, dt.datetime(2026, 11, 18, 9))).row(0, named=True)
    assert row["from_on"] == dt.date(2026, 11, 18)
    assert row["says_how_long"] is (days is not None)
    assert row["until_on"] == (dt.date(2026, 11, 18 + days) if days and days < 13 else
                               dt.date(2026, 12, 2) if days else dt.date(2026, 11, 22))  # fmt: skip


@pytest.mark.parametrize(
    ("day", "first", "last"),
    [(None, 16, 22), (18, 18, 22), (20, 20, 22), (21, 21, 29), (22, 22, 29), (30, 23, 29)],
)
def test_without_a_length_it_stands_in_its_week_and_at_its_end_in_the_one_that_follows(
    day: int | None, first: int, last: int
):
    row = standing(decided("heavy sled twice", dt.datetime(2026, 11, day, 18) if day else None)).row(0, named=True)
    assert (row["from_on"].day, row["until_on"].day) == (first, last)


@pytest.mark.parametrize(
    ("call", "forbids"),
    [
        ("no maximal runs for two weeks, exams", True),
        ("Adapt: no maximal runs", True),
        ("no running", True),
        ("no sprints till Friday", True),
        ("no full speed yet", True),
        ("no full-speed running, bikes instead", True),
        ("no full speed on bends yet", False),
        ("whole session, no racing starts yet", False),
        ("No maximal runs before the talk", False),
        ("as planned", False),
        ("heavy sled twice", False),
    ],
)
def test_the_words_of_a_decision_say_whether_it_forbids_maximal_runs(call: str, forbids: bool):
    assert standing(decided(call))["forbids_maximal"].item() is forbids


def test_what_is_not_to_be_yet_is_held_back_for_four_weeks_beside_each_session_at_full_speed():
    rule = decided("eccentric work twice, no full speed on bends yet", dt.datetime(2026, 11, 15, 18), "hamstring",
                   dt.date(2026, 11, 9))  # fmt: skip
    row = standing(rule).row(0, named=True)
    assert (row["restrains"], row["forbids_maximal"], row["says_how_long"]) == (True, False, False)
    assert row["until_on"] == dt.date(2026, 12, 13)  # 15 November and 28 days
    said = "decided, to 13 Dec: eccentric work twice, no full speed on bends yet"
    assert minded(WEEK, decisions=[rule]) == [(n, "held_by_decision", said) for n in (1, 3, 4)]
    assert not standing(decided("heavy sled twice"))["restrains"].item()
    assert not standing(decided("No maximal runs before the talk"))["restrains"].item()


def test_a_decision_without_words_stands_nowhere():
    assert standing(decided(None)).is_empty()  # type: ignore[arg-type]


def test_hamstring_work_on_the_day_before_full_speed_is_said_between_coaches_and_only_where_the_plan_says_both():
    gym = session(2, "strength", 0.0, note="squat, hinge, hamstrings, then calves")
    said = (2, "hamstrings_before_speed", "hamstring work the day before full speed on 25 Nov")
    assert minded([gym, session(3, "top_speed", 60.0)]) == [said]
    assert minded([gym, session(4, "top_speed", 60.0)]) == []  # a day between
    assert minded([gym, session(3, "tempo", 0.0)]) == []
    assert minded([{**gym, "note": "squat, hinge"}, session(3, "top_speed", 60.0)]) == []
    assert minded([{**gym, "note": None}, session(3, "top_speed", 60.0)]) == []
    assert minded([{**gym, "kind": "tempo", "note": "easy on the hamstrings"}, session(3, "top_speed", 60.0)]) == []


@pytest.mark.parametrize("note", ["Nordic lowering 3 x 6", "hamstrings, eccentric", "eccentric work for hamstrings"])
def test_eccentric_work_is_called_eccentric_whatever_the_kind_of_session(note: str):
    found = minded([session(2, "technique", 0.0, note=note), session(3, "race", 0.0)])
    assert [one[2] for one in found] == ["eccentric hamstring work the day before full speed on 25 Nov"]


def test_an_athlete_reads_what_waits_and_not_what_coaches_say_of_the_order_of_work():
    from schemas.derived.plan_caution import CAUTIONS

    assert {name for name, is_own in CAUTIONS.items() if not is_own} == {"hamstrings_before_speed"}


def test_a_call_a_decision_and_the_eve_of_speed_are_of_their_own_athlete_alone():
    gym = session(2, "strength", 0.0, note="hamstrings")
    sessions = [session(3, "top_speed"), {**session(3, "top_speed"), "athlete_id": "b"}, {**gym, "athlete_id": "c"}]
    rule = decided("no maximal runs for two weeks", dt.datetime(2026, 11, 20, 18))
    plan, every = pl.DataFrame(sessions, schema=PLAN), pl.DataFrame([rule], schema=DECISION)
    calls = [{"athlete_id": "a", "week_of": MONDAY, "day_on": AS_OF, "stands": "talk"}]
    found = plan_caution(plan, pl.DataFrame(calls, schema=ADVICE), state(), standing_decision(every), as_of=AS_OF)
    assert found.select("athlete_id", "caution").rows() == [("a", "no_maximal_runs"), ("a", "waits_for_talk")]


@pytest.mark.parametrize(
    "call",
    [
        "zwei Wochen keine Maximalläufe", "längerer erster Abdruck", "pas de sprint maximal pendant deux semaines",
        "dos semanas sin esprint", "ingen maksimale løp i to uker", "inga maxlopp på två veckor",
        "niente sprint per due settimane", "não correr esta semana",
    ],
)  # fmt: skip
def test_a_decision_in_another_language_stands_its_week_word_for_word_and_is_never_read_as_something_else(call: str):
    [row] = standing(decided(call)).to_dicts()
    assert row["call"] == call
    assert (row["says_how_long"], row["forbids_maximal"]) == (False, False)
    assert (row["from_on"], row["until_on"]) == (MONDAY, MONDAY + dt.timedelta(days=6))
