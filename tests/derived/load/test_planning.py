"""The plan: its effect before it is saved, and what was done of it. Sums by hand."""

import datetime as dt
from typing import Any

import polars as pl
import pytest

from pipelines.derived.load.plan_done import plan_done
from pipelines.derived.load.planning import merged_plan, plan_effect
from pipelines.questions.plan import effect_of, needed_for
from schemas.base import DerivedTable
from schemas.derived.exposure import SpeedExposure
from schemas.derived.load import LoadWeek
from schemas.derived.planning import PlanDone, PlanEffect
from tests.derived.load.test_calendar import derived
from tests.derived.load.work_frames import MONDAY, SETTINGS, checked, day, record

SUNDAY = day(-1)  # the day the week of MONDAY is planned on
OWN = [1500.0, 1650, 1700, 1750, 1800, 1900, 1950, 2000, 2100, 2200, 2250, 2400]  # own example


def plan(after: int, minutes: float | None, effort: float | None, no: int = 1, **more: Any) -> dict[str, Any]:
    return {"planned_on": day(after), "plan_no": no, "planned_min": minutes, "planned_effort_0_10": effort} | more


def weeks(*loads: float | None) -> pl.DataFrame:
    """The weeks before MONDAY, the last one given the nearest."""
    back = len(loads)
    return derived(LoadWeek, *({"athlete_id": "ann", "week_of": day(7 * (n - back)), "load_au": load,
                                "injury_week": False, "days_known": 7} for n, load in enumerate(loads)))  # fmt: skip


def exposure(**fields: Any) -> pl.DataFrame:
    return derived(SpeedExposure, {"athlete_id": "ann", "week_of": day(-7)} | fields)


def effect(rows: list[dict[str, Any]], before: pl.DataFrame | None = None, **more: Any) -> dict[str, Any]:
    found = plan_effect(
        record("plan", *rows),
        more.get("planned", record("plan")),
        weeks(*OWN) if before is None else before,
        more.get("seen", exposure()),
        settings=SETTINGS,
        as_of=more.get("as_of", SUNDAY),
    )
    [row] = checked(PlanEffect, found).to_dicts()
    return row


# Own week, load by Foster et al. 2001: 540, 375, 120, 800, 0, 525, 0
FOSTER = [plan(0, 90, 6), plan(1, 60, 4), plan(1, 45, 3, 2), plan(2, 40, 3), plan(3, 100, 8), plan(5, 75, 7)]


def test_the_worked_week_has_its_load_and_monotony():
    row = effect(FOSTER)
    # Foster 1998 with n - 1, own computation: W 2360, monotony 1.097120
    assert row["planned_au"] == 2360
    assert row["monotony"] == pytest.approx(1.097120, abs=1e-6)
    assert row["sessions"] == 6


def test_it_is_held_against_last_week_and_own_range():
    row = effect(FOSTER)
    # 2360 - 2400 = -40; 100 x -40 / 2400 = -1.6667
    assert (row["last_on"], row["last_au"], row["change_au"]) == (day(-7), 2400, -40)
    assert row["change_percent"] == pytest.approx(-1.6667, abs=1e-4)
    # 11 of 12 weeks lie below 2360: 91.6667 (midrank, as scipy.stats.percentileofscore kind='mean')
    assert row["percentile"] == pytest.approx(91.6667, abs=1e-4)
    # quantiles 0.10 and 0.90 of 12: places 1.1 and 9.9 from 0 -> 1650 + 0.1 x 50 = 1655; 2200 + 0.9 x 50 = 2245
    assert (row["own_low_au"], row["own_high_au"]) == (pytest.approx(1655), pytest.approx(2245))
    assert row["load_place"] == "above"
    assert row["load_words"] == (
        "2360 AU planned, 2 % less than the 2400 of the week of 23 Feb, above own range 1655 to 2245"
    )


def test_one_session_without_effort_leaves_the_load_unknown():
    row = effect([*FOSTER[:-1], plan(5, 75, None)])
    assert (row["planned_au"], row["monotony"], row["load_place"], row["change_au"]) == (None, None, None, None)
    assert row["reason"] == "plan_incomplete"
    assert row["load_words"] == "a planned session lacks minutes or effort, so the load has no value"


def test_few_own_weeks_give_no_range_and_no_week_before_no_change():
    row = effect([plan(0, 60, 5)], weeks(1500.0, None, None))
    assert (row["own_low_au"], row["load_place"], row["change_au"], row["reason"]) == (
        None,
        None,
        None,
        "own_weeks_too_few",
    )
    assert row["load_words"] == ("300 AU planned, no whole week just before to compare with, own range not known yet")


