"""The same four files in thirteen languages say the same: people, mornings, sessions, runs; no word is asked.

Keys by hand. A rating of 4 on 1 (fresh) to 10 (worn out) is 5 - 3/9 of 4 on the record's 1 to 5; a tightness of 2 on 1
(loose) to 10 is 1/9 of 10.
"""

import datetime as dt

import polars as pl
import pytest

from pipelines.cells.spoken import kind_of
from pipelines.checks import Known
from tests.intake import AS_OF, rows, take_in
from tests.layouts.tongues import PARTICLES, TONGUES, diary, form, gates, roster

KNOWN = Known(
    pl.DataFrame({"athlete_id": ["ana-berg", "ben-lund"], "display_name": ["Ana Berg", "Ben Lund"]}), AS_OF
)  # fmt: skip
D3, D5 = dt.date(2026, 3, 3), dt.date(2026, 3, 5)


@pytest.mark.parametrize("tongue", TONGUES)
def test_a_roster_says_names_birth_dates_and_sexes(tongue):
    nobody = Known(pl.DataFrame(schema={"athlete_id": pl.String, "display_name": pl.String}), AS_OF)
    checked = take_in(roster(tongue), known=nobody)
    particle = PARTICLES.get(tongue)
    assert rows(checked, "athlete", "display_name", "birth_date", "sex") == [
        ("Ana Berg" if particle is None else f"Ana {particle} Berg", dt.date(2003, 5, 12), "f"),
        ("Ben Lund", dt.date(2001, 11, 23), "m"),
    ]


@pytest.mark.parametrize("tongue", TONGUES)
def test_a_morning_form_says_all_its_items(tongue):
    checked = take_in(form(tongue), known=KNOWN)
    assert [(one.ask, one.about) for one in checked.questions] == []
    found = rows(checked, "checkin", "athlete_id", "checked_on", "sleep_h", "sleep_quality", "fatigue", "soreness",
                 "stress", "mood", "hamstring_tightness_l", "hamstring_tightness_r")  # fmt: skip
    key = [
        ("ana-berg", D3, 7.5, 2, 5 - 12 / 9, 5 - 12 / 9, 4, 3, 10 / 9, 30 / 9),
        ("ben-lund", D3, 8, 5, 5, 5, 5, 5, 0, 10),
        ("ana-berg", D5, 6.5, 4, 5 - 24 / 9, 1, 1, 1, 30 / 9, 0),
    ]
    assert [row[:2] for row in found] == [row[:2] for row in key]
    assert [row[2:] for row in found] == [pytest.approx(row[2:], abs=1e-5) for row in key]


@pytest.mark.parametrize("tongue", TONGUES)
def test_a_diary_says_whose_how_hard_and_how_long(tongue):
    checked = take_in(diary(tongue), known=KNOWN)
    assert rows(checked, "session", "athlete_id", "session_date", "effort_0_10", "duration_min") == [
        ("ana-berg", D3, 6.0, 75.0), ("ben-lund", D3, 8.0, 75.0), ("ana-berg", D5, 5.0, 90.0),
    ]  # fmt: skip


@pytest.mark.parametrize("tongue", TONGUES)
def test_a_sheet_of_gates_says_runs_and_starts(tongue):
    checked = take_in(gates(tongue), known=KNOWN)
    assert rows(checked, "rep", "athlete_id", "rep_no", "start_kind") == [
        ("ana-berg", 1, "blocks"), ("ana-berg", 2, "blocks"), ("ben-lund", 1, "blocks"),
    ]  # fmt: skip
    times = checked.accepted["split"].sort("athlete_id", "rep_no", "distance_m")["elapsed_s"].to_list()
    assert times == [1.95, 3.13, 4.22, 1.92, 3.09, 4.16, 1.81, 2.89, 3.89]


# --- words that mean two things, and what stands beside them ----------------------------------------------------------


def test_m_is_a_woman_beside_h_and_a_man_beside_f():
    nobody = Known(pl.DataFrame(schema={"athlete_id": pl.String, "display_name": pl.String}), AS_OF)
    spanish = take_in("Nombre;Sexo;Fecha de nacimiento\nAna Berg;M;12.05.2003\nBen Lund;H;23.11.2001\n", known=nobody)
    assert rows(spanish, "athlete", "display_name", "sex") == [("Ana Berg", "f"), ("Ben Lund", "m")]
    other = take_in("Nombre;Sexo;Fecha de nacimiento\nAna Berg;F;12.05.2003\nBen Lund;M;23.11.2001\n", known=nobody)
    assert rows(other, "athlete", "display_name", "sex") == [("Ana Berg", "f"), ("Ben Lund", "m")]


