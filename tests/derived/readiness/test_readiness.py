"""Readiness: reasons, the call that follows from the rule table alone, and notes by chance."""

import datetime as dt
from typing import Any

import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from pipelines.derived.readiness.chance import readiness_noise
from pipelines.derived.readiness.checkin_answers import checkin_answer
from schemas.caveats import all_caveats
from schemas.derived.readiness import ReadinessNoise
from schemas.knowledge import all_sources
from schemas.knowledge.readiness import CALL_RULE, READINESS_RULE
from tests.derived.common.review_frames import AS_OF, SETTINGS, athletes, day, frame, quiet_month
from tests.derived.readiness.call_frames import INJURY, WEEK, review, today, todays_reasons
from tests.examples import examples


def test_an_even_month_is_as_planned_in_silence():
    reasons, days = review(quiet_month())
    assert todays_reasons(reasons) == []
    assert today(days)["call"] == "as_planned"
    assert today(days)["reason"] is None
    assert days.height == SETTINGS.review_days


def test_tight_left_hamstring_reads_as_a_coach_would_say_it():
    month = quiet_month(hamstring_tightness_l=6)
    month[-2]["hamstring_tightness_l"] = 5
    month[-3]["hamstring_tightness_l"] = 5
    reasons, days = review(month)
    first = todays_reasons(reasons)[0]
    assert first["sentence"] == "left hamstring tight 6 of 10, third day; own usual 1"
    assert first["item"] == "tight_high"
    assert (first["value"], first["usual"]) == (6, 1)
    # 39 days before, the two tight ones left out: 37 times 1, floor 0.5; (6 - 1) / (0.5 x sqrt(1 + 1/37)) = 9.868
    assert first["z"] == pytest.approx(5 / (0.5 * (1 + 1 / 37) ** 0.5))
    assert first["since_on"] == day(2)
    assert today(days)["call"] == "talk_first"
    assert today(days)["sentence"] == "talk first: left hamstring tight 6 of 10, third day; own usual 1"


def test_tightness_that_lasts_adapts_and_one_restless_morning_does_not():
    # usual 1, spread at its floor 0.5: each morning at 4 adds (4 - 1) / (0.5 x sqrt(1 + 1/n)) - 1 = 4.9 or more
    month = quiet_month(hamstring_tightness_r=4)
    reasons, days = review(month)
    assert todays_reasons(reasons) == []
    month[-2]["hamstring_tightness_r"] = 4
    reasons, days = review(month)
    assert todays_reasons(reasons)[0]["sentence"] == "right hamstring tight 4 of 10; own usual 1"
    assert (todays_reasons(reasons)[0]["item"], today(days)["call"]) == ("tight_unusual", "adapt")
    for back in (3, 4):
        month[-back]["hamstring_tightness_r"] = 4
    reasons, days = review(month)
    assert todays_reasons(reasons)[0]["item"] == "tight_running"
    assert today(days)["call"] == "talk_first"


def test_tightness_building_over_days_adds_up():
    month = quiet_month()
    for back, value in ((3, 2), (2, 3), (1, 3)):  # 1 step, then 2 and 2: 1.0 + 2.9 + 2.9 less the widening
        month[-back]["hamstring_tightness_l"] = value
    answers = checkin_answer(frame("checkin", *month), settings=SETTINGS, as_of=AS_OF)
    left = answers.filter(item="hamstring_tightness_l").sort("checked_on")
    sums = left["excess_sum"].tail(3).to_list()
    # by hand, 37, 38 and 39 days before: the 2 joins the mean (1 + 1/38) and (1 + 1/39), SD stays at its floor; the
    # second 3 does not speak under the threshold, so the first one is in the mean as well
    first = 1 / (0.5 * (1 + 1 / 37) ** 0.5) - 1
    second = first + (3 - 1 - 1 / 38) / (0.5 * (1 + 1 / 38) ** 0.5) - 1
    third = second + (3 - 1 - 3 / 39) / (0.5 * (1 + 1 / 39) ** 0.5) - 1
    assert sums == pytest.approx([first, second, third])


def test_own_usual_does_not_creep_up_with_a_complaint():
    # tight 6 of 10 for 60 days after 40 quiet ones: the usual of the 42 days before would long be 6
    month = quiet_month(days=100)
    for row in month[40:]:
        row["hamstring_tightness_l"] = 6
    answers = checkin_answer(frame("checkin", *month), settings=SETTINGS, as_of=AS_OF)
    left = answers.filter(item="hamstring_tightness_l").sort("checked_on")
    complaint = left.tail(60)
    assert complaint["speaks"].all()
    assert set(complaint["usual"].drop_nulls()) == {1.0}
    # after twelve weeks nothing of the usual is left to look back on: unknown, and still spoken of by its level
    month = quiet_month(days=140)
    for row in month[40:]:
        row["hamstring_tightness_l"] = 6
    answers = checkin_answer(frame("checkin", *month), settings=SETTINGS, as_of=AS_OF)
    last = answers.filter(item="hamstring_tightness_l").sort("checked_on").row(-1, named=True)
    assert (last["usual"], last["speaks"]) == (None, True)


