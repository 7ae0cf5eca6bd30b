"""Sessions of one day told apart by 'AM' and 'PM', plans for everybody, and groups named by their events."""

import pytest

from pipelines.cells.events import group_of_events
from tests.intake import rows, take_in, workbook


@pytest.mark.parametrize(("head", "first", "second"), [
    ("AM/PM", "AM", "PM"), ("Session", "am", "pm"), ("Tageszeit", "Vormittag", "Abend"), ("Moment", "matin", "soir"),
])  # fmt: skip
def test_two_sessions_of_a_day_are_two_and_a_single_one_is_the_first(head, first, second):
    checked = take_in(
        f"Date,Athlete,{head},Minutes,RPE (0-10)\n2026-10-05,Ana Berg,{second},70,7\n2026-10-05,Ana Berg,{first},55,6\n"
        f"2026-10-05,Bea Lund,{second},60,5\n"
    )  # fmt: skip
    assert not checked.questions
    assert not checked.set_aside.height
    found = sorted(rows(checked, "session", "athlete_id", "session_no", "duration_min"))
    assert found == [("ana-berg", 1, 55), ("ana-berg", 2, 70), ("bea-lund", 1, 60)]


@pytest.mark.parametrize("cells", [("AM", "AM"), ("AM", "gym")])
def test_a_column_that_is_not_of_halves_of_days_numbers_nothing(cells):
    checked = take_in(
        f"Date,Athlete,When,Minutes,RPE (0-10)\n2026-10-05,Ana Berg,{cells[0]},70,7\n"
        f"2026-10-06,Ana Berg,{cells[1]},55,6\n"
    )  # fmt: skip
    assert rows(checked, "session", "session_no") == [(1,), (1,)]


def test_a_plan_for_all_is_everybodys_and_two_halves_of_a_day_are_two_sessions():
    checked = take_in(
        "Week commencing,Group,Session,Mon,Tue\n05/10/2026,All,AM,Gym 60 min,\n05/10/2026,All,PM,Starts 75 min,Tempo\n",
        "plan.csv",
    )  # fmt: skip
    assert not [one for one in checked.questions if one.ask == "who"]
    ana = [one[1:] for one in rows(checked, "plan", "athlete_id", "planned_on", "plan_no") if one[0] == "ana-berg"]
    assert [(str(day), number) for day, number in sorted(ana)] == [
        ("2026-10-05", 1), ("2026-10-05", 2), ("2026-10-06", 1),
    ]  # fmt: skip


def test_what_was_done_by_all_is_asked_and_so_is_a_plan_for_a_group_that_nobody_knows():
    done = take_in("Date,Group,Minutes,RPE (0-10)\n2026-10-05,All,70,7\n", "log.csv")
    assert [one.ask for one in done.questions] == ["who"]
    planned = take_in("Date,Group,Session,Minutes\n2026-10-05,Owls,Tempo,40\n", "plan.csv")
    assert "who" in [one.ask for one in planned.questions]


@pytest.mark.parametrize(("text", "group"), [
    ("100", "short_sprints"), ("60/100m", "short_sprints"), ("100 & 200", "short_sprints"),
    ("200, 400", "long_sprints"), ("110mH", "hurdles"), ("100H/400H", "hurdles"), ("LJ/TJ", "horizontal_jumps"),
    ("100/400", None), ("100/100H", None), ("800", None), ("100/LJ", None), ("talent", None), ("", None),
])  # fmt: skip
def test_events_name_a_group_where_all_of_them_are_of_one(text, group):
    assert group_of_events(text) == group


def test_the_event_of_a_person_on_a_roster_is_the_group_they_train_with():
    checked = take_in("First name,Last name,Sex,Event\nDora,Vale,F,100/200\nEmil,Roth,M,400\n", "roster.csv")
    assert rows(checked, "athlete", "event_group") == [("short_sprints",), ("long_sprints",)]
    assert not checked.questions
    races = take_in("Date,Athlete,Event,Time\n2026-10-05,Ana Berg,100,12.31\n", "meet.csv")
    assert rows(races, "race_result", "event") == [("100",)]


def test_blocks_with_a_bare_number_over_numbered_runs_are_starts_over_the_distance_a_title_names():
    sheet = workbook(
        ["BLOCKS 20/1/2026 indoors, beams at 10 m and 30 m"], [None, "Block 10", None, "Block 30", None],
        ["Name", "#1", "#2", "#1", "#2"], ["Ana Berg", 1.83, 1.84, 4.13, 4.18],
    )  # fmt: skip
    checked = take_in(sheet, "Block work.xlsx")
    assert rows(checked, "split", "distance_m", "elapsed_s") == [(10.0, 1.83), (10.0, 1.84), (30.0, 4.13), (30.0, 4.18)]
    assert set(rows(checked, "rep", "start_kind")) == {("blocks",)}
