"""Sides over trials, days over weights, a distance written once for several lines."""

import pytest

from tests.intake import rows, take_in, workbook

FORCE = ("athlete_id", "side", "trial_no", "peak_force_n")
FOUR = [("ana-berg", "l", 1, 301), ("ana-berg", "l", 2, 297), ("ana-berg", "r", 1, 322), ("ana-berg", "r", 2, 318)]


@pytest.mark.parametrize(("upper", "lower"), [
    ("Left,,Right,", "1st,2nd,1st,2nd"), ("links,,rechts,", "1.,2.,1.,2."), ("izda,,dcha,", "1ª,2ª,1ª,2ª"),
    ("Gauche,,Droite,", "1,2,1,2"), ("Left (N),,Right (N),", "Try 1,Try 2,Try 1,Try 2"),
])  # fmt: skip
def test_a_side_over_the_number_of_a_trial_stays_with_it(upper, lower):
    text = f"Eccentric hamstring force (N),,,,,\n,,{upper}\nDate,Name,{lower}\n2026-10-05,Ana Berg,301,297,322,318\n"
    checked = take_in(text, "x.csv")
    assert sorted(rows(checked, "force_test", *FORCE)) == FOUR
    assert not checked.questions


@pytest.mark.parametrize("last", ["", ",Comments"])
def test_a_test_over_its_two_sides_is_one_header_with_it_also_beside_words(last):
    text = (
        f"Tested 18 October 2026\nAthlete,Nordic (N),,Hip adduction (N),{last}\n,L,R,L,R{',' * bool(last)}\n"
        f"Ana Berg,301,322,240,233{',L side sore' * bool(last)}\nBéa Lünd,310,308,251,247{',' * bool(last)}\n"
    )
    found = sorted(rows(take_in(text, "x.csv"), "force_test", "athlete_id", "test", "side", "peak_force_n"))
    assert found[:4] == [
        ("ana-berg", "eccentric_hamstring", "l", 301), ("ana-berg", "eccentric_hamstring", "r", 322),
        ("ana-berg", "hip_adduction", "l", 240), ("ana-berg", "hip_adduction", "r", 233),
    ]  # fmt: skip
    assert len(found) == 8


@pytest.mark.parametrize("text", [
    "17/10/2026\n,Nordic (N),,Hip adduction (N),\nName,L,R,L,R\nAna Berg,301,322,240,233\nBea Lund,1,1,1,1\n",
    ",,Nordic,Nordic\nDate,Athlete,Peak force (N),Peak force (N)\n,,L,R\n2026-10-17,Ana Berg,301,322\n",
    "Date,Nom,Nordic G1 (N),Nordic D1 (N)\n2026-10-17,Ana Berg,301,322\n",
    "Data,Atleta,Nórdico E (N),Nórdico D (N)\n2026-10-17,Ana Berg,301,322\n",
    "Nordic (N) 17/10/2026\n,Ana Berg,Bea Lund\nL,301,288\nR,322,290\n",
    "Date,Athlete,Test,Left (N),Right (N)\n2026-10-17,Ana Berg,Nordic,301,322\n",
    "Nordic peak force (N)\nAthlete,17/10/2026 L,17/10/2026 R,24/10/2026 L,24/10/2026 R\nAna Berg,301,322,305,325\n",
])  # fmt: skip
def test_two_columns_of_a_test_are_its_two_sides_wherever_those_stand(text):
    found = rows(take_in(text, "x.csv"), "force_test", "athlete_id", "test", "side", "peak_force_n")
    assert {("ana-berg", "eccentric_hamstring", "l", 301.0), ("ana-berg", "eccentric_hamstring", "r", 322.0)} <= {
        *found
    }
    assert not [one for one in found if one[2] == "both"]


def test_days_below_a_test_are_the_days_of_its_columns():
    text = "Name,CMJ (cm),,SLJ (m),\n,17/10/2026,24/10/2026,17/10/2026,24/10/2026\nAna Berg,38,39,2.41,2.45\n"
    found = rows(take_in(f"{text}Bea Lund,35,36,2.3,2.28\n", "x.csv"), "jump_test", "tested_on", "jump_height_m")
    assert sorted((str(day), height) for day, height in found if height)[0::2] == [
        ("2026-10-17", 0.35), ("2026-10-24", 0.36),
    ]  # fmt: skip


def test_sides_over_columns_that_nothing_names_are_asked_by_side():
    checked = take_in(",,Left,,Right,\nDate,Name,1st,2nd,1st,2nd\n2026-10-05,Ana Berg,301,297,322,318\n"
                      "2026-10-06,Ana Berg,303,296,321,316\n", "x.csv")  # fmt: skip
    assert not checked.accepted
    assert [one.about for one in checked.questions] == ["Left 1", "Left 2", "Right 1", "Right 2"]


def test_a_word_that_is_no_side_is_not_joined_to_a_trial():
    checked = take_in("60 m hand timed,,,,\n,,Grass,,\nDate,Name,1st,2nd\n2026-10-05,Ana Berg,8.4,8.3\n", "x.csv")
    assert rows(checked, "split", "rep_no", "elapsed_s") == [(1, 8.4), (2, 8.3)]


MASS = ("athlete_id", "body_mass_kg")


