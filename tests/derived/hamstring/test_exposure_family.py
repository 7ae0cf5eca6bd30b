"""What fast running says of a hamstring: a high week, a long gap, and what nobody timed."""

from typing import Any

import pytest

from tests.derived.common.review_frames import day
from tests.derived.hamstring.flag_frames import FAST, MONDAY, WEEKS, family, flag


def test_a_week_far_above_plan_and_own_growth_speaks_from_its_end_for_a_week():
    weeks = [WEEKS[0] | {"metres_90": 139.6, "expected_metres_90": 80.4, "above_z": 4.0}, WEEKS[1]]
    flags = flag(weeks=weeks)
    row = family(flags, "exposure")
    assert row["sentence"] == "140 m at ≥ 90 % in the week of 9 Nov, about 80 to be expected"
    assert (row["since_on"], row["lapses_on"], row["source"]) == (day(7), day(-1), "duhig_2016")
    assert family(flags, "exposure", day(8))["state"] != "speaks"


def test_a_high_week_that_was_planned_is_quiet_whatever_its_place_among_own_weeks():
    high = {"metres_90": 240.0, "expected_metres_90": 235.0, "above_z": 0.1, "metres_95": 160.0,
            "usual_metres_95_high": 90.0}  # fmt: skip
    assert family(flag(weeks=[WEEKS[0], WEEKS[1] | high]), "exposure")["state"] == "quiet"


GAP = [FAST | {"week_of": day(13), "metres_95": 30.0, "last_95_on": day(11), "last_90_on": day(11)},
       FAST | {"week_of": MONDAY, "metres_95": 0.0, "last_95_on": day(11), "last_90_on": day(11)}]  # fmt: skip


@pytest.mark.parametrize(
    ("known", "state"),
    [
        ({"longest_gap_95_days": 10}, "speaks"),
        ({"longest_gap_95_days": 11}, "quiet"),  # a gap of the athlete's own kind
        ({"last_90_on": day(3)}, "quiet"),  # 94 % and 95 % cannot be told apart: no gap
        ({"last_90_on": None}, "speaks"),  # what is not known excuses nobody
    ],
)
def test_a_gap_is_long_for_this_athlete_and_without_runs_just_under_the_line(known: dict[str, Any], state: str):
    plan = {"athlete_id": "ann", "planned_on": day(-2), "plan_no": 1, "kind": "top_speed", "fast_metres": 120.0}
    assert family(flag(weeks=[week | known for week in GAP], plans=[plan]), "exposure")["state"] == state


def test_a_long_gap_speaks_only_with_a_maximal_session_planned():
    plan = {"athlete_id": "ann", "planned_on": day(-2), "plan_no": 1, "kind": "top_speed", "fast_metres": 120.0}
    row = family(flag(weeks=GAP, plans=[plan]), "exposure")
    assert row["sentence"] == "11 days since ≥ 95 %, maximal session planned 24 Nov"
    assert row["lapses_on"] == day(-3)
    easy = family(flag(weeks=GAP, plans=[plan | {"kind": "tempo", "fast_metres": 0.0}]), "exposure")
    assert easy["state"] == "quiet"
    unknown = family(flag(weeks=GAP), "exposure")
    assert (unknown["state"], unknown["reason"]) == ("cannot_say", "no_plan")
    short = family(flag(weeks=[GAP[0], GAP[1] | {"last_95_on": day(9)}], plans=[plan]), "exposure")
    assert short["state"] == "quiet"


def test_a_maximal_kind_without_a_figure_counts_and_one_with_nought_does_not():
    race = {"athlete_id": "ann", "planned_on": day(-1), "plan_no": 1, "kind": "race"}
    assert family(flag(weeks=GAP, plans=[race]), "exposure")["state"] == "speaks"
    assert family(flag(weeks=GAP, plans=[race | {"fast_metres": 0.0}]), "exposure")["state"] == "quiet"


def test_fast_metres_after_a_long_gap_speak():
    # last run at 95 % on 4 Nov, 12 days before Monday the 16th; 60 m in that week
    weeks = [FAST | {"week_of": day(13), "metres_95": 0.0, "last_95_on": day(18)},
             FAST | {"week_of": MONDAY, "metres_95": 60.0, "last_95_on": day(3)}]  # fmt: skip
    row = family(flag(weeks=weeks), "exposure")
    assert row["sentence"] == "at least 12 days without ≥ 95 %, then 60 m in the week of 16 Nov"


@pytest.mark.parametrize("between", ["runs_not_timed", "speed_unclassified"])
def test_a_gap_over_fast_sessions_that_nobody_timed_is_no_known_gap(between: str):
    # top-speed Saturdays are logged, the gates stand every second week: eleven of eleven were on watch for it
    quiet = {"metres_95": None, "metres_90": None, "last_95_on": day(18), "reason": between}
    weeks = [FAST | {"week_of": day(20), "last_95_on": day(18)}, FAST | {"week_of": day(13)} | quiet,
             FAST | {"week_of": MONDAY, "metres_95": 60.0, "last_95_on": day(3)}]  # fmt: skip
    assert family(flag(weeks=weeks), "exposure")["state"] != "speaks"
    timed = [weeks[0], weeks[1] | {"metres_95": 0.0, "metres_90": 0.0, "reason": None}, weeks[2]]
    assert family(flag(weeks=timed), "exposure")["state"] == "speaks"
    holiday = [weeks[0], weeks[1] | {"reason": "no_session_logged"}, weeks[2]]
    assert family(flag(weeks=holiday), "exposure")["state"] == "speaks"


def test_before_a_maximal_session_such_a_gap_cannot_be_said():
    plan = {"athlete_id": "ann", "planned_on": day(-2), "plan_no": 1, "kind": "top_speed", "fast_metres": 80.0}
    assert family(flag(weeks=GAP, plans=[plan]), "exposure")["state"] == "speaks"
    open_weeks = [GAP[0], *(week | {"reason": "runs_not_timed"} for week in GAP[1:])]
    row = family(flag(weeks=open_weeks, plans=[plan]), "exposure")
    assert (row["state"], row["reason"]) == ("cannot_say", "runs_not_timed")
    assert "fast sessions since then have no times" in row["sentence"]


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"last_95_on": None, "metres_95": None}, "no_judged_speed"),
        ({"metres_95": None}, "exposure_week_unknown"),
        ({"expected_metres_90": None, "above_z": None}, "own_exposure_unknown"),
    ],
)
def test_exposure_without_its_data_cannot_say(change: dict[str, Any], reason: str):
    row = family(flag(weeks=[week | change for week in WEEKS]), "exposure")
    assert (row["state"], row["reason"]) == ("cannot_say", reason)


# State
