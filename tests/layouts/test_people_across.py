"""A column for each person: whose columns they are, and which of their cells are no session and no run at all."""

import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.errors import NotUnderstood
from pipelines.layouts import plain_tables
from pipelines.readers import read_tables
from tests.intake import AS_OF, rows, take_in, workbook


def sessions(content):
    checked = take_in(content, "x.csv")
    return checked, [
        (one["athlete_id"], one["session_date"].day, one.get("duration_min"), one.get("effort_0_10"))
        for one in checked.accepted["session"].iter_rows(named=True)
    ]


def passed(content):
    return [plain.passed for table in read_tables("x.csv", content.encode()) for plain in plain_tables(table)]


ABSENT = (
    "Oktober: Dauer der Einheit und RPE,,,,\nDatum,Einheit,Minuten,Ana Berg,Cleo Dahl-Frost\n"
    "2026-10-05,Kraft,65,verletzt,6\n2026-10-06,Kraft,80,7,-\n2026-10-08,Kraft,50,5,krank\n2026-10-09,Kraft,40,,3\n"
)


def test_who_was_hurt_ill_or_away_had_no_session():
    checked, found = sessions(ABSENT)
    assert found == [
        ("cleo-dahl-frost", 5, 65, 6), ("ana-berg", 6, 80, 7), ("ana-berg", 8, 50, 5), ("cleo-dahl-frost", 9, 40, 3),
    ]  # fmt: skip
    assert not checked.questions
    assert not checked.set_aside.height
    [told] = passed(ABSENT)
    assert "'verletzt' (Ana Berg, line 3), 'krank' (Cleo Dahl-Frost, line 5)" in told
    assert "'-'" not in told


@pytest.mark.parametrize(("beside", "cells"), [("Weekday", ("Mon", "Tue")), ("Tag", ("Mo", "Di"))])
def test_a_weekday_beside_the_day_says_no_more_than_the_day(beside, cells):
    text = (
        f"Session RPE (0-10),,,,,\nDate,{beside},What,Minutes,Ana Berg,Cleo Dahl-Frost\n"
        f"2026-10-05,{cells[0]},hills,65,5,6\n2026-10-06,{cells[1]},tempo,80,7,\n"
    )
    assert sessions(text)[1] == [("ana-berg", 5, 65, 5), ("cleo-dahl-frost", 5, 65, 6), ("ana-berg", 6, 80, 7)]


def test_a_weekday_without_a_day_beside_it_is_no_day():
    told = "Session RPE (0-10),,,\nWeekday,Minutes,Ana Berg,Cleo Dahl-Frost\nMon,65,5,6\nTue,80,7,\n"
    with pytest.raises(NotUnderstood, match="of which week"):
        sessions(told)


def test_an_effort_of_nought_was_a_session():
    _, found = sessions("Date,Session,Minutes,Ana Berg,Bea Lund\n2026-10-05,gym,65,0,8\n2026-10-06,gym,30,injured,7\n"
                        .replace("Date", "RPE,,,,\nDate"))  # fmt: skip
    assert found == [("ana-berg", 5, 65, 0), ("bea-lund", 5, 65, 8), ("bea-lund", 6, 30, 7)]


def test_own_minutes_beside_no_effort_are_a_session():
    _, found = sessions(",Ana Berg,,Bea Lund,\nDate,min,RPE,min,RPE\n2026-10-05,70,-,45,6\n2026-10-06,-,ill,50,4\n")
    assert found == [("ana-berg", 5, 70, None), ("bea-lund", 5, 45, 6), ("bea-lund", 6, 50, 4)]


def test_a_run_that_was_not_finished_was_run():
    checked = take_in("120 m hand timed,,\nDate,Ana Berg,Bea Lund\n2026-10-05,15.1,DNF\n2026-10-06,15.3,ill\n", "x.csv")
    assert rows(checked, "rep", "athlete_id", "outcome") == [
        ("ana-berg", None), ("bea-lund", "stopped"), ("ana-berg", None),
    ]  # fmt: skip


