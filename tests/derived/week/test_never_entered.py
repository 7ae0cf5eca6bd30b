"""Nothing on record is no sign of health: what was never entered is said, and 'as planned' names what it rests on."""

import datetime as dt

import polars as pl
import pytest

from pipelines.derived.week.never_entered import never_entered, say_basis
from pipelines.derived.week.squad_words import SheetCounts, say_training
from schemas.derived.never_entered import KINDS, NeverEntered
from tests.derived.start.start_frames import record

DAY = dt.date(2026, 11, 3)
RUN = {"athlete_id": "ann", "session_date": DAY, "session_no": 1, "rep_no": 1}
CHECKIN = {"athlete_id": "ann", "checked_on": DAY, "fatigue": 3}
ALL = {
    "checkin": [{**CHECKIN, "hamstring_tightness_l": 1}],
    "injury": [{"athlete_id": "ann", "injury_no": 1, "onset_on": DAY}],
    "force_test": [
        {"athlete_id": "ann", "tested_on": DAY, "test": "eccentric_hamstring", "side": "left", "trial_no": 1}
    ],
    "rep": [{**RUN, "timing_kind": "electronic"}],
    "split": [{**RUN, "distance_m": 10.0, "elapsed_s": 1.9}],
    "plan": [{"athlete_id": "ann", "planned_on": DAY, "plan_no": 1}],
}


def found(names=("ann",), load=(400.0,), **instead) -> list[str]:
    tables = {name: record(name, rows) for name, rows in {**ALL, **instead}.items()}
    weeks = pl.DataFrame({"load_au": list(load)}, schema={"load_au": pl.Float64})
    people = record("athlete", [{"athlete_id": name, "display_name": name} for name in names])
    told = NeverEntered.validate(never_entered(people, **tables, load_week=weeks))
    return told.sort("place")["kind"].to_list()


def test_where_something_of_every_kind_is_entered_nothing_is_said():
    assert found() == []


@pytest.mark.parametrize(
    ("instead", "kind"),
    [
        ({"checkin": []}, "checkin"),
        ({"injury": []}, "injury"),
        ({"checkin": [CHECKIN]}, "tightness"),
        ({"force_test": []}, "force_test"),
        ({"force_test": [{**ALL["force_test"][0], "test": "hip_flexor"}]}, "force_test"),
        ({"split": []}, "timed_run"),
        ({"rep": [{**RUN, "timing_kind": "hand"}]}, "timed_run"),
        ({"load": (None, None)}, "load"),
        ({"plan": []}, "plan"),
    ],
)
def test_a_kind_of_which_nothing_is_there_is_named(instead, kind):
    assert found(**instead) == [kind]


def test_an_empty_record_misses_all_but_what_hangs_on_a_check_in_and_without_athletes_nothing_is_said():
    nothing = {name: [] for name in ALL}
    assert found(load=(), **nothing) == [kind for kind in KINDS if kind != "tightness"]
    assert found(names=(), load=(), **nothing) == []


def test_as_planned_names_what_it_rests_on_where_part_of_it_was_never_entered():
    basis = say_basis({"injury", "load", "plan"})
    assert (
        say_training(SheetCounts(athletes=11, as_planned=11), basis)
        == "All eleven are as planned, as far as check-ins tell."
    )
    some = SheetCounts(athletes=11, as_planned=10, talk_first=1)
    assert say_training(some, say_basis({"load"})) == (
        "Ten of eleven are as planned, as far as check-ins and the injury list tell. One wants a talk before they run."
    )
    assert say_basis({"plan", "force_test"}) == ""
