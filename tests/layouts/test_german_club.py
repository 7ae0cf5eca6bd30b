"""What a German club's folder brought up: each cause once, in a small file of our own with other people and words."""

import datetime as dt

import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.errors import NotUnderstood
from pipelines.layouts.words.sets import parse_sets
from tests.intake import AS_OF, reasons, rows, take_in
from tests.layouts.test_found_by_strangers import book

PEOPLE = pl.DataFrame(
    {"athlete_id": ["ana-berg", "bea-lund", "cleo-dahl"], "display_name": ["Ana Berg", "Bea Lund", "Cleo Dahl"]}
)
KNOWN = Known(PEOPLE, AS_OF)
CHECKINS = (
    "Datum;Name;Müdigkeit (1 = keine, 5 = sehr);Stimmung (1 = schlecht, 5 = gut);Probleme?;Seite;Sonst noch was?\n"
    "3.11.2026;Ana Berg;2;4;Wade;li;Prüfungswoche\n3.11.2026;Bea Lund;1;5;nein;;\n"
    "4.11.2026;Ana Berg;3;4;Oberschenkel hinten;rechts;\n4.11.2026;Bea Lund;2;5;;;spät im Bett\n"
)


# --- an answer says what one column is, and nothing else -------------------------------------------------------------


def test_a_remark_said_of_checkins_never_makes_sessions_of_them():
    checked = take_in(CHECKINS, known=KNOWN, columns={"Sonst noch was?": "checkin.note"})
    assert checked.accepted["checkin"].height == 4
    assert "session" not in checked.accepted
    assert rows(checked, "checkin", "note")[0] == ("Prüfungswoche",)


def test_a_list_of_which_nothing_is_used_makes_no_people_of_its_words():
    text = "Artikel;Anzahl;Preis\nÄpfel;40;0,35\nKlebeband;12;3,90\nHütchen;2;14,00\n"
    with pytest.raises(NotUnderstood, match="nothing is taken from"):
        take_in(text, known=KNOWN, columns={"Anzahl": "not_used", "Preis": "not_used"})


def test_names_of_measures_are_never_people():
    sheet = [["Liste 4.11.2026", None, None], ["Ana Berg", "A", "B"], ["Kontakt ms", 180, 170], ["Flug ms", 60, 70]]
    told = {"A": "other_measure", "B": "other_measure"}
    checked = take_in(book(Wert=sheet), "w.xlsx", known=KNOWN, columns=told)
    assert not any(frame.height for frame in checked.accepted.values())


# --- complaints ------------------------------------------------------------------------------------------------------


def test_a_complaint_beside_its_side_is_where_it_hurts_and_a_no_is_nowhere():
    checked = take_in(CHECKINS, known=KNOWN)
    assert rows(checked, "checkin", "pain_site") == [
        ("Wade, li (left calf)",), (None,), ("Oberschenkel hinten, rechts (right hamstring)",), (None,),
    ]  # fmt: skip


# --- sets of a gym ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "sets"),
    [
        ("1x5 @ 90, 2x5 @ 100", [("5", "90"), ("5", "100"), ("5", "100")]),
        ("1x5 @ 90; 2x3 @ 97,5", [("5", "90"), ("3", "97,5"), ("3", "97,5")]),
        ("2x5 KG+10", [("5", "10"), ("5", "10")]),
        ("2x6 KG", [("6", "0"), ("6", "0")]),
        ("2x6/85kg", [("6", "85kg"), ("6", "85kg")]),
        ("2x3x295#", [("3", "295 lb"), ("3", "295 lb")]),
        ("2x6/8", None),  # six or eight times, or six with eight kilograms: nobody knows
        ("1x5 @ 90, 2x5 (nicht geschafft)", None),  # half of a cell is never taken
        ("1x5 @ 90, 2x", [("5", "90, 2x")]),
    ],
)
def test_sets_of_one_cell_are_read_whole_or_not_at_all(text, sets):
    made = parse_sets(text)
    assert made == sets or (sets == [("5", "90, 2x")] and made is None)


def test_an_effort_that_differs_between_the_exercises_of_a_day_is_of_the_sets():
    lines = "Datum;Name;Übung;Sätze x Wdh x kg;RPE\n"
    for day in (3, 4, 5):
        lines += f"{day}.11.2026;Ana Berg;Kniebeuge;3x5x80;8\n{day}.11.2026;Ana Berg;Bankdrücken;3 x 6 x 40 kg;6,5\n"
    checked = take_in(lines, known=KNOWN)
    sets = checked.accepted["lift_set"]
    assert sets.height == 18
    assert set(sets.select("exercise", "load_kg", "set_effort").rows()) == {
        ("kniebeuge", 80.0, 8.0), ("bankdrucken", 40.0, 6.5),
    }  # fmt: skip
    assert "effort_0_10" not in checked.accepted["session"].columns


# --- minutes and effort in one cell ----------------------------------------------------------------------------------


