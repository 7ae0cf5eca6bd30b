"""Load by day and week: known, unknown, and against own weeks. Sources stand beside each outside value."""

import datetime as dt
from collections.abc import Sequence

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import percentileofscore

from pipelines.derived.load.amounts import load_day, load_week, plan_week
from schemas.derived.load import LoadDay, LoadWeek
from tests.derived.load.work_frames import MONDAY, SETTINGS, checked, day, record, schema_of
from tests.examples import examples

SUNDAY = day(6)
ANN = record("athlete", {"display_name": "Ann"})
NO_LOGS, NO_PLAN, NO_INJURY = record("day_log"), record("plan"), record("injury")
NO_OFF = record("rest_day")

# Own week (formulas: Foster 1998 and Foster et al. 2001, read in the source; the numbers: own computation).
FOSTER = (
    (0, 6, 90), (1, 4, 60), (1, 3, 45), (2, 3, 40), (3, 8, 100), (4, None, 0), (5, 7, 75), (6, None, 0),
)  # fmt: skip


def sessions(rows: Sequence[tuple[int, float | None, float | None]], athlete_id: str = "ann") -> pl.DataFrame:
    """Return sessions from (day after the Monday, effort, minutes); a second one of a day gets number 2."""
    seen: dict[int, int] = {}
    made = []
    for after, effort, minutes in rows:
        seen[after] = seen.get(after, 0) + 1
        made.append({"athlete_id": athlete_id, "session_date": day(after), "session_no": seen[after],
                     "effort_0_10": effort, "duration_min": minutes})  # fmt: skip
    return record("session", *made)


def days_of(rows: Sequence[tuple[int, float | None, float | None]], as_of: dt.date = SUNDAY) -> pl.DataFrame:
    return checked(LoadDay, load_day(sessions(rows), NO_LOGS, NO_OFF, ANN, as_of=as_of))


def weeks_of(
    rows: Sequence[tuple[int, float | None, float | None]],
    as_of: dt.date = SUNDAY,
    *,
    plan: pl.DataFrame = NO_PLAN,
    injury: pl.DataFrame = NO_INJURY,
) -> pl.DataFrame:
    return checked(LoadWeek, load_week(days_of(rows, as_of), plan, injury, settings=SETTINGS, as_of=as_of))


def whole_weeks(loads: Sequence[float]) -> list[tuple[int, float | None, float | None]]:
    """One session of effort 1 on the Monday and six logged rest days, so that the week's load is its minutes."""
    return [(7 * week + after, 1, load if after == 0 else 0) for week, load in enumerate(loads) for after in range(7)]


def minutes_at_10(loads: Sequence[float]) -> list[tuple[int, float | None, float | None]]:
    return [(after, 10, minutes) for after, _, minutes in whole_weeks([load / 10 for load in loads])]


def test_load_is_effort_times_minutes():
    # Foster et al. 2001 (read): effort 8 for 100 min = 800 AU
    assert days_of([(0, 8, 100)], as_of=MONDAY)["load_au"].to_list() == [800]


def test_fosters_week_by_hand():
    week = weeks_of(FOSTER).row(0, named=True)
    # 540 + (240 + 135) + 120 + 800 + 0 + 525 + 0 = 2360 (read; computed)
    assert week["load_au"] == 2360
    assert week["mean_au"] == pytest.approx(337.142857, abs=1e-6)
    assert week["sd_au"] == pytest.approx(307.298134, abs=1e-6)
    # Foster 1998: monotony = mean / SD (read), with n - 1
    assert week["monotony"] == pytest.approx(1.097120, abs=1e-5)
    assert week["strain_au"] == pytest.approx(2589.2027, abs=1e-3)
    # with the population SD (n) it would be 1.185025: the documented choice is n - 1
    assert week["mean_au"] / (week["sd_au"] * (6 / 7) ** 0.5) == pytest.approx(1.185025, abs=1e-5)


def test_a_flat_week_has_high_strain_from_a_small_spread():
    flat = [(after, 1, load) for after, load in enumerate([400, 350, 300, 400, 250, 350, 395])]
    week = weeks_of(flat).row(0, named=True)
    # Foster 1998 with n - 1, own computation: W 2445, M 6.123513, S 14971.99
    assert week["load_au"] == 2445
    assert week["monotony"] == pytest.approx(6.123513, abs=1e-5)
    assert week["strain_au"] == pytest.approx(14971.99, abs=0.01)