def test_a_call_name_is_the_person_unless_somebody_else_is_called_so():
    people = pl.DataFrame(
        {
            "athlete_id": ["ana-berg", "ben-lund", "eva-nana"],
            "display_name": ["Ana Berg", "Ben Lund", "Eva Nana"],
            "call_name": ["Nana", "Benno", None],
        }
    )
    checked = take_in("Naam;Datum;Slaap (uren)\nBenno;03.03.2026;8\nNana;03.03.2026;7\n", known=Known(people, AS_OF))
    assert rows(checked, "checkin", "athlete_id") == [("ben-lund",)]
    assert [(one.ask, one.about) for one in checked.questions if one.ask == "athletes"] == [("athletes", "Nana")]


def test_a_roster_keeps_what_people_are_called():
    nobody = Known(pl.DataFrame(schema={"athlete_id": pl.String, "display_name": pl.String}), AS_OF)
    checked = take_in(roster("nl"), known=nobody)
    assert rows(checked, "athlete", "display_name", "call_name") == [("Ana van der Berg", "Nana"), ("Ben Lund", None)]
    assert checked.questions == []  # the numbers of its lines are not asked about


@pytest.mark.parametrize("written", ["Ana vd Berg", "Ana v.d. Berg", "ANA V.D. BERG"])
def test_a_particle_cut_short_is_read_and_never_another_name(written):
    people = pl.DataFrame(
        {"athlete_id": ["a", "b", "c"], "display_name": ["Ana van der Berg", "Ana Berg", "Bea van der Berg"]}
    )
    checked = take_in(f"Naam;Datum;Slaap\n{written};03.03.2026;8\n", known=Known(people, AS_OF))
    assert rows(checked, "checkin", "athlete_id") == [("a",)]


def test_a_remark_behind_a_name_is_nobody():
    checked = take_in("Naam;Datum;Slaap\nAna Berg;03.03.2026;8\nAna ziek, niet geweest;04.03.2026;\n", known=KNOWN)
    assert rows(checked, "checkin", "athlete_id") == [("ana-berg",)]
    assert not [one for one in checked.questions if one.ask == "athletes"]


@pytest.mark.parametrize(
    ("title", "left", "right"),
    [
        ("Siła ekscentryczna mięśni dwugłowych, 3.03.2026", "lewa [N]", "prawa [N]"),
        ("Excentrische kracht hamstrings 3.03.2026", "links", "rechts"),
        ("Force excentrique ischios 3.03.2026", "gauche", "droite"),
        ("Eksentrisk styrke bakside lår 3.03.2026", "venstre", "høyre"),
        ("Excentrisk styrka 3.03.2026", "vänster", "höger"),
        ("Eksentrinen voima 3.03.2026", "vasen", "oikea"),
        ("Excentrická síla 3.03.2026", "levá", "pravá"),
        ("Forza eccentrica 3.03.2026", "sinistra", "destra"),
        ("Força excêntrica 3.03.2026", "esquerda", "direita"),
        ("Fuerza excéntrica 3.03.2026", "izquierda", "derecha"),
    ],
)
def test_left_and_right_are_of_the_test_that_the_title_names(title, left, right):
    checked = take_in(f"{title};;\nName;{left};{right}\nAna Berg;280;299\nBen Lund;413;411\n", known=KNOWN)
    assert rows(checked, "force_test", "athlete_id", "test", "side", "peak_force_n") == [
        ("ana-berg", "eccentric_hamstring", "l", 280.0), ("ana-berg", "eccentric_hamstring", "r", 299.0),
        ("ben-lund", "eccentric_hamstring", "l", 413.0), ("ben-lund", "eccentric_hamstring", "r", 411.0),
    ]  # fmt: skip


