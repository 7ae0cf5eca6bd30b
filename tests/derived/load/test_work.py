"""Work by week, by kind: what is counted, and when a nought may be written."""

from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.derived.load.work import work_week
from schemas.derived.work import WorkWeek
from schemas.exercise_families import STARTER
from schemas.spelling import slug
from schemas.vocabulary import EXERCISE_FAMILIES
from tests.derived.load.work_frames import MONDAY, checked, day, record, schema_of
from tests.examples import examples

EXERCISES = record(
    "exercise",
    {"exercise": "back_squat", "family": "squat"},
    {"exercise": "romanian_deadlift", "family": "hinge"},
    {"exercise": "nordic_lower", "family": "hamstring_eccentric"},
    {"exercise": "hurdle_jump", "family": "jump"},
    {"exercise": "mystery"},
)


def lift(after: int, exercise: str, set_no: int, reps: int, load: float | None, side: str = "both") -> dict[str, Any]:
    return {"session_date": day(after), "exercise": exercise, "set_no": set_no, "reps": reps, "load_kg": load,
            "side": side}  # fmt: skip


def session(after: int, kind: str | None, minutes: float | None = 60) -> dict[str, Any]:
    return {"session_date": day(after), "kind": kind, "duration_min": minutes}


def run(after: int, rep_no: int, **fields: Any) -> dict[str, Any]:
    return {"session_date": day(after), "rep_no": rep_no} | fields


def weeks_of(
    sessions: list[dict[str, Any]],
    lifts: list[dict[str, Any]] | None = None,
    runs: list[dict[str, Any]] | None = None,
    *,
    plan: pl.DataFrame | None = None,
    logs: pl.DataFrame | None = None,
    last: int = 6,
) -> pl.DataFrame:
    weeks = work_week(
        record("lift_set", *(lifts or [])),
        EXERCISES,
        record("rep", *(runs or [])),
        record("session", *sessions),
        record("day_log") if logs is None else logs,
        record("plan") if plan is None else plan,
        as_of=day(last),
    )
    return checked(WorkWeek, weeks)


def test_tonnage_by_hand():
    lifts = [lift(0, "back_squat", 1, 5, 100), lift(0, "back_squat", 2, 5, 100), lift(0, "back_squat", 3, 3, 110)]
    week = weeks_of([session(0, "strength")], lifts).row(0, named=True)
    # 5 x 100 + 5 x 100 + 3 x 110 = 1330 (by definition)
    assert week["tonnage_squat_kg"] == 1330
    # lifting is known, so what was not done is nought
    assert (week["tonnage_hinge_kg"], week["eccentric_hamstring_sets"], week["lifting_known"]) == (0, 0, True)
    assert week["reason"] is None


def test_left_and_right_of_a_set_are_one_set_and_both_weigh():
    lifts = [
        lift(0, "nordic_lower", 1, 5, 10, "l"),
        lift(0, "nordic_lower", 1, 6, 10, "r"),
        lift(2, "nordic_lower", 1, 4, 0),
    ]
    week = weeks_of([session(0, "strength"), session(2, "strength")], lifts).row(0, named=True)
    # sets 1 + 1; reps max(5, 6) + 4 = 10; tonnage 50 + 60 + 0 = 110
    assert (week["eccentric_hamstring_sets"], week["eccentric_hamstring_reps"]) == (2, 10)
    assert week["tonnage_hamstring_eccentric_kg"] == 110
    # Wednesday to Sunday
    assert (week["last_eccentric_on"], week["eccentric_gap_days"]) == (day(2), 4)


def test_gap_runs_on_through_weeks_without_and_ends_today_in_the_running_week():
    lifts = [lift(2, "nordic_lower", 1, 4, None)]
    weeks = weeks_of([session(2, "strength"), session(15, "tempo")], lifts, last=16)
    # from day 2 to the Sundays 6 and 13, then to day 16
    assert weeks["eccentric_gap_days"].to_list() == [4, 11, 14]
    # the second week has no session at all: unknown; the third is logged and holds no strength session: nought
    assert weeks["eccentric_hamstring_sets"].to_list() == [1, None, 0]
    assert weeks["reason"].to_list() == ["set_load_unknown", "no_session_logged", None]


