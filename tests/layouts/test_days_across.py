"""A matrix of people by days: names down the first column, under an empty corner, and a day over each other column."""

import pytest

from tests.intake import rows, take_in
from tests.layouts.test_british_club import KNOWN
from tests.layouts.test_found_by_strangers import book

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


@pytest.mark.parametrize("corner", ["Athlete", ""])
@pytest.mark.parametrize("first", ["Ana", "Ana Berg"])
def test_minutes_and_effort_in_a_cell_say_themselves_what_they_are(corner, first):
    sheet = [["w/c 9/11/2026"], [corner, "Mon", "Tue", "Wed"], [first, "60' RPE 4", "75 min effort 7", "off"],
             ["Bea Lund", "55' @ 5", "ill", "80' RPE 8.5/10"]]  # fmt: skip
    checked = take_in(book(Log=sheet), "diary.xlsx", KNOWN)
    assert sorted(
        (who, str(day)[-2:], minutes, effort)
        for who, day, minutes, effort in rows(
            checked, "session", "athlete_id", "session_date", "duration_min", "effort_0_10"
        )
    ) == [
        ("ana-berg", "09", 60.0, 4.0), ("ana-berg", "10", 75.0, 7.0),
        ("bea-lund", "09", 55.0, 5.0), ("bea-lund", "11", 80.0, 8.5),
    ]  # fmt: skip
    assert {3, 4} <= set(checked.set_aside["source_line"])  # what 'off' and 'ill' say is told


def test_two_numbers_whose_meaning_nobody_says_are_not_guessed():
    sheet = [["w/c 9/11/2026"], ["Athlete", "Mon", "Tue"], ["Ana Berg", "60min 4", "75min 7"],
             ["Bea Lund", "55min 5", "80min 8"]]  # fmt: skip
    checked = take_in(book(Log=sheet), "diary.xlsx", KNOWN)
    assert not any(frame.height for frame in checked.accepted.values())
    assert "value" in {one.about for one in checked.questions}