@given(k=st.floats(0.01, 6))
@examples(20)
def test_monotony_does_not_depend_on_the_scale(k):
    # algebra: mean and SD both scale with k; minutes x 3 is the table's example
    scaled = [(after, effort, minutes * k) for after, effort, minutes in FOSTER]
    assert weeks_of(scaled)["monotony"][0] == pytest.approx(1.0971198, rel=1e-6)
    assert weeks_of(scaled)["monotony"][0] == pytest.approx(weeks_of(FOSTER)["monotony"][0], rel=1e-9)


@pytest.mark.parametrize("load", [350, 0, 0.1])
def test_equal_days_have_no_monotony(load):
    # by definition: SD 0, so null with its reason, no cap
    week = weeks_of([(after, 1, load) for after in range(7)]).row(0, named=True)
    assert week["load_au"] == pytest.approx(7 * load)
    assert (week["monotony"], week["strain_au"], week["sd_au"], week["reason"]) == (None, None, 0, "days_all_equal")


def test_a_day_nobody_logged_is_unknown_and_spreads_to_its_week_as_at_least():
    rows = [row for row in FOSTER if row[0] != 2]
    days, week = days_of(rows), weeks_of(rows).row(0, named=True)
    wednesday = days.row(2, named=True)
    assert wednesday["reason"] == "day_not_logged"
    assert (wednesday["load_au"], wednesday["load_known_au"], wednesday["minutes"]) == (None, None, None)
    # 2360 - 120 = 2240 at least
    assert (week["load_au"], week["load_known_au"], week["days_known"]) == (None, 2240, 6)
    assert (week["monotony"], week["strain_au"], week["mean_au"], week["reason"]) == (None, None, None, "days_unknown")


def test_a_session_without_effort_leaves_its_day_at_least():
    monday = days_of([(0, 6, 90), (0, None, 60)], as_of=MONDAY).row(0, named=True)
    # 6 x 90 = 540 is known, the second session is not; its minutes are: 150
    assert (monday["load_au"], monday["load_known_au"], monday["minutes"]) == (None, 540, 150)
    assert (monday["sessions"], monday["is_known"], monday["reason"]) == (2, False, "session_without_effort")


def test_an_effort_of_rest_beside_minutes_is_no_rating_of_them():
    # Foster et al. 2001, J Strength Cond Res 15(1):109-115, their scale: 0 = rest (from memory)
    monday = days_of([(0, 6, 90), (0, 0, 60)], as_of=MONDAY).row(0, named=True)
    assert (monday["load_au"], monday["load_known_au"], monday["reason"]) == (None, 540, "session_without_effort")
    resting = days_of([(0, 0, 0)], as_of=MONDAY).row(0, named=True)
    assert (resting["load_au"], resting["sessions"], resting["reason"]) == (0, 0, None)


def test_a_session_without_minutes_leaves_load_and_minutes_unknown():
    monday = days_of([(0, 6, None)], as_of=MONDAY).row(0, named=True)
    assert (monday["load_au"], monday["load_known_au"], monday["minutes"]) == (None, None, None)
    assert monday["reason"] == "session_without_minutes"


def test_a_rest_day_is_logged_as_0_minutes_or_marked_complete():
    logs = record("day_log", {"logged_on": day(1), "is_complete": True}, {"logged_on": day(2), "is_complete": False})
    days = checked(LoadDay, load_day(sessions([(0, None, 0)]), logs, NO_OFF, ANN, as_of=day(3)))
    assert days["load_au"].to_list() == [0, 0, None, None]
    assert days["sessions"].to_list() == [0, 0, 0, 0]
    assert days["reason"].to_list() == [None, None, "day_marked_incomplete", "day_not_logged"]


def test_a_day_of_the_week_that_is_always_off_is_a_rest_day_where_nothing_is_logged():
    # MONDAY is day 0; from that week on Tuesdays are off, and Wednesdays until the first Wednesday.
    off = record(
        "rest_day",
        {"weekday": 2, "from_on": MONDAY, "until_on": None},
        {"weekday": 3, "from_on": MONDAY, "until_on": day(2)},
        {"weekday": 4, "from_on": day(10), "until_on": None},
    )
    logs = record("day_log", {"logged_on": day(8), "is_complete": False})
    days = load_day(sessions([(0, 5, 60), (15, 4, 30)]), logs, off, ANN, as_of=day(16))
    known = {row["day_on"]: row["load_au"] for row in days.iter_rows(named=True) if row["is_known"]}
    # Tuesday of the second week is marked as not complete, and on the third somebody trained: both stand.
    assert known == {MONDAY: 300.0, day(1): 0.0, day(2): 0.0, day(10): 0.0, day(15): 120.0}