def test_never_seen_is_null():
    week = weeks_of([session(0, "tempo")]).row(0, named=True)
    assert (week["last_eccentric_on"], week["eccentric_gap_days"], week["eccentric_hamstring_sets"]) == (None, None, 0)


def test_a_strength_session_without_its_sets_leaves_the_week_unknown():
    week = weeks_of([session(0, "strength")]).row(0, named=True)
    assert (week["eccentric_hamstring_sets"], week["tonnage_squat_kg"], week["jump_contacts"]) == (None, None, None)
    assert (week["lifting_known"], week["reason"]) == (False, "lifting_unknown")


def test_what_was_seen_stays_as_at_least_when_another_session_lacks_its_sets():
    lifts = [lift(0, "nordic_lower", 1, 5, 10)]
    week = weeks_of([session(0, "strength"), session(3, "strength")], lifts).row(0, named=True)
    assert (week["eccentric_hamstring_sets"], week["eccentric_hamstring_reps"]) == (1, 5)
    assert week["tonnage_hamstring_eccentric_kg"] is None
    assert week["reason"] == "lifting_unknown"


def test_a_rest_day_lacks_no_sets_and_a_closed_week_is_known():
    week = weeks_of([session(0, None, 0)]).row(0, named=True)
    assert (week["eccentric_hamstring_sets"], week["resisted_metres"], week["jump_contacts"]) == (0, 0, 0)
    logs = record("day_log", *({"logged_on": day(after), "is_complete": True} for after in range(7)))
    week = weeks_of([], logs=logs).row(0, named=True)
    assert (week["eccentric_hamstring_sets"], week["resisted_metres"]) == (0, 0)
    six = weeks_of([], logs=logs.head(6)).row(0, named=True)
    assert (six["eccentric_hamstring_sets"], six["resisted_metres"]) == (None, None)


def test_a_set_without_load_makes_its_family_unknown_and_no_other():
    lifts = [lift(0, "back_squat", 1, 5, 100), lift(0, "nordic_lower", 1, 5, None), lift(0, "mystery", 1, 10, 20)]
    week = weeks_of([session(0, "strength")], lifts).row(0, named=True)
    assert (week["tonnage_hamstring_eccentric_kg"], week["tonnage_squat_kg"]) == (None, 500)
    # an exercise without a family, or not listed at all, is counted apart: 10 x 20
    assert week["tonnage_other_kg"] == 200
    assert week["reason"] == "set_load_unknown"


def test_an_exercise_not_listed_is_kept_without_a_family():
    week = weeks_of([session(0, "strength")], [lift(0, "zercher_carry", 1, 4, 50)]).row(0, named=True)
    assert (week["tonnage_other_kg"], week["tonnage_squat_kg"]) == (200, 0)


def test_jump_contacts_are_reps_and_need_the_jump_sessions_logged():
    lifts = [lift(0, "hurdle_jump", 1, 6, None), lift(0, "hurdle_jump", 2, 6, None)]
    assert weeks_of([session(0, "plyometric")], lifts)["jump_contacts"].to_list() == [12]
    assert weeks_of([session(0, "strength")], [lift(0, "back_squat", 1, 5, 100)])["jump_contacts"].to_list() == [0]
    week = weeks_of([session(0, "plyometric")]).row(0, named=True)
    assert (week["jump_contacts"], week["reason"]) == (None, "jumps_unknown")


def test_resisted_metres_and_sled_work_by_hand():
    runs = [
        run(0, 1, distance_m=20, resistance_kind="sled", resistance_load_kg=40),
        run(0, 2, distance_m=30, resistance_kind="sled", resistance_load_kg=20),
        run(0, 3, distance_m=40, resistance_kind="incline"),
        run(0, 4, distance_m=30, resistance_kind="none"),
        run(0, 5, distance_m=30),
        run(0, 6, distance_m=10, resistance_load_kg=30),
    ]
    week = weeks_of([session(0, "acceleration")], runs=runs).row(0, named=True)
    # 20 + 30 + 40 + 10 = 100 m; 20 x 40 + 30 x 20 + 10 x 30 = 1700 kg m; a mass pulled and no kind: a sled
    assert (week["resisted_metres"], week["sled_kg_metres"]) == (100, 1700)


