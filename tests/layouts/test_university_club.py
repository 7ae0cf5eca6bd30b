"""What a university club's season brought up: each cause once, in small files of our own."""

import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.errors import NotUnderstood
from tests.intake import AS_OF, reasons, rows, take_in
from tests.layouts.test_found_by_strangers import book

PEOPLE = pl.DataFrame(
    {
        "athlete_id": ["ana-berg", "bea-lund", "cleo-dahl"],
        "display_name": ["Ana Berg", "Bea Lund", "Cleo Dahl"],
        "event_group": ["short_sprints", "long_sprints", "hurdles"],
    }
)
KNOWN = Known(PEOPLE, AS_OF)


# --- rows that are no headings, and headings that are nobody ---------------------------------------------------------


def test_a_row_of_words_is_no_title_where_each_row_begins_with_its_day():
    text = (
        "Sent on,Athlete,Session,RPE (0-10),Minutes\n9/11/2026 20:01,Ana Berg,gym,7,60\n"
        "11/11/2026 20:07,Bea Lund,tempo,6/10,75 min\n11/11/2026 21:00,Ana Berg,tempo,5,70\n"
        "13/11/2026 20:00,Cleo Dahl,gym,8,80\n13/11/2026 20:00,Ana Berg,gym,4,45\n"
    )
    checked = take_in(text, "effort.csv", KNOWN)
    assert checked.rows_read == 5
    assert sorted(rows(checked, "session", "athlete_id", "duration_min")) == [
        ("ana-berg", 45.0), ("ana-berg", 60.0), ("ana-berg", 70.0), ("bea-lund", 75.0), ("cleo-dahl", 80.0),
    ]  # fmt: skip


def test_a_line_with_a_day_is_still_the_title_of_the_names_below_it():
    text = "Name,Rep 1,Rep 2\n9 Nov 2026,120 m,by hand\nAna Berg,15.1,15.3\nBea Lund,16.0,16.2\n"
    text += "11 Nov 2026,120 m,by hand\nAna Berg,15.0,15.2\nBea Lund,16.1,16.1\n"
    checked = take_in(text, "reps.csv", KNOWN)
    assert checked.accepted["split"].height == 8


@pytest.mark.parametrize(("line", "people"), [("Visitors (Mondays and Fridays)", 3), ("Dora Stein", 4),
                                              ("Dora (guest)", 4)])  # fmt: skip
def test_words_with_a_remark_head_the_people_below_them_and_are_nobody(line, people):
    text = (
        "Name,Sex,Born,Group\nAna Berg,f,2003-04-01,sprints\nBea Lund,f,2002-05-02,400\n"
        f"{line},,,\nCleo Dahl,f,2004-06-03,hurdles\n"
    )
    checked = take_in(text, "list.csv", KNOWN)
    assert checked.accepted["athlete"].height == people
    assert ("a heading of the people below it" in reasons(checked, 4)) == (people == 3)


@pytest.mark.parametrize("line", ["JUNIORS", "U18s", "Visitors (Mondays and Fridays)"])
def test_a_further_heading_of_people_is_nobody_and_ends_the_sex_of_the_one_above(line):
    text = f"Name,Born,Group\nMEN,,\nAna Berg,2003-04-01,sprints\n{line},,\nBea Lund,2009-05-02,400\n"
    found = rows(take_in(text, "list.csv", KNOWN), "athlete", "athlete_id", "sex")
    assert found == [("ana-berg", "m"), ("bea-lund", None)]


# --- words -----------------------------------------------------------------------------------------------------------


def test_short_and_long_beside_each_other_are_groups_of_sprinters():
    text = "Name,Sex,Group\nAna Berg,f,Short\nBea Lund,f,Long\nCleo Dahl,f,Hurdles\n"
    made = rows(take_in(text, "list.csv", KNOWN), "athlete", "event_group", "squad")
    assert made == [("short_sprints", "Short"), ("long_sprints", "Long"), ("hurdles", "Hurdles")]


def test_long_alone_may_be_of_a_jump():
    checked = take_in("Name,Sex,Group\nAna Berg,f,Long\nBea Lund,f,Throws\n", "list.csv", KNOWN)
    assert "event_group" not in checked.accepted["athlete"].columns
    assert checked.accepted["athlete"].height == 2