def test_a_high_answer_that_is_own_usual_is_no_news():
    month = [row | {"hamstring_tightness_l": 4} for row in quiet_month(hamstring_tightness_l=5)]
    month[-1]["hamstring_tightness_l"] = 5
    assert todays_reasons(review(month)[0]) == []
    month[-1]["hamstring_tightness_l"] = 6
    assert todays_reasons(review(month)[0])[0]["item"] == "tight_high"


def test_a_little_worse_on_three_mornings_weighs_as_much_as_much_worse_on_one():
    # calm 4, floor 0.5: one step on one morning is 2.0 of the 3.4 needed, on three running 3 x 2.0 / sqrt(3) = 3.4
    month = [row | {"stress": 4} for row in quiet_month()]
    month[-1]["stress"] = 3
    answers = checkin_answer(frame("checkin", *month), settings=SETTINGS, as_of=AS_OF)
    one = answers.filter(item="stress").sort("checked_on")["worse_z"][-1]
    assert one == pytest.approx(1 / (0.5 * (1 + 1 / 39) ** 0.5))
    month[-2]["stress"] = month[-3]["stress"] = 3
    answers = checkin_answer(frame("checkin", *month), settings=SETTINGS, as_of=AS_OF)
    three = answers.filter(item="stress").sort("checked_on")["worse_z"][-1]
    assert one * 1.5 < three < one * 3**0.5


def test_a_tightness_of_2_is_not_a_note_whatever_the_usual():
    reasons, _ = review(quiet_month(hamstring_tightness_l=2))
    assert todays_reasons(reasons) == []


def test_both_sides_tight_make_one_reason():
    reasons, _ = review(quiet_month(hamstring_tightness_l=5, hamstring_tightness_r=6))
    assert [r["sentence"] for r in todays_reasons(reasons)] == [
        "both hamstrings tight, right 6 and the other 5 of 10; own usual 1"
    ]


def test_a_run_of_tight_days_is_broken_by_a_day_that_is_not():
    month = quiet_month(hamstring_tightness_l=6)
    month[-3]["hamstring_tightness_l"] = 6
    reasons, _ = review(month)
    assert todays_reasons(reasons)[0]["sentence"] == "left hamstring tight 6 of 10; own usual 1"
    assert todays_reasons(reasons)[0]["since_on"] == AS_OF


def test_a_morning_left_out_is_neither_counted_nor_breaks_the_run():
    month = quiet_month(hamstring_tightness_l=6)
    month[-3]["hamstring_tightness_l"] = 6
    del month[-2]
    reasons, _ = review(month)
    assert todays_reasons(reasons)[0]["sentence"] == "left hamstring tight 6 of 10, second day; own usual 1"
    assert todays_reasons(reasons)[0]["since_on"] == day(2)


@pytest.mark.parametrize(("pain", "call"), [(2, "as_planned"), (3, "talk_first"), (9, "talk_first")])
def test_pain_talks_from_three_of_ten(pain: int, call: str):
    reasons, days = review(quiet_month(pain=pain, pain_site="left calf"))
    assert today(days)["call"] == call
    if call == "talk_first":
        assert todays_reasons(reasons)[0]["sentence"] == f"pain {pain} of 10, left calf"


def test_illness_talks_first():
    reasons, days = review(quiet_month(ill=True))
    assert todays_reasons(reasons)[0]["sentence"] == "says they are ill"
    assert today(days)["call"] == "talk_first"


def test_unusual_items_and_short_sleep_adapt_each_with_own_usual():
    reasons, days = review(quiet_month(soreness=2, sleep_h=5.5))
    # muscles (4 - 2) / (0.5 x 1.0127) = 3.95; slept (5.5 - 8) / (0.5 x 1.0127) = -4.94, later in the rule
    assert [r["sentence"] for r in todays_reasons(reasons)] == [
        "muscles 2 of 5, own usual 4",
        "slept 5.5 h, own usual 8 h",
    ]
    assert today(days)["call"] == "adapt"
    assert today(days)["sentence"] == "adapt: muscles 2 of 5, own usual 4; 1 further reason"
    assert (today(days)["reason_count"], today(days)["strongest"]) == (2, "muscles 2 of 5, own usual 4")