def test_a_sled_run_without_load_or_distance_is_unknown_not_nought():
    week = weeks_of([session(0, "acceleration")], runs=[run(0, 1, distance_m=20, resistance_kind="sled")])
    assert (week["resisted_metres"][0], week["sled_kg_metres"][0]) == (20, None)
    assert week["reason"][0] == "sled_load_unknown"
    runs = [run(0, 1, resistance_kind="sled", resistance_load_kg=20)]
    week = weeks_of([session(0, "acceleration")], runs=runs)
    assert (week["resisted_metres"][0], week["sled_kg_metres"][0]) == (None, None)


def test_no_resisted_run_is_nought_only_if_the_running_is_logged():
    free = weeks_of([session(0, "acceleration")], runs=[run(0, 1, distance_m=30)]).row(0, named=True)
    assert (free["resisted_metres"], free["sled_kg_metres"]) == (0, 0)
    bare = weeks_of([session(0, "acceleration")]).row(0, named=True)
    assert (bare["resisted_metres"], bare["sled_kg_metres"], bare["reason"]) == (None, None, "runs_unknown")
    hill = [run(0, 1, distance_m=30, resistance_kind="incline")]
    part = weeks_of([session(0, "acceleration"), session(1, "top_speed")], runs=hill).row(0, named=True)
    assert (part["resisted_metres"], part["sled_kg_metres"]) == (30, None)


def test_fast_metres_planned_stand_beside():
    plan = record("plan", {"planned_on": day(3), "plan_no": 1, "kind": "top_speed", "fast_metres": 120})
    weeks = weeks_of([session(0, "tempo"), session(7, "tempo")], plan=plan, last=13)
    assert weeks["fast_metres_planned"].to_list() == [120, None]


def test_what_comes_after_the_day_looked_from_is_not_seen():
    lifts = [lift(0, "nordic_lower", 1, 5, 10), lift(5, "nordic_lower", 1, 5, 10)]
    week = weeks_of([session(0, "strength"), session(5, "strength")], lifts, last=4).row(0, named=True)
    assert (week["eccentric_hamstring_sets"], week["eccentric_gap_days"]) == (1, 4)


def test_nothing_in_nothing_out():
    weeks = weeks_of([])
    assert weeks.is_empty()
    assert weeks.schema == pl.Schema(schema_of(WorkWeek))


SETS = st.lists(st.tuples(st.integers(0, 20), st.integers(1, 12), st.floats(0, 200)), max_size=20)


@given(rows=SETS)
@examples(20)
def test_weeks_hold_every_set_once(rows):
    lifts = [lift(after, "back_squat", number + 1, reps, load) for number, (after, reps, load) in enumerate(rows)]
    sessions = [session(after, "strength") for after in sorted({row[0] for row in rows})]
    weeks = weeks_of(sessions, lifts, last=20)
    total = sum(reps * load for _, reps, load in rows)
    assert (weeks["tonnage_squat_kg"].sum() or 0) == pytest.approx(total)
    assert all(week >= MONDAY for week in weeks["week_of"])


def test_an_exercise_of_no_known_family_leaves_eccentric_work_unknown_and_is_named():
    week = weeks_of([session(0, "strength")], [lift(0, "mystery", 1, 10, 20)]).row(0, named=True)
    assert (week["eccentric_hamstring_sets"], week["eccentric_hamstring_reps"]) == (None, None)
    assert (week["unknown_exercises"], week["reason"]) == ("mystery", "exercise_family_unknown")


@pytest.mark.parametrize(
    "name", ["nordic_curl", "nordische_beinbeuger", "nordique", "curl_nordico", "nordico_femorali"]
)
def test_common_names_count_without_a_list_of_the_squads_own(name: str):
    week = weeks_of([session(0, "strength")], [lift(0, name, 1, 5, None)]).row(0, named=True)
    assert (week["eccentric_hamstring_sets"], week["eccentric_hamstring_reps"]) == (1, 5)
    assert week["unknown_exercises"] is None


def test_every_starter_name_is_written_as_names_are_stored_and_stands_in_one_family():
    names = [name for family in STARTER.values() for name in family]
    assert len(names) == len(set(names))
    assert set(STARTER) <= set(EXERCISE_FAMILIES)
    assert all(slug(name, "_") == name for name in names)
