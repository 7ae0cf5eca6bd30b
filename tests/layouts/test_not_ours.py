"""Sheets of values that no table of ours has: asked with three of their cells and what they may be, kept if wished."""

import pytest

from tests.intake import reasons, rows, take_in

GRIP = "Date,Athlete,Grip (kg),Wingspan\n2026-11-03,Ana Berg,31,165\n2026-11-03,Bea Lund,28,170\n"


def test_values_of_no_table_wait_until_it_is_said_what_they_are():
    checked = take_in(GRIP, "x.csv")
    assert (checked.rows_read, checked.accepted) == (2, {})
    assert "not said yet" in reasons(checked, 2)
    asked = {one.about: one for one in checked.questions}
    assert set(asked) == {"Grip (kg)", "Wingspan"}
    assert all(one.holds_rows for one in asked.values())
    assert "It holds '31', '28'" in asked["Grip (kg)"].sentence
    answers = [answer for answer, _ in asked["Grip (kg)"].answers]
    assert (answers[0], answers[-1]) == ("other_measure", "not_used")  # a unit is no likeness
    assert {"body_measure.body_mass_kg", "lift_set.load_kg"} == set(answers[1:-1])  # and no minutes, metres or times


def test_what_is_said_to_be_kept_is_kept_under_its_header():
    checked = take_in(GRIP, "x.csv", columns={"Grip (kg)": "other_measure", "Wingspan": "not_used"})
    assert rows(checked, "other_measure", "athlete_id", "what", "value") == [
        ("ana-berg", "Grip (kg)", 31.0), ("bea-lund", "Grip (kg)", 28.0),
    ]  # fmt: skip
    assert (checked.questions, checked.set_aside.height) == ([], 0)


def test_the_likely_meanings_of_a_column_stand_first():
    text = "Date,Athlete,Min,RPE (0-10),Temperature outside\n3.11.2026,Ana Berg,50,5,12\n4.11.2026,Ana Berg,60,6,9\n"
    [asked] = [one for one in take_in(text, "log.csv").questions if one.ask == "columns"]
    assert asked.about == "Temperature outside"
    assert asked.answers[0][0] == "session.air_temperature_c"
    assert not asked.holds_rows  # the rest of the row is stored


@pytest.mark.parametrize("name", ["Adduction", "Adductor squeeze", "Adduktoren", "Aductores"])
def test_force_of_adduction_is_read_by_side(name):
    text = f"Date,Athlete,{name} L (N),{name} R (N)\n2026-11-03,Ana Berg,310,305\n2026-11-03,Bea Lund,288,300\n"
    assert rows(take_in(text, "x.csv"), "force_test", "athlete_id", "test", "side", "peak_force_n") == [
        ("ana-berg", "hip_adduction", "l", 310.0), ("ana-berg", "hip_adduction", "r", 305.0),
        ("bea-lund", "hip_adduction", "l", 288.0), ("bea-lund", "hip_adduction", "r", 300.0),
    ]  # fmt: skip


def test_a_row_of_measurements_is_never_taken_for_the_header():
    text = "Date,Athlete,Zork L,Zork R\n2026-11-03,Ana Berg,310,305\n2026-11-04,Bea Lund,288,300\n"
    checked = take_in(text, "x.csv")
    assert (checked.rows_read, checked.accepted) == (2, {})