def test_an_answer_better_than_usual_is_no_reason():
    month = [row | {"mood": 2, "hamstring_tightness_l": 4} for row in quiet_month()]
    month[-1] |= {"mood": 5, "hamstring_tightness_l": 0}
    assert todays_reasons(review(month)[0]) == []


def test_answers_that_never_change_never_speak():
    reasons, days = review(quiet_month(days=56))
    assert reasons.height == 0
    # on the first 14 of 56 days fewer than 14 own answers stand before them
    assert days.sort("day_on")["call"].to_list() == ["cannot_say"] * 14 + ["as_planned"] * 42


def test_one_week_of_answers_says_how_few_they_are():
    reasons, days = review(quiet_month(days=7, soreness=1))
    assert todays_reasons(reasons) == []
    assert (today(days)["call"], today(days)["reason"]) == ("cannot_say", "thin_baseline")
    assert today(days)["sentence"] == (
        "cannot say: 6 own answers to compare with, 14 needed before one is called unusual"
    )


def test_high_tightness_speaks_in_the_first_week_without_a_usual():
    reasons, _ = review(quiet_month(days=3, hamstring_tightness_l=7))
    assert todays_reasons(reasons)[0]["sentence"] == "left hamstring tight 7 of 10"
    assert todays_reasons(reasons)[0]["usual"] is None


def test_no_checkins_at_all_is_no_call_and_not_fine():
    reasons, days = review([])
    assert reasons.height == 0
    assert days.height == SETTINGS.review_days
    assert set(days["call"]) == {"no_call"}
    assert today(days)["reason"] == "never_checked_in"
    assert today(days)["sentence"] == "no call: no check-in yet"
    assert today(days)["last_checkin_on"] is None


@pytest.mark.parametrize(("back", "call"), [(0, "as_planned"), (2, "as_planned"), (3, "no_call"), (4, "no_call")])
def test_a_checkin_stays_good_for_the_days_set(back: int, call: str):
    _, days = review(quiet_month(until=back))
    assert today(days)["call"] == call
    assert today(days)["last_checkin_on"] == day(back)
    if call == "no_call":
        assert today(days)["sentence"] == f"no call: no check-in for {back} days"


def test_a_checkin_without_an_answer_reports_nothing():
    nothing = {"athlete_id": "ann", "checked_on": AS_OF}
    _, days = review([nothing])
    assert today(days)["call"] == "no_call"
    _, days = review([*quiet_month(until=3), nothing])
    assert today(days)["sentence"] == "no call: no check-in for 3 days"


def test_a_checkin_with_one_answer_is_judged_by_that_answer():
    reasons, days = review([*quiet_month(until=1), {"athlete_id": "ann", "checked_on": AS_OF, "pain": 5}])
    assert [r["sentence"] for r in todays_reasons(reasons)] == ["pain 5 of 10"]
    assert today(days)["reason"] == "thin_baseline"  # nothing was answered that could be compared


def test_a_month_away_starts_the_baseline_again():
    back = quiet_month(days=3, fatigue=1)
    away = quiet_month(until=45, days=30)
    reasons, days = review([*away, *back])
    assert todays_reasons(reasons) == []
    assert today(days)["reason"] == "thin_baseline"
    assert today(days, day(20))["call"] == "no_call"
    assert today(days, day(20))["sentence"] == "no call: no check-in for 25 days"


def test_reasons_stand_strongest_first():
    month = quiet_month(pain=4, ill=True, soreness=1, sleep_h=4.0, hamstring_tightness_l=4)
    month[-2]["hamstring_tightness_l"] = 4
    reasons, _ = review(month, injuries=[INJURY], weeks=[WEEK])
    got = [(r["rank"], r["item"]) for r in todays_reasons(reasons)]
    assert got == [
        (1, "pain"), (2, "ill"), (3, "open_injury"), (4, "tight_unusual"), (5, "soreness"), (6, "week_load"),
        (7, "sleep_h"),
    ]  # fmt: skip


def test_every_line_of_the_rule_pushes_to_its_call_and_has_a_known_source():
    assert {rule.pushes_to for rule in READINESS_RULE} == {"talk_first", "adapt"}
    assert {rule.source for rule in READINESS_RULE} <= set(all_sources())
    assert [call for call, _ in CALL_RULE] == ["talk_first", "no_call", "adapt", "cannot_say", "as_planned"]
    assert {"never_checked_in", "no_checkin", "no_checkin_but_test", "thin_baseline"} <= set(all_caveats())


def test_athletes_are_on_the_sheet_only_while_with_the_squad():
    people = athletes("ann", joined_on=day(9), left_on=day(2))
    _, days = review(quiet_month(), athlete=people)
    assert (days["day_on"].min(), days["day_on"].max(), days.height) == (day(9), day(2), 8)