def test_who_may_not_read_injury_weeks_gets_the_range_of_the_week_before():
    before = weeks(*OWN).with_columns(
        injury_week=pl.lit(None, pl.Boolean), own_low_au=pl.lit(1600.0), own_high_au=pl.lit(2300.0)
    )
    row = effect(FOSTER, before)
    assert (row["own_low_au"], row["own_high_au"], row["percentile"]) == (1600, 2300, None)
    assert row["load_place"] == "above"


def test_equal_days_have_no_monotony():
    assert effect([plan(n, 50, 6) for n in range(7)])["monotony"] is None


def test_a_week_of_rest_is_a_load_of_nought():
    row = effect([plan(0, 0, None, kind="top_speed")], seen=exposure(last_95_on=day(-20)))
    assert (row["planned_au"], row["sessions"], row["planned_fast_metres"]) == (0, 0, 0)
    assert (row["maximal_on"], row["speaks_on_exposure"]) == (None, False)


def test_what_is_planned_already_counts_and_an_empty_cell_erases_nothing():
    planned = record("plan", plan(0, 60, 5, fast_metres=80.0), plan(3, 40, 5))
    row = effect([plan(0, 90, None)], planned=planned)
    # Monday becomes 90 x 5 = 450, Thursday stays 200
    assert row["planned_au"] == 650
    merged = merged_plan(planned, record("plan", plan(0, 90, None))).sort("planned_on").to_dicts()
    assert (merged[0]["planned_min"], merged[0]["planned_effort_0_10"], merged[0]["fast_metres"]) == (90, 5, 80)


def test_a_long_gap_and_then_a_maximal_run_would_speak():
    rows = [plan(0, 60, 3, kind="tempo"), plan(2, 70, 8, kind="top_speed", fast_metres=120.0)]
    seen = exposure(last_95_on=day(-8), usual_metres_95_low=40.0, usual_metres_95_high=150.0)
    row = effect(rows, seen=seen)
    # from day -8 to day 2: 10 days, the setting's 10
    assert (row["maximal_on"], row["gap_days"], row["fast_place"]) == (day(2), 10, "within")
    assert row["speaks_on_exposure"] is True
    assert row["fast_words"] == (
        "120 fast metres planned, within own usual 40 to 150; 10 days from the last run at ≥ 95 % to the maximal one "
        "planned on 4 Mar"
    )
    assert effect(rows, seen=exposure(last_95_on=day(-7)))["speaks_on_exposure"] is False


def test_more_fast_metres_than_usual_would_speak():
    seen = exposure(last_95_on=day(-3), usual_metres_95_low=40.0, usual_metres_95_high=119.0)
    row = effect([plan(2, 70, 8, fast_metres=120.0)], seen=seen)
    assert (row["fast_place"], row["speaks_on_exposure"]) == ("above", True)


def test_a_maximal_run_planned_before_that_week_closes_the_gap():
    planned = record("plan", plan(-1, 70, 8, fast_metres=60.0))
    row = effect([plan(2, 70, 8, fast_metres=60.0)], planned=planned, seen=exposure(last_95_on=day(-8)))
    assert (row["maximal_on"], row["gap_days"]) == (day(-1), 7)


def test_a_long_gap_that_ends_in_an_earlier_week_does_not_speak_for_this_one():
    planned = record("plan", plan(0, 70, 8, fast_metres=60.0))
    row = effect([plan(7, 70, 8, fast_metres=60.0)], planned=planned, seen=exposure(last_95_on=day(-12)))
    assert (row["maximal_on"], row["gap_days"], row["speaks_on_exposure"]) == (day(0), 12, False)


def test_athletes_are_held_against_their_own_past_only():
    rows = pl.concat([record("plan", *FOSTER), record("plan", {"athlete_id": "bo"} | FOSTER[0])])
    found = plan_effect(rows, record("plan"), weeks(*OWN), exposure(), settings=SETTINGS, as_of=SUNDAY)
    ann, bo = checked(PlanEffect, found).to_dicts()
    assert (ann["planned_au"], ann["last_au"]) == (2360, 2400)
    assert (bo["planned_au"], bo["last_au"], bo["own_low_au"]) == (540, None, None)


