"""What a Dutch stranger's folder brought up: each cause once, in small sheets of our own with other people."""

import datetime as dt

import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.layouts.words.said import distances_in, find_day
from tests.intake import AS_OF, reasons, rows, take_in
from tests.layouts.test_british_club import KNOWN, PEOPLE
from tests.layouts.test_found_by_strangers import book


def runs_of(checked):
    made = checked.accepted["split"].select("session_date", "athlete_id", "rep_no", "distance_m", "elapsed_s")
    return sorted((day.day, *rest) for day, *rest in made.rows())


# --- days and distances of titles ------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["gates at 10/20/30", "Tore 5/10/20", "5/15/30 m", "Squad list 25-26", "out 5"])
def test_a_list_of_gates_or_people_is_no_day(text):
    assert find_day(text) is None


@pytest.mark.parametrize(
    ("text", "day"), [("10/11/2026", "10/11/2026"), ("Thu 2/4", "Thu 2/4"), ("12/5/26", "12/5/26")]
)
def test_days_with_strokes_are_still_days(text, day):
    assert find_day(text) == day


@pytest.mark.parametrize(
    ("text", "metres"),
    [("flying 20 (run-in 25 m)", ["20 m"]), ("fliegend 30", ["30 m"]), ("3x flying", []), ("flying 4x30", []),
     ("flying 30 m", ["30 m"])],
)  # fmt: skip
def test_the_distance_of_a_flying_run_needs_no_unit(text, metres):
    assert list(dict.fromkeys(distances_in(text))) == metres


# --- blocks ----------------------------------------------------------------------------------------------------------


def test_two_days_below_each_other_with_flying_runs_beside_them():
    sheet = [
        ["JANUARY, gates at 10/20/30"], [],
        ["Tue 13 January 2026 - blocks", None, None, None, None, "Tue 13 January 2026 - flying 20 (run-in 25 m)"],
        ["name", "no", "10 m", "20 m", None, "name", "1st", "2nd"],
        ["Ana", 1, 1.97, 3.16, None, "Ana", 2.12, 2.11], [None, 2, 1.94, 3.13, None, "Bea", 2.2, None],
        ["Cleo", 1, 2.05, 3.3], [None, 2, 2.06, 3.32], [],
        ["Thu 22 January 2026 - blocks", None, None, None, None, "Thu 22 January 2026 - flying 20 (run-in 25 m)"],
        ["name", "no", "10 m", "20 m", None, "name", "1st", "2nd"],
        ["Ana", 1, 1.93, 3.11, None, "Cleo", 2.07, "2.05"], [None, 2, 1.95, 3.15],
        ["Bea", 1, 2.0, 3.2], [None, 2, 2.01, 3.22],
    ]  # fmt: skip
    checked = take_in(book(jan=sheet), "times.xlsx", KNOWN)
    assert [one for one in runs_of(checked) if one[3] == 10] == [
        (13, "ana-berg", 1, 10.0, 1.97), (13, "ana-berg", 2, 10.0, 1.94), (13, "cleo-dahl", 1, 10.0, 2.05),
        (13, "cleo-dahl", 2, 10.0, 2.06), (22, "ana-berg", 1, 10.0, 1.93), (22, "ana-berg", 2, 10.0, 1.95),
        (22, "bea-lund", 1, 10.0, 2.0), (22, "bea-lund", 2, 10.0, 2.01),
    ]  # fmt: skip
    flown = checked.accepted["rep"].filter(pl.col("start_kind") == "rolling")
    made = flown.join(checked.accepted["split"], on=["athlete_id", "session_date", "rep_no"])
    assert sorted((day.day, who, far, time) for day, who, far, time in made.select(
        "session_date", "athlete_id", "distance_m_right", "elapsed_s").rows()) == [
        (13, "ana-berg", 20.0, 2.11), (13, "ana-berg", 20.0, 2.12), (13, "bea-lund", 20.0, 2.2),
        (22, "cleo-dahl", 20.0, 2.05), (22, "cleo-dahl", 20.0, 2.07),
    ]  # fmt: skip
    assert checked.accepted["split"].height == 21
    assert "athlete" not in checked.accepted


def test_runs_over_a_distance_that_nothing_says_make_no_roster():
    sheet = [["13/11/2026 hall"], ["name", "1st", "2nd"], ["Ana", 2.12, 2.11], ["Somebody New", 2.2, 2.3]]
    checked = take_in(book(hall=sheet), "times.xlsx", KNOWN)
    assert not any(frame.height for frame in checked.accepted.values())
    assert {one.about for one in checked.questions if one.ask == "columns"} == {"1st", "2nd"}


