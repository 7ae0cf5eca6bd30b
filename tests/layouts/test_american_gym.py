"""What an American coach's folder brought up: each cause once, in small sheets of our own with other people."""

import datetime as dt

import pytest

from tests.intake import reasons, rows, take_in
from tests.layouts.test_found_by_strangers import KNOWN, book

POUND = 0.45359237  # kg, exact; international pound, 1959 (from memory)


def day(month, number):
    return dt.datetime(2026, month, number)


# --- what lies on the bar, and what a person weighs ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("title", "header", "kilograms"),
    [("winter block, lbs on the bar", "Wt", 150 * POUND), ("winter block", "Wt (lb)", 150 * POUND),
     ("winter block", "Wt", 150.0), ("winter block, kg", "Gew.", 150.0)],
)  # fmt: skip
def test_a_weight_beside_exercises_is_the_load(title, header, kilograms):
    sheet = [[title], ["Day", "Movement", "Sets", "Reps", header], [day(2, 3), "Front squat", 2, 4, 150],
             [day(2, 5), "Step up", 1, 8, "BW"], [day(2, 9), "Push press", 3, 2, "90/95/100"]]  # fmt: skip
    checked = take_in(book(Ana=sheet), "gym.xlsx", KNOWN)
    made = checked.accepted["lift_set"].sort("session_date", "set_no")
    assert made["load_kg"].to_list()[:3] == pytest.approx([kilograms, kilograms, 0.0])
    each = [90, 95, 100] if kilograms == 150 else [one * POUND for one in (90, 95, 100)]
    assert made["load_kg"].to_list()[3:] == pytest.approx(each)
    assert ("body_measure" in checked.accepted, checked.set_aside.height) == (False, 0)


def test_a_weight_beside_exercises_and_their_load_is_the_body():
    text = "Day;Name;Exercise;Sets;Reps;Wt;Load\n2026-02-03;Ana Berg Holm;Front squat;2;4;61.5;70\n"
    checked = take_in(text, "gym.csv", KNOWN)
    assert rows(checked, "body_measure", "body_mass_kg") == [(61.5,)]
    assert rows(checked, "lift_set", "load_kg") == [(70.0,), (70.0,)]


def test_a_load_for_each_set_needs_as_many_as_there_are_sets():
    text = (
        "Day;Name;Exercise;Sets;Reps;Load (kg)\n2026-02-03;Ana Berg Holm;Front squat;3;4;90/95/100 lb\n"
        "2026-02-04;Ana Berg Holm;Front squat;3;4;60/65\n"
    )
    checked = take_in(text, "gym.csv", KNOWN)
    made = [load for (load,) in rows(checked, "lift_set", "load_kg")]
    assert sorted(one for one in made if one is not None) == pytest.approx([one * POUND for one in (90, 95, 100)])
    assert (made.count(None), "'60/65' is not a number" in reasons(checked, 3)) == (3, True)


@pytest.mark.parametrize("beside", ["Height", "Sleep hours"])
def test_a_weight_of_people_stays_their_body_mass(beside):
    text = f"Date;Name;Wt;{beside}\n2026-02-03;Ana Berg Holm;61.5;8.0\n2026-02-04;Bea Lund Moe;70.1;7.5\n"
    made = take_in(text.replace("8.0", "1.7").replace("7.5", "1.8") if beside == "Height" else text, "log.csv", KNOWN)
    assert rows(made, "body_measure", "body_mass_kg") == [(61.5,), (70.1,)]


def test_a_weight_beside_an_exercise_and_jumps_is_no_body_mass():
    sheet = [["Date", "Name", "Lift", "Wt", "CMJ (cm)"], [day(2, 3), "Ana Berg Holm", "Squat", 90, 38.5],
             [day(2, 5), "Bea Lund Moe", "Squat", 70, 41.0]]  # fmt: skip
    checked = take_in(book(Tests=sheet), "tests.xlsx", KNOWN)
    assert "body_measure" not in checked.accepted
