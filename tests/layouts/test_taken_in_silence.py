"""Decisions once taken without a word that changed a meaning: each asked or read, and left alone where said."""

import pytest

from pipelines.errors import NotUnderstood
from pipelines.layouts.words.said import said_by
from tests.intake import reasons, rows, take_in

GATES = "Name;10 m;30 m\nAna Berg;1,85;4,35\n"


def asked(checked):
    """Return what is asked about, without how runs start and were timed."""
    runs = ("start_kind", "clock_start", "timing_kind", "gate_offset", "families")
    return [(one.ask, one.about) for one in checked.questions if one.ask not in runs]


# --- what a title names and does not say of its runs ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("title", "said"),
    [
        ("Training block 2", {}), ("Block 3", {}), ("Bloc de force", {}), ("Gym block", {}),
        ("30 m without blocks", {}), ("no gates", {}), ("ohne Block", {}), ("no sled", {}), ("before sled work", {}),
        ("30 m from blocks", {"start_kind": "blocks"}), ("block 30 m", {"start_kind": "blocks"}),
        ("aus dem Block", {"start_kind": "blocks"}), ("départ en bloc", {"start_kind": "blocks"}),
        ("Training block 2, from blocks", {"start_kind": "blocks"}), ("sled 20 m", {"resistance_kind": "sled"}),
        ("hand timed, not gates", {"timing_kind": "hand"}), ("after gym, standing start", {"start_kind": "standing"}),
    ],
)  # fmt: skip
def test_a_title_says_of_its_runs_only_what_it_says(title, said):
    assert {name: fact.text for name, fact in said_by(title, "title").items()} == said


# --- who is somebody, and of which day --------------------------------------------------------------------------------


def test_max_is_a_name_below_first_names_and_a_greatest_value_below_a_column():
    people = take_in("Nachname;Vorname;Geschlecht\nBerg;Ana;w\nKeller;Max;m\n")
    assert rows(people, "athlete", "display_name") == [("Ana Berg",), ("Max Keller",)]
    below = take_in("Name;Date;10 m;30 m\nAna Berg;2026-11-02;1,85;4,35\nMax;;1,85;4,35\n")
    assert "mean or total" in reasons(below, 3)


def test_a_coach_in_a_list_of_people_is_no_athlete():
    people = take_in("Name;Role;Sex\nAna Berg;athlete;f\nOtto Brand;head coach;m\n")
    assert rows(people, "athlete", "display_name") == [("Ana Berg",)]
    assert "this is no athlete" in reasons(people, 3)


def test_minutes_of_yesterday_are_none_of_today():
    form = "Date;Name;{};Sleep (h)\n2026-11-03;Ana Berg;75;7.5\n2026-11-03;Béa Lünd;60;8\n"
    checked = take_in(form.format("Minutes yesterday"))
    assert ("session" in checked.accepted, checked.accepted["checkin"].height) == (False, 2)
    assert ("columns", "Minutes yesterday") in asked(checked)
    assert take_in(form.format("Minutes")).accepted["session"].height == 2


def test_letters_for_timing_are_read_beside_each_other():
    text = "Date;Name;Event;Time;Hand/FAT\n2026-06-07;Ana Berg;100;11.9;H\n2026-06-07;Béa Lünd;100;12.05;F\n"
    assert rows(take_in(text, "results.csv"), "race_result", "timing_kind") == [("hand",), ("electronic",)]


# --- letters ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("header", "woman", "man"),
    [
        ("Nombre;Sexo", "M", "V"), ("Naam;Geslacht", "V", "M"), ("Name;Geschlecht", "M", "J"), ("Nom;Sexe", "F", "G"),
        ("Nome;Sesso", "D", "U"), ("Namn;Kön", "D", "H"), ("Name;Sex", "F", "M"), ("Navn;Kjønn", "J", "G"),
    ],
)  # fmt: skip
def test_a_letter_for_a_sex_is_read_beside_the_other_one(header, woman, man):
    checked = take_in(f"{header}\nAna Berg;{woman}\nCleo Dahl-Frost;{man}\n")
    assert rows(checked, "athlete", "sex") == [("f",), ("m",)]


