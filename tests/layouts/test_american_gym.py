"""What an American coach's folder brought up: each cause once, in small sheets of our own with other people."""

import datetime as dt

import pytest

from pipelines.entry.together import settled
from pipelines.errors import NotUnderstood
from pipelines.intake.passage import read_given
from pipelines.layouts.words.said import said_by
from schemas.intake import LayoutOptions
from tests.intake import lines_set_aside, reasons, rows, take_in
from tests.layouts.test_found_by_strangers import KNOWN, book

POUND = 0.45359237  # kg, exact; international pound, 1959 (from memory)


def day(month, number):
    return dt.datetime(2026, month, number)


# --- what lies on the bar, and what a person weighs ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("title", "header", "kilograms"),
    [("winter block, lbs on the bar", "Wt", 150 * POUND), ("winter block", "Wt (lb)", 150 * POUND),
     ("winter block", "Wt", 150.0), ("winter block, kg", "Gew.", 150.0)],
)  # fmt: skip
def test_a_weight_beside_exercises_is_the_load(title, header, kilograms):
    sheet = [[title], ["Day", "Movement", "Sets", "Reps", header], [day(2, 3), "Front squat", 2, 4, 150],
             [day(2, 5), "Step up", 1, 8, "BW"], [day(2, 9), "Push press", 3, 2, "90/95/100"]]  # fmt: skip
    checked = take_in(book(Ana=sheet), "gym.xlsx", KNOWN)
    made = checked.accepted["lift_set"].sort("session_date", "set_no")
    assert made["load_kg"].to_list()[:3] == pytest.approx([kilograms, kilograms, 0.0])
    each = [90, 95, 100] if kilograms == 150 else [one * POUND for one in (90, 95, 100)]
    assert made["load_kg"].to_list()[3:] == pytest.approx(each)
    assert ("body_measure" in checked.accepted, checked.set_aside.height) == (False, 0)


def test_a_weight_beside_exercises_and_their_load_is_the_body():
    text = "Day;Name;Exercise;Sets;Reps;Wt;Load\n2026-02-03;Ana Berg Holm;Front squat;2;4;61.5;70\n"
    checked = take_in(text, "gym.csv", KNOWN)
    assert rows(checked, "body_measure", "body_mass_kg") == [(61.5,)]
    assert rows(checked, "lift_set", "load_kg") == [(70.0,), (70.0,)]


def test_a_family_name_under_last_is_no_load_that_makes_the_weight_a_body_mass():
    text = "Day,Last,First,Exercise,Set,Reps,Wt (lb)\n2026-02-03,Berg Holm,Ana,Front squat,1,4,150\n"
    checked = take_in(text, "gym.csv", KNOWN)
    assert rows(checked, "lift_set", "load_kg") == [(pytest.approx(150 * POUND),)]
    assert "body_measure" not in checked.accepted


def test_a_load_for_each_set_needs_as_many_as_there_are_sets():
    text = (
        "Day;Name;Exercise;Sets;Reps;Load (kg)\n2026-02-03;Ana Berg Holm;Front squat;3;4;90/95/100 lb\n"
        "2026-02-04;Ana Berg Holm;Front squat;3;4;60/65\n"
    )
    checked = take_in(text, "gym.csv", KNOWN)
    made = [load for (load,) in rows(checked, "lift_set", "load_kg")]
    assert sorted(one for one in made if one is not None) == pytest.approx([one * POUND for one in (90, 95, 100)])
    assert (made.count(None), "'60/65' is not a number" in reasons(checked, 3)) == (3, True)


@pytest.mark.parametrize("beside", ["Height", "Sleep hours"])
def test_a_weight_of_people_stays_their_body_mass(beside):
    text = f"Date;Name;Wt;{beside}\n2026-02-03;Ana Berg Holm;61.5;8.0\n2026-02-04;Bea Lund Moe;70.1;7.5\n"
    made = take_in(text.replace("8.0", "1.7").replace("7.5", "1.8") if beside == "Height" else text, "log.csv", KNOWN)
    assert rows(made, "body_measure", "body_mass_kg") == [(61.5,), (70.1,)]


