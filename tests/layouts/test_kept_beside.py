"""Tests and maxima that no table has: asked once by their name, kept beside with value and unit, mixed with nothing."""

import pytest

from tests.intake import rows, take_in

LIST = (
    "Date,Athlete,Test,Result,Unit\n2026-03-17,Ana Berg,Overhead backward shot 4 kg,12.3,m\n"
    "2026-03-17,Ana Berg,Overhead backward shot 4 kg,12.6,m\n2026-03-17,Bea Lund,Overhead backward shot 3 kg,11.3,m\n"
    "2026-03-17,Ana Berg,Standing triple jump,7.41,m\n"
)
GYM = (
    "Date,Athlete,Exercise,Sets,Reps,Load,e1RM\n2026-03-17,Ana Berg,Back squat,3,5,80,92\n"
    "2026-03-17,Ana Berg,Deadlift,2,3,100,110\n2026-03-17,Bea Lund,Back squat,3,5,70,81\n"
)


def test_a_list_of_throws_and_jumps_asks_for_each_by_its_name_and_implement():
    checked = take_in(LIST, "tests.csv")
    assert [one.about for one in checked.questions] == [
        "Overhead backward shot 4 kg (m)", "Overhead backward shot 3 kg (m)", "Standing triple jump (m)",
    ]  # fmt: skip
    assert not checked.accepted


def test_once_said_they_are_kept_with_their_unit_and_no_empty_cell_is_at_fault():
    headings = [one.about for one in take_in(LIST, "tests.csv").questions]
    checked = take_in(LIST, "tests.csv", columns=dict.fromkeys(headings, "other_measure"))
    assert sorted(rows(checked, "other_measure", "athlete_id", "what", "value", "unit")) == [
        ("ana-berg", "Overhead backward shot 4 kg (m)", 12.3, "meter"),
        ("ana-berg", "Overhead backward shot 4 kg (m)", 12.6, "meter"),
        ("ana-berg", "Standing triple jump (m)", 7.41, "meter"),
        ("bea-lund", "Overhead backward shot 3 kg (m)", 11.3, "meter"),
    ]  # fmt: skip
    assert checked.set_aside.is_empty()


@pytest.mark.parametrize("heading", ["e1RM", "Est. 1RM (kg)", "1 RM"])
def test_a_maximum_in_a_gym_log_is_said_to_be_no_lifted_set_and_kept_by_its_exercise(heading):
    text = GYM.replace("e1RM", heading)
    [asked] = [one for one in take_in(text, "gym.csv").questions if one.about == heading]
    assert "never counted among lifted sets" in asked.sentence
    checked = take_in(text, "gym.csv", columns={heading: "other_measure"})
    assert sorted(rows(checked, "other_measure", "athlete_id", "what", "value")) == [
        ("ana-berg", f"{heading}: Back squat", 92.0), ("ana-berg", f"{heading}: Deadlift", 110.0),
        ("bea-lund", f"{heading}: Back squat", 81.0),
    ]  # fmt: skip
    assert sorted(set(rows(checked, "lift_set", "exercise", "load_kg"))) == [
        ("back_squat", 70.0), ("back_squat", 80.0), ("deadlift", 100.0),
    ]  # fmt: skip


def test_other_questions_say_nothing_of_maxima():
    text = "Date,Athlete,Grip (kg),Arm 1 (cm)\n2026-03-17,Ana Berg,41,30\n2026-03-17,Bea Lund,39,29\n"
    assert not any("repetition" in one.sentence for one in take_in(text, "x.csv").questions)


@pytest.mark.parametrize(
    ("heading", "name"),
    [("Left", "Seated twist, in N: Left"), ("Value", "Seated twist, in N: Value"), ("Twist angle", "Twist angle")],
)
def test_a_heading_that_says_nothing_alone_is_kept_under_the_title_above_it(heading, name):
    text = f"Seated twist, in N\n18.11.2025\nName;Date;{heading}\nAna Berg;2025-11-18;212\nBéa Lünd;2025-11-18;198\n"
    told = take_in(text, "twist.csv", columns={heading: "other_measure"})
    assert rows(told, "other_measure", "what", "value") == [(name, 212.0), (name, 198.0)]