def test_m_alone_under_sexo_is_asked_and_under_another_header_is_a_man():
    checked = take_in("Nombre;Sexo;Peso\nAna Berg;M;61\nCleo Dahl-Frost;M;58\n")
    assert ("words", "Sexo: M") in asked(checked)
    answered = take_in("Nombre;Sexo\nAna Berg;M\nCleo Dahl-Frost;M\n", words={"Sexo: M": "f"})
    assert rows(answered, "athlete", "sex") == [("f",), ("f",)]
    assert rows(take_in("Name;Geschlecht\nAna Berg;M\n"), "athlete", "sex") == [("m",)]


@pytest.mark.parametrize(
    ("header", "left", "right"),
    [("Datum;Namn;Skada;Sida", "V", "H"), ("Data;Atleta;Infortunio;Lato", "S", "D"),
     ("Date;Name;Injury;Side", "L", "R"),
     ("Fecha;Atleta;Lesión;Lado", "I", "D"), ("Data;Atleta;Lesão;Lado", "E", "D")],
)  # fmt: skip
def test_a_letter_for_a_side_is_read_beside_the_other_one(header, left, right):
    checked = take_in(
        f"{header}\n2026-11-02;Ana Berg;hamstring;{left}\n2026-11-05;Cleo Dahl-Frost;hamstring;{right}\n",
        "injuries.csv",
    )
    assert rows(checked, "injury", "side") == [("l",), ("r",)]


# --- what a title says of something else -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "title",
    ["Sprinttest - Stand: 9.11.2026", "30 m (printed 9/11/2026)", "Sprints, mis à jour le 09/11/2026",
     "Camp 5.-9.11.2026", "Next test: 9.11.2026", "Ana Berg, born 9.11.2006", "Ana Berg, geb. 09.11.2006"],
)  # fmt: skip
def test_a_day_of_the_sheet_or_of_a_person_is_not_the_day_of_the_test(title):
    checked = take_in(f"{title};;\n{GATES}")
    assert "split" not in checked.accepted
    assert [ask for ask, _ in asked(checked)] == ["days"]


@pytest.mark.parametrize(
    "title",
    ["Sprinttest 9.11.2026", "30 m aus dem Stand 9.11.2026", "Test 9/11/2026, updated 13/11/2026", "Test 3 - 9.11.2026",
     "10-30 m, 9.11.2026", "Ana Berg (born 3.5.2006), 9.11.2026"],
)  # fmt: skip
def test_the_day_of_a_test_is_taken_from_its_title(title):
    checked = take_in(f"{title};;\n{GATES}", date_order="day")
    assert [str(day) for (day,) in rows(checked, "rep", "session_date")] == ["2026-11-09"]


@pytest.mark.parametrize(
    "title", ["Timekeeper: Ana Berg", "Coach Ana Berg", "gestoppt von Ana Berg", "Trainer: Ana Berg"]
)
def test_who_held_the_watch_is_not_who_ran(title):
    checked = take_in(f"{title}, 9.11.2026;;\nRun;10 m;30 m\n1;1,85;4,35\n")
    assert "split" not in checked.accepted
    assert [ask for ask, _ in asked(checked)] == ["who"]


def test_whose_a_sheet_is_is_taken_from_its_title():
    checked = take_in("Ana Berg (Coach: Max), 9.11.2026;;\nRun;10 m;30 m\n1;1,85;4,35\n")
    assert rows(checked, "rep", "athlete_id") == [("ana-berg",)]
    assert reasons(checked) == ""


# --- sets ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sets", "reps", "stored"),
    [
        ("3", "8", [8, 8, 8]), ("3", "6/6", [6, 6, 6]), ("3", "6 each leg", [6, 6, 6]), ("3", "5/4/3", [5, 4, 3]),
        ("2", "5,4", [5, 4]), ("3", "8-10", []), ("2", "8-10", []), ("3", "5/4", []),
    ],
)  # fmt: skip
def test_sets_counted_beside_repetitions_are_so_many_sets(sets, reps, stored):
    text = f"Date;Name;Exercise;Sets;Reps;kg\n2026-11-02;Ana Berg;rdl;{sets};{reps};60\n"
    text += "2026-11-02;Cleo Dahl-Frost;squat;3;5/4/3;100/105/110\n"
    checked = take_in(text)
    own = [rep for who, rep in rows(checked, "lift_set", "athlete_id", "reps") if who == "ana-berg"]
    assert own == stored
    other = [row[1:] for row in rows(checked, "lift_set", "athlete_id", "reps", "load_kg") if row[0] != "ana-berg"]
    assert other == [(5, 100.0), (4, 105.0), (3, 110.0)]
    assert (reps in reasons(checked)) is (not stored)