def test_a_day_marked_as_missing_a_session_is_unknown_even_if_what_it_shows_is_known():
    logs = record("day_log", {"logged_on": MONDAY, "is_complete": False})
    monday = load_day(sessions([(0, 6, 90)]), logs, NO_OFF, ANN, as_of=MONDAY).row(0, named=True)
    assert (monday["load_au"], monday["load_known_au"], monday["is_known"]) == (None, 540, False)


def test_a_month_away_shows_as_unknown_days_and_weeks():
    rows = [*whole_weeks([300]), *[(after + 35, effort, minutes) for after, effort, minutes in whole_weeks([300])]]
    days, weeks = days_of(rows, as_of=day(41)), weeks_of(rows, as_of=day(41))
    assert days.height == 42
    assert days["is_known"].sum() == 14
    assert weeks["load_au"].to_list() == [300, None, None, None, None, 300]
    assert weeks["load_known_au"].to_list() == [300, None, None, None, None, 300]
    # the week before is unknown, so there is no change to state
    assert weeks["change_au"].to_list() == [None] * 6


def test_days_end_with_the_last_day_in_the_squad_but_never_before_the_evidence():
    left = record("athlete", {"display_name": "Ann", "left_on": day(2)})
    assert load_day(sessions([(0, 5, 60)]), NO_LOGS, NO_OFF, left, as_of=day(20)).height == 3
    assert load_day(sessions([(0, 5, 60), (5, 5, 60)]), NO_LOGS, NO_OFF, left, as_of=day(20)).height == 6


def test_entries_after_the_day_looked_from_are_not_seen():
    assert days_of([(0, 5, 60), (3, 5, 60)], as_of=day(1))["day_on"].to_list() == [MONDAY, day(1)]


def test_the_running_week_counts_its_days_but_has_no_load_yet():
    week = weeks_of(FOSTER, as_of=day(3)).row(0, named=True)
    # Mon to Thu: 540 + 375 + 120 + 800 = 1835
    assert (week["load_au"], week["days_known"], week["load_known_au"]) == (None, 4, 1835)
    assert week["reason"] == "week_not_over"


def test_week_change_by_hand():
    weeks = weeks_of(whole_weeks([200, 300]), as_of=day(13))
    # 300 - 200 = 100; 100 / 200 = 50 %
    assert weeks["change_au"].to_list() == [None, 100]
    assert weeks["change_percent"].to_list() == [None, 50]


def test_week_change_of_the_note():
    # 3000 against 2200: +800 AU, +36.3636 % (arithmetic); effort 10 x 300 and 10 x 220
    rows = [(after, 10, {0: 220, 7: 300}.get(after, 0)) for after in range(14)]
    last = weeks_of(rows, as_of=day(13)).row(1, named=True)
    assert last["change_au"] == 800
    assert last["change_percent"] == pytest.approx(36.3636, abs=1e-3)


def test_no_change_against_a_week_of_nought():
    weeks = weeks_of(whole_weeks([0, 300]), as_of=day(13))
    assert weeks["load_au"].to_list() == [0, 300]
    assert weeks["change_percent"].to_list() == [None, None]


@pytest.mark.parametrize(
    ("before", "last", "uncoupled", "coupled"),
    [
        # Lolli et al. 2019 as reported by Windt & Gabbett 2019 (read), own numbers
        ((1800, 2000, 2200), 3000, 1.5, 1.333333),
        ((1000, 1000, 1000), 500, 0.5, 0.571429),
        ((1000, 1000, 1000), 1000, 1, 1),
        ((900, 1000, 1100), 2000, 2, 1.6),
        ((100, 100, 100), 1000, 10, 3.076923),
    ],
)
def test_ratio_leaves_the_last_week_out_of_its_own_base(before, last, uncoupled, coupled):
    weeks = weeks_of(minutes_at_10([*before, last]), as_of=day(27))
    u = weeks["ratio_uncoupled"][3]
    assert u == pytest.approx(uncoupled, abs=1e-6)
    # the coupled form, last / mean of all four, follows from it: c = 4u / (3 + u) (algebra)
    assert 4 * u / (3 + u) == pytest.approx(coupled, abs=1e-6)
    assert last / weeks["load_au"].mean() == pytest.approx(coupled, abs=1e-6)
    # fewer than 28 known days: nothing
    assert weeks["ratio_uncoupled"].to_list()[:3] == [None, None, None]


