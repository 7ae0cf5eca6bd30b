"""What followed a decision: what was done is counted, a change has its error, and nobody looking is no nought."""

import datetime as dt
from typing import Any

import polars as pl
import pytest

from pipelines.derived.start.followup import count_wanted, focus_followup, name_work
from schemas.derived.blocks import FocusFollowup
from schemas.derived.progress import StartProgress, StartTrend
from tests.derived.load.work_frames import checked, day, record, schema_of

WEEK = day(28)  # the Monday of the decision; measured days lie around it
TODAY = day(55)
SERIES = {
    "athlete_id": "ann",
    "start_kind": "blocks",
    "clock_start": "gun",
    "timing_kind": "electronic",
    "set_up": "not_stated",
    "measured_by": "gate",
}
EXERCISES = record("exercise", {"exercise": "nordic_lowering", "family": "hamstring_eccentric"})


def measured(metric: str, *days: tuple[int, float, float]) -> list[dict[str, Any]]:
    return [
        SERIES | {"metric": metric, "session_date": day(d), "reps": 3, "observed": v, "observed_se": e}
        for d, v, e in days
    ]


def trend(rows: list[dict[str, Any]]) -> pl.DataFrame:
    schema = schema_of(StartTrend)
    return pl.DataFrame([{n: r.get(n) for n in schema} for r in rows], schema=schema)


def main_series() -> pl.DataFrame:
    schema = schema_of(StartProgress)
    row = SERIES | {"metric": "t_10_s", "is_main": True}
    return pl.DataFrame([{n: row.get(n) for n in schema}], schema=schema)


def week_known(known: bool | None = True) -> pl.DataFrame:
    return pl.DataFrame(
        {
            "athlete_id": ["ann"],
            "week_of": [WEEK],
            "lifting_known": [known],
            "resisted_metres": [0.0 if known else None],
        },
        schema={
            "athlete_id": pl.String,
            "week_of": pl.Date,
            "lifting_known": pl.Boolean,
            "resisted_metres": pl.Float64,
        },
    )


def followed(call: str | None, reps=(), sets=(), rows=(), known=True, as_of: dt.date = TODAY) -> dict[str, Any]:
    decision = record("decision", {"week_of": WEEK, "topic": "start_work", "call": call})
    frame = focus_followup(
        decision, trend(list(rows)), main_series(), week_known(known), record("rep", *reps), record("lift_set", *sets),
        EXERCISES, as_of=as_of,
    )  # fmt: skip
    return checked(FocusFollowup, frame).row(0, named=True)


def pulled(*days: int) -> list[dict[str, Any]]:
    return [{"session_date": day(d), "rep_no": 1, "resistance_kind": "sled", "resistance_load_kg": 50.0} for d in days]


def test_heavy_sled_twice_done_two_of_two():
    row = followed("heavy sled twice", pulled(28, 31))
    assert (row["work"], row["wanted_days"], row["done_days"], row["first_done_on"]) == ("sled", 2, 2, day(28))
    assert row["sentence"] == "heavy sled twice. Done 2 of 2."


def test_work_of_another_week_does_not_count_and_a_known_week_gives_a_nought():
    row = followed("heavy sled twice", pulled(26, 35))
    assert row["done_days"] == 0
    assert row["done_sentence"] == "Done 0 of 2."


def test_a_week_whose_log_is_not_complete_gives_no_nought():
    row = followed("heavy sled twice", known=False)
    assert row["done_days"] is None
    assert row["reason"] == "work_log_incomplete"
    assert row["done_sentence"] == "Not known whether done: the week's log is not complete."
    # but what was seen is counted all the same
    assert followed("heavy sled twice", pulled(28), known=False)["done_days"] == 1


def test_gym_work_counts_days_not_sets():
    sets = [
        {"session_date": day(d), "exercise": "nordic_lowering", "set_no": n, "side": "both", "reps": 5}
        for d in (29, 32)
        for n in (1, 2, 3)
    ]
    row = followed("isolated eccentric, 2 x a week", sets=sets)
    assert (row["work"], row["wanted_days"], row["done_days"]) == ("eccentric", 2, 2)