# --- what was not done -----------------------------------------------------------------------------------------------

LOG = (
    "Date;Name;Session;{header};Minutes;RPE (0-10)\n"
    "2026-11-02;Ana Berg;Gym;{yes};60;6\n2026-11-03;Ana Berg;Gym;{no};60;\n"
)


@pytest.mark.parametrize(
    ("header", "yes", "no"),
    [("Status", "done", "missed"), ("Status", "done", "planned"), ("Attended", "yes", "no"), ("Done", "x", ""),
     ("Status", "erledigt", "ausgefallen"), ("Présence", "oui", "absent"), ("Estado", "hecho", "cancelado")],
)  # fmt: skip
def test_a_row_that_says_it_was_not_done_makes_no_session(header, yes, no):
    checked = take_in(LOG.format(header=header, yes=yes, no=no), "log.csv")
    assert [str(day) for (day,) in rows(checked, "session", "session_date")] == ["2026-11-02"]
    assert f"'{header}' says that it" in reasons(checked, 3)
    assert asked(checked) == []


@pytest.mark.parametrize(("header", "yes", "no"), [("Status", "done", "green"), ("Notes", "good", "tired")])
def test_a_column_that_does_not_say_what_was_done_leaves_the_rows_alone(header, yes, no):
    checked = take_in(LOG.format(header=header, yes=yes, no=no), "log.csv")
    assert checked.accepted["session"].height == 2


def test_sets_not_ticked_and_marks_in_a_list_of_who_was_there_are_none():
    text = "Date;Name;Exercise;Sets;Reps;kg;Done\n2026-11-02;Ana Berg;rdl;1;5;60;x\n2026-11-02;Ana Berg;squat;1;5;80;\n"
    assert rows(take_in(text), "lift_set", "exercise") == [("rdl",)]
    with pytest.raises(NotUnderstood, match="who was there"):
        take_in("Name;2.11.2026;4.11.2026\nAna Berg;x;E\nCleo Dahl-Frost;krank;x\n", "attendance.csv")


# --- scales ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("headers", "open_"),
    [
        ("Sleep (1-7);Fatigue (1-7)", 2),  # of 7 steps 1 is often the best
        ("Schlafqualität (1-6)", 1), ("Stimmung (1-6)", 1),  # as marks of a school
        ("Sleep (1-5);Soreness (1-5)", 2), ("Sleep quality (1-5);Soreness (1-5)", 1), ("Mood (1-5)", 0),
        ("Sleep (1-5);Soreness (1 none - 5 much)", 0), ("Sleep quality (1 bad - 7 good)", 0), ("Mood /10", 1),
    ],
)  # fmt: skip
def test_the_good_end_is_asked_where_both_are_in_use(headers, open_):
    cells = ";".join("3" for _ in headers.split(";"))
    checked = take_in(f"Date;Name;{headers}\n2026-11-02;Ana Berg;{cells}\n", "checkin.csv")
    assert [ask for ask, _ in asked(checked)] == ["scales"] * open_


# --- units that the numbers put in doubt -----------------------------------------------------------------------------

LIFTS = "Date;Name;Exercise;Sets;Reps;Weight\n"


