"""Gym logs whose sets stand in one cell under 'Sets', 'Serie' or another word that alone is a count or a round."""

import pytest

from tests.intake import reasons, rows, take_in

LOG = """
2025-10-20;Ana Berg;nordic;4 x 2 27,5kg;
2025-10-20;Bea Lund;hip thrust;2x3 @ 107,5 kg + 1x2 @ 112,5 kg;
2025-10-21;Bea Lund;bench press;3x5 @ 35/40/45;
"""
HEADED = [
    "quando;chi;esercizio;serie;osservazioni", "date;athlete;exercise;sets;notes", "date;athlete;exercise;round;notes",
    "Datum;Name;Übung;Sätze;Bemerkung", "date;athlète;exercice;séries;remarques", "fecha;atleta;ejercicio;series;notas",
    "datum;naam;oefening;sets;opmerking", "data;atleta;exercício;séries;notas",
]  # fmt: skip


@pytest.mark.parametrize("header", HEADED)
def test_exercises_beside_cells_of_sets_are_a_gym_log(header):
    checked = take_in(header + LOG, "log.csv")
    assert rows(checked, "lift_set", "exercise", "set_no", "reps", "load_kg") == [
        ("nordic", 1, 2, 27.5), ("nordic", 2, 2, 27.5), ("nordic", 3, 2, 27.5), ("nordic", 4, 2, 27.5),
        ("hip_thrust", 1, 3, 107.5), ("hip_thrust", 2, 3, 107.5), ("hip_thrust", 3, 2, 112.5),
        ("bench_press", 1, 5, 35.0), ("bench_press", 2, 5, 40.0), ("bench_press", 3, 5, 45.0),
    ]  # fmt: skip


@pytest.mark.parametrize("said", ["cl", "c.l.", "corpo libero"])
def test_a_free_body_is_no_load(said):
    checked = take_in(f"data;chi;esercizio;serie\n2025-10-20;Ana Berg;nordic;2x3 {said}\n", "x.csv")
    assert rows(checked, "lift_set", "reps", "load_kg") == [(3, 0.0), (3, 0.0)]


def test_what_cannot_be_read_of_a_cell_is_set_aside_with_a_sentence():
    checked = take_in(
        "data;chi;esercizio;serie\n2025-10-20;Ana Berg;nordic;2x3 @ 80%\n2025-10-20;Bea Lund;bench press;1x3 @ 40 kg\n"
        "2025-10-20;Bea Lund;nordic;light\n", "x.csv",
    )  # fmt: skip
    assert rows(checked, "lift_set", "athlete_id", "reps", "load_kg") == [
        ("ana-berg", 3, None), ("ana-berg", 3, None), ("bea-lund", 3, 40.0)
    ]  # fmt: skip
    assert "80%" in reasons(checked)
    assert "light" in reasons(checked)


def test_rounds_of_races_stay_rounds():
    checked = take_in("data;atleta;gara;serie;tempo\n2026-01-24;Ana Berg;60 m;1;8,12\n", "x.csv")
    assert rows(checked, "race_result", "event", "round") == [("60", "1")]