def test_a_weight_beside_an_exercise_and_jumps_is_no_body_mass():
    sheet = [["Date", "Name", "Lift", "Wt", "CMJ (cm)"], [day(2, 3), "Ana Berg Holm", "Squat", 90, 38.5],
             [day(2, 5), "Bea Lund Moe", "Squat", 70, 41.0]]  # fmt: skip
    checked = take_in(book(Tests=sheet), "tests.xlsx", KNOWN)
    assert "body_measure" not in checked.accepted


# --- blocks side by side with a column of days each ------------------------------------------------------------------

LIFTS_AND_JUMPS = [
    ["STRENGTH", None, None, None, None, "HOPS"],
    ["Day", "Lift", "Sets x reps", "Wt (kg)", None, "Day", "CMJ (cm)"],
    [day(1, 8), "Back squat", "2x3", 80, None, day(1, 20), 38.5],
    [day(1, 15), "Hip thrust", "1x6", 100, None, day(2, 17), 39.5],
    [day(1, 22), "Back squat", "2x3", 82.5],
]


def test_a_block_beside_another_keeps_its_own_days():
    checked = take_in(book(Bea=LIFTS_AND_JUMPS), "book.xlsx", KNOWN)
    assert rows(checked, "jump_test", "athlete_id", "tested_on", "jump_height_m") == [
        ("bea-lund-moe", dt.date(2026, 1, 20), 0.385), ("bea-lund-moe", dt.date(2026, 2, 17), 0.395),
    ]  # fmt: skip
    assert [(one.day, load) for one, load in rows(checked, "lift_set", "session_date", "load_kg")] == [
        (8, 80.0), (8, 80.0), (15, 100.0), (22, 82.5), (22, 82.5),
    ]  # fmt: skip


def test_the_names_of_the_first_block_are_those_of_the_block_beside_it():
    sheet = [["Name", "Date", "20 m", None, "Date", "CMJ (cm)", None, "Date", "Body mass"],
             ["Ana Berg Holm", day(1, 8), 3.21, None, day(1, 20), 38.5, None, day(1, 2), 61],
             ["Bea Lund Moe", day(1, 9), 3.3, None, None, None, None, day(1, 3), 70]]  # fmt: skip
    checked = take_in(book(Tests=sheet), "tests.xlsx", KNOWN)
    assert [(one.day, run) for one, run in rows(checked, "split", "session_date", "elapsed_s")] == [(8, 3.21), (9, 3.3)]
    assert rows(checked, "jump_test", "athlete_id", "tested_on") == [("ana-berg-holm", dt.date(2026, 1, 20))]
    assert [(name, one.day) for name, one in rows(checked, "body_measure", "athlete_id", "measured_on")] == [
        ("ana-berg-holm", 2), ("bea-lund-moe", 3),
    ]  # fmt: skip
    assert checked.set_aside.height == 0


def test_two_days_of_one_row_without_a_gap_are_never_taken_for_one():
    text = "Name;Date;20 m;Date;CMJ (cm)\nAna Berg Holm;2026-01-08;3.21;2026-01-20;38.5\n"
    with pytest.raises(NotUnderstood, match="not said which values are of which day"):
        take_in(text, "tests.csv", KNOWN)


@pytest.mark.parametrize("second", ["Returned", "Date"])  # the end of an injury; the same day again
def test_a_second_day_that_heads_no_block_cuts_nothing(second):
    text = f"Name;Date;Body part;{second};Side\nAna Berg Holm;2026-01-08;hamstring;2026-01-08;left\n"
    made = rows(take_in(text, "injuries.csv", KNOWN), "injury", "onset_on", "site", "side")
    assert made == [(dt.date(2026, 1, 8), "hamstring", "l")]


