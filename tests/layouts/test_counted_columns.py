"""Columns that only count: gates, runs, tries, steps by what titles and rows say. Trade words: common practice."""

import pytest

from tests.intake import lines_set_aside, rows, take_in

SPACED = """Départs au pistolet, 7.2.2026, blocs - {said}
temps cumulés en s
Nom;C1;C2;C3;C4
Ana Berg;2,02;3,21;4,33;5,40
Béa Lünd;1,99;3,15;4,24;5,29
"""


@pytest.mark.parametrize(
    "said",
    ["1re cellule à 10 m puis une tous les 10 m", "erste Lichtschranke bei 10 m, dann alle 10 m",
     "first gate at 10 m, then every 10 m", "cellules à 10/20/30/40 m"],
)  # fmt: skip
def test_gates_stand_where_a_title_says_they_do(said):
    told = take_in(SPACED.replace("{said}", said), "departs.csv")
    splits = rows(told, "split", "athlete_id", "rep_no", "distance_m", "elapsed_s")
    assert [one[1:] for one in splits if one[0] == "ana-berg"] == [
        (1, 10.0, 2.02), (1, 20.0, 3.21), (1, 30.0, 4.33), (1, 40.0, 5.40)
    ]  # fmt: skip
    assert not [one for one in told.questions if one.ask == "columns"]


@pytest.mark.parametrize("said", ["cellules", "1re cellule à 30 m puis une tous les 30 m", "cellules à 10/20/30 m"])
def test_and_nowhere_where_it_does_not_or_nobody_runs_so_fast(said):
    told = take_in(SPACED.replace("{said}", said), "departs.csv")
    assert "split" not in told.accepted
    assert {one.about[-2:] for one in told.questions if one.ask == "columns"} == {"C1", "C2", "C3", "C4"}


FLOWN = "20 m fliegend (25 m Anlauf), Lichtschranken, 12.3.2026\nName;{heads}\nAna Berg;2,31;2,28\nBéa Lünd;2,40;2,41\n"


@pytest.mark.parametrize("heads", ["V1 [s];V2 [s]", "V1;V2", "1er passage (s);2e passage (s)"])
def test_times_each_of_the_whole_distance_of_the_title_are_runs(heads):
    told = take_in(FLOWN.replace("{heads}", heads), "x.csv")
    assert sorted(rows(told, "split", "athlete_id", "rep_no", "distance_m", "elapsed_s")) == [
        ("ana-berg", 1, 20.0, 2.31), ("ana-berg", 2, 20.0, 2.28), ("bea-lund", 1, 20.0, 2.40),
        ("bea-lund", 2, 20.0, 2.41),
    ]  # fmt: skip
    assert set(rows(told, "rep", "start_kind")) == {("rolling",)}


@pytest.mark.parametrize("title", ["60 m fliegend, m/s, 12.3.2026", "Vitesse lancée 60 m, 12.3.2026"])
def test_numbers_that_may_be_speeds_are_no_times(title):
    told = take_in(f"{title}\nName;V1;V2\nAna Berg;8,31;8,28\nBéa Lünd;8,40;8,41\n", "x.csv")
    assert "split" not in told.accepted
    assert {one.about for one in told.questions if one.ask == "columns"} == {"V1", "V2"}


def test_parts_of_a_run_are_asked_about():
    text = "60 m fliegend, 12.3.2026\nName;A1;A2;A3\nAna Berg;2,31;2,28;2,30\nBéa Lünd;2,40;2,41;2,43\n"
    told = take_in(text, "x.csv")
    assert "split" not in told.accepted
    assert {one.about for one in told.questions if one.ask == "columns"} == {"A1", "A2", "A3"}