def test_minutes_for_each_person_by_days_leave_out_who_was_ill():
    _, found = sessions("Training minutes,,\nName,2026-10-05,2026-10-06\nAna Berg,70,ill\nBea Lund,-,55\n")
    assert found == [("ana-berg", 5, 70, None), ("bea-lund", 6, 55, None)]


TITLE = "minutes of the session and effort of each,,,\nDate,Session,Ana Berg,Bea Lund\n"


@pytest.mark.parametrize(("cells", "kept"), [
    ((4, 7), [("ana-berg", 5, None, 4), ("bea-lund", 5, None, 7)]),
    ((45, 70), [("ana-berg", 5, 45, None), ("bea-lund", 5, 70, None)]),
    ((13, 16), [("ana-berg", 5, None, None), ("bea-lund", 5, None, None)]),  # minutes, or an effort from 6 to 20
])  # fmt: skip
def test_a_title_of_minutes_and_effort_is_settled_by_the_cells_or_asked(cells, kept):
    checked, found = sessions(f"{TITLE}2026-10-05,gym,{cells[0]},{cells[1]}\n")
    assert found == kept
    assert [one.ask for one in checked.questions] == (["columns"] if kept[0][2:] == (None, None) else [])


# --- whose columns they are ------------------------------------------------------------------------------------------


def test_first_names_over_columns_are_the_athletes_who_alone_have_them():
    checked, found = sessions("RPE,,,,\nDate,Session,Minutes,Ana,Cleo\n2026-10-05,gym,65,4,8\n")
    assert found == [("ana-berg", 5, 65, 4), ("cleo-dahl-frost", 5, 65, 8)]
    assert not checked.questions


def test_one_first_name_beside_words_that_are_nobodys_is_asked():
    checked = take_in("Date,Ana,Shoes,Hall\n2026-10-05,6,3,8\n2026-10-06,5,2,8\n", "x.csv")
    assert not checked.accepted
    assert "Ana" in {one.about for one in checked.questions}
    assert "athletes" not in {one.ask for one in checked.questions}


def test_a_heading_of_name_and_quantity_is_both():
    _, found = sessions("Date,RPE Ana,RPE Bea\n2026-10-05,4,8\n2026-10-06,7,hurt\n".replace("hurt", "injured"))
    assert found == [("ana-berg", 5, None, 4), ("bea-lund", 5, None, 8), ("ana-berg", 6, None, 7)]
    _, found = sessions("Date,Ana min,Ana RPE,Bea min,Bea RPE\n2026-10-05,70,4,,8\n")
    assert found == [("ana-berg", 5, 70, 4), ("bea-lund", 5, None, 8)]


def test_a_word_beside_several_names_is_what_is_asked_and_no_name():
    checked = take_in("Date,Glimm Ana,Glimm Bea\n2026-10-05,61,58\n2026-10-06,60,57\n", "x.csv")
    assert {one.ask for one in checked.questions} == {"columns"}
    assert not checked.accepted


def test_who_is_unknown_over_two_columns_keeps_them_from_the_name_before():
    checked = take_in(",Ana,,Bea,,Zoe,\nDate,min,RPE,min,RPE,min,RPE\n2026-10-05,70,4,45,6,30,3\n", "x.csv")
    assert rows(checked, "session", *SESSIONS) == [("ana-berg", 70, 4), ("bea-lund", 45, 6)]
    assert [one.about for one in checked.questions] == ["Zoe"]


SESSIONS = ("athlete_id", "duration_min", "effort_0_10")


def test_two_times_in_a_cell_are_two_runs():
    checked = take_in(
        "Sled 25 m from a three point start,,,\nDate,Sled (kg),Ana,Bea\n2026-10-05,15,4.31 / 4.31,4.60\n"
        "2026-10-05,20,4.55 / 4.52,\n", "x.csv",
    )  # fmt: skip
    assert sorted(rows(checked, "split", "athlete_id", "rep_no", "elapsed_s")) == [
        ("ana-berg", 1, 4.31), ("ana-berg", 2, 4.31), ("ana-berg", 3, 4.55), ("ana-berg", 4, 4.52),
        ("bea-lund", 1, 4.6),
    ]  # fmt: skip
    loads = dict(rows(checked, "rep", "rep_no", "resistance_load_kg"))
    assert (loads[2], loads[4]) == (15, 20)


