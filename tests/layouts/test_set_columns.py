"""Sets across, trials counted below their heading, and sheets of jumps that no column names."""

import pytest

from tests.intake import rows, take_in, workbook

GYM = "Date,Name,Exercise,{}\n2026-01-10,Ana Berg,Back squat,5,80,4,85\n"


@pytest.mark.parametrize(
    "header",
    [
        "Set 1 reps,Set 1 kg,Set 2 reps,Set 2 kg", "S1 reps,S1 kg,S2 reps,S2 kg", "Reps 1,Kg 1,Reps 2,Kg 2",
        "Reps1,Load1 (kg),Reps2,Load2 (kg)", "Satz 1 Wdh,Satz 1 kg,Satz 2 Wdh,Satz 2 kg",
    ],
)  # fmt: skip
def test_reps_and_loads_of_each_set_are_sets(header):
    checked = take_in(GYM.format(header), "gym.csv")
    assert sorted(rows(checked, "lift_set", "set_no", "reps", "load_kg")) == [(1, 5, 80.0), (2, 4, 85.0)]


def test_loads_of_each_set_go_with_the_reps_of_all():
    text = "Date,Name,Exercise,Reps,Set 1 kg,Set 2 kg\n2026-01-10,Ana Berg,Back squat,5,80,85\n"
    checked = take_in(f"{text}2026-01-10,Bea Lund,Back squat,3,60,\n", "gym.csv")  # one set: the other has no load
    said = rows(checked, "lift_set", "set_no", "reps", "load_kg")
    assert sorted(said) == [(1, 3, 60.0), (1, 5, 80.0), (2, 5, 85.0)]


def test_a_lift_that_the_file_is_named_after_is_that_of_all_rows():
    checked = take_in("Date,Name,Reps,Load (kg)\n2026-01-10,Ana Berg,5,80\n", "Back squat.csv")
    assert rows(checked, "lift_set", "exercise", "reps", "load_kg") == [("back_squat", 5, 80.0)]


def test_numbers_of_sets_beside_reps_are_never_taken_for_reps():
    text = "Date,Name,Exercise,Reps,Set 1,Set 2\n2026-01-10,Ana Berg,Back squat,5,40,45\n"
    checked = take_in(text, "gym.csv")
    assert {"Set 1", "Set 2"} <= {one.about for one in checked.questions}
    assert {row[0] for row in rows(checked, "lift_set", "reps")} <= {5}


def test_runs_are_no_sets():
    checked = take_in("Date,Name,Rep 1,Rep 2,Dist (m)\n2026-01-10,Ana Berg,4.31,4.28,30\n", "runs.csv")
    assert "lift_set" not in checked.accepted


TEST_DAY = ["Speed tests 4 Jan 2026, gates, standing start"]


def test_a_row_that_counts_trials_below_their_heading_is_a_second_heading():
    heads = ["Athlete", "10m", "10m", "30m", "30m"], ["", 1, 2, 1, 2]
    book = workbook(TEST_DAY, *heads, ["Ana Berg", 1.92, 1.90, 4.41, 4.38], ["Béa Lünd", 1.72, 1.70, 3.98, 3.96])
    checked = take_in(book, "tests.xlsx")
    assert sorted(rows(checked, "split", "athlete_id", "rep_no", "distance_m", "elapsed_s")) == [
        ("ana-berg", 1, 10.0, 1.92), ("ana-berg", 1, 30.0, 4.41),
        ("ana-berg", 2, 10.0, 1.90), ("ana-berg", 2, 30.0, 4.38),
        ("bea-lund", 1, 10.0, 1.72), ("bea-lund", 1, 30.0, 3.98),
        ("bea-lund", 2, 10.0, 1.70), ("bea-lund", 2, 30.0, 3.96),
    ]  # fmt: skip


def test_a_row_of_data_that_happens_to_hold_one_and_two_keeps_being_data():
    book = workbook(TEST_DAY, ["Athlete", "10m", "10m"], ["Ana Berg", 1, 2], ["Béa Lünd", 1.72, 1.70])
    checked = take_in(book, "tests.xlsx")
    assert checked.rows_read == 2


def test_contact_and_box_are_of_a_drop_jump_and_of_no_step():
    text = "Date,Name,Box (cm),Contact time (ms),Flight time (ms)\n2026-01-10,Ana Berg,30,182,452\n"
    checked = take_in(text, "january.csv")
    assert rows(checked, "jump_test", "test", "box_height_m", "contact_s", "flight_s") == [("drop", 0.3, 0.182, 0.452)]
    assert "step" not in checked.accepted


def test_a_file_named_for_a_jump_says_which_it_is():
    checked = take_in("Date,Name,Flight time (ms)\n2026-01-10,Ana Berg,452\n", "CMJ Jan.csv")
    assert rows(checked, "jump_test", "test", "flight_s") == [("countermovement", 0.452)]


def test_a_flight_that_nothing_names_is_no_jump():
    checked = take_in("Date,Name,Step,Contact (ms),Flight (ms)\n2026-01-10,Ana Berg,1,182,52\n", "CMJ and steps.csv")
    assert "jump_test" not in checked.accepted


@pytest.mark.parametrize(("title", "head", "cells", "sets"), [
    ("Gym - kg x reps per set", "Set {}", ("75x4", "20x5"), [(4, 75.0), (5, 20.0)]),
    ("Gym", "Set {} (kg x reps)", ("20x5", "25x5"), [(5, 20.0), (5, 25.0)]),
    ("Gym", "Set {}", ("40x5", "27.5x5"), [(5, 40.0), (5, 27.5)]),  # nobody repeats forty times with five kilograms
    ("Gym", "Set {}", ("5x40", "5x27.5"), [(5, 40.0), (5, 27.5)]),
])  # fmt: skip
def test_a_load_before_its_repetitions_is_never_taken_for_them(title, head, cells, sets):
    text = f"{title}\nDate,Who,Lift,{head.format(1)},{head.format(2)}\n2026-01-10,Ana Berg,Bench,{','.join(cells)}\n"
    assert rows(take_in(text, "gym.csv"), "lift_set", "reps", "load_kg") == sets


@pytest.mark.parametrize(("heads", "cells", "sets"), [
    ("Set 1,Set 2", "75x4,47.5x3", [(4, 75.0), (3, 47.5)]), ("Set 1,Set 2", "4x75,3x120", [(4, 75.0), (3, 120.0)]),
    ("Set 1 (kg x reps),Set 2 (kg x reps)", "20x5,25x4", [(5, 20.0), (4, 25.0)]),
    ("Set 1,Set 2", "40kg x 5,45kg x 4", [(5, 40.0), (4, 45.0)]),
])  # fmt: skip
def test_which_of_two_numbers_is_the_load_is_told_by_the_heading_or_by_what_can_be_no_count(heads, cells, sets):
    checked = take_in(f"Name,Date,Exercise,{heads}\nAna Berg,2026-10-03,Squat,{cells}\n", "gym (kg).csv")
    assert rows(checked, "lift_set", "reps", "load_kg") == sets
