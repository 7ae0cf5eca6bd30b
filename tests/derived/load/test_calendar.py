"""Test calendar, completeness of the week, fast running by day, spread against noise: small records, sums by hand."""

import datetime as dt
from typing import Any

import numpy as np
import polars as pl
import pytest
from scipy.stats import chi2
from statsmodels.stats.meta_analysis import combine_effects

from pipelines.derived.group.load import group_load
from pipelines.derived.group.spread import group_spread
from pipelines.derived.load.amounts import load_day
from pipelines.derived.load.calendar import completeness_week, group_test_calendar
from pipelines.derived.load.exposure import speed_exposure
from pipelines.derived.load.exposure_calendar import _known_days, exposure_calendar
from schemas import labels
from schemas import vocabulary as words
from schemas.derived.calendar import CompletenessWeek, ExposureCalendar, GroupTestCalendar
from schemas.derived.group import GroupLoad, GroupSpread
from schemas.derived.load import LoadWeek
from schemas.derived.progress import StartProgress, StartTrend
from tests.derived.load.test_exposure import note_runs
from tests.derived.load.work_frames import MONDAY, SETTINGS, checked, day, record, schema_of

SUNDAY = day(6)


def derived(model: Any, *rows: dict[str, Any]) -> pl.DataFrame:
    schema = schema_of(model)
    return pl.DataFrame([{name: row.get(name) for name in schema} for row in rows], schema=schema, orient="row")


NO_TREND = derived(StartTrend)
PEOPLE = record("athlete", {"athlete_id": "ann", "display_name": "Ann"}, {"athlete_id": "bo", "display_name": "Bo"})


def force(on: dt.date, who: str = "ann", test: str = "eccentric_hamstring") -> dict[str, Any]:
    return {"athlete_id": who, "tested_on": on, "test": test, "side": "l", "trial_no": 1, "peak_force_n": 300.0}


def calendar_of(as_of: dt.date, *forces: dict[str, Any], people: pl.DataFrame = PEOPLE, **more: Any) -> pl.DataFrame:
    frame = group_test_calendar(
        people,
        record("force_test", *forces),
        more.get("jumps", record("jump_test")),
        more.get("trend", NO_TREND),
        more.get("masses", record("body_measure")),
        settings=SETTINGS,
        as_of=as_of,
    )
    return checked(GroupTestCalendar, frame)


def test_a_test_is_overdue_on_the_day_after_its_last_day():
    # setting 42 days: done on day 0 it is in time through day 42, overdue on day 43
    [row, _] = calendar_of(day(42), force(day(0))).to_dicts()
    assert (row["days_since"], row["due_on"], row["state"]) == (42, day(42), "in_time")
    assert calendar_of(day(43), force(day(0)))["state"].to_list() == ["overdue", "never"]


def test_never_done_is_its_own_word_with_no_number_of_days():
    [_, bo] = calendar_of(day(1), force(day(0))).to_dicts()
    assert (bo["athlete_id"], bo["state"], bo["days_since"], bo["last_on"]) == ("bo", "never", None, None)


def test_a_test_that_nobody_does_is_asked_of_nobody():
    assert calendar_of(day(1)).is_empty()
    assert calendar_of(day(1), force(day(0)))["test"].unique().to_list() == ["eccentric_hamstring"]


def test_the_last_of_several_days_counts_and_a_day_to_come_does_not():
    [row, _] = calendar_of(day(9), force(day(0)), force(day(5)), force(day(20))).to_dicts()
    assert (row["last_on"], row["days_since"]) == (day(5), 4)


def test_who_has_left_is_asked_for_no_test():
    people = record(
        "athlete",
        {"athlete_id": "ann", "display_name": "Ann"},
        {"athlete_id": "bo", "display_name": "Bo", "left_on": day(3)},
        {"athlete_id": "cy", "display_name": "Cy", "joined_on": day(30)},
    )
    assert calendar_of(day(4), force(day(0)), people=people)["athlete_id"].to_list() == ["ann"]
    assert calendar_of(day(3), force(day(0)), people=people)["athlete_id"].to_list() == ["ann", "bo"]