def test_two_values_of_a_cell_are_what_the_title_names_and_a_day_ill_is_no_session():
    sheet = [["Minuten / Anstrengung (0-10), Herbst 2026"], [], ["Name", "3.11.", "5.11.", "7.11."],
             ["Ana Berg", "90/7", "60/4", "krank"], ["Bea Lund", "75/5", "-", "90/8"]]  # fmt: skip
    checked = take_in(book(Last=sheet), "last.xlsx", known=KNOWN)
    assert sorted(rows(checked, "session", "athlete_id", "session_date", "duration_min", "effort_0_10")) == [
        ("ana-berg", dt.date(2026, 11, 3), 90.0, 7.0), ("ana-berg", dt.date(2026, 11, 5), 60.0, 4.0),
        ("bea-lund", dt.date(2026, 11, 3), 75.0, 5.0), ("bea-lund", dt.date(2026, 11, 7), 90.0, 8.0),
    ]  # fmt: skip
    assert "'krank' is an outcome" in reasons(checked)


# --- runs ------------------------------------------------------------------------------------------------------------


def test_the_wind_beside_each_of_two_runs_is_of_that_run():
    sheet = [["Test 3.11.2026"], [None, "1. Lauf", None, None, "2. Lauf", None, None],
             ["Name", "10 m", "30 m", "Wind", "10 m", "30 m", "Wind"],
             ["Ana Berg", 1.85, 4.01, 0.3, 1.9, 4.06, -0.4],
             ["Bea Lund", 1.95, 4.31, 1.1, 1.97, 4.36, -0.9]]  # fmt: skip
    checked = take_in(book(Test=sheet), "t.xlsx", known=KNOWN)
    assert sorted(rows(checked, "rep", "athlete_id", "rep_no", "wind_ms")) == [
        ("ana-berg", 1, 0.3), ("ana-berg", 2, -0.4), ("bea-lund", 1, 1.1), ("bea-lund", 2, -0.9),
    ]  # fmt: skip


def test_one_wind_for_two_runs_and_a_third_is_given_to_none_of_them():
    text = "Name;Datum;Lauf 1 10 m;Wind;Lauf 2 10 m;Wind;Wind\nAna Berg;3.11.2026;1,85;0,3;1,90;-0,4;0,1\n"
    checked = take_in(text, known=KNOWN)
    assert "wind_ms" not in checked.accepted["rep"].columns
    assert [one.about for one in checked.questions if one.ask == "columns"] == ["Wind"]


def test_steps_are_of_the_run_that_the_title_names():
    sheet = [["Film 240 fps, 3.11.2026, 2. Lauf"], ["Name", "Schritt", "Kontakt (s)", "Flug (s)"],
             ["Ana Berg", 1, "0,192", "0,042"], ["Ana Berg", 2, "0,178", "0,055"]]  # fmt: skip
    checked = take_in(book(Film=sheet), "film.xlsx", known=KNOWN)
    assert rows(checked, "step", "rep_no", "step_no") == [(2, 1), (2, 2)]
    assert checked.made_numbers == []  # the file's own: never counted on behind the runs of another


def test_a_run_of_a_title_is_left_alone_where_an_athlete_has_several():
    sheet = [["3.11.2026, 2. Lauf"], ["Name", "Schritt", "Kontakt (s)"], ["Ana Berg", 1, "0,192"],
             ["Ana Berg", 2, "0,178"], ["Ana Berg", 1, "0,190"], ["Ana Berg", 2, "0,170"]]  # fmt: skip
    checked = take_in(book(Film=sheet), "film.xlsx", known=KNOWN)
    assert rows(checked, "step", "rep_no", "step_no") == [(1, 1), (1, 2), (2, 1), (2, 2)]


def test_steps_across_with_the_foot_in_the_heading_are_of_the_person_above_their_measures():
    sheet = [["4.11.2026, Lauf 1"], [], ["Ana Berg", "1 L", "2 R", "3 L"], ["Kontakt ms", 201, 174, 168],
             ["Flug ms", 46, 54, 66], [], ["Bea Lund", "1 R", "2 L", "3 R"], ["Kontakt ms", 198, 184, 176],
             ["Flug ms", 42, 58, 65]]  # fmt: skip
    checked = take_in(book(Film=sheet), "film.xlsx", known=KNOWN)
    assert sorted(rows(checked, "step", "athlete_id", "rep_no", "step_no", "side", "contact_s", "flight_s")) == [
        ("ana-berg", 1, 1, "l", 0.201, 0.046), ("ana-berg", 1, 2, "r", 0.174, 0.054),
        ("ana-berg", 1, 3, "l", 0.168, 0.066), ("bea-lund", 1, 1, "r", 0.198, 0.042),
        ("bea-lund", 1, 2, "l", 0.184, 0.058), ("bea-lund", 1, 3, "r", 0.176, 0.065),
    ]  # fmt: skip
    assert {one[0] for one in rows(checked, "step", "session_date")} == {dt.date(2026, 11, 4)}