def test_injuries_in_rows_are_injuries_and_no_sessions():
    text = (
        "Data;Zawodnik;Strona;Okolica;Rozpoznanie;Status;Powrót do treningu\n"
        "13.02.2026;Berg Ana;lewa;dwugłowy uda;naciągnięcie;zakończone;09.03.2026\n"
        "22.04.2026;Lund Ben;obie;biodro;przeciążenie;obserwacja;\n"
    )
    checked = take_in(text, "urazy.csv", known=KNOWN)
    assert rows(checked, "injury", "athlete_id", "site", "side", "kind", "returned_on") == [
        ("ana-berg", "hamstring", "l", "naciągnięcie", dt.date(2026, 3, 9)),
        ("ben-lund", "hip", "both", "przeciążenie", None),
    ]
    assert "session" not in checked.accepted
    assert [(one.ask, one.about) for one in checked.questions] == [("columns", "Status")]


def test_a_measure_beside_lifts_is_kept_once_a_day_and_sets_of_each_side_are_sets():
    text = (
        "naam;datum;squat;e1RM squat;split squat;nordics\n"
        "Ana Berg;02.03.2026;4x5 @ 77,5;90,4;3x5/s @ 16;3x4 LG\n"
        "Ben Lund;02.03.2026;4x5 @ 122,5;142,9;3x5/s @ 24;3x4 LG/BW\n"
    )
    checked = take_in(text, known=KNOWN, columns={"e1RM squat": "other_measure"})
    assert rows(checked, "other_measure", "athlete_id", "what", "value") == [
        ("ana-berg", "e1RM squat", 90.4), ("ben-lund", "e1RM squat", 142.9),
    ]  # fmt: skip
    sets = checked.accepted["lift_set"].filter(pl.col("athlete_id") == "ben-lund")
    assert sorted(set(sets.select("exercise", "reps", "load_kg").rows())) == [
        ("nordics", 4, 0.0), ("split_squat", 5, 24.0), ("squat", 5, 122.5),
    ]  # fmt: skip
    assert (sets.height, checked.set_aside.height) == (10, 0)


@pytest.mark.parametrize(
    ("written", "minutes"),
    [("1u15", 75), ("5 kwartier", 75), ("anderhalf uur", 90), ("1t30", 90), ("1 godz. 15", 75), ("1 tim", 60),
     ("une heure et demie", 90), ("hora y media", 90), ("45'", 45), ("1:15", 75), ("75", 75), ("2 tuntia", 120)],
)  # fmt: skip
def test_lengths_of_sessions_in_words(written, minutes):
    checked = take_in(f"Datum;Naam;Duur\n03.03.2026;Ana Berg;{written}\n04.03.2026;Ana Berg;60\n", known=KNOWN)
    assert rows(checked, "session", "duration_min") == [(minutes,), (60.0,)]


@pytest.mark.parametrize(
    "header",
    [
        "Isquio izquierdo tenso (10 = los dos muy tensos)",  # 'los' is an article here, and 'loose' in Dutch
        "Hamstring links gespannen? (10 = super strak)",  # a good word before a bad one
    ],
)
def test_a_good_word_in_another_sense_makes_no_end_good(header):
    text = f"Naam;Datum;{header}\nAna Berg;03.03.2026;2\nBen Lund;03.03.2026;10\n"
    checked = take_in(text, known=KNOWN)
    assert "checkin" not in checked.accepted or "hamstring_tightness_l" not in checked.accepted["checkin"].columns
    assert [one.ask for one in checked.questions] == ["scales"]


def test_a_thigh_is_no_hamstring():
    text = "Zawodnik;Data;Sen (godziny);Lewe udo napięte (0-10)\nBerg Ana;03.03.2026;8;2\nLund Ben;03.03.2026;7;5\n"
    checked = take_in(text, known=KNOWN)
    assert "hamstring_tightness_l" not in checked.accepted["checkin"].columns
    assert [(one.ask, one.about) for one in checked.questions] == [("columns", "Lewe udo napięte (0-10)")]


@pytest.mark.parametrize("text", ["3x30, rest 6 min", "4x60 repos 8 min", "blok 4x10; volledig herstel 6-8 min"])
def test_a_rest_between_runs_is_no_day_of_rest(text):
    assert kind_of(text) != "recovery"
    assert kind_of("rest") == kind_of("repos") == kind_of("herstel") == kind_of("lepo") == "recovery"