def test_a_minor_gets_a_caution_until_the_birthday():
    born = dt.date(2008, 11, 22)  # 18 on the day looked from
    _, days = review(quiet_month(), athlete=athletes("ann", birth_date=born))
    assert today(days)["caution"] is None
    assert today(days, day(1))["caution"].startswith("Under 18")
    _, unknown = review(quiet_month())
    assert unknown["caution"].null_count() == unknown.height


def test_an_empty_squad_gives_empty_tables():
    reasons, days = review([], athlete=athletes())
    assert reasons.height == days.height == 0


def test_notes_by_chance_are_each_athletes_own_rate_with_the_day_itself_left_out():
    # ann: 39 check-ins in the window, muscles 4 but for one 1. Of the others mean 4, SD 0 (floor 0.5), n 38:
    # (4 - 1) / (0.5 x sqrt(1 + 1/38)) = 5.92, and on the two days after it the three together 5.92 / sqrt(3) = 3.42,
    # but those days themselves are as usual. So 1 of 39 days; bob never; cyd has 4 days of 14 needed.
    month = quiet_month("ann")
    month[20]["soreness"] = 1
    checkin = frame("checkin", *month, *quiet_month("bob"), *quiet_month("cyd", days=5))
    people = athletes("ann", "bob", "cyd", "dee")
    reasons, _ = review(month)
    row = readiness_noise(reasons, checkin, people, settings=SETTINGS, as_of=AS_OF).row(0, named=True)
    assert (row["athletes"], row["items"]) == (2, 8)
    assert row["expected_false_notes_per_day"] == pytest.approx(1 / 42)
    assert row["seen_notes_per_day"] == pytest.approx(1 / 56)
    assert row["formula"] == (
        "of 78 check-ins, each held against the athlete's own others, 1 would be marked in 42 days = 0.0 a day"
    )


def test_a_complaint_that_was_told_is_no_note_by_chance():
    month = quiet_month()
    month[20] |= {"soreness": 1, "ill": True}
    noise = readiness_noise(
        review(month)[0], frame("checkin", *month), athletes("ann"), settings=SETTINGS, as_of=AS_OF
    )  # fmt: skip
    ReadinessNoise.validate(noise)
    assert noise["expected_false_notes_per_day"].to_list() == [0.0]


def test_noise_of_an_empty_squad_is_nought_by_definition():
    reasons, _ = review([], athlete=athletes())
    noise = readiness_noise(reasons, frame("checkin"), athletes(), settings=SETTINGS, as_of=AS_OF)
    assert noise["expected_false_notes_per_day"].to_list() == [0.0]


items = st.fixed_dictionaries(
    {
        "sleep_h": st.none() | st.floats(0, 16).map(lambda h: round(h, 1)),
        **{name: st.none() | st.integers(1, 5) for name in ("sleep_quality", "fatigue", "soreness", "stress", "mood")},
        **{f"hamstring_tightness_{side}": st.none() | st.integers(0, 10) for side in "lr"},
        "pain": st.none() | st.integers(0, 10),
        "pain_site": st.none() | st.sampled_from(["left hamstring", "calf"]),
        "ill": st.none() | st.booleans(),
    }
)


@examples(40, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.tuples(st.integers(0, 50), items), max_size=30, unique_by=lambda pair: pair[0]), st.booleans())
def test_calls_come_only_from_the_rule_table(answers: list[tuple[int, dict[str, Any]]], injured: bool):
    rows = [{"athlete_id": "ann", "checked_on": day(back), **fields} for back, fields in answers]
    reasons, days = review(rows, injuries=[INJURY] if injured else [])
    pushes = {rule.item: rule.pushes_to for rule in READINESS_RULE}
    assert all(row["pushes_to"] == pushes[row["item"]] for row in reasons.to_dicts())
    for row in days.to_dicts():
        pushed = {r["pushes_to"] for r in todays_reasons(reasons, row["day_on"])}
        last = row["last_checkin_on"]
        silent = last is None or (row["day_on"] - last).days > SETTINGS.checkin_stale_days
        expected = (
            "talk_first" if "talk_first" in pushed
            else "no_call" if silent
            else "adapt" if "adapt" in pushed
            else "cannot_say" if row["reason"] == "thin_baseline"
            else "as_planned"
        )  # fmt: skip
        assert row["call"] == expected
    said = [*reasons["sentence"], *days["sentence"]]
    assert not [text for text in said if "risk" in text.lower() or "chance of injury" in text.lower()]
    assert reasons.group_by("athlete_id", "day_on", "rank").len()["len"].max() in (None, 1)