def test_a_timed_start_and_body_mass_are_tests_too():
    trend = derived(StartTrend, {"athlete_id": "ann", "metric": "t_10_s", "session_date": day(2)},
                    {"athlete_id": "bo", "metric": "vmax_mps", "session_date": day(2)})  # fmt: skip
    masses = record("body_measure", {"athlete_id": "bo", "measured_on": day(1), "body_mass_kg": 70.0},
                    {"athlete_id": "ann", "measured_on": day(1), "height_m": 1.7})  # fmt: skip
    found = calendar_of(day(5), trend=trend, masses=masses)
    assert dict(zip(zip(found["athlete_id"], found["test"], strict=True), found["days_since"], strict=True)) == {
        ("ann", "timed_start"): 3, ("ann", "body_mass"): None, ("bo", "timed_start"): None, ("bo", "body_mass"): 4,
    }  # fmt: skip


# --- completeness ----------------------------------------------------------------------------------------------------


def completeness(
    as_of: dt.date, people: pl.DataFrame = PEOPLE, **frames: pl.DataFrame
) -> dict[str, tuple[int, int, int]]:
    def given(table: str) -> pl.DataFrame:
        return frames.get(table, record(table))

    days = load_day(given("session"), given("day_log"), given("rest_day"), people, as_of=as_of)
    found = completeness_week(
        people, given("checkin"), given("session"), given("split"), given("lift_set"), days, given("plan"),
        given("force_test"), given("jump_test"), frames.get("start_trend", NO_TREND), given("body_measure"),
        settings=SETTINGS, as_of=as_of,
    )  # fmt: skip
    checked(CompletenessWeek, found)
    mine = found.filter((pl.col("athlete_id") == "ann") & (pl.col("week_of") == MONDAY))
    return {r["item"]: (r["expected"], r["have"], r["lacking"]) for r in mine.to_dicts()}


def session(after: int, kind: str, minutes: float | None = 60.0, effort: float | None = 5.0) -> dict[str, Any]:
    return {"session_date": day(after), "kind": kind, "duration_min": minutes, "effort_0_10": effort}


def test_each_item_counts_what_is_there_and_what_is_missing():
    sessions = record(
        "session", session(0, "acceleration"), session(1, "strength", effort=None), session(3, "top_speed"),
        session(4, "tempo"), session(5, "strength", 0.0, None),
    )  # fmt: skip
    split = record("split", {"session_date": day(0), "rep_no": 1, "distance_m": 10.0, "elapsed_s": 1.9})
    sets = record("lift_set", {"session_date": day(1), "exercise": "squat", "set_no": 1, "side": "both", "reps": 5})
    checkins = record("checkin", *({"checked_on": day(n)} for n in (0, 1, 3, 9)))
    logs = record("day_log", {"logged_on": day(2), "is_complete": True}, {"logged_on": day(6), "is_complete": False})
    found = completeness(SUNDAY, session=sessions, split=split, lift_set=sets, checkin=checkins, day_log=logs)
    # seven days of the week: Mon Tue Thu Fri Sat have a session, Wed is closed, Sunday is marked as not complete but
    # somebody did say so: 7 told. Saturday's strength session of 0 minutes asks for neither effort nor sets.
    assert found["days"] == (7, 7, 0)
    assert found["checkins"] == (7, 3, 4)
    assert found["effort"] == (4, 3, 1)  # Mon, Tue (no effort), Thu, Fri
    assert found["splits"] == (2, 1, 1)  # Mon has them, Thu has not; tempo and strength are not asked
    assert found["gym_sets"] == (1, 1, 0)
    assert found["plan"] == (1, 0, 1)
    assert found["tests"] == (0, 0, 0)