@pytest.mark.parametrize(
    ("text", "about"),
    [
        (LIFTS + "11/16/2026;Ana Berg;squat;3;5;140\n", ["Weight"]),  # the month first
        (LIFTS + "16/11/2026;Ana Berg;squat;3;5;140\n", []),
        (LIFTS + "".join(f"2026-11-0{n};Ana Berg;squat;1;5;{kg}\n" for n, kg in enumerate((95, 135, 185, 225), 1)),
         ["Weight"]),
        (LIFTS + "".join(f"2026-11-0{n};Ana Berg;squat;1;5;{kg}\n" for n, kg in enumerate((80, 100, 135, 140), 1)), []),
        ("Date;Name;Weight\n2026-11-02;Ana Berg;134.5\n", ["Weight"]),
        ("Date;Name;Weight\n2026-11-02;Ana Berg;61.5\n", []),
        ("Date;Name;Weight (kg)\n2026-11-02;Ana Berg;134.5\n", []),
        ("Date;Name;Session;Duration\n2026-11-02;Ana Berg;Gym;1.5\n2026-11-03;Ana Berg;Gym;1\n", ["Duration"]),
        ("Date;Name;Session;Duration (min)\n2026-11-02;Ana Berg;Gym;5\n", []),
        ("Date;Name;Session;Duration\n2026-11-02;Ana Berg;Gym;75\n2026-11-03;Ana Berg;Gym;5\n", []),
        ("Date;Name;Nordic L;Nordic R\n2026-11-02;Ana Berg;28.5;30\n", ["Nordic L", "Nordic R"]),
        ("Date;Name;Nordic L;Nordic R\n2026-11-02;Ana Berg;285;300\n", []),
        ("Date;Name;Session;Minutes;Temp\n2026-11-02;Ana Berg;Gym;60;48\n", ["Temp"]),
        ("Date;Name;Session;Minutes;Temp\n2026-11-02;Ana Berg;Gym;60;18\n", []),
    ],
)  # fmt: skip
def test_a_unit_that_nothing_says_is_asked_where_the_numbers_leave_it_open(text, about):
    assert [name for ask, name in asked(take_in(text)) if ask == "units"] == about


def test_a_force_in_kilograms_is_that_of_their_weight_and_a_moment_is_no_force():
    stored = take_in("Date;Name;Nordic L (kg);Nordic R (kg)\n2026-11-02;Ana Berg;30;31\n")
    assert [round(one, 1) for (one,) in rows(stored, "force_test", "peak_force_n")] == [294.2, 304.0]
    moment = take_in("Date;Name;Nordic L (Nm);IMTP (N/kg)\n2026-11-02;Ana Berg;120;28\n")
    assert (moment.accepted, [name for _, name in asked(moment)]) == ({}, ["Nordic L (Nm)", "IMTP (N/kg)"])


# --- which of two columns --------------------------------------------------------------------------------------------


def test_the_day_that_was_written_counts_and_not_when_the_form_was_sent():
    form = "Timestamp;Date;Name;Sleep (h)\n2026-11-03 00:35:00;2026-11-02;Ana Berg;7\n"
    assert [str(day) for (day,) in rows(take_in(form), "checkin", "checked_on")] == ["2026-11-02"]
    alone = "Timestamp;Name;Sleep (h)\n2026-11-03 07:35:00;Ana Berg;7\n"
    assert [str(day) for (day,) in rows(take_in(alone), "checkin", "checked_on")] == ["2026-11-03"]


def test_two_columns_that_ask_the_same_in_other_words_are_both_asked():
    scale = "(0 none - 10 max)"
    header = f"Date;Name;Fatigue before {scale};Fatigue after {scale}\n"
    both = take_in(f"{header}2026-11-02;Ana Berg;4;3\n2026-11-03;Ana Berg;5;2\n")
    assert (both.accepted, len(asked(both))) == ({}, 2)
    one = take_in(f"Date;Name;Fatigue today {scale}\n2026-11-02;Ana Berg;3\n")
    assert rows(one, "checkin", "fatigue") == [(3.8,)]


@pytest.mark.parametrize("header", ["Target time", "Entry time", "Goal time", "Best time"])
def test_a_time_aimed_at_is_none_that_was_trained(header):
    rest = "2026-11-02;Ana Berg;100 m;11.95\n2026-11-02;Béa Lünd;100 m;12.05\n"
    checked = take_in(f"Date;Name;Event;{header}\n{rest}")
    assert checked.accepted == {}
    assert ("columns", header) in asked(checked)


@pytest.mark.parametrize(
    ("header", "cells"), [("Leg;Split", ("1;11.9", "2;10.9")), ("Step;Distance", ("1;1.05", "2;2.25"))]
)
def test_legs_of_a_relay_and_places_of_steps_are_no_lengths_of_legs_and_runs(header, cells):
    lines = [f"2026-11-0{n};Ana Berg;{cell}\n" for n, cell in enumerate(cells, 2)]
    assert take_in(f"Date;Name;{header}\n{''.join(lines)}").accepted == {}
    runs = take_in("Date;Name;Run;Distance;Time\n2026-11-02;Ana Berg;1;36.58;4.9\n2026-11-02;Ana Berg;2;30;4.3\n")
    assert rows(runs, "split", "distance_m") == [(36.58,), (30.0,)]


# --- one run or several, a step or a mean ----------------------------------------------------------------------------


