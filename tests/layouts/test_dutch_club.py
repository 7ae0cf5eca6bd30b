"""The sheets of a Dutch club, in small files of our own: headers, words, days and groups of another language."""

import datetime as dt

import pytest

from tests.intake import rows, take_in
from tests.layouts.test_british_club import KNOWN


def test_times_with_short_weekdays_and_decimal_commas():
    text = "Datum;Naam;10 m;30 m;Vliegende 30 m\nma 2 nov;Ana Berg;1,98;4,35;3,41\nwo 4 nov;Bea Lund;2,05;4,51;3,6\n"
    checked = take_in(text, "starts.csv", KNOWN)
    runs = checked.accepted["split"].select("session_date", "athlete_id", "rep_no", "distance_m", "elapsed_s")
    assert sorted((day.day, *rest) for day, *rest in runs.rows()) == [
        (2, "ana-berg", 1, 10.0, 1.98), (2, "ana-berg", 1, 30.0, 4.35), (2, "ana-berg", 2, 30.0, 3.41),
        (4, "bea-lund", 1, 10.0, 2.05), (4, "bea-lund", 1, 30.0, 4.51), (4, "bea-lund", 2, 30.0, 3.6),
    ]  # fmt: skip
    assert set(rows(checked, "rep", "rep_no", "start_kind")) == {(1, None), (2, "rolling")}


def test_a_morning_with_scales_hours_and_sides():
    text = (
        "Datum;Naam;Slaap (uren);Vermoeidheid (1=fit, 5=doodmoe);Hamstring links (0-10);Hamstring rechts (0-10);"
        "Opmerking\n"
        "13-11-2026;Ana Berg;7,5;2;1;0;\n14-11-2026;Bea Lund;8u15;1;2;3;druk op school\n"
    )
    checked = take_in(text, "ochtend.csv", KNOWN)
    # 1 is fit: on the record's five steps, of which five is the best, 2 is 4 and 1 is 5
    columns = ("sleep_h", "fatigue", "hamstring_tightness_l", "hamstring_tightness_r", "note")
    assert rows(checked, "checkin", *columns) == [(7.5, 4.0, 1.0, 0.0, None), (8.25, 5.0, 2.0, 3.0, "druk op school")]


def test_a_log_of_sessions_and_one_of_the_gym():
    text = "Datum;Naam;Training;Duur;RPE (0-10)\n13-11-2026;Ana Berg;Blokstarts;1u15;6\n14-11-2026;Bea Lund;Rustdag;;\n"
    assert rows(take_in(text, "logboek.csv", KNOWN), "session", "kind", "duration_min", "effort_0_10") == [
        ("acceleration", 75.0, 6.0), ("recovery", None, None),
    ]  # fmt: skip
    text = "Datum;Atleet;Oefening;Series;Herh;Gewicht\n13-11-2026;Ana Berg;Squat;2;5;80\n"
    assert rows(take_in(text, "kracht.csv", KNOWN), "lift_set", "exercise", "set_no", "reps", "load_kg") == [
        ("squat", 1, 5, 80.0), ("squat", 2, 5, 80.0),
    ]  # fmt: skip


def test_a_week_s_plan_by_groups_of_the_roster():
    text = "Weekschema week 46 2026\nGroep;Ma;Di;Wo\nKorte sprint;Starts;Kracht;Rust\nLange sprint;Tempo;Kracht;Rust\n"
    checked = take_in(text, "schema.csv", KNOWN, who="groups")
    made = (
        checked.accepted["plan"]
        .select("planned_on", "athlete_id", "kind", "source_line")
        .sort("planned_on", "athlete_id")
    )
    assert made.rows() == [
        (dt.date(2026, 11, 9), "ana-berg", "acceleration", 3), (dt.date(2026, 11, 9), "bea-lund", "tempo", 4),
        (dt.date(2026, 11, 10), "ana-berg", "strength", 3), (dt.date(2026, 11, 10), "bea-lund", "strength", 4),
        (dt.date(2026, 11, 11), "ana-berg", "recovery", 3), (dt.date(2026, 11, 11), "bea-lund", "recovery", 4),
    ]  # fmt: skip


def test_injuries_races_steps_and_tests():
    text = "Naam;Datum blessure;Plaats;Kant;Hersteld op\nAna Berg;12-10-2026;hamstring;links;26-10-2026\n"
    assert rows(take_in(text, "blessures.csv", KNOWN), "injury", "site", "side", "returned_on") == [
        ("hamstring", "l", dt.date(2026, 10, 26))
    ]
    text = (
        "Datum;Naam;Onderdeel;Tijd;Wind;Plaats\n13-09-2026;Ana Berg;100 m;12,35;+0,8;3e\n"
        "13-09-2026;Bea Lund;200 m;25,1;;2 (serie 1)\n"
    )
    assert rows(take_in(text, "wedstrijden.csv", KNOWN), "race_result", "event", "round", "time_s", "place") == [
        ("100", "unknown", 12.35, 3), ("200", "serie 1", 25.1, 2),
    ]  # fmt: skip
    text = "Naam;Stap;Contacttijd (ms);Vluchttijd (ms);Paslengte (cm);Been\nAna Berg;1;190;45;101;L\n"
    assert rows(
        take_in(text, "passen 2026-11-13.csv", KNOWN), "step", "contact_s", "flight_s", "step_length_m", "side"
    ) == [(0.19, 0.045, 1.01, "l")]
    text = "Datum;Naam;CMJ (cm);Verspringen uit stand (m)\n13-11-2026;Ana Berg;38;2,31\n"
    assert rows(take_in(text, "tests.csv", KNOWN), "jump_test", "jump_height_m", "jump_length_m") == [
        (0.38, None), (None, 2.31),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("word", "site"), [("kuit", "calf"), ("lies", "adductor"), ("enkel", "ankle"), ("knie", "knee")]
)
def test_places_on_the_body(word, site):
    text = f"Naam;Begin;Plek;Kant\nAna Berg;12-10-2026;{word};rechts\n"
    assert rows(take_in(text, "blessures.csv", KNOWN), "injury", "site", "side") == [(site, "r")]