def test_step_of_the_note_reads_one_and_a_half_uncoupled():
    # 28 days of 300, then 7 of 450: uncoupled 1.5
    rows = [(after, 5, 60 if after < 28 else 90) for after in range(35)]
    assert weeks_of(rows, as_of=day(34))["ratio_uncoupled"][4] == pytest.approx(1.5)


def test_ratio_needs_28_days_in_a_row():
    rows = [row for row in whole_weeks([100, 100, 100, 100]) if row[0] != 9]
    assert weeks_of(rows, as_of=day(27))["ratio_uncoupled"].to_list() == [None] * 4


def test_the_ratio_is_labelled_as_a_description():
    label = LoadWeek.to_schema().columns["ratio_uncoupled"].metadata["label"]
    assert "a description, not a risk" in label


HISTORY = [1500, 1650, 1700, 1750, 1800, 1900, 1950, 2000, 2100, 2200, 2250, 2400]  # own example


@pytest.mark.parametrize(("this", "expected"), [(2300, 91.6667), (3000, 100), (1900, 45.8333)])
def test_personal_percentile_among_own_earlier_weeks(this, expected):
    # mid-rank percentile, by hand: 2300 has 11 of 12 below -> 91.6667; 3000 -> 100; 1900: 5 below, 1 equal -> 100 x
    # 5.5 / 12
    weeks = weeks_of(minutes_at_10([*HISTORY, this]), as_of=day(7 * 13 - 1))
    assert weeks["percentile"][12] == pytest.approx(expected, abs=1e-3)
    assert weeks["percentile"][12] == pytest.approx(percentileofscore(HISTORY, this, kind="mean"))
    assert weeks["weeks_in_range"][12] == 12
    # linear quantiles of 12 weeks: 10 % lies at place 1.1, 1650 + 0.1 x 50; 90 % at 9.9, 2200 + 0.9 x 50
    assert weeks["own_low_au"][12] == pytest.approx(1655)
    assert weeks["own_high_au"][12] == pytest.approx(2245)


def test_no_percentile_and_no_range_on_fewer_than_eight_weeks():
    weeks = weeks_of(minutes_at_10(HISTORY[:9]), as_of=day(7 * 9 - 1))
    assert weeks["percentile"].is_null().to_list() == [True] * 8 + [False]
    assert weeks["own_low_au"].is_null().to_list() == [True] * 8 + [False]


def test_only_the_52_weeks_before_count():
    weeks = weeks_of(minutes_at_10([9000] + [1000 + week for week in range(53)]), as_of=day(7 * 54 - 1))
    # week 53 (the 54th) looks back to week 1; the 9000 of week 0 is out
    assert weeks["weeks_in_range"][53] == 52
    assert weeks["percentile"][53] == 100
    assert weeks["percentile"][52] == pytest.approx(100 * 51 / 52)


def test_injury_weeks_are_left_out_of_own_weeks():
    injury = record("injury", {"onset_on": day(9), "site": "calf", "side": "l", "stopped_training": True,
                               "returned_on": day(21)},
                    {"onset_on": day(16), "site": "hamstring", "side": "l", "stopped_training": True,
                     "returned_on": day(23)},
                    {"onset_on": day(30), "site": "foot", "side": "r", "stopped_training": False,
                     "returned_on": None})  # fmt: skip
    weeks = weeks_of(minutes_at_10([*HISTORY, 2300]), as_of=day(7 * 13 - 1), injury=injury)
    # days 9..20 and 16..22 overlap: weeks 1, 2, and 3 (Monday is day 21) through the second; the foot stopped nothing
    assert weeks["injury_week"].to_list() == [False, True, True, True] + [False] * 9
    assert weeks["weeks_in_range"][12] == 9
    # left: 1500, 1800..2400 -> 8 of 9 below 2300
    assert weeks["percentile"][12] == pytest.approx(100 * 8 / 9)


def test_an_injury_without_return_is_open_and_so_is_one_that_returned_before_it_began():
    open_one = record("injury", {"onset_on": day(8), "site": "calf", "side": "l", "stopped_training": True})
    odd = open_one.with_columns(returned_on=pl.lit(day(2)))
    for injury in (open_one, odd):
        weeks = weeks_of(whole_weeks([100, 200, 300]), as_of=day(20), injury=injury)
        assert weeks["injury_week"].to_list() == [False, True, True]
    assert weeks["reason"].to_list() == [None, "return_before_onset", "return_before_onset"]


def test_whether_it_stopped_training_being_unknown_does_not_make_an_injury_week():
    injury = record("injury", {"onset_on": day(1), "site": "calf", "side": "l"})
    assert weeks_of(whole_weeks([100]), injury=injury)["injury_week"].to_list() == [False]


