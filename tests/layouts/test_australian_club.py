"""Sheets of a coach and an assistant who write in two languages: sets counted, heats, sleds, two days in a title."""

import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.layouts.words.said import find_day
from tests.intake import AS_OF, ROSTER, reasons, rows, take_in

GYM = "Giorno;Atleta;Esercizio;Serie;Ripetizioni;Carico (kg)\n"
RACES = "Date,Athlete,Event,{},Time,Place\n"


def test_a_word_for_sets_counts_them_where_no_row_numbers_them():
    checked = take_in(
        f"{GYM}13/10/2026;Ana Berg;Squat;4;5;70,0\n13/10/2026;Ana Berg;Affondi;3;8;30,0\n"
        "13/10/2026;Bea Lund;Squat;2;5;65,5\n", "pesi.csv",
    )  # fmt: skip
    found = rows(checked, "lift_set", "athlete_id", "set_no", "reps", "load_kg")
    assert [one for one in found if one[2] == 5] == [
        *(("ana-berg", number, 5, 70.0) for number in (1, 2, 3, 4)), ("bea-lund", 1, 5, 65.5), ("bea-lund", 2, 5, 65.5),
    ]  # fmt: skip
    assert len(found) == 9


@pytest.mark.parametrize("lines", [
    "13/10/2026;Ana Berg;Squat;1;5;70,0\n13/10/2026;Ana Berg;Squat;2;5;75,0\n",
    "13/10/2026;Ana Berg;Squat;2;5;70,0\n13/10/2026;Ana Berg;Squat;3;5;75,0\n",
    "13/10/2026;Ana Berg;Squat;1;5;70,0\n13/10/2026;Bea Lund;Squat;2;5;75,0\n",
])  # fmt: skip
def test_a_word_for_sets_numbers_them_where_rows_go_on_or_begin_with_one(lines):
    found = rows(take_in(GYM + lines, "pesi.csv"), "lift_set", "reps", "load_kg")
    assert found == [(5, 70.0), (5, 75.0)]


@pytest.mark.parametrize("head", ["Heat/Final", "Heat or final", "Turno", "Batteria"])
def test_heats_and_finals_are_rounds(head):
    checked = take_in(
        f"{RACES.format(head)}2026-10-03,Ana Berg,200m,H,25.31,2\n2026-10-03,Ana Berg,200m,F,25.11,4\n", "meet.csv"
    )
    assert sorted(rows(checked, "race_result", "time_s", "place")) == [(25.11, 4), (25.31, 2)]
    assert not checked.questions


def test_a_time_and_a_start_that_was_none_are_no_single_race():
    checked = take_in(
        "Date,Athlete,Event,Time,Place\n2026-10-03,Ana Berg,200m,25.31,2\n2026-10-03,Ana Berg,200m,DNS,\n"
        "2026-10-03,Bea Lund,200m,26.02,5\n", "meet.csv",
    )  # fmt: skip
    found = rows(checked, "race_result", "athlete_id", "time_s", "race_outcome")
    assert ("bea-lund", 26.02, None) in found
    assert not [one for one in found if one[0] == "ana-berg" and (one[1] or one[2])]
    assert "line 2 has a time of a race that line 3 says has none" in reasons(checked)


def test_a_time_of_a_race_that_ended_otherwise_in_the_same_row_stays():
    checked = take_in(
        "Date,Athlete,Event,Round,Time,Result\n2026-10-03,Ana Berg,200m,H,25.31,DQ\n"
        "2026-10-03,Ana Berg,200m,F,,DNS\n", "meet.csv",
    )  # fmt: skip
    assert sorted(rows(checked, "race_result", "time_s", "race_outcome"), key=str) == [
        (25.31, "disqualified"), (None, "not_started"),
    ]  # fmt: skip
    assert not checked.set_aside.height


def test_what_lies_on_a_sled_is_its_load():
    checked = take_in("Athlete,Date,Sled + plates (kg),20 m\nAna Berg,2026-10-13,15,3.61\n", "sled pulls.csv")
    assert rows(checked, "rep", "resistance_load_kg") == [(15.0,)]


@pytest.mark.parametrize(("text", "day"), [
    ("updated 1/10/26 (heights & weights taken 30/9/2026)", "30/9/2026"),
    ("Misurati il 29/9/2026, aggiornato al 4/10/2026", "29/9/2026"),
    ("taken 30/9/2026 and 2/10/2026", None), ("measured 1/9/2026, measured 2/9/2026", None),
    ("camp 1/9/2026, weights taken 2/9/2026", None),
])  # fmt: skip
def test_of_two_days_the_one_on_which_it_was_measured(text, day):
    assert find_day(text) == day


def test_who_is_called_so_is_known_with_the_last_name_too():
    people = pl.DataFrame({"athlete_id": list(ROSTER), "display_name": list(ROSTER.values()),
                           "call_name": ["Annie", None, None]})  # fmt: skip
    known = Known(people, AS_OF)
    assert rows(take_in("Date,Athlete,20 m\n2026-10-13,Annie Berg,3.31\n", known=known), "rep", "athlete_id") == [
        ("ana-berg",)
    ]
    other = take_in("Date,Athlete,20 m\n2026-10-13,Annie Lund,3.31\n", known=known)
    assert "rep" not in other.accepted


def test_what_broke_did_not_time_the_races():
    text = "Twilight meet (hand timed, FAT {}) - 13/10/26\nAthlete;Event;Time\nAna Berg;200m;25.3\nBea Lund;200m;26.1\n"
    for word in ("broke", "not working"):
        checked = take_in(text.format(word), "x.csv")
        assert rows(checked, "race_result", "timing_kind") == [("hand",), ("hand",)]
    both = take_in(text.format("for the finals"), "x.csv")
    assert "timing_kind" not in both.accepted["race_result"].columns


@pytest.mark.parametrize("head", ["Week", "Settimana", "Block"])
def test_what_numbers_the_rows_is_nobody(head):
    checked = take_in(f"Weigh-in (kg)\n{head},Date,Ana,Bea\n1,2026-09-07,61.2,64\n2,2026-09-14,61.0,\n", "mass.csv")
    assert sorted(rows(checked, "body_measure", "athlete_id", "body_mass_kg")) == [
        ("ana-berg", 61.0), ("ana-berg", 61.2), ("bea-lund", 64.0),
    ]  # fmt: skip
    assert {one.about for one in checked.questions} == ({head} if head == "Block" else set())
    assert not checked.set_aside.height


def test_somebody_unknown_beside_those_known_is_asked_about():
    checked = take_in("Weigh-in (kg)\nDate,Ana,Bea,Wilma\n2026-09-07,61.2,64,58.1\n", "mass.csv")
    assert "Wilma" in {one.about for one in checked.questions} | set(reasons(checked).split("'"))


@pytest.mark.parametrize(("squads", "groups"), [
    (("100/200", "Hurdles"), ["short_sprints", "hurdles"]), (("U20", "Hurdles"), None), (("Sprints", "Sprints"), None),
])  # fmt: skip
def test_squads_named_by_their_events_are_event_groups(squads, groups):
    text = f"Athlete,Squad,DOB\nAna Berg,{squads[0]},2004-03-17\nBea Lund,{squads[1]},2005-09-30\n"
    made = take_in(text, "people.csv").accepted["athlete"]
    assert made["squad"].to_list() == list(squads)
    found = made["event_group"].to_list() if "event_group" in made.columns else [None, None]
    assert found == (groups or [None, None])