# --- up a hill, and by hand ------------------------------------------------------------------------------------------

UP = "{}\nName,Rep 1,Rep 2\nAna Berg Holm,6.2,6.3\nBea Lund Moe,5.7,5.8\n"


@pytest.mark.parametrize(
    "title",
    ["HILL (Quarry Lane) 50 yd - by hand - 14 Jan 2026", "14 Jan 2026 steep hill 6x50 yd hand standing",
     "Hill 50 yd hand standing 14 Jan 2026"],
)  # fmt: skip
def test_runs_under_the_word_hill_and_a_distance_are_up_a_hill_and_by_hand(title):
    checked = take_in(UP.format(title.replace(",", " ")), "x.csv", KNOWN)
    assert set(rows(checked, "rep", "resistance_kind", "timing_kind")) == {("incline", "hand")}
    assert set(rows(checked, "split", "distance_m")) == {(45.72,)}  # 50 yd of 0.9144 m


@pytest.mark.parametrize("title", ["Gallows Hill 50 m 14 Jan 2026", "Hill Park 50 m 14 Jan 2026", "B. Hill 50 m"])
def test_a_hill_that_is_a_place_or_somebody_holds_nobody_back(title):
    assert "resistance_kind" not in said_by(title, "title")


@pytest.mark.parametrize(
    "text",
    ["blocks 20m hand", "40 yd hand", "hand 30 m 3-point", "20 m hand standing 11/20/2025", "standing hand 30 m",
     "Broken 300s 11/20/2025 (watch)", "3 x 150 m off my watch"],
)  # fmt: skip
def test_hand_beside_a_distance_or_a_start_is_by_hand(text):
    assert said_by(text, "title")["timing_kind"].text == "hand"


@pytest.mark.parametrize(
    "text",
    ["20 m hand release", "3-point hand behind back 20 m", "right hand 20 m", "3-point, left hand, 20 m",
     "30 m hand off the pad", "20 m hand held sled", "hand 3 times", "one hand down 20 m", "watch her left foot, 20 m",
     "Electric City Invite 20 m"],
)  # fmt: skip
def test_a_hand_that_is_part_of_the_start_times_nothing(text):
    assert "timing_kind" not in said_by(text, "title")


@pytest.mark.parametrize("text", ["Flys 20 m - all electric", "20 m 3-point, electric (lasers)"])
def test_electric_is_no_hand(text):
    assert said_by(text, "title")["timing_kind"].text == "electronic"


def test_a_clock_that_starts_at_that_first_gate_is_said():
    said = said_by("Gate on the line, clock starts at that first gate", "title")
    assert said["clock_start"].text == "first_gate"


# --- results of meets ------------------------------------------------------------------------------------------------

HEATS = [
    ["Lakeside Relays 5/23/2026 (FAT)"],
    ["Event", "Heat", "Rd", "Athlete", "Mark", "Wind", "Pl"],
    ["100", 3, "P", "Ana Berg Holm", "12.14q", "+0.8", 2],
    ["100", 3, "F", "Ana Berg Holm", "12.05 PR", "+1.1", 1],
    ["200", 2, "P", "Bea Lund Moe", "25.90", "-0.2", 5],
    ["200", 2, "F", "Bea Lund Moe", "DNF", None, None],
    ["400", 1, "F", "Cleo Dahl-Frost", "61.3h (SB)", None, 4],
]


def test_the_round_is_the_column_of_words_and_a_heat_is_none_beside_it():
    made = take_in(book(Outdoor=HEATS), "meets.xlsx", KNOWN)
    columns = ("event", "round", "time_s", "place", "race_outcome")
    assert sorted(rows(made, "race_result", *columns), key=str) == [
        ("100", "f", 12.05, 1, None), ("100", "p", 12.14, 2, None), ("200", "f", None, None, "not_finished"),
        ("200", "p", 25.9, 5, None), ("400", "f", 61.3, 4, None),
    ]  # fmt: skip
    assert made.set_aside.height == 0