def test_planned_load_by_hand_and_unknown_where_a_session_lacks_either():
    plan = record(
        "plan",
        {"planned_on": day(0), "plan_no": 1, "planned_min": 60, "planned_effort_0_10": 5},
        {"planned_on": day(2), "plan_no": 1, "planned_min": 90, "planned_effort_0_10": 7},
        {"planned_on": day(3), "plan_no": 1, "planned_min": 0},
        {"planned_on": day(7), "plan_no": 1, "planned_min": 60},
    )
    weeks = weeks_of(whole_weeks([100, 100, 100]), as_of=day(20), plan=plan)
    # 60 x 5 + 90 x 7 + 0 = 930; the second week lacks an effort; the third has no plan
    assert weeks["planned_au"].to_list() == [930, None, None]


def test_planned_fast_metres_need_a_figure_from_every_running_session():
    plan = record(
        "plan",
        {"planned_on": day(0), "plan_no": 1, "kind": "top_speed", "fast_metres": 120},
        {"planned_on": day(1), "plan_no": 1, "kind": "strength"},
        {"planned_on": day(7), "plan_no": 1, "kind": "top_speed"},
        {"planned_on": day(8), "plan_no": 1, "kind": "acceleration", "fast_metres": 60},
        {"planned_on": day(14), "plan_no": 1, "kind": "recovery"},
    )
    assert plan_week(plan)["planned_fast_metres"].to_list() == [120, None, 0]


def test_a_plan_alone_makes_a_week_of_unknown_load():
    plan = record("plan", {"athlete_id": "bo", "planned_on": day(1), "plan_no": 1, "planned_min": 60,
                           "planned_effort_0_10": 5})  # fmt: skip
    week = weeks_of([], plan=plan).row(0, named=True)
    assert (week["athlete_id"], week["load_au"], week["days_known"], week["planned_au"]) == ("bo", None, 0, 300)


def test_a_session_entered_three_weeks_late_fills_its_own_week():
    late = [row for row in whole_weeks([100, 200, 300, 400]) if row[0] != 0]
    assert weeks_of(late, as_of=day(27))["load_au"].to_list() == [None, 200, 300, 400]
    assert weeks_of([*late, (0, 1, 100)], as_of=day(27))["load_au"].to_list() == [100, 200, 300, 400]


def test_nothing_in_nothing_out():
    assert days_of([]).schema == pl.Schema(schema_of(LoadDay))
    assert weeks_of([]).is_empty()


def test_athletes_do_not_mix():
    both = pl.concat([sessions(whole_weeks([100, 200])), sessions(whole_weeks([900, 50]), "bo")])
    athletes = record("athlete", {"display_name": "Ann"}, {"athlete_id": "bo", "display_name": "Bo"})
    days = load_day(both, NO_LOGS, NO_OFF, athletes, as_of=day(13))
    weeks = checked(LoadWeek, load_week(days, NO_PLAN, NO_INJURY, settings=SETTINGS, as_of=day(13)))
    assert weeks["change_au"].to_list() == [None, 100, None, -850]


EFFORTS = st.one_of(st.none(), st.integers(0, 10))
MINUTES = st.one_of(st.none(), st.integers(0, 300))
LOGS = st.lists(st.tuples(st.integers(0, 27), EFFORTS, MINUTES), max_size=40)


@given(rows=LOGS)
@examples(40)
def test_a_week_is_the_sum_of_its_days_and_unknown_spreads(rows):
    days = load_day(sessions(rows), NO_LOGS, NO_OFF, ANN, as_of=day(27))
    weeks = load_week(days, NO_PLAN, NO_INJURY, settings=SETTINGS, as_of=day(27))
    by_week = {start: part for (start,), part in days.with_columns(w=pl.col("day_on").dt.truncate("1w")).group_by("w")}
    for week in weeks.iter_rows(named=True):
        part = by_week[week["week_of"]]
        assert week["days_known"] == part["is_known"].sum()
        if part.height == 7 and part["load_au"].null_count() == 0:
            assert week["load_au"] == pytest.approx(sum(part["load_au"]))
        else:
            assert week["load_au"] is None
            assert week["monotony"] is None
        known = [load for load in part["load_known_au"] if load is not None]
        assert week["load_known_au"] == (pytest.approx(sum(known)) if known else None)
    # never filled: a day is known only if it shows every figure
    assert days.filter("is_known")["load_au"].null_count() == 0
    assert days.filter(~pl.col("is_known"))["load_au"].null_count() == days.filter(~pl.col("is_known")).height
