"""Columns that are worked out from those beside them: neither stored a second time nor asked about."""

import pytest

from pipelines.layouts import plain_tables
from pipelines.readers import read_tables
from tests.intake import rows, take_in

JUMPS = "Date,Athlete,CMJ 1 (cm),CMJ 2 (cm),CMJ 3 (cm),{}\n"
EFFORTS = "Date,Athlete,Minutes,RPE (0-10),{}\n2026-10-05,Ana Berg,60,7,420\n2026-10-05,Bea Lund,45,6,270\n"


def notes(text):
    return " ".join(one.passed for table in read_tables("squad.csv", text.encode()) for one in plain_tables(table))


@pytest.mark.parametrize("head", ["CMJ best (cm)", "best", "Max", "CMJ max (cm)", "Bestwert", "meilleur"])
def test_the_best_of_some_trials_is_none_of_them(head):
    text = JUMPS.format(head) + "2026-10-05,Ana Berg,38.2,39.1,38.7,39.1\n2026-10-05,Bea Lund,41.0,40.2,,41.0\n"
    checked = take_in(text)
    found = sorted(rows(checked, "jump_test", "athlete_id", "trial_no", "jump_height_m"))
    assert found == [
        ("ana-berg", 1, 0.382), ("ana-berg", 2, 0.391), ("ana-berg", 3, 0.387),
        ("bea-lund", 1, 0.41), ("bea-lund", 2, 0.402),
    ]  # fmt: skip
    assert not checked.questions
    assert f"'{head}' is the best of 'CMJ 1 (cm)', 'CMJ 2 (cm)', 'CMJ 3 (cm)'" in notes(text)


def test_a_best_that_stands_alone_in_its_row_is_kept():
    checked = take_in(
        JUMPS.format("CMJ best (cm)") + "2026-10-05,Ana Berg,38.2,39.1,38.7,39.1\n2026-10-05,Bea Lund,41.0,40.2,,41.0\n"
        "2026-10-06,Ana Berg,,,,40.4\n"
    )  # fmt: skip
    assert rows(checked, "jump_test", "jump_height_m")[-1] == (0.404,)


def test_tests_down_with_their_trials_and_the_best_of_them():
    checked = take_in(
        "Date,Athlete,Test,Trial 1,Trial 2,Best\n2026-10-05,Ana Berg,CMJ (cm),38.2,39.1,39.1\n"
        "2026-10-05,Ana Berg,Nordic L (N),302,311,311\n2026-10-05,Ana Berg,Nordic R (N),330,325,330\n"
    )  # fmt: skip
    assert rows(checked, "jump_test", "trial_no", "jump_height_m") == [(1, 0.382), (2, 0.391)]
    assert sorted(rows(checked, "force_test", "side", "trial_no", "peak_force_n")) == [
        ("l", 1, 302), ("l", 2, 311), ("r", 1, 330), ("r", 2, 325),
    ]  # fmt: skip


@pytest.mark.parametrize("head", ["Load (AU)", "sRPE load", "TL", "Belastung"])
def test_minutes_times_effort_is_no_question_and_a_slip_in_it_is_told(head):
    text = EFFORTS.format(head) + "2026-10-06,Ana Berg,50,5,250\n2026-10-06,Bea Lund,60,8,450\n"
    checked = take_in(text)
    assert not checked.questions
    assert rows(checked, "session", "duration_min", "effort_0_10")[-1] == (60, 8)
    assert "In line 5 it says something else" in notes(text)


def test_the_sum_of_ratings_and_the_mean_of_trials_and_an_asymmetry():
    checked = take_in(
        "Date,Athlete,Sleep (1-5; 5 good),Mood (1-5; 5 good),Stress (1-5; 5 much),Score\n"
        "2026-10-05,Ana Berg,4,3,2,9\n2026-10-05,Bea Lund,5,4,1,10\n", "checkin.csv",
    )  # fmt: skip
    assert not [one for one in checked.questions if one.about == "Score"]
    checked = take_in(
        "Date,Athlete,Nordic L (N),Nordic R (N),Asym %\n2026-10-05,Ana Berg,300,330,9.1\n"
        "2026-10-05,Bea Lund,280,260,7.1\n2026-10-05,Cleo Dahl-Frost,310,295,4.8\n"
    )  # fmt: skip
    assert len(rows(checked, "force_test", "peak_force_n")) == 6
    assert not [one for one in checked.questions if one.about == "Asym %"]


