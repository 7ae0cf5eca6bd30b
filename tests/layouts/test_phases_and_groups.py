"""Phases of a season, exercises over their sets, races a line each, and who is meant where only a tab says it."""

import datetime as dt

import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.layouts import plain_tables
from pipelines.readers import read_tables
from tests.intake import AS_OF, ROSTER, rows, take_in, workbook

SEASON = [("general_preparation", "2026-09-14", "2026-11-08"), ("special_preparation", "2026-11-09", "2027-01-03"),
          ("competition", "2027-01-04", "2027-01-24")]  # fmt: skip


@pytest.mark.parametrize("text", [
    "Phase,From,Till\nGeneral preparation,14/09/2026,08/11/2026\nSpecific prep,09/11/2026,03/01/2027\n"
    "Competition,04/01/2027,24/01/2027\n",
    "Fase;Desde;Hasta;Aim\nPreparación general;14/09/2026;08/11/2026;\nPreparación específica;09/11/2026;03/01/2027;\n"
    "Competición;04/01/2027;24/01/2027;speed\n",
    "Phase,Dates\nGPP,14 Sep 2026 - 8 Nov 2026\nSPP,9 Nov 2026 – 3 Jan 2027\nCompetition phase,4 Jan 2027 to 24"
    " Jan 2027\n",
    "Phase,Weeks,Year\nGPP,38-45,2026\nSPP,46-53,2026\nCompetition,1-3,2027\n",
    "Season phases 2026/27,,,\n,GPP,SPP,Competition\nStart,2026-09-14,2026-11-09,2027-01-04\n"
    "End,2026-11-08,2027-01-03,2027-01-24\n",
])  # fmt: skip
def test_phases_of_a_season_are_of_whom_is_answered(text):
    asked = take_in(text, "season.csv")
    assert [(one.ask, one.answers[0][0]) for one in asked.questions] == [("who", "everybody")]
    [layout] = {one.layout for one in asked.questions}
    found = rows(take_in(text, "season.csv", layouts={layout: {"who": "everybody"}}), "season_phase", "athlete_id",
                 "phase", "from_on", "until_on")  # fmt: skip
    assert len(found) == len(ROSTER) * len(SEASON)
    assert [(phase, str(begin), str(end)) for who, phase, begin, end in found if who == "ana-berg"] == SEASON


def test_phases_are_told_line_by_line_and_words_of_another_thing_are_none():
    text = "Season 2026/27\nGPP: 14 September 2026 to 8 November 2026\nSPP: 9 Nov 2026 - 3 Jan 2027\n"
    [table] = [one for read in read_tables("s.txt", text.encode()) for one in plain_tables(read)]
    assert table.header == ["phase", "from_on", "until_on"]
    assert table.rows["c2"].to_list() == ["8 November 2026", "3 Jan 2027"]
    found = take_in("Name,Kind,Date\nAna Berg,Competition,2026-05-02\nAna Berg,Rest,2026-05-03\n")
    assert "season_phase" not in found.accepted or found.accepted["season_phase"].is_empty()


GROUPS = "Date,Athlete,sets,reps,kg,sets,reps,kg\n2026-10-13,Ana Berg,2,5,90,1,6,85\n2026-10-13,Béa Lünd,1,3,70,,,\n"


@pytest.mark.parametrize("text", [
    f",,Sentadilla,,,Zweifelshebel,,\n{GROUPS}",
    "Date,Athlete,Sets,Reps,kg\nSquat,,,,\n2026-10-13,Ana Berg,2,5,90\n2026-10-13,Béa Lünd,1,3,70\nHip thrust,,,,\n"
    "2026-10-13,Ana Berg,1,6,85\n",
])  # fmt: skip
def test_an_exercise_over_or_above_its_sets_is_theirs(text):
    found = rows(take_in(text, "gym.csv"), "lift_set", "athlete_id", "exercise", "reps", "load_kg")
    first, second = {exercise for _, exercise, reps, _ in found if reps == 5}, {e for _, e, r, _ in found if r == 6}
    assert len(first) == len(second) == 1
    assert first != second
    assert sorted((who, reps, load) for who, _, reps, load in found) == [
        ("ana-berg", 5, 90.0), ("ana-berg", 5, 90.0), ("ana-berg", 6, 85.0), ("bea-lund", 3, 70.0),
    ]  # fmt: skip


@pytest.mark.parametrize("text", [
    "13 June 2026  Ana Berg  100 m  11.94 (+1.2)  2.\n14 June 2026  Béa Lünd  100 m  DNS\n",
    "[13/06/2026, 15:02:11] Ana Berg: 100m 11.94 +1.2, 2nd\n[14/06/2026, 15:30:55] Béa Lünd: 100m DNS, calf tight\n",
    "13/06/2026\n100 m Ana Berg 11.94 (+1.2) 2.\n14/06/2026\n100 m Béa Lünd DNS\n",
])  # fmt: skip
def test_a_race_a_line_is_a_race_and_no_run_of_training(text):
    checked = take_in(text, "races.txt")
    found = rows(
        checked, "race_result", "athlete_id", "raced_on", "event", "time_s", "wind_ms", "place", "race_outcome"
    )
    assert found == [("ana-berg", dt.date(2026, 6, 13), "100", 11.94, 1.2, 2, None),
                     ("bea-lund", dt.date(2026, 6, 14), "100", None, None, None, "not_started")]  # fmt: skip
    assert not checked.questions


