"""A matrix of people by days: names down the first column, under an empty corner, and a day over each other column."""

import pytest

from tests.intake import rows, take_in

DAYS = ",2025-10-06,2025-12-01,2026-02-02\n"


@pytest.mark.parametrize("names", [("Ana Berg", "Bea Lund"), ("Ana", "Lund B.")])
def test_names_under_an_empty_corner_stay_with_their_numbers(names):
    checked = take_in(f"peso in kg\n{DAYS}{names[0]},58.2,58.5,57.7\n{names[1]},60.2,,61\n", "x.csv")
    assert [(who, str(day), mass) for who, day, mass in
            rows(checked, "body_measure", "athlete_id", "measured_on", "body_mass_kg")] == [
        ("ana-berg", "2025-10-06", 58.2), ("ana-berg", "2025-12-01", 58.5), ("ana-berg", "2026-02-02", 57.7),
        ("bea-lund", "2025-10-06", 60.2), ("bea-lund", "2026-02-02", 61.0),
    ]  # fmt: skip
    assert not checked.questions


@pytest.mark.parametrize("words", [("Morning", "Evening"), ("morning", "evening"), ("CMJ", "Back squat"), ("1", "2")])
def test_what_is_no_name_makes_nobody(words):
    checked = take_in(f"Body mass (kg)\n{DAYS}{words[0]},58.2,58.5,57.7\n{words[1]},60.2,,61\n", "x.csv")
    assert not checked.accepted
    assert {one.ask for one in checked.questions} <= {"who", "athletes"}


def test_a_line_of_means_is_nobody():
    checked = take_in(f"Body mass (kg)\n{DAYS}Ana Berg,58.2,58.5,57.7\nMean,60.2,60,61\n", "x.csv")
    assert set(rows(checked, "body_measure", "athlete_id")) == {("ana-berg",)}