def test_a_force_by_kilogram_of_body_mass_is_no_force():
    head = "Date,Athlete,Left (N),Right (N),BM (kg),Left (N/kg)\n"
    lines = [
        ("Ana Berg", 298, 312, 58.1, 5.13),
        ("Bea Lund", 421, 388, 77.4, 5.44),
        ("Cleo Dahl-Frost", 402, 399, 80.3, 5.01),
    ]
    text = head + "".join(f"2026-10-05,{','.join(map(str, line))}\n" for line in lines)
    checked = take_in(text, "nordics.csv")
    assert not checked.questions
    assert len(rows(checked, "force_test", "peak_force_n")) == 6
    alone = take_in("Date,Athlete,Left (N/kg),Right (N/kg)\n2026-10-05,Ana Berg,5.13,5.37\n", "nordics.csv")
    assert "force_test" not in alone.accepted
    assert {one.ask for one in alone.questions} == {"columns"}


@pytest.mark.parametrize("text", [
    # gates: the last is the largest of them, and a time all the same
    "Date,Athlete,10 m,20 m,30 m\n2026-10-05,Ana Berg,1.88,3.12,4.26\n2026-10-05,Bea Lund,1.95,3.21,4.40\n",
    # a lift whose load happens to be its repetitions times another number
    "Date,Athlete,Exercise,Sets,Reps,Load (kg)\n2026-10-05,Ana Berg,Squat,3,5,15\n2026-10-05,Bea Lund,Squat,4,5,80\n",
    # a rating under a heading that nobody knows, now and then as high as the best of the others
    "Date,Athlete,Sleep (1-5; 5 good),Mood (1-5; 5 good),Zest\n2026-10-05,Ana Berg,4,3,4\n2026-10-05,Bea Lund,2,5,5\n",
])  # fmt: skip
def test_what_only_looks_worked_out_is_left_as_it_is(text):
    assert "a second time" not in notes(text)


def test_trials_under_bare_numbers_beside_a_test_and_its_unit():
    checked = take_in(
        "Date,Athlete,Test,Unit,1,2,3,Best\n2026-10-05,Ana Berg,CMJ,cm,37.6,39.3,36.7,39.3\n"
        "2026-10-05,Ana Berg,Standing long jump,m,2.25,2.37,2.30,2.37\n"
    )  # fmt: skip
    found = sorted(rows(checked, "jump_test", "test", "trial_no", "jump_height_m", "jump_length_m"))
    assert found == [
        ("countermovement", 1, 0.376, None), ("countermovement", 2, 0.393, None), ("countermovement", 3, 0.367, None),
        ("standing_long_jump", 1, None, 2.25), ("standing_long_jump", 2, None, 2.37),
        ("standing_long_jump", 3, None, 2.3),
    ]  # fmt: skip


def test_the_total_beside_the_time_of_each_stretch_is_the_time_at_the_gate():
    checked = take_in(
        "Date,Athlete,Run,Gate (m),Split (s),Total (s)\n2026-10-05,Ana Berg,1,5,1.118,1.118\n"
        "2026-10-05,Ana Berg,1,10,0.835,1.953\n2026-10-05,Ana Berg,1,20,1.269,3.222\n"
    )  # fmt: skip
    assert rows(checked, "split", "distance_m", "elapsed_s") == [(5, 1.118), (10, 1.953), (20, 3.222)]


def test_what_somebody_is_asked_is_no_difference_of_two_other_answers():
    text = (
        "Timestamp;Name;Soreness (0 = none, 10 = cannot walk);Tired? (1 = fresh, 5 = wrecked);"
        "Stress at home or school (1 = none, 5 = very)\n"
        "12-1-2026 9:29:54;Ana Berg;6;3;3\n12-1-2026 7:37:49;Béa Lünd;1;2;1\n14-1-2026 7:37:49;Béa Lünd;1;2;1\n"
    )
    assert rows(take_in(text, "form.csv"), "checkin", "stress") == [(3.0,), (5.0,), (5.0,)]