@pytest.mark.parametrize("beside", [("", "", "DQ (T16.8)"), (",Notes", ",lane 5", "DQ (T16.8); lane 5")])
def test_a_race_ended_as_its_cell_says_with_the_reason_in_brackets(beside):
    head, cell, note = beside
    text = f"Date,Athlete,Event,Time{head}\n6/6/2026,Ana Berg,100 m,DQ (T16.8){cell}\n"
    text += f"13/6/2026,Ana Berg,100 m,12.10{cell}\n"
    checked = take_in(text, "races.csv", KNOWN)
    assert rows(checked, "race_result", "time_s", "race_outcome")[0] == (None, "disqualified")
    assert rows(checked, "race_result", "note")[0] == (note,)
    assert not checked.set_aside.height


def test_ground_contact_in_short_stands_beside_flight():
    text = "Date,Athlete,GC1 (ms),FT1 (ms),GC2 (ms),FT2 (ms)\n9/11/2026,Ana Berg,190,50,170,61\n"
    text += "13/11/2026,Bea Lund,200,52,171,60\n"
    made = sorted(rows(take_in(text, "steps.csv", KNOWN), "step", "step_no", "contact_s", "flight_s"))
    assert made == [(1, 0.19, 0.05), (1, 0.2, 0.052), (2, 0.17, 0.061), (2, 0.171, 0.06)]


# --- a plan by weeks -------------------------------------------------------------------------------------------------


def test_weeks_may_be_numbered_beside_their_days():
    grid = [
        ["400 group - training plan, May 2026"], ["Week", "w/c", "Mon", "Tue", "Wed", "Aim"],
        [1, "04/05", "Tempo 6x200", "Gym", "Off", "load"], [2, "11/05", "Hills 8x60", "Gym", None, "rest"],
    ]  # fmt: skip
    checked = take_in(book(Plan=grid), "plan.xlsx", KNOWN)
    assert {one.ask for one in checked.questions} <= {"who", "columns"}
    assert not [one for one in checked.questions if one.about in ("Week", "w/c", "Mon")]


def test_a_plan_whose_weeks_are_numbered_alone_has_no_days():
    grid = [["Week", "Mon", "Tue"], [1, "Tempo 6x200", "Gym"], [2, "Hills 8x60", "Gym"]]
    with pytest.raises(NotUnderstood):
        take_in(book(Plan=grid), "plan.xlsx", KNOWN)


# --- people and days over columns ------------------------------------------------------------------------------------

BLOCKS = [
    ["Lifting, autumn 2026. sets x reps @ kg"], [], ["Ana Berg", "29/10", "12/11"], ["Squat", "3x5 @ 80", "3x5 @ 85"],
    ["Bench", "3x3 @ 50", None], [], ["Bea Lund", "29/10", "12/11"], ["Squat", "4x4 @ 90", "4x3 @ 95"],
]  # fmt: skip


def test_people_over_their_own_days_are_a_block_each_and_no_headings():
    checked = take_in(book(Gym=BLOCKS), "gym.xlsx", KNOWN)
    made = checked.accepted["lift_set"].group_by("athlete_id", "session_date", "exercise", "load_kg").len()
    assert sorted((*one[:1], str(one[1]), *one[2:]) for one in made.rows()) == [
        ("ana-berg", "2026-10-29", "bench", 50.0, 3), ("ana-berg", "2026-10-29", "squat", 80.0, 3),
        ("ana-berg", "2026-11-12", "squat", 85.0, 3), ("bea-lund", "2026-10-29", "squat", 90.0, 4),
        ("bea-lund", "2026-11-12", "squat", 95.0, 4),
    ]  # fmt: skip
    assert {one.ask for one in checked.questions} <= {"families"}


def test_a_name_beside_two_days_is_a_row_where_no_sets_stand_below():
    text = "Name,From,To,Where\nAna Berg,3/11/2026,17/11/2026,calf\nBea Lund,2/11/2026,9/11/2026,shin\n"
    assert take_in(text, "injuries.csv", KNOWN).rows_read == 2