def test_runs_a_line_without_anything_of_a_race_stay_runs():
    checked = take_in("13/06/2026 Ana Berg 60m 7.94\n13/06/2026 Béa Lünd 60m 8.01\n", "times.txt")
    assert rows(checked, "split", "elapsed_s") == [(7.94,), (8.01,)]


def test_runs_are_read_from_notes_that_mostly_speak_of_other_things_and_the_rest_waits():
    first = "Tuesday 10 March 2026, track, cold and wet\n\nAna Berg 2x30m blocks 4.31 4.28\nBéa 30m 4.51\n"
    checked = take_in(f"{first}All good otherwise\nBus leaves early\nwe talked about the trials\nCoffee\n", "n.txt")
    assert rows(checked, "split", "athlete_id", "elapsed_s") == [
        ("ana-berg", 4.31), ("ana-berg", 4.28), ("bea-lund", 4.51)
    ]  # fmt: skip
    assert checked.set_aside["source_line"].unique().sort().to_list() == [5, 6, 7, 8]


def test_a_name_is_carried_down_over_a_day_on_which_its_person_was_not_there():
    told = "Ana Berg,2026-10-13,8\n,2026-10-14,\n,2026-10-15,7\nBéa Lünd,2026-10-13,6\n,2026-10-14,9\n"
    found = rows(take_in(f"Athlete,Date,Sleep (h)\n{told}"), "checkin", "athlete_id", "checked_on", "sleep_h")
    assert [(who, day.day, hours) for who, day, hours in found] == [
        ("ana-berg", 13, 8.0), ("ana-berg", 15, 7.0), ("bea-lund", 13, 6.0), ("bea-lund", 14, 9.0)
    ]  # fmt: skip


def test_the_kind_beside_the_day_of_a_title_is_the_session_s_and_a_day_is_no_end_of_a_scale():
    title = "Tuesday 13 October 2026 - Max velocity"
    found = rows(take_in(workbook([title], ["Athlete", "Minutes"], ["Ana Berg", 75]), "x.xlsx"), "session", "kind")
    assert found == [("top_speed",)]
    week = workbook(["Week of 12 October 2026"], ["", "Tue 13/10", ""], ["Athlete", "min", "RPE"], ["Ana Berg", 75, 3])
    assert "scales" in [one.ask for one in take_in(week, "week.xlsx").questions]


def test_what_was_done_is_the_kind_where_every_cell_is_one():
    text = "Day,Who,What,min\n2026-10-13,Ana Berg,Gym,90\n2026-10-14,Ana Berg,Resistenza alla velocità,60\n"
    assert rows(take_in(text), "session", "kind") == [("strength",), ("speed_endurance",)]


@pytest.mark.parametrize("more", [",Session\n{},Gym\n{},Tempo\n{},Tempo\n", ",Minutes\n{},60\n{},50\n{},40\n"])
def test_a_log_that_says_the_phase_of_each_day_is_no_list_of_phases(more):
    days = [f"2026-10-0{n},Ana Berg,{phase}" for n, phase in ((3, "GPP"), (4, "SPP"), (5, "SPP"))]
    checked = take_in("Date,Athlete,Phase" + more.format(*days), "log.csv")
    assert checked.accepted["session"].height == len(days)
    assert "season_phase" not in checked.accepted


@pytest.mark.parametrize("corner", ["WEEK {}", "", "Day"])
def test_a_plan_with_groups_over_its_weeks_loses_no_day_of_any(corner):
    week = "{};Group A;Group B\nMon {}/3;block starts;3x150 m\nSun {}/3;rest;easy run\n"
    text = "Plan March 2026;;\n\n" + "\n;;\n".join(week.format(corner.format(n), n, n + 6) for n in (2, 9))
    people = pl.DataFrame({"athlete_id": list(ROSTER), "display_name": list(ROSTER.values()), "squad": ["A", "B", "B"]})
    plan = rows(take_in(text, "plan.csv", Known(people, AS_OF)), "plan", "athlete_id", "planned_on", "note", "kind")
    said = {(who, on.day): note or kind for who, on, note, kind in plan}
    assert said == {
        (who, day): word
        for who, words in (("ana-berg", ("acceleration", "recovery")), ("bea-lund", ("3x150 m", "easy run")),
                           ("cleo-dahl-frost", ("3x150 m", "easy run")))
        for day, word in ((2, words[0]), (8, words[1]), (9, words[0]), (15, words[1]))
    }  # fmt: skip