def test_starts_are_counted_by_day_and_work_not_done_is_said_to_be_so():
    ran = [{"session_date": day(d), "rep_no": 1, "start_kind": "blocks"} for d in (28, 31)]
    assert followed("starts", ran)["sentence"] == "starts. Starts on 2 days."
    assert followed("starts", ran[:1])["sentence"] == "starts. Starts on 1 day."
    assert followed("heavy sled")["sentence"] == "heavy sled. Not done."
    assert followed("heavy sled", pulled(28))["sentence"] == "heavy sled. Done on 1 day."
    assert followed("heavy sled", pulled(28, 30))["sentence"] == "heavy sled. Done on 2 days."


def test_a_running_week_says_so_far():
    assert followed("heavy sled twice", pulled(28), as_of=day(30))["done_sentence"] == "Done 1 of 2 so far."


def test_the_change_is_the_difference_of_weighted_means_with_its_error():
    # by hand: before (2.00 se 0.02, 2.02 se 0.01): w 2500 and 10000, mean 2.016; after (1.96 se 0.01): 1.96
    # change -0.056, se = sqrt(1/12500 + 1/10000) = 0.0134164
    rows = measured("t_10_s", (14, 2.00, 0.02), (21, 2.02, 0.01), (38, 1.96, 0.01))
    row = followed("heavy sled twice", pulled(28, 31), rows=rows)
    assert row["t_10_change_s"] == pytest.approx(-0.056)
    assert row["t_10_change_s_se"] == pytest.approx(0.0134164, abs=1e-6)
    assert (row["days_before"], row["days_after"]) == (2, 1)
    assert row["change_sentence"] == "10 m 56 ms faster (± 26)."
    assert row["reason"] is None


def test_the_day_the_work_began_is_neither_before_nor_after_and_four_weeks_are_the_limit():
    rows = measured("t_10_s", (-1, 2.5, 0.01), (21, 2.0, 0.01), (28, 1.0, 0.01), (29, 1.9, 0.01), (56, 1.0, 0.01))
    row = followed("heavy sled twice", pulled(28, 31), rows=rows, as_of=day(70))
    assert (row["days_before"], row["days_after"]) == (1, 1)
    assert row["t_10_change_s"] == pytest.approx(-0.1)


def test_a_change_within_its_error_is_called_unchanged():
    rows = measured("contact_1_s", (21, 0.190, 0.004), (38, 0.195, 0.004)) + measured(
        "t_10_s", (21, 2.0, 0.01), (38, 2.0, 0.01)
    )
    row = followed("longer first push", rows=rows)
    # 0.005 against 1.96 * sqrt(2) * 0.004 = 0.0111
    assert row["change_sentence"] == "Contact 1 unchanged within ± 11 ms, 10 m unchanged within ± 28 ms."
    assert row["work"] == "starts"


@pytest.mark.parametrize(
    ("call", "after_s", "said"),
    [
        ("longer first push", 0.220, "Contact 1 30 ms longer as meant (± 11)."),
        ("longer first two pushes", 0.160, "Contact 1 30 ms shorter, the other way (± 11)."),
        ("leave the ground earlier", 0.160, "Contact 1 30 ms shorter as meant (± 11)."),
        ("leave the ground earlier", 0.220, "Contact 1 30 ms longer, the other way (± 11)."),
        ("set position a little lower", 0.220, "Contact 1 30 ms longer (± 11)."),
    ],
)
def test_a_first_contact_is_said_to_go_as_meant_only_where_the_words_say_which_way(
    call: str, after_s: float, said: str
):
    rows = measured("contact_1_s", (21, 0.190, 0.004), (38, after_s, 0.004))
    assert followed(call, rows=rows)["change_sentence"] == said