def test_far_distances_side_by_side_are_asked_and_gates_of_one_run_are_not():
    far = "Name;Date;30 m;60 m;150 m\nAna Berg;2026-11-02;4.35;7.6;18.2\nBea Lund;2026-11-02;4.4;7.8;18.9\n"
    checked = take_in(far)
    assert (checked.accepted, [about for _, about in asked(checked)]) == ({}, ["30 m", "60 m", "150 m"])
    first = checked.questions[0].answers
    assert [answer for answer, _ in first[:2]] == ["30 m run 1", "30 m"]
    each = take_in(far, columns={"30 m": "30 m run 1", "60 m": "60 m run 2", "150 m": "150 m run 3"})
    assert rows(each, "rep", "rep_no")[::2] == [(1,), (2,), (3,)]
    one = take_in(far, columns={"30 m": "30 m", "60 m": "60 m", "150 m": "150 m"})
    assert one.accepted["rep"].height == 2
    for gates in ("10 m;30 m;60 m", "30 m;60 m;90 m", "100 m;200 m;300 m"):
        times = "1.9;4.3;7.6" if gates.startswith("10 ") else "4.3;7.6;10.9" if gates.startswith("30") else "13;26;40"
        assert asked(take_in(f"Name;Date;{gates}\nAna Berg;2026-11-02;{times}\n")) == []


def test_a_contact_that_stands_once_for_everybody_is_no_first_step():
    means = "Date;Name;Contact;Flight\n2026-11-02;Ana Berg;105;125\n2026-11-02;Bea Lund;98;120\n"
    checked = take_in(means)
    assert (checked.accepted, [about for _, about in asked(checked)]) == ({}, ["Contact", "Flight"])
    steps = "Date;Name;Contact;Flight\n2026-11-02;Ana Berg;190;50\n2026-11-02;Ana Berg;170;60\n"
    assert rows(take_in(steps), "step", "step_no", "contact_s") == [(1, 0.19), (2, 0.17)]


@pytest.mark.parametrize(
    ("header", "loads", "asks"),
    [("Sled", "20;50", True), ("Schlitten", "10;75", True), ("Sled (kg)", "20;50", False), ("Sled", "12.5;17.5", False),
     ("Sled", "20;130", False), ("Sled weight", "20;50", False)],
)  # fmt: skip
def test_a_bare_sled_is_asked_whether_it_is_kilograms_or_percent(header, loads, asks):
    first, second = loads.split(";")
    text = f"Name;Date;Run;{header};10 m;20 m\nAna Berg;2026-11-02;1;{first};2.15;3.75\n"
    checked = take_in(f"{text}Ana Berg;2026-11-02;2;{second};2.55;4.55\n")
    assert [about for ask, about in asked(checked) if ask == "columns"] == [header] * asks
    assert checked.accepted["split"].height == 4


def test_one_number_of_a_set_a_row_counts_the_sets_and_an_injury_with_its_pain_is_one():
    counted = take_in("Datum;Name;Übung;Satz;Wdh;kg\n2.11.2026;Ana Berg;Kniebeuge;3;5;80\n")
    assert rows(counted, "lift_set", "set_no") == [(1,), (2,), (3,)]
    numbered = take_in(
        "Datum;Name;Übung;Satz;Wdh;kg\n2.11.2026;Ana Berg;Kniebeuge;1;5;80\n2.11.2026;Ana Berg;Kniebeuge;2;5;85\n"
    )
    assert rows(numbered, "lift_set", "set_no") == [(1,), (2,)]
    hurt = take_in("Date;Name;Injury;Pain\n2026-11-02;Ana Berg;left hamstring;6\n", "injuries.csv")
    assert rows(hurt, "injury", "site", "side") == [("hamstring", "l")]
    assert "checkin" not in hurt.accepted


# --- what two rows of a day are, and what a plan, a speed and a distance are not --------------------------------------


def test_rows_of_a_day_that_name_other_work_are_sessions_of_their_own():
    head = "Date;Name;Session;Minutes;RPE (0-10)\n2026-11-02;Ana Berg;Gym;60;6\n"
    two = take_in(f"{head}2026-11-02;Ana Berg;Speed;75;7\n", "log.csv")
    assert rows(two, "session", "session_no", "kind", "duration_min") == [(1, "strength", 60.0), (2, None, 75.0)]
    same = take_in(f"{head}2026-11-02;Ana Berg;Gym;75;7\n", "log.csv")  # a slip or a second one: settled by hand
    assert rows(same, "session", "session_no", "duration_min") == [(1, None)]
    part = take_in(f"{head}2026-11-02;Ana Berg;Speed;;\n", "log.csv")  # a line more of the same session
    assert part.accepted["session"]["session_no"].to_list() == [1]


