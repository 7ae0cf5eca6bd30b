"""Results and tests as clubs write them where French and German meet. Trade words: common practice, no source."""

import pytest

from tests.intake import lines_set_aside, rows, take_in

RACES = """Championnats d'hiver - chronométrage électrique;;;;;;
Date;Lieu;Épreuve;Athlète;Tour;Temps;Rang
24.01.2026;Ormeaux;60 m;Ana Berg;série;7,81;2
;;60 m;Béa Lünd;série;{ended};
;;60 m haies;Cleo Dahl-Frost;série;9,12;3
31.01.2026;Ormeaux;200 m;Ana Berg;finale;25,93;1
"""


@pytest.mark.parametrize(("ended", "outcome"), [("abandon", "not_finished"), ("forfait", "not_started")])
def test_a_row_that_says_how_a_race_ended_is_a_row_though_its_words_read_like_headings(ended, outcome):
    told = take_in(RACES.replace("{ended}", ended), "resultats.csv")
    assert rows(told, "race_result", "athlete_id", "event", "time_s", "race_outcome", "timing_kind") == [
        ("ana-berg", "60", 7.81, None, "electronic"), ("bea-lund", "60", None, outcome, "electronic"),
        ("cleo-dahl-frost", "60h", 9.12, None, "electronic"), ("ana-berg", "200", 25.93, None, "electronic"),
    ]  # fmt: skip
    assert "split" not in told.accepted
    assert lines_set_aside(told) == []


def test_gates_below_a_table_of_results_still_head_a_table_of_their_own():
    text = (
        "Date,Event,Athlete,Time\n2026-01-24,60,Ana Berg,7.81\n2026-01-24,60,Béa Lünd,7.99\n\n"
        "Name,Date,10 m,20 m,30 m\nAna Berg,2026-01-26,1.92,3.20,4.35\n"
    )
    told = take_in(text, "january.csv")
    assert len(rows(told, "race_result", "time_s")) == 2
    assert rows(told, "split", "distance_m", "elapsed_s") == [(10.0, 1.92), (20.0, 3.20), (30.0, 4.35)]


FORM = """Horodateur;{head};Heures de sommeil;{other}
02.03.2026 06:35;Ana;6,5;{said}
02.03.2026 07:02;Béa;8;{said}
03.03.2026 06:40;Cleo;7;ok
"""


@pytest.mark.parametrize("head", ["Ton prénom", "Dein Vorname"])
def test_the_question_of_a_form_for_the_first_name_says_whose_rows_they_are(head):
    text = FORM.replace("{head}", head).replace("{other}", "Un mot ?").replace("{said}", "")
    told = take_in(text, "matin.csv")
    assert sorted(rows(told, "checkin", "athlete_id", "sleep_h")) == [
        ("ana-berg", 6.5), ("bea-lund", 8.0), ("cleo-dahl-frost", 7.0)
    ]  # fmt: skip
    assert not [one for one in told.questions if one.ask in ("who", "columns") and one.about == head]


def test_a_question_for_a_first_name_beside_a_column_of_names_or_over_sentences_says_nothing_of_whose_they_are():
    text = FORM.replace("{head}", "Nom").replace("{other}", "Le prénom de ton partenaire ?").replace("{said}", "Cleo")
    assert sorted(rows(take_in(text, "matin.csv"), "checkin", "athlete_id")) == [
        ("ana-berg",), ("bea-lund",), ("cleo-dahl-frost",)
    ]  # fmt: skip
    text = FORM.replace("{head}", "Pas de prénom, dis bonjour").replace("{other}", "Un mot ?").replace("{said}", "")
    text = text.replace(";Ana;", ";très bien dormi hier;").replace(";Béa;", ";12;").replace(";Cleo;", ";;")
    assert "checkin" not in take_in(text, "matin.csv").accepted


def test_injuries_with_their_beginning_and_return_in_french():
    text = (
        "Début;Athlète;Zone;Côté;Description;Reprise complète\n"
        "02.12.2025;Ana Berg;ischio;gauche;tension;16.12.2025\n03.02.2026;Béa Lünd;cheville;droit;entorse;\n"
    )
    told = take_in(text, "blessures.csv")
    assert [(a, str(b), c, d, str(e)) for a, b, c, d, e in rows(
        told, "injury", "athlete_id", "onset_on", "site", "side", "returned_on"
    )] == [
        ("ana-berg", "2025-12-02", "hamstring", "l", "2025-12-16"), ("bea-lund", "2026-02-03", "ankle", "r", "None")
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("title", "offset"),
    [("pied avant à 50 cm de la 1re cellule", 0.5), ("erste Lichtschranke 0,3 m nach der Startlinie", 0.3),
     ("first gate 1 m past the line", 1.0), ("Startlinie 0,5 m vor der ersten Lichtschranke", 0.5),
     ("la 1re cellule à 0,5 m de la ligne", 0.5), ("1re cellule à 20 m de la ligne", None),
     ("une cellule à 1 m du mur", None)],
)  # fmt: skip
def test_how_far_the_first_gate_is_from_the_start_is_taken_from_a_title(title, offset):
    text = f"{title}, le chrono part à la 1re cellule\nNom;Date;10 m;20 m\nAna Berg;4.3.2026;1,86;3,11\n"
    told = take_in(text, "x.csv")
    assert rows(told, "rep", "clock_start") == [("first_gate",)]
    found = told.accepted["rep"]
    assert (found["gate_offset_m"].to_list() if "gate_offset_m" in found.columns else [None]) == [offset]


def test_what_stands_above_the_first_day_of_notes_holds_for_all_of_them_and_a_days_own_start_for_that_day():
    text = "De pie, a mano\n\n7.10.2025 60 m\nAna: 8,1 / 8,0\n\n14.10.2025 60 m{}\nAna: 8,0 / 8,2\n"
    told = take_in(text.format(""), "otoño.txt")
    assert rows(told, "rep", "start_kind", "timing_kind") == [("standing", "hand")] * 4
    starts = rows(take_in(text.format(" tacos"), "otoño.txt"), "rep", "session_date", "start_kind")
    assert [start for _, start in sorted(starts)] == ["standing", "standing", "blocks", "blocks"]