def test_a_session_of_unknown_length_asks_for_effort_and_one_of_no_minutes_does_not():
    sessions = record("session", session(0, "acceleration", None), session(1, "acceleration", 0.0))
    assert completeness(SUNDAY, session=sessions)["effort"] == (1, 0, 1)


def test_the_running_week_asks_only_for_the_days_so_far():
    found = completeness(day(2), checkin=record("checkin", {"checked_on": day(0)}))
    assert found["checkins"] == (3, 1, 2)
    assert found["days"] == (3, 0, 3)


def test_a_plan_of_the_week_after_is_the_plan_that_is_asked_for():
    plan = record("plan", {"planned_on": day(8), "plan_no": 1})
    assert completeness(SUNDAY, plan=plan)["plan"] == (1, 1, 0)
    assert completeness(SUNDAY, plan=record("plan", {"planned_on": day(3), "plan_no": 1}))["plan"] == (1, 0, 1)


def test_tests_are_asked_once_in_use_and_counted_while_in_time():
    forces = record("force_test", force(day(-43)), force(day(-2), "bo", "hip_flexor"), force(day(-1)))
    assert completeness(SUNDAY, force_test=forces)["tests"] == (2, 1, 1)
    # 6 - (-36) = 42 days: in time; 6 - (-37) = 43: no more
    assert completeness(SUNDAY, force_test=record("force_test", force(day(-36))))["tests"] == (1, 1, 0)
    assert completeness(SUNDAY, force_test=record("force_test", force(day(-37))))["tests"] == (1, 0, 1)


def test_nobody_in_the_squad_gives_an_empty_table():
    assert completeness(SUNDAY, people=record("athlete")) == {}


# --- fast running by day ---------------------------------------------------------------------------------------------


def days_of(track: Any, as_of: dt.date, logs: pl.DataFrame | None = None) -> dict[dt.date, dict[str, Any]]:
    frames = record("split", *track.splits), record("rep", *track.reps), record("session", *track.sessions)
    found = exposure_calendar(*frames, record("day_log") if logs is None else logs, as_of=as_of)
    return {row["day_on"]: row for row in checked(ExposureCalendar, found).to_dicts()}


def test_the_days_of_the_note():
    days = days_of(note_runs(), dt.date(2026, 3, 16))
    # own best 10.20 m/s: 30 m in 3.12 s = 94.27 %; 20 m in 2.05 s = 95.65 %; 30 m in 3.05 and 3.09 s: 96.43, 95.18 %
    told = ("runs_90", "runs_95", "run_90_metres", "run_95_metres")
    assert [days[dt.date(2026, 3, 2)][name] for name in told] == [1, 0, 30.0, 0.0]
    assert [days[dt.date(2026, 3, 5)][name] for name in told] == [1, 1, 20.0, 20.0]
    assert [days[dt.date(2026, 3, 9)][name] for name in told] == [2, 2, 60.0, 60.0]
    assert [days[dt.date(2026, 3, 13)][name] for name in told] == [0, 0, 0.0, 0.0]


def test_seven_days_add_up_to_the_week_of_the_other_table():
    track = note_runs()
    days = days_of(track, dt.date(2026, 3, 16))
    frames = record("split", *track.splits), record("rep", *track.reps), record("session", *track.sessions)
    weeks = speed_exposure(*frames, record("day_log"), record("plan"), settings=SETTINGS, as_of=dt.date(2026, 3, 16))
    for week in weeks.filter(pl.col("metres_95").is_not_null()).to_dicts():
        some = [d for on, d in days.items() if 0 <= (on - week["week_of"]).days < 7 and d["run_95_metres"] is not None]
        assert sum(d["run_95_metres"] for d in some) == week["metres_95"]
        assert sum(d["runs_90"] for d in some) == week["efforts_90"]