def test_nothing_measured_since_says_so_and_another_series_is_not_taken():
    rows = measured("t_10_s", (21, 2.0, 0.01))
    assert followed("heavy sled twice", pulled(28), rows=rows)["reason"] == "not_measured_since"
    other = [r | {"start_kind": "standing"} for r in measured("t_10_s", (21, 2.0, 0.01), (38, 1.9, 0.01))]
    assert followed("heavy sled twice", pulled(28), rows=other)["t_10_change_s"] is None


@pytest.mark.parametrize(
    ("call", "work", "wanted"),
    [
        ("heavy sled twice, three then six steps", "sled", 2),
        ("Nordic lowering 3x", "eccentric", 3),
        ("cable hip-flexor work once", "hip_flexor", 1),
        ("ankle stiffness work", "ankle", None),
        ("longer first two pushes", "starts", None),
        ("set position a little lower", "starts", None),
        ("keep", None, None),
        ("talk to the school", None, None),
    ],
)
def test_the_words_of_a_decision_name_the_work(call: str, work: str | None, wanted: int | None):
    assert pl.select(name_work(pl.lit(call)), count_wanted(pl.lit(call)).alias("n")).row(0) == (work, wanted)


def test_keep_has_nothing_to_count_and_unknown_words_say_so():
    assert followed("keep")["reason"] == "nothing_to_count"
    assert followed("talk to the school")["reason"] == "call_not_understood"
    assert followed(None)["sentence"].startswith("no words kept.")


def test_other_topics_and_weeks_to_come_are_left_out():
    decisions = record(
        "decision",
        {"week_of": WEEK, "topic": "training", "call": "as planned"},
        {"week_of": day(63), "topic": "start_work", "call": "heavy sled twice"},
    )
    frame = focus_followup(
        decisions, trend([]), main_series(), week_known(), record("rep"), record("lift_set"), EXERCISES, as_of=TODAY
    )
    assert frame.is_empty()


def test_what_was_run_before_the_decision_did_not_follow_it():
    on_sunday = {"week_of": WEEK, "topic": "start_work", "call": "heavy sled twice",
                 "decided_at": dt.datetime.combine(day(34), dt.time(18, 20))}  # fmt: skip
    known = pl.concat([week_known(), week_known().with_columns(week_of=pl.lit(day(35)))])
    rows = measured("t_10_s", (30, 2.0, 0.01), (33, 2.0, 0.01), (37, 1.9, 0.01), (40, 1.9, 0.01), (61, 1.9, 0.01))

    def told(as_of: dt.date, *days: int) -> dict[str, Any]:
        frame = focus_followup(
            record("decision", on_sunday), trend(rows), main_series(), known, record("rep", *pulled(*days)),
            record("lift_set"), EXERCISES, as_of=as_of,
        )  # fmt: skip
        return checked(FocusFollowup, frame).row(0, named=True)

    row = told(day(62), 28, 31, 36)  # twice in the week reviewed, once in the one after: from Monday 35 on
    assert (row["from_on"], row["done_days"], row["first_done_on"]) == (day(35), 1, day(36))
    assert (row["days_before"], row["days_after"]) == (2, 3)  # 30, 33 before; after the pull of 36: 37, 40, 61
    assert row["t_10_change_s"] == pytest.approx(-0.1)
    early = told(day(34), 28, 31)
    assert early["done_sentence"] == f"Too early: it counts from {day(35).day} {day(35):%b} on."
    assert (early["done_days"], early["change_sentence"], early["reason"]) == (None, None, "not_measured_since")


def test_seven_days_from_midweek_need_both_weeks_known():
    said = {"week_of": WEEK, "topic": "start_work", "call": "heavy sled",
            "decided_at": dt.datetime.combine(day(30), dt.time(9))}  # fmt: skip
    both = pl.concat([week_known(), week_known().with_columns(week_of=pl.lit(day(35)))])
    for weeks, done in ((week_known(), None), (both, 0)):
        frame = focus_followup(
            record("decision", said), trend([]), main_series(), weeks, record("rep"), record("lift_set"), EXERCISES,
            as_of=TODAY,
        )  # fmt: skip
        assert frame.row(0, named=True)["done_days"] == done