def test_heats_alone_are_the_rounds_as_before():
    sheet = [[HEATS[0][0]], ["Event", "Heat", "Athlete", "Mark"], ["100", 1, "Ana Berg Holm", 12.1],
             ["100", 2, "Ana Berg Holm", 12.2]]  # fmt: skip
    made = take_in(book(Outdoor=sheet), "meets.xlsx", KNOWN)
    assert rows(made, "race_result", "round", "time_s") == [("1", 12.1), ("2", 12.2)]


def test_a_title_says_how_the_times_of_a_meet_were_taken_and_a_mark_otherwise_of_its_own():
    made = take_in(book(Outdoor=HEATS), "meets.xlsx", KNOWN).accepted["race_result"].sort("source_line")
    assert made["timing_kind"].to_list() == [*["electronic"] * 4, "hand"]
    assert made["note"].to_list() == [
        "went on to the next round", "personal best", None, None, "hand timed, season's best",
    ]  # fmt: skip


@pytest.mark.parametrize("text", ["Body fat 3/5/2026", "Fat and lean mass", "FAT % by group", "FAT, heats hand timed"])
def test_fat_of_a_body_and_fat_beside_hand_say_nothing_of_all_times(text):
    assert "timing_kind" not in said_by(text, "title")


def test_a_time_with_a_letter_that_means_nothing_is_set_aside_as_before():
    text = "Date;Event;Athlete;Mark\n2026-05-23;100;Ana Berg Holm;12.14z\n2026-05-23;100;Bea Lund Moe;12.40\n"
    checked = take_in(text, "meets.csv", KNOWN)
    assert "'12.14z': 'z' is no unit" in reasons(checked)


# --- days of one text ------------------------------------------------------------------------------------------------

TWO_HANDS = (
    "19/03/2026 flying 20 m run-in 20 m\nAna Berg Holm 2.31, 2.29\n\n4/5/2026 flying 20 m run-in 20 m\n"
    "Bea Lund Moe 2.41, 2.44\n\n4/28/2026 30 m from blocks\nBea Lund Moe 4.61, 4.66\n"
)


def days_of(checked):
    return sorted({str(one) for (one,) in rows(checked, "rep", "session_date")})


def test_a_text_that_writes_days_in_two_ways_is_asked_for_those_that_can_be_read_both_ways():
    checked = take_in(TWO_HANDS, "texts.txt", KNOWN)
    [asked] = [one for one in checked.questions if one.ask == "date_order"]
    assert (asked.rows, "Other days here put the day first" in asked.sentence) == (2, True)
    assert days_of(checked) == ["2026-03-19", "2026-04-28"]
    assert lines_set_aside(checked) == [5]


@pytest.mark.parametrize(("order", "day_"), [("month", "2026-04-05"), ("day", "2026-05-04")])
def test_the_answer_is_for_the_open_days_alone(order, day_):
    checked = take_in(TWO_HANDS, "texts.txt", KNOWN, date_order=order)
    assert days_of(checked) == sorted(["2026-03-19", "2026-04-28", day_])
    assert checked.set_aside.height == 0


@pytest.mark.parametrize(
    ("text", "days"),
    [(TWO_HANDS.replace("19/03", "3/19"), ["2026-03-19", "2026-04-05", "2026-04-28"]),
     (TWO_HANDS.replace("4/28", "28/4"), ["2026-03-19", "2026-04-28", "2026-05-04"])],
)  # fmt: skip
def test_the_days_of_a_text_settle_each_other_where_they_agree(text, days):
    """Flying runs and runs from blocks are tables of their own: their days are looked at together all the same."""
    checked = take_in(text, "texts.txt", KNOWN)
    assert days_of(checked) == days
    assert "date_order" not in {one.ask for one in checked.questions}


