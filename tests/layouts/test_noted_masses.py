"""Body masses in one line of notes beside lines of runs."""

import pytest

from tests.intake import rows, take_in

RUNS = "13/10/2026 - 30m standing, hand timed\nAna: 4.4, 4.3\nBea: 4.6, 4.5\nCleo: 4.7\n\n"


def test_who_weighed_how_much_stands_in_one_line():
    checked = take_in(f"{RUNS}Weights this morning 16/10/2026: Ana 61.2, Bea 58, Cleo 66,5 kg\n", "notes.txt")
    assert sorted(rows(checked, "body_measure", "athlete_id", "body_mass_kg")) == [
        ("ana-berg", 61.2), ("bea-lund", 58.0), ("cleo-dahl-frost", 66.5),
    ]  # fmt: skip
    assert {str(one) for (one,) in rows(checked, "body_measure", "measured_on")} == {"2026-10-16"}
    assert checked.accepted["split"].height == 5


def test_pounds_are_pounds():
    checked = take_in(f"{RUNS}Weigh in 16/10/2026: Ana 135 lb, Bea 128 lb\n", "notes.txt")
    assert [round(one, 1) for (one,) in rows(checked, "body_measure", "body_mass_kg")] == [61.2, 58.1]


@pytest.mark.parametrize("line", [
    "Weights 16/10/2026: Ana 61.2, Bea 58", "Squat 16/10/2026: Ana 61.2, Bea 58 kg", "Weights: Ana 61.2, Bea 58 kg",
    "Weights 16/10/2026: Ana 61.2, Wilma 58 kg", "Weights 16/10/2026: Ana 61.2 kg, Bea 128 lb",
])  # fmt: skip
def test_no_unit_no_day_somebody_unknown_or_another_thing_is_no_body_mass(line):
    assert "body_measure" not in take_in(f"{RUNS}{line}\n", "notes.txt").accepted


@pytest.mark.parametrize(("name", "text"), [
    ("weigh in.txt", "13 Oct 2026: Ana Berg 61.3, Béa 78.9 kg\n14 Oct 2026: Ana Berg 60.6, Béa 77.5 kg\n"),
    ("x.txt", "Weigh in 13 Oct 2026 (kg)\nAna Berg 61.3\nBéa 78.9\nWeigh in 14 Oct 2026\nAna 60.6 kg\nBéa 77.5kg\n"),
])  # fmt: skip
def test_masses_stand_in_a_list_behind_a_day_or_below_it(name, text):
    found = rows(take_in(text, name), "body_measure", "athlete_id", "measured_on", "body_mass_kg")
    assert [(who, day.day, mass) for who, day, mass in found] == [
        ("ana-berg", 13, 61.3), ("bea-lund", 13, 78.9), ("ana-berg", 14, 60.6), ("bea-lund", 14, 77.5)
    ]  # fmt: skip