SEGMENTS = [["13/11/2026 blocks, segments in s"], ["Athlete", "Ana", "Bea"], ["0-5 m", 1.41, 1.5],
            ["5-10 m", 0.73, 0.8], ["10-20 m", 1.13, 1.25], ["RT", 0.151, 0.163]]  # fmt: skip


def test_stretches_below_each_other_are_one_run_of_each_person_over_them():
    checked = take_in(book(Starts=SEGMENTS), "starts.xlsx", KNOWN)
    assert sorted(rows(checked, "split", "athlete_id", "distance_m", "elapsed_s")) == [
        ("ana-berg", 5.0, 1.41), ("ana-berg", 10.0, 2.14), ("ana-berg", 20.0, 3.27), ("bea-lund", 5.0, 1.5),
        ("bea-lund", 10.0, 2.3), ("bea-lund", 20.0, 3.55),
    ]  # fmt: skip
    assert rows(checked, "rep", "reaction_s") == [(0.151,), (0.163,)]


def test_words_over_columns_that_are_nobody_are_not_turned():
    lines = [["9/11/2026 blocks"], ["Athlete", "Best", "Second"], ["Ana Berg", 1.41, 1.5], ["Bea Lund", 1.45, 1.55]]
    checked = take_in(book(Starts=lines), "starts.xlsx", KNOWN)
    assert "split" not in checked.accepted


def test_a_unit_beside_the_tests_is_nobody():
    lines = [
        ["Testing 13/11/2026"], ["Test", "Unit", "Ana", "Bea"], ["Body mass", "kg", 61.2, 58.4],
        ["CMJ, hands on hips", "cm", 38.5, 36.1], ["30 m standing, gates", "s", 4.41, 4.5],
        ["5 bounds", "m", 12.1, 11.8],
    ]  # fmt: skip
    checked = take_in(book(Tests=lines), "tests.xlsx", KNOWN)
    assert rows(checked, "body_measure", "athlete_id", "body_mass_kg") == [("ana-berg", 61.2), ("bea-lund", 58.4)]
    assert rows(checked, "jump_test", "test", "jump_height_m") == [
        ("countermovement", 0.385),
        ("countermovement", 0.361),
    ]
    assert rows(checked, "rep", "start_kind", "timing_kind") == [("standing", "electronic")] * 2
    assert {one.about for one in checked.questions if one.ask == "columns"} == {"5 bounds (m)"}


@pytest.mark.parametrize("head", ["CMJ try 1 (cm)", "CMJ best (cm)", "CMJ 1 (cm)", "CMJ no arms (cm)"])
def test_a_try_is_of_its_test(head):
    checked = take_in(f"Date,Name,{head}\n9/11/2026,Ana Berg,38.5\n13/11/2026,Bea Lund,36\n", "jumps.csv", KNOWN)
    assert rows(checked, "jump_test", "test", "jump_height_m") == [
        ("countermovement", 0.385),
        ("countermovement", 0.36),
    ]


@pytest.mark.parametrize("head", ["CMJ average (cm)", "CMJ drop best of (cm)"])
def test_another_word_beside_a_test_is_none_of_ours(head):
    checked = take_in(f"Date,Name,{head}\n9/11/2026,Ana Berg,38.5\n13/11/2026,Bea Lund,36\n", "jumps.csv", KNOWN)
    assert "jump_test" not in checked.accepted


def test_a_title_of_weigh_ins_says_what_stands_below_the_days():
    text = "Weigh-ins (kg), mornings\nAthlete,9/11/2026,16/11/2026\nAna Berg,61.2,61.4\nBea Lund,58,58.3\n"
    made = rows(take_in(text, "club.csv", KNOWN), "body_measure", "body_mass_kg")
    assert made == [(61.2,), (61.4,), (58.0,), (58.3,)]


# --- texts -----------------------------------------------------------------------------------------------------------

PASTED = """Lake Indoor Open, Saturday 14th November 2026

60m Women
2. Ana Berg (Northbridge)  7.91  h2
5. Bea Lund (Northbridge)  DNF

Women's 60m Hurdles - Final
1  Cleo Dahl, Northbridge  8.84 PB

River Games, Sunday 15th November 2026
200 m women, heat 1 (wind: +1.4)
3. Ana Berg (Northbridge)  25.61 q
"""