def test_a_block_begins_again_with_bare_gates_below_a_day_and_a_remark():
    sheet = [["APRIL 2026, gates 20-40"], [], ["Thu 2/4", None, "wind: changing"], [None, 20, 40, 20, 40],
             ["Ana", 3.06, 5.21, 3.04, 5.18], ["Bea", 3.2, 5.4, 3.3, 5.5], [],
             ["Tue 21/4", None, "wind: against, 1"], [None, 20, 40, 20, 40],
             ["Ana", 3.07, 5.23, 3.05, 5.2], ["Cleo", 3.3, 5.6, 3.4, None]]  # fmt: skip
    checked = take_in(book(apr=sheet), "times 2026.xlsx", KNOWN)
    made = runs_of(checked)
    assert len(made) == 15
    assert made[:4] == [(2, "ana-berg", 1, 20.0, 3.06), (2, "ana-berg", 1, 40.0, 5.21), (2, "ana-berg", 2, 20.0, 3.04),
                        (2, "ana-berg", 2, 40.0, 5.18)]  # fmt: skip
    assert {one[0] for one in made} == {2, 21}
    assert {who for day, who, *_ in made if day == 21} == {"ana-berg", "cleo-dahl"}


def test_people_beside_a_day_in_the_corner_over_counted_runs():
    sheet = [["SEPTEMBER - 30 m, standing, gates"], [], ["Tue 15 September 2026", "Ana", "Bea", "Cleo"],
             ["1st", 4.0, 4.2, None], ["2nd", 4.01, 4.25, None], [],
             ["Tue 29 September 2026", "Ana", "Bea", "Cleo"], ["1st", 4.07, 4.1, 4.4]]  # fmt: skip
    checked = take_in(book(sep=sheet), "times.xlsx", KNOWN)
    assert runs_of(checked) == [
        (15, "ana-berg", 1, 30.0, 4.0), (15, "ana-berg", 2, 30.0, 4.01), (15, "bea-lund", 1, 30.0, 4.2),
        (15, "bea-lund", 2, 30.0, 4.25), (29, "ana-berg", 1, 30.0, 4.07), (29, "bea-lund", 1, 30.0, 4.1),
        (29, "cleo-dahl", 1, 30.0, 4.4),
    ]  # fmt: skip


def test_a_title_right_above_the_header_is_no_part_of_it_and_each_attempt_has_its_wind():
    sheet = [["Flying 30 m, Saturday 9 May 2026"], ["run-in 30 m, women in spikes, electronic"],
             ["athlete", "1st attempt", "wind", "2nd attempt", "wind"], ["Ana Berg", 3.4, "+0,3", 3.38, "-0,4"],
             ["Bea Lund", 3.5, "+0,1", "away", None]]  # fmt: skip
    checked = take_in(book(Fly=sheet), "fly.xlsx", KNOWN)
    assert runs_of(checked) == [
        (9, "ana-berg", 1, 30.0, 3.4),
        (9, "ana-berg", 2, 30.0, 3.38),
        (9, "bea-lund", 1, 30.0, 3.5),
    ]
    assert sorted(rows(checked, "rep", "athlete_id", "rep_no", "wind_ms", "start_kind")) == [
        ("ana-berg", 1, 0.3, "rolling"), ("ana-berg", 2, -0.4, "rolling"), ("bea-lund", 1, 0.1, "rolling"),
    ]  # fmt: skip
    assert "footwear" not in str(checked.questions)


# --- cells -----------------------------------------------------------------------------------------------------------


def test_a_time_of_day_beside_the_times_is_not_taken_for_them():
    text = (
        "date;clock;athlete;run no;gate (m);time (s)\n2026-04-14;18:03;Ana Berg;1;10;1,99\n"
        "2026-04-14;18:03;Ana Berg;1;30;4,38\n2026-04-14;18:06;Bea Lund;1;10;2,03\n2026-04-14;18:06;Bea Lund;1;30;4,5\n"
    )
    checked = take_in(text, "gates.csv", KNOWN)
    assert [one[-1] for one in runs_of(checked)] == [1.99, 4.38, 2.03, 4.5]
    assert not checked.set_aside.height


@pytest.mark.parametrize("mark", ['"', "''", "„", "idem", "Ditto"])
def test_a_ditto_mark_below_a_name_is_that_name(mark):
    sheet = [["6/10/2026"], ["name", "run", "10 m", "30 m"], ["Ana", 1, 1.92, 4.31], [mark, 2, 1.94, 4.35],
             ["Bea", 1, 2.0, 4.5], [mark, 2, 2.01, 4.52]]  # fmt: skip
    checked = take_in(book(oct=sheet), "oct.xlsx", KNOWN, date_order="day")
    assert [(who, run) for _, who, run, far, _ in runs_of(checked) if far == 10] == [
        ("ana-berg", 1), ("ana-berg", 2), ("bea-lund", 1), ("bea-lund", 2),
    ]  # fmt: skip
    assert not checked.set_aside.height