def test_tries_beside_the_name_and_the_unit_of_a_test_are_its_results():
    text = (
        "Date;Nom;Test;Essai 1;Essai 2;Unité\n2.2.2026;Ana Berg;CMJ;31,4;32,0;cm\n2.2.2026;Ana Berg;SJ;29,9;30,3;cm\n"
        "2.2.2026;Ana Berg;Longueur sans élan;2,21;2,18;m\n2.2.2026;Ana Berg;Décabond;24,10;23,80;m\n"
    )
    told = take_in(text, "sauts.csv")
    assert sorted(rows(told, "jump_test", "test", "trial_no", "jump_height_m", "jump_length_m"), key=str) == [
        ("countermovement", 1, 0.314, None), ("countermovement", 2, 0.32, None), ("squat", 1, 0.299, None),
        ("squat", 2, 0.303, None), ("standing_long_jump", 1, None, 2.21), ("standing_long_jump", 2, None, 2.18),
    ]  # fmt: skip
    assert {one.about for one in told.questions if one.ask == "columns"} == {"Décabond 1 (m)", "Décabond 2 (m)"}


STEPS = "Ana Berg, 14.2.2026, blocs\n{corner};1;2;3\nContact (ms);191;170;158\nVol (ms);52;66;80\n{last}"


@pytest.mark.parametrize(("corner", "last"), [("Appui n°", ""), ("", "Longueur de pas (cm);101;118;130\n")])
def test_numbers_above_what_is_measured_of_steps_are_steps(corner, last):
    told = take_in(STEPS.replace("{corner}", corner).replace("{last}", last), "film.csv")
    steps = rows(told, "step", "athlete_id", "rep_no", "step_no", "contact_s", "flight_s")
    assert steps == [("ana-berg", 1, 1, 0.191, 0.052), ("ana-berg", 1, 2, 0.17, 0.066), ("ana-berg", 1, 3, 0.158, 0.08)]


def test_where_they_may_be_trials_of_a_jump_they_are_none():
    told = take_in(STEPS.replace("{corner}", "Essai").replace("{last}", ""), "film.csv")
    assert "step" not in told.accepted


BELOW = """Côte de la Vigne, 50 m, chrono manuel
Date;Ana Berg;Béa Lünd
4.11.2025;7,4;7,9
4.11.2025;7,4;8,0
4.11.2025;{last}
"""


def test_rows_of_a_day_with_people_across_are_runs_also_where_two_times_are_the_same():
    told = take_in(BELOW.replace("{last}", "7,6;7,9"), "cotes.csv")
    assert sorted(rows(told, "split", "athlete_id", "rep_no", "elapsed_s")) == [
        ("ana-berg", 1, 7.4), ("ana-berg", 2, 7.4), ("ana-berg", 3, 7.6),
        ("bea-lund", 1, 7.9), ("bea-lund", 2, 8.0), ("bea-lund", 3, 7.9),
    ]  # fmt: skip


def test_a_row_pasted_twice_is_still_no_second_run():
    told = take_in(BELOW.replace("{last}", "7,4;7,9"), "cotes.csv")
    assert [one[1:] for one in rows(told, "split", "athlete_id", "rep_no", "elapsed_s") if one[0] == "ana-berg"] == [
        (1, 7.4), (2, 7.4)
    ]  # fmt: skip
    assert lines_set_aside(told) == [5]


@pytest.mark.parametrize(
    ("title", "made"),
    [("Countermovement jump, hands on hips, INCHES 2026-02-03", [(1, 0.381), (2, 0.3937)]), ("Spring 2026-02-03", [])],
)  # fmt: skip
def test_t_and_a_number_are_trials_of_the_test_a_title_names(title, made):
    told = take_in(f'"{title}"\nName,T1,T2\nAna Berg,15,15.5\nBéa Lünd,16,16\n', "x.csv")
    found = rows(told, "jump_test", "athlete_id", "trial_no", "jump_height_m") if "jump_test" in told.accepted else []
    assert [(number, pytest.approx(height)) for who, number, height in found if who == "ana-berg"] == made  # 0.0254 m
    assert bool(made) != ("T1" in [one.about for one in told.questions])