@pytest.mark.parametrize("header", ["0-10;10-20;20-30", "10;20;30", "10 m;20 m;30 m"])
def test_speeds_below_distances_are_no_times(header):
    checked = take_in(f"Name;Date;{header}\nAna Berg;2026-11-02;5.4;7.6;8.3\nBéa Lünd;2026-11-02;5.2;7.4;8.1\n")
    assert (checked.accepted, len(asked(checked))) == ({}, 3)
    times = take_in(f"Name;Date;{header}\nAna Berg;2026-11-02;1.9;1.3;1.2\n", split_times="segment")
    assert times.accepted["split"].height == 3


def test_a_distance_beside_numbers_that_nobody_understands_is_no_run():
    mean = take_in("Name;Date;Reps;Distance;Avg\nAna Berg;2026-11-02;6;200;30.5\nBéa Lünd;2026-11-02;6;200;31.5\n")
    assert "rep" not in mean.accepted
    bare = take_in("Name;Date;Run;Distance\nAna Berg;2026-11-02;1;200\n")
    assert rows(bare, "rep", "distance_m") == [(200.0,)]


def test_sets_with_a_load_only_aimed_at_wait_for_whether_it_was_lifted():
    text = "Date;Name;Exercise;Sets;Reps;Target kg\n2026-11-02;Ana Berg;squat;1;5;100\n2026-11-03;Ana Berg;rdl;1;5;60\n"
    checked = take_in(text)
    assert (checked.accepted, [about for _, about in asked(checked)]) == ({}, ["Target kg"])
    lifted = take_in(text, columns={"Target kg": "lift_set.load_kg"})
    assert rows(lifted, "lift_set", "load_kg") == [(100.0,), (60.0,)]


def test_a_plan_that_says_what_was_done_is_a_log():
    text = "Date;Name;Session;{};RPE (0-10)\n2026-11-02;Ana Berg;Gym;yes;7\n2026-11-03;Ana Berg;Gym;no;\n"
    done = take_in(text.format("Done"), "plan.csv")
    assert (rows(done, "session", "effort_0_10"), "plan" in done.accepted) == ([(7.0,)], False)
    assert "plan" in take_in(text.format("Outdoors"), "plan.csv").accepted


def test_a_second_distance_is_not_the_first_ones_run_and_a_hand_time_is_no_height():
    pairs = "Name;Date;Dist;Time;Dist;Time\nAna Berg;2026-11-02;30;4.35;60;7.6\nBéa Lünd;2026-11-02;30;4.4;60;7.7\n"
    checked = take_in(pairs)
    assert rows(checked, "split", "distance_m", "elapsed_s")[0] == (30.0, 4.35)
    assert "distance_m" not in checked.accepted["rep"].columns
    both = take_in("Name;Date;FAT;HT\nAna Berg;2026-11-02;4.35;4.1\nBéa Lünd;2026-11-02;4.45;4.2\n", "30 m.csv")
    assert (both.accepted, [about for _, about in asked(both)]) == ({}, ["FAT", "HT"])
    tall = take_in("Name;Date;HT\nAna Berg;2026-11-02;168\nBéa Lünd;2026-11-02;171\n")
    assert rows(tall, "body_measure", "height_m") == [(1.68,), (1.71,)]


def test_weeks_are_no_sessions_and_fast_metres_alone_no_plan():
    week = "Week of;Name;Sessions;Minutes\n2026-11-02;Ana Berg;5;320\n2026-11-09;Ana Berg;4;270\n"
    checked = take_in(week, "log.csv")
    assert (checked.accepted, [about for _, about in asked(checked)]) == ({}, ["Sessions", "Minutes"])
    fast = "Date;Name;Session;Fast metres\n2026-11-02;Ana Berg;Gym;240\n"
    assert "plan" not in take_in(fast, "log.csv").accepted
    assert rows(take_in(fast, "plan.csv"), "plan", "fast_metres") == [(240.0,)]