def test_a_column_below_a_merged_heading_of_a_test_is_its_second_trial():
    sheet = [["Test day 11 April 2026"], ["name", "weight (kg)", "CMJ (cm)", None, "remarks"],
             ["Ana", 61, 34, "38,1", None], ["Bea", 63, 33.2, 39.8, "tired"]]  # fmt: skip
    checked = take_in(book(test=sheet), "tests.xlsx", KNOWN)
    assert rows(checked, "jump_test", "athlete_id", "trial_no", "jump_height_m") == [
        ("ana-berg", 1, 0.34), ("ana-berg", 2, 0.381), ("bea-lund", 1, 0.332), ("bea-lund", 2, 0.398),
    ]  # fmt: skip
    assert rows(checked, "body_measure", "body_mass_kg") == [(61.0,), (63.0,)]


def test_other_numbers_beside_a_test_are_none_of_its_trials():
    sheet = [["Test day 11 April 2026"], ["name", "CMJ (cm)", None, "remarks"], ["Ana", 34, 61, None],
             ["Bea", 43.2, 63.5, "tired"]]  # fmt: skip
    checked = take_in(book(test=sheet), "tests.xlsx", KNOWN)
    assert rows(checked, "jump_test", "trial_no", "jump_height_m") == [(1, 0.34), (1, 0.432)]


def test_distances_under_a_discipline_are_races_and_no_tests():
    text = "Datum;Naam;Onderdeel;Resultaat\n3.10.2026;Ana Berg;100 m;12,31\n3.10.2026;Bea Lund;200 m;25,8\n"
    checked = take_in(text, "wedstrijd.csv", KNOWN)
    assert rows(checked, "race_result", "event", "time_s") == [("100", 12.31), ("200", 25.8)]
    assert "split" not in checked.accepted


def test_minutes_of_a_race_with_a_point_and_a_comma():
    text = "Datum;Name;Disziplin;Zeit\n3.10.2026;Ana Berg;400 m;1.00,31\n3.10.2026;Bea Lund;400 m;59,8\n"
    assert rows(take_in(text, "Wettkampf.csv", KNOWN), "race_result", "time_s") == [(60.31,), (59.8,)]


# --- people ----------------------------------------------------------------------------------------------------------

SQUADS = Known(PEOPLE.with_columns(squad=pl.Series(["Sprint A", "Sprint B", "Talent"])), AS_OF)


def test_a_roster_with_a_particle_between_the_names_makes_nobody_else():
    text = (
        "nr;voornaam;tussenv.;achternaam;geb.datum;m/v;groep\n1;Fenna;van der;Berg;12-05-2003;v;Sprint A\n"
        "2;Joris;de;Hoek;03-11-2001;m;400\n3;Ana;;Lund;27-02-2004;v;Talent\n"
    )
    checked = take_in(text, "leden.csv", Known(PEOPLE.head(0), AS_OF))
    assert rows(checked, "athlete", "athlete_id", "display_name", "sex", "event_group", "squad") == [
        ("fenna-van-der-berg", "Fenna van der Berg", "f", None, "Sprint A"),
        ("joris-de-hoek", "Joris de Hoek", "m", "long_sprints", "400"), ("ana-lund", "Ana Lund", "f", None, "Talent"),
    ]  # fmt: skip


def test_a_plan_with_squads_beside_an_empty_heading_over_the_weekdays():
    sheet = [["Week 14 (30 mrt - 5 apr 2026)"], [], [None, "Sprint A + B", "400", "Talent"],
             ["maandag", "kracht", "kracht licht", "rust"], ["dinsdag", "blok 4x10", "3x150", "rust"]]  # fmt: skip
    checked = take_in(book(wk14=sheet), "schema.xlsx", SQUADS)  # all of the groups are known: nothing is asked
    assert not [one for one in checked.questions if one.holds_rows]
    made = checked.accepted["plan"].sort("planned_on", "athlete_id").select("planned_on", "athlete_id", "source_line")
    assert made.rows() == [
        (dt.date(2026, 3, 30), "ana-berg", 4), (dt.date(2026, 3, 30), "bea-lund",
        4), (dt.date(2026, 3, 30), "bea-lund", 4),
        (dt.date(2026, 3, 30), "cleo-dahl", 4), (dt.date(2026, 3, 31), "ana-berg",
        5), (dt.date(2026, 3, 31), "bea-lund", 5),
        (dt.date(2026, 3, 31), "bea-lund", 5), (dt.date(2026, 3, 31), "cleo-dahl", 5),
    ]  # fmt: skip
    assert reasons(checked) == ""
