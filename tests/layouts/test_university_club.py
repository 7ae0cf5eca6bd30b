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