def test_older_weeks_and_other_columns_than_those_asked_for_change_nothing():
    long = weeks(*[float(1000 + 7 * (n * 37 % 101)) for n in range(150)])  # almost three years
    rows = record("plan", *FOSTER)
    asked = needed_for(rows.to_dicts(), SUNDAY)
    own = long.filter(pl.col("week_of") >= asked["load_week"]["where"]["week_of"][1])
    assert 52 <= own.height < 60
    seen = exposure(last_95_on=day(-9), usual_metres_95_low=40.0, usual_metres_95_high=120.0)
    narrow = {"load_week": own, "speed_exposure": seen.select(asked["speed_exposure"]["columns"])}
    found = effect_of(narrow, rows.to_dicts(), SETTINGS, SUNDAY)
    assert found.equals(effect_of({"load_week": long, "speed_exposure": seen}, rows.to_dicts(), SETTINGS, SUNDAY))
    assert found["own_low_au"][0] is not None
    assert found["last_95_on"][0] == day(-9)
    assert needed_for([], SUNDAY)["load_week"]["where"]["athlete_id"] == []


@pytest.mark.parametrize("as_of", [SUNDAY, day(4), day(-20)])
def test_plans_older_than_the_weeks_planned_and_the_day_looked_from_change_nothing(as_of: dt.date):
    rows = record("plan", plan(3, 70, 8, fast_metres=60.0), plan(9, 60, 7)).to_dicts()
    planned = record("plan", *[plan(n, 50 + n % 9, 6, fast_metres=float(n % 4 * 20)) for n in range(-60, 30, 2)])
    [(sign, first)] = [needed_for(rows, as_of)["plan"]["where"]["planned_on"]]
    fewer = planned.filter(pl.col("planned_on") >= first)
    assert sign == ">="
    assert 0 < fewer.height < planned.height
    found, whole = (
        effect_of({"plan": told, "speed_exposure": exposure(last_95_on=day(-30))}, rows, SETTINGS, as_of)
        for told in (fewer, planned)
    )
    assert found.equals(whole)
    assert found["sessions"].max() > 1


def test_no_rows_give_no_effect():
    found = plan_effect(record("plan"), record("plan"), weeks(*OWN), exposure(), settings=SETTINGS, as_of=SUNDAY)
    assert checked(PlanEffect, found).is_empty()


# --- plan against done -----------------------------------------------------------------------------------------------


def done(planned: pl.DataFrame, sessions: pl.DataFrame, load: float | None, metres: float | None) -> dict[str, Any]:
    model: type[DerivedTable] = PlanDone
    found = plan_done(
        planned,
        sessions,
        derived(LoadWeek, {"athlete_id": "ann", "week_of": MONDAY, "load_au": load}),
        derived(SpeedExposure, {"athlete_id": "ann", "week_of": MONDAY, "metres_95": metres}),
        as_of=day(6),
    )
    [row] = checked(model, found).to_dicts()
    return row


TRAINED = record(
    "session", {"session_date": day(0), "duration_min": 90.0}, {"session_date": day(1), "duration_min": 0.0}
)


def test_done_less_planned():
    planned = record("plan", plan(0, 90, 6, fast_metres=100.0), plan(3, 100, 8, fast_metres=60.0), plan(5, 0, None))
    row = done(planned, TRAINED, 1206.0, 130.0)
    # planned 540 + 800 + 0 = 1340; 1206 - 1340 = -134; 100 x -134 / 1340 = -10; metres 130 - 160 = -30
    assert (row["planned_au"], row["difference_au"], row["difference_metres"]) == (1340, -134, -30)
    assert row["difference_percent"] == pytest.approx(-10)
    assert (row["sessions_planned"], row["sessions_done"], row["reason"]) == (2, 1, None)


@pytest.mark.parametrize(
    ("planned", "load", "metres", "reason"),
    [
        ([], 1000.0, 50.0, "no_plan_week"),
        ([plan(0, 90, None)], 1000.0, 50.0, "plan_incomplete"),
        ([plan(0, 90, 6, fast_metres=10.0)], None, 50.0, "work_unknown"),
        ([plan(0, 90, 6, kind="top_speed")], 1000.0, 50.0, "fast_metres_unplanned"),
        ([plan(0, 90, 6, fast_metres=10.0)], 1000.0, None, "fast_metres_unknown"),
    ],
)
def test_what_is_not_known_whole_is_said(
    planned: list[dict[str, Any]], load: float | None, metres: float | None, reason: str
):
    row = done(record("plan", *planned), TRAINED, load, metres)
    assert row["reason"] == reason
    assert None in (row["difference_au"], row["difference_metres"])


def test_weeks_to_come_are_left_out():
    row = done(record("plan", plan(0, 90, 6), plan(8, 90, 6)), TRAINED, 500.0, None)
    assert row["week_of"] == dt.date(2026, 3, 2)