OF_A_DAY = """Harbour Classic, Sat 14 November 2026
200m h1: Ana 25.91 (+0.4) 2nd Q
200m final: Ana 25.84 (+1.1) 3rd
60m hurdles: Cleo Dahl 8.84 PB
60m: Bea DNS (shin)
"""


def test_a_line_may_say_its_event_and_a_known_first_name():
    found = rows(take_in(OF_A_DAY, "races.txt", KNOWN), "race_result", "athlete_id", "event", "round", "place",
                 "time_s", "race_outcome", "wind_ms")  # fmt: skip
    assert sorted(found, key=str) == [
        ("ana-berg", "200", "final", 3, 25.84, None, 1.1), ("ana-berg", "200", "h1", 2, 25.91, None, 0.4),
        ("bea-lund", "60", "unknown", None, None, "not_started", None),
        ("cleo-dahl", "60h", "unknown", None, 8.84, None, None),
    ]  # fmt: skip


def test_results_pasted_as_text_are_of_the_event_and_the_day_above_them():
    checked = take_in(PASTED, "copied.txt", KNOWN)
    made = sorted(
        rows(checked, "race_result", "athlete_id", "event", "round", "place", "time_s", "race_outcome", "wind_ms")
    )
    assert made == [
        ("ana-berg", "200", "heat 1", 3, 25.61, None, 1.4), ("ana-berg", "60", "h2", 2, 7.91, None, None),
        ("bea-lund", "60", "unknown", 5, None, "not_finished", None), 
        ("cleo-dahl", "60h", "final", 1, 8.84, None, None),
    ]  # fmt: skip
    assert {str(one) for (one,) in rows(checked, "race_result", "raced_on")} == {"2026-11-14", "2026-11-15"}


def test_a_line_of_results_that_is_not_understood_waits():
    text = PASTED + "4. Bea Lund 26.10 and then fell over at 26.20\n"
    checked = take_in(text, "copied.txt", KNOWN)
    assert checked.accepted["race_result"].height == 4
    assert "what its columns hold is not said yet" in reasons(checked, 13)


@pytest.mark.parametrize("text", [
    "Tue 3 Nov 2026\n30 m blocks\nAna 4.35, 4.31\nBea 4.50\n",  # runs of a training
    "14 November 2026\nAna Berg ran 7.91 in the 60 m and was happy\nBea Lund 8.10 only, tired\n",
])  # fmt: skip
def test_notes_of_a_training_are_no_results(text):
    assert "race_result" not in take_in(text, "notes.txt", KNOWN).accepted


NOTES = """Tue 10/11/2026
Blocks 30s, hand
Ana: 4.4, 4.3
Bea (visitor): 4.6, 4.5
Fri 13/11/2026
Gym. Ana squat 4x4 @ 85 kg, RPE 7, 70 min
Bea squat 4x5 @ 75 kg; 65 min, RPE 6
"""


def test_runs_are_over_the_metres_that_a_line_of_a_start_counts_in_the_plural():
    checked = take_in(NOTES, "phone.txt", KNOWN)
    assert rows(checked, "split", "athlete_id", "distance_m", "elapsed_s") == [
        ("ana-berg", 30.0, 4.4), ("ana-berg", 30.0, 4.3), ("bea-lund", 30.0, 4.6), ("bea-lund", 30.0, 4.5),
    ]  # fmt: skip
    assert set(rows(checked, "rep", "start_kind", "timing_kind")) == {("blocks", "hand")}


def test_minutes_and_effort_behind_the_sets_are_of_the_session():
    checked = take_in(NOTES, "phone.txt", KNOWN)
    told = [one for one in rows(checked, "session", "athlete_id", "duration_min", "effort_0_10") if one[1]]
    assert told == [("ana-berg", 70.0, 7.0), ("bea-lund", 65.0, 6.0)]
    assert rows(checked, "lift_set", "athlete_id", "load_kg")[::4][:2] == [("ana-berg", 85.0), ("bea-lund", 75.0)]


def test_seconds_of_rest_are_no_metres():
    text = "Tue 10/11/2026\nBlocks, 60s rest, hand\nAna: 4.4, 4.3\nBea: 4.6, 4.5\n"
    assert "split" not in take_in(text, "phone.txt", KNOWN).accepted
