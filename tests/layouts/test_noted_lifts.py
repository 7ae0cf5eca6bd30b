"""Gym notes in lines of words: which exercises and loads they become, and what is left for the coach to say."""

import pytest

from pipelines.layouts.text.noted_lifts import lifts_in
from tests.intake import rows, take_in
from tests.layouts.test_british_club import KNOWN

SETS = ("athlete_id", "exercise", "set_no", "reps", "load_kg")


def test_a_line_of_exercises_is_a_log_and_the_rest_of_it_is_asked_about():
    text = (
        "Gym Wed 11/11/2026\nAna - squat 3x3 @ 100, 105, 110; RDL 2x6 90kg; broad jump 2.31\nBea: trap bar 2x3 110 kg\n"
    )
    checked = take_in(text, "gym.txt", KNOWN)
    assert sorted(rows(checked, "lift_set", *SETS)) == [
        ("ana-berg", "rdl", 1, 6, 90.0), ("ana-berg", "rdl", 2, 6, 90.0),
        ("ana-berg", "squat", 1, 3, 100.0), ("ana-berg", "squat", 2, 3, 105.0), ("ana-berg", "squat", 3, 3, 110.0),
        ("bea-lund", "trap_bar", 1, 3, 110.0), ("bea-lund", "trap_bar", 2, 3, 110.0),
    ]  # fmt: skip
    assert {str(day) for (day,) in rows(checked, "lift_set", "session_date")} == {"2026-11-11"}
    assert [one.about for one in checked.questions if one.ask == "columns"] == ["What the line says"]
    assert "jump_test" not in checked.accepted


def test_exercises_below_a_name_alone_are_that_persons_until_the_next_name():
    text = (
        "Wed 11/11/2026\nAna\nsquat 1x5 100 kg\nhip thrust 1x8 120 kg\nBea:\nsquat 1x5 80 kg\n"
        "12/11/2026\nsquat 1x5 70 kg\n"
    )
    checked = take_in(text, "gym.txt", KNOWN)
    assert {(who, name, load) for who, name, _, _, load in rows(checked, "lift_set", *SETS)} == {
        ("ana-berg", "squat", 100.0), ("ana-berg", "hip_thrust", 120.0), ("bea-lund", "squat", 80.0),
    }  # fmt: skip
    assert checked.set_aside.select("source_line", "column").rows() == [(8, "Name")]


def test_days_below_a_name_that_stands_over_all_of_them_are_that_persons():
    text = "Ana\n11/11/2026\nsquat 1x5 100 kg\n12/11/2026\nsquat 1x5 102 kg\nBea\n11/11/2026\nsquat 1x5 80 kg\n"
    checked = take_in(text, "gym.txt", KNOWN)
    assert sorted(
        (str(day), who, load) for day, who, load in rows(checked, "lift_set", "session_date", "athlete_id", "load_kg")
    ) == [
        ("2026-11-11", "ana-berg", 100.0), ("2026-11-11", "bea-lund", 80.0), ("2026-11-12", "ana-berg", 102.0),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "lifts", "left"),
    [
        ("flying 3x30 4.35 4.31", (), "flying 3x30 4.35 4.31"),
        ("sprints 4x60 7.1 7.2 7.3 7.1", (), "sprints 4x60 7.1 7.2 7.3 7.1"),
        ("squat 3x5 @ 100 (last one missed)", (), "squat 3x5 @ 100 (last one missed)"),
        ("pull ups 3x8 BW, felt strong", (("pull ups", "3x8 bw"),), "felt strong"),
        ("squat 3x5 100, 5x5 90", (("squat", "3x5 100, 5x5 90"),), ""),
        ("half squat 4 x 3 x 140", (("half squat", "4 x 3 x 140"),), ""),
        ("off sick", (), "off sick"),
    ],
)
def test_only_sets_that_are_wholly_understood_are_exercises(line, lifts, left):
    assert lifts_in(line) == (lifts, left)


def test_hours_of_sleep_and_how_good_it_was_are_two_things():
    text = (
        "Date,Name,How did you sleep? (hours),Sleep quality (1 bad - 5 great)\n"
        "2026-11-11,Ana Berg,8,4\n2026-11-12,Ana Berg,7:30,2\n"
    )
    checked = take_in(text, "form.csv", KNOWN)
    assert rows(checked, "checkin", "sleep_h", "sleep_quality") == [(8.0, 4.0), (7.5, 2.0)]


def test_a_session_of_runs_is_no_gym_log():
    text = (
        "Date;Athlete;Session;Mins;RPE (0-10)\n2026-11-11;Ana Berg;Tempo 10x100;60;4\n"
        "2026-11-11;Bea Lund;Accel 4x30;75;7\n2026-11-12;Ana Berg;Accel 6x20;70;6\n"
    )
    checked = take_in(text, "log.csv", KNOWN)
    assert sorted(rows(checked, "session", "athlete_id", "kind", "duration_min", "effort_0_10")) == [
        ("ana-berg", "acceleration", 70.0, 6.0), ("ana-berg", "tempo", 60.0, 4.0),
        ("bea-lund", "acceleration", 75.0, 7.0),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "lifts"),
    [
        ("sentadilla 3x5x112,5, cargada 2x3x77,5 kg", (("sentadilla", "3x5x112,5"), ("cargada", "2x3x77,5 kg"))),
        ("squat 3x5 60,65", ()),  # two loads, and no decimals
    ],
)
def test_a_comma_within_a_load_parts_no_exercises(text, lifts):
    assert lifts_in(text)[0] == lifts