def test_sets_below_names_beside_exercises_are_a_gym_log():
    checked = take_in(
        "Tuesday 2026-10-06,,\nExercise,Ana,Bea\nsquat,3x5 80 kg,ill\nbench press,2x6 40 kg,2x6 35 kg\n", "x.csv"
    )
    assert rows(checked, "lift_set", "athlete_id", "exercise", "set_no", "reps", "load_kg") == [
        *(("ana-berg", "squat", n, 5, 80) for n in (1, 2, 3)), *(("ana-berg", "bench_press", n, 6, 40) for n in (1, 2)),
        *(("bea-lund", "bench_press", n, 6, 35) for n in (1, 2)),
    ]  # fmt: skip


def test_days_without_a_heading_beside_people_are_days():
    checked = take_in(",Ana,Bea\n2026-10-02,58.4,61.2\n2026-10-09,58.1,\n", "mass.csv")
    found = rows(checked, "body_measure", "athlete_id", "body_mass_kg")
    assert sorted(found) == [("ana-berg", 58.1), ("ana-berg", 58.4), ("bea-lund", 61.2)]
    assert not checked.questions


def test_a_first_name_that_is_a_word_elsewhere_is_somebody_among_others_and_a_unit_may_stand_over_the_days():
    known = Known(pl.DataFrame({"athlete_id": ["ben", "ana", "bea"],
                                "display_name": ["Ben Orm", "Ana Berg", "Béa Lünd"]}), AS_OF)  # fmt: skip
    content = "kg,Ana,Béa,Ben\n2026-10-05,61.2,65.7,88.9\n2026-10-06,61.4,65.2,87.5\n"
    found = rows(take_in(content, "weigh in.csv", known), "body_measure", "athlete_id", "body_mass_kg")
    assert sorted(found) == [
        ("ana", 61.2), ("ana", 61.4), ("bea", 65.2), ("bea", 65.7), ("ben", 87.5), ("ben", 88.9),
    ]  # fmt: skip
    [asked] = take_in(content, "x.csv", known).questions
    assert (asked.about, "body_measure.body_mass_kg" in dict(asked.answers)) == ("value (kg)", True)


@pytest.mark.parametrize("word", ["blocks", "accel", "flys"])
def test_a_word_below_one_of_several_days_begins_no_group_of_its_own(word):
    content = (
        f"RPE out of 10,,,,,,\n,4 Nov 2026,,6 Nov 2026,,13 Nov 2026,\n,{word},,gym,,tempo,\n"
        "Athlete,mins,RPE,mins,RPE,mins,RPE\nAna Berg,90,5,70,4,60,6\nBéa Lünd,45,3,50,7,-,\n"
    )
    checked, found = sessions(content)
    assert found[:3] == [("ana-berg", 4, 90, 5), ("ana-berg", 6, 70, 4), ("ana-berg", 13, 60, 6)]
    assert not checked.questions


@pytest.mark.parametrize(
    ("title", "effort"),
    [("Load of each session", "RPE"), ("min = minutes, e = effort 0-10 (10 = hardest)", "e"),
     ("min = minuten, zw = zwaarte 0-10 (10 = zwaarst)", "zw")],
)  # fmt: skip
def test_minutes_and_effort_below_each_person_are_theirs(title, effort):
    sheet = workbook(
        [title], ["date", "session", "Ana Berg", None, "Béa Lünd", None], [None, None, "min", effort, "min", effort],
        ["2026-01-26", "gym", 90, 7, 70, 6],
        ["2026-01-29", "gym", 95, 4, None, None], ["2026-01-31", "gym", 70, 8, "ill"],
    )  # fmt: skip
    done = rows(take_in(sheet, "load.xlsx"), "session", "athlete_id", "session_date", "duration_min", "effort_0_10")
    assert sorted((who, on.day, *rest) for who, on, *rest in done) == [
        ("ana-berg", 26, 90.0, 7.0), ("ana-berg", 29, 95.0, 4.0), ("ana-berg", 31, 70.0, 8.0),
        ("bea-lund", 26, 70.0, 6.0),
    ]  # fmt: skip