def test_a_day_with_nothing_logged_is_unknown_and_a_closed_day_is_none():
    logs = record("day_log", {"logged_on": dt.date(2026, 3, 3), "is_complete": True})
    days = days_of(note_runs(), dt.date(2026, 3, 16), logs)
    closed, silent = days[dt.date(2026, 3, 3)], days[dt.date(2026, 3, 4)]
    assert (closed["runs_95"], closed["resisted_metres"], closed["reason"]) == (0, 0.0, None)
    assert (silent["runs_95"], silent["resisted_metres"], silent["is_logged"]) == (None, None, False)
    assert silent["reason"] == "day_not_logged"


def test_a_running_session_without_runs_leaves_the_day_unknown():
    track = note_runs().session(dt.date(2026, 3, 10), kind="top_speed", duration_min=60.0)
    track.session(dt.date(2026, 3, 11), kind="strength", duration_min=60.0)
    days = days_of(track, dt.date(2026, 3, 16))
    assert (days[dt.date(2026, 3, 10)]["runs_95"], days[dt.date(2026, 3, 10)]["reason"]) == (None, "runs_not_logged")
    assert (days[dt.date(2026, 3, 11)]["runs_95"], days[dt.date(2026, 3, 11)]["reason"]) == (0, None)


def test_hand_times_are_unclassified_and_sleds_are_metres_of_their_own():
    on = dt.date(2026, 3, 10)
    track = note_runs().run(on, [(30, 2.5)], timing_kind="hand")
    sled = {"resistance_kind": "sled", "resistance_load_kg": 30.0}
    track.run(on, [(20, 4.0)], distance_m=20.0, **sled).run(on, [(20, 4.1)], distance_m=20.0, **sled)
    row = days_of(track, dt.date(2026, 3, 16))[on]
    assert (row["runs_95"], row["unclassified_runs"], row["reason"]) == (None, 1, "runs_not_judged")
    assert (row["resisted_runs"], row["resisted_metres"]) == (2, 40.0)
    track.run(on, [(20, 4.1)], **sled)
    assert days_of(track, dt.date(2026, 3, 16))[on]["resisted_metres"] is None


def test_only_the_last_26_weeks_are_kept():
    days = days_of(note_runs(), dt.date(2026, 12, 31))
    # week of 28 December, and 25 before it: from Monday 6 July
    assert min(days) == dt.date(2026, 7, 6)
    assert len(days) == 25 * 7 + 4


# --- spread and load of a group --------------------------------------------------------------------------------------

LEVELS = [1.90, 1.92, 1.95, 2.01]
ERRORS = [0.010, 0.012, 0.010, 0.020]


def spread(levels: list[float], errors: list[float | None], sexes: str = "ffff", **more: Any) -> list[dict[str, Any]]:
    people, rows = [], []
    for number, (level, error) in enumerate(zip(levels, errors, strict=True)):
        who = f"a{number}"
        people.append({"athlete_id": who, "display_name": who, "event_group": "hurdles", "sex": sexes[number]})
        rows.append({"athlete_id": who, "metric": "t_10_s", "start_kind": "blocks", "clock_start": "gun",
                     "timing_kind": "electronic", "measured_by": "gate", "set_up": "not_stated", "sessions": 9,
                     "recent_sessions": 3, "level_now": level, "level_now_se": error}
                    | more)  # fmt: skip
    found = group_spread(derived(StartProgress, *rows), record("athlete", *people))
    return checked(GroupSpread, found).to_dicts()