def test_a_column_of_days_in_two_ways_keeps_those_that_are_sure_whatever_is_answered():
    text = "Date,Athlete,Sleep hours\n19/03/2026,Ana Berg Holm,8\n4/28/2026,Ana Berg Holm,7\n4/5/2026,Ana Berg Holm,6\n"
    assert lines_set_aside(take_in(text, "log.csv", KNOWN)) == [4]
    made = take_in(text, "log.csv", KNOWN, date_order="month")
    assert [str(one) for (one,) in rows(made, "checkin", "checked_on")] == ["2026-03-19", "2026-04-28", "2026-04-05"]


def test_a_file_settles_the_days_of_its_own_sheets_though_another_file_contradicts_it():
    def runs(title):
        return [[title], ["Name", "20 m"], ["Ana Berg Holm", 3.21]]

    given = {
        0: read_given("winter.xlsx", book(A=runs("blocks 3/28/2026"), B=runs("blocks 4/11/2026")), LayoutOptions()),
        1: read_given("gym.csv", b"Date,Athlete,Sleep hours\n19/02/2026,Ana Berg Holm,8\n", LayoutOptions()),
        2: read_given("late.csv", b"Date,Athlete,Sleep hours\n5/6/2026,Ana Berg Holm,8\n", LayoutOptions()),
    }
    made = settled(given, frozenset({"ana berg holm"}))
    assert [[sheet.options.date_order for sheet in made[n].laid] for n in range(3)] == [
        ["month", "month"], ["day"], [None],
    ]  # fmt: skip


# --- runs named by their start and their distance, over the number of each -------------------------------------------


def test_two_kinds_of_runs_over_their_numbers_are_runs_of_their_own():
    sheet = [["Thu 12 March 2026, gates at 15 yd and 40 yd"], [None, "Standing 15", None, "Standing 40", None],
             ["Name", "#1", "#2", "#1", "#2"], ["Ana Berg Holm", 2.61, 2.58, 5.6, 5.71],
             ["Bea Lund Moe", 2.7, None, 5.9, 5.8]]  # fmt: skip
    checked = take_in(book(March=sheet), "speed.xlsx", KNOWN)
    assert sorted(rows(checked, "split", "athlete_id", "rep_no", "distance_m", "elapsed_s")) == [
        ("ana-berg-holm", 1, 13.716, 2.61), ("ana-berg-holm", 2, 13.716, 2.58), ("ana-berg-holm", 3, 36.576, 5.6),
        ("ana-berg-holm", 4, 36.576, 5.71), ("bea-lund-moe", 1, 13.716, 2.7), ("bea-lund-moe", 2, 36.576, 5.9),
        ("bea-lund-moe", 3, 36.576, 5.8),
    ]  # fmt: skip
    assert set(rows(checked, "rep", "start_kind")) == {("standing",)}


def test_a_number_whose_unit_nothing_says_is_no_distance():
    sheet = [["Thu 12 March 2026"], [None, "Standing 15", None, "Standing 40", None],
             ["Name", "#1", "#2", "#1", "#2"], ["Ana Berg Holm", 2.61, 2.58, 5.6, 5.71],
             ["Bea Lund Moe", 2.7, None, 5.9, 5.8]]  # fmt: skip
    assert "split" not in take_in(book(March=sheet), "speed.xlsx", KNOWN).accepted


def test_distances_alone_over_the_numbers_of_runs_are_gates_of_those_runs_as_before():
    sheet = [["Thu 12 March 2026, blocks"], [None, "10 m", None, "20 m", None], ["Name", "#1", "#2", "#1", "#2"],
             ["Ana Berg Holm", 1.9, 1.91, 3.1, 3.12], ["Bea Lund Moe", 2.0, 1.99, 3.3, 3.31]]  # fmt: skip
    made = rows(take_in(book(March=sheet), "speed.xlsx", KNOWN), "split", "athlete_id", "rep_no", "distance_m")
    assert sorted(made)[:4] == [("ana-berg-holm", run, far) for run in (1, 2) for far in (10.0, 20.0)]