def test_a_run_number_that_stands_once_a_run_is_filled_down_with_its_name():
    text = "Datum;Name;Lauf;Schritt;Kontakt (ms);Flug (ms)\n3.11.2026;Ana Berg;2;1;189;41\n;;;2;180;52\n;;;3;176;70\n"
    checked = take_in(text, known=KNOWN)
    assert rows(checked, "step", "rep_no", "step_no") == [(2, 1), (2, 2), (2, 3)]


def test_morning_and_evening_of_one_sheet_are_two_sessions_of_its_day():
    sheet = [["Starts 3.11.2026"], [], ["vormittags", "Block"], ["Name", "10 m", "30 m"], ["Ana Berg", 1.82, 3.99],
             ["Bea Lund", 1.95, 4.38], ["abends", "Block"], ["Name", "10 m", "30 m"], ["Ana Berg", 1.85, 4.05],
             ["Bea Lund", 1.97, 4.41]]  # fmt: skip
    checked = take_in(book(Starts=sheet), "s.xlsx", known=KNOWN)
    assert sorted(rows(checked, "split", "athlete_id", "session_no", "distance_m", "elapsed_s")) == [
        ("ana-berg", 1, 10.0, 1.82), ("ana-berg", 1, 30.0, 3.99), ("ana-berg", 2, 10.0, 1.85),
        ("ana-berg", 2, 30.0, 4.05), ("bea-lund", 1, 10.0, 1.95), ("bea-lund", 1, 30.0, 4.38),
        ("bea-lund", 2, 10.0, 1.97), ("bea-lund", 2, 30.0, 4.41),
    ]  # fmt: skip
    assert not checked.set_aside.height


def test_flying_sprints_of_a_list_are_runs_with_a_rolling_start_and_no_races():
    text = "Datum;Vorname;Strecke;Zeit (s);Wind\n3.11.2026;Ana;20 m fl.;1,97;0,5\n3.11.2026;Bea;30 m flg;3,03;0,1\n"
    checked = take_in(text, "fliegend.csv", known=KNOWN)
    assert rows(checked, "split", "athlete_id", "distance_m", "elapsed_s") == [
        ("ana-berg", 20.0, 1.97), ("bea-lund", 30.0, 3.03),
    ]  # fmt: skip
    assert rows(checked, "rep", "start_kind", "wind_ms") == [("rolling", 0.5), ("rolling", 0.1)]


def test_times_that_are_all_marked_by_hand_are_stored_as_timed_by_hand():
    text = "Name;Datum;30 m;60 m\nAna Berg;3.11.2026;3,8h;6,8h\nBea Lund;3.11.2026;4,2h;7,6 h\n"
    checked = take_in(text, known=KNOWN)
    assert rows(checked, "split", "elapsed_s") == [(3.8,), (4.2,), (6.8,), (7.6,)]
    assert set(rows(checked, "rep", "timing_kind")) == {("hand",)}


def test_some_times_marked_by_hand_among_others_are_set_aside_as_before():
    text = "Name;Datum;30 m;60 m\nAna Berg;3.11.2026;3,8h;6,81\nBea Lund;3.11.2026;4,25;7,62\n"
    checked = take_in(text, known=KNOWN)
    assert "marked as timed by hand" in reasons(checked)
    assert checked.accepted["split"].height == 3


# --- words -----------------------------------------------------------------------------------------------------------


def test_the_back_of_the_thigh_is_the_hamstring_on_the_scale_its_heading_says():
    text = (
        "Tag;Name;hinterer OS li (0 = locker, 10 = fest);Oberschenkel hinten re (0 = locker, 10 = fest)\n"
        "3.11.2026;Ana Berg;2;0\n3.11.2026;Bea Lund;7;4\n"
    )
    checked = take_in(text, known=KNOWN)
    assert rows(checked, "checkin", "hamstring_tightness_l", "hamstring_tightness_r") == [(2.0, 0.0), (7.0, 4.0)]


def test_a_load_beside_gates_is_the_sleds_and_a_share_of_body_mass_is_no_mass():
    kilograms = take_in("Datum;Name;Last kg;10 m\n3.11.2026;Ana Berg;20;2,10\n", "Schlitten.csv", known=KNOWN)
    assert rows(kilograms, "rep", "resistance_kind", "resistance_load_kg") == [("sled", 20.0)]
    share = take_in("Datum;Name;Last (% KG);10 m\n3.11.2026;Ana Berg;30 %;2,10\n", "Schlitten.csv", known=KNOWN)
    assert "resistance_load_kg" not in share.accepted["rep"].columns
    assert not [one for one in share.questions if one.ask == "columns"]  # of one choice: told in a note, not asked


def test_a_hurdle_race_is_known_by_its_short_word():
    text = "Datum;Name;Disziplin;Zeit\n3.11.2026;Ana Berg;100 m Hü;14,01\n"
    assert rows(take_in(text, "Wettkampf.csv", known=KNOWN), "race_result", "event", "time_s") == [("100h", 14.01)]