def test_spread_and_noise_by_hand():
    [row] = spread(LEVELS, ERRORS)
    # mean 1.945; squares .002025 + .000625 + .000025 + .004225 = .0069; / 3 = .0023; root .047958
    assert row["spread_sd_s"] == pytest.approx(0.047958, abs=1e-6)
    # mean of .0001, .000144, .0001, .0004 = .000186; root .013638
    assert row["noise_s"] == pytest.approx(0.013638, abs=1e-6)
    assert row["true_spread_s"] == pytest.approx((0.0023 - 0.000186) ** 0.5, abs=1e-9)
    # pairs over errors: .02/.01562 = 1.28, .05/.01414 = 3.5, .11/.02236 = 4.9, .03/.01562 = 1.92, 3.9, .06/.02236 = 2.7
    assert (row["pairs"], row["pairs_beyond"]) == (6, 4)
    assert row["sentence"].startswith("The athletes differ by more than noise: spread 0.048 s between 4 athletes")


def test_q_is_that_of_statsmodels():
    # outside check: Cochran 1954 as in statsmodels.stats.meta_analysis.combine_effects (q) and scipy's chi-squared
    [row] = spread(LEVELS, ERRORS)
    known = combine_effects(np.array(LEVELS), np.array(ERRORS) ** 2, method_re="dl")
    assert row["q_statistic"] == pytest.approx(known.q, rel=1e-9)
    assert row["p_noise"] == pytest.approx(chi2.sf(known.q, 3), rel=1e-9)


def test_equal_athletes_differ_by_no_more_than_noise():
    [row] = spread([1.900, 1.905, 1.910], [0.02, 0.02, 0.02])
    assert row["true_spread_s"] == 0
    assert row["sentence"].startswith("The differences are no larger than noise could give")


def test_two_athletes_or_an_unknown_error_give_no_spread():
    [few] = spread([1.9, 2.0], [0.01, 0.01])
    assert (few["spread_sd_s"], few["p_noise"], few["reason"]) == (None, None, "too_few_athletes")
    [unknown] = spread([1.9, 2.0, 2.1], [0.01, None, 0.01])
    assert (unknown["spread_sd_s"], unknown["q_statistic"], unknown["reason"]) == (None, None, "level_error_unknown")


def test_sexes_are_kept_apart_and_an_old_series_is_left_out():
    assert [(row["sex"], row["athletes"]) for row in spread(LEVELS, ERRORS, "ffmm")] == [("f", 2), ("m", 2)]
    assert spread(LEVELS, ERRORS, recent_sessions=0) == []


def test_the_group_s_weeks_are_counted_each_against_own_range():
    people = record(
        "athlete", *({"athlete_id": f"a{n}", "display_name": "A", "event_group": "hurdles"} for n in range(6))
    )
    cases = [(900.0, 1000.0, 2000.0), (1000.0, 1000.0, 2000.0), (2000.0, 1000.0, 2000.0), (2001.0, 1000.0, 2000.0),
             (1500.0, None, None), (None, 1000.0, 2000.0)]  # fmt: skip
    weeks = derived(LoadWeek, *({"athlete_id": f"a{n}", "week_of": MONDAY, "load_au": load, "own_low_au": low,
                                 "own_high_au": high} for n, (load, low, high) in enumerate(cases)))  # fmt: skip
    [row] = checked(GroupLoad, group_load(weeks, people)).to_dicts()
    told = ("athletes", "below", "within", "above", "no_range", "unknown")
    assert [row[name] for name in told] == [6, 1, 2, 1, 1, 1]


def test_every_test_of_the_record_has_its_place_and_its_words_in_the_calendar():
    assert {*words.FORCE_TESTS, *words.JUMP_TESTS} <= set(words.CALENDAR_TESTS)
    assert set(words.CALENDAR_TESTS) == set(labels.CALENDAR_TESTS)
    assert {*words.FORCE_TESTS, *words.JUMP_TESTS} <= set(labels.ITEMS)


def test_a_mark_made_on_the_day_looked_from_counts():
    marks = record("day_log", {"logged_on": day(3), "is_complete": False}, {"logged_on": day(4), "is_complete": True})
    known = _known_days(record("rep"), record("session"), marks, day(3))
    assert known.rows() == [("ann", day(3), True, False)]  # what is to come is not read