@pytest.mark.parametrize("text", [
    "Weight (kg);2026-10-05;2026-11-02\nAna Berg;58.4;58.9\nBea Lund;61.2;\n",
    "Name;Weight 2026-10-05 (kg);Weight 2026-11-02 (kg)\nAna Berg;58.4;58.9\nBea Lund;61.2;\n",
    "Gewicht in kg;5.10.2026;2.11.2026\nAna Berg;58,4;58,9\nBea Lund;61,2;\n",
])  # fmt: skip
def test_weights_below_days(text):
    checked = take_in(text, "x.csv")
    found = [(str(day), *one) for day, *one in rows(checked, "body_measure", "measured_on", *MASS)]
    assert sorted(found) == [
        ("2026-10-05", "ana-berg", 58.4), ("2026-10-05", "bea-lund", 61.2), ("2026-11-02", "ana-berg", 58.9),
    ]  # fmt: skip
    assert not checked.questions


def test_a_corner_over_what_is_no_name_says_nothing():
    checked = take_in("Weight (kg);2026-10-05;2026-11-02\nsquat;58.4;58.9\nbench press;61.2;60\n", "x.csv")
    assert not any(frame.height for frame in checked.accepted.values())


RUNS = (
    "Date;Name;Distance (m);1;2\n2026-10-05;Ana Berg;150;19.8;19.9\n;Bea Lund;;21.0;20.9\n"
    ";Cleo Dahl-Frost;{};20.1;20.4\n"
)


def test_a_distance_written_once_holds_for_the_lines_below_its_day():
    checked = take_in(RUNS.format(""), "x.csv")
    assert set(rows(checked, "split", "athlete_id", "distance_m")) == {
        ("ana-berg", 150.0), ("bea-lund", 150.0), ("cleo-dahl-frost", 150.0),
    }  # fmt: skip
    checked = take_in(RUNS.format("120"), "x.csv")
    assert dict(rows(checked, "split", "athlete_id", "distance_m"))["cleo-dahl-frost"] == 120.0


def test_a_distance_missing_beside_a_day_is_missing():
    text = RUNS.format("") + "2026-10-07;Ana Berg;;30.1;30.4\n;Bea Lund;200;29.1;29.3\n"
    checked = take_in(text, "x.csv")
    assert not {(8, 30.1), (8, 30.4)} & set(rows(checked, "split", "source_line", "elapsed_s"))
    assert ("ana-berg", 7) not in {(who, day.day) for who, day in rows(checked, "split", "athlete_id", "session_date")}


def test_a_force_with_a_digit_missed_is_set_aside_alone():
    head = "Eccentric hamstring force (N),,,,,\nDate,Name,L 1,L 2,R 1,R 2\n"
    checked = take_in(f"{head}2026-10-05,Ana Berg,301,30,322,318\n2026-10-05,Bea Lund,310,112,290,285\n", "x.csv")
    assert rows(checked, "force_test", "athlete_id", "side", "trial_no", "peak_force_n") == [
        ("ana-berg", "l", 1, 301), ("bea-lund", "l", 1, 310), ("bea-lund", "l", 2, 112), ("ana-berg", "r", 1, 322),
        ("bea-lund", "r", 1, 290), ("ana-berg", "r", 2, 318), ("bea-lund", "r", 2, 285),
    ]  # fmt: skip
    assert checked.set_aside.select("column", "value").rows() == [("peak_force_n", "30.0")]


def test_names_over_units_are_one_header_though_day_and_person_stand_in_the_lower_row():
    checked = take_in(workbook(
        ["Nordic, peak force per leg"], [None, None, "Left", "Right", "Asym", "Body mass"],
        ["Date", "Athlete", "N", "N", "%", "kg"], ["2026-10-15", "Ana Berg", 420, 412, -1.9, 77.5],
        ["2026-10-15", "Bea Lund", 311, 321, 3.1, 72], ["2026-10-15", "Cleo Dahl-Frost", 257, 271, 5.2, 59.8],
    ), "strength.xlsx")  # fmt: skip
    assert sorted(rows(checked, "force_test", "athlete_id", "side", "peak_force_n"))[:2] == [
        ("ana-berg", "l", 420), ("ana-berg", "r", 412),
    ]  # fmt: skip
    assert ("bea-lund", 72.0) in rows(checked, "body_measure", "athlete_id", "body_mass_kg")
    assert not checked.questions


def test_two_columns_that_only_the_row_above_tells_apart_are_never_one():
    text = "20 m 2026-10-17\nName,Zork,,Blim,\n,1,2,1,2\nAna Berg,2.95,2.97,3.55,3.6\nBea Lund,3,3.1,3.6,3.7\n"
    assert "split" not in take_in(text, "x.csv").accepted
    pulled = take_in(text.replace("Zork", "Free").replace("Blim", "Sled 15 kg"), "x.csv")
    assert {(None, 2.95), (15.0, 3.55)} <= {
        (load, time) for (who, run, load) in rows(pulled, "rep", "athlete_id", "rep_no", "resistance_load_kg")
        for (other, number, time) in rows(pulled, "split", "athlete_id", "rep_no", "elapsed_s")
        if (who, run) == (other, number)
    }  # fmt: skip
