"""Shapes of sheets: wide and long, in four languages; each file is named by what is odd in it."""

import pytest

from schemas.outcome_words import ENDED_RACE
from tests.intake import lines_set_aside, reasons, rows, take_in


def test_wide_splits_with_title_mean_line_pounds_and_decimal_commas():
    checked = take_in(
        "Sprinttest Halle\n\nName;Datum;Gewicht (lb);10m;t 20 m (s);30 m\n"
        "Berg, Ana;13.3.26;130;1,80;2,90;3,90\n"
        "Bea Lund;13.3.26;;1,85;3,00;-\n"
        "Mittelwert;;;1,83;2,95;3,90\n",
        "wide_german_with_mean.csv",
    )
    assert rows(checked, "split", "athlete_id", "rep_no", "distance_m", "elapsed_s") == [
        ("ana-berg", 1, 10.0, 1.8), ("bea-lund", 1, 10.0, 1.85), ("ana-berg", 1, 20.0, 2.9), ("bea-lund", 1, 20.0, 3.0),
        ("ana-berg", 1, 30.0, 3.9),
    ]  # fmt: skip
    # 130 lb * 0.45359237 kg/lb = 58.967 kg (international pound, 1959; from memory)
    assert [round(mass, 3) for (mass,) in rows(checked, "body_measure", "body_mass_kg")] == [58.967]
    assert lines_set_aside(checked) == [6]
    assert "mean or total" in reasons(checked, 6)


def test_times_for_each_stretch_are_told_from_the_data_and_summed():
    checked = take_in("Name,Date,10m,20m,30m\nAna Berg,2026-03-03,1.80,1.10,1.00\n", "wide_per_stretch.csv")
    # 1.80, 1.80 + 1.10 = 2.90, 2.90 + 1.00 = 3.90
    assert rows(checked, "split", "distance_m", "elapsed_s") == [(10.0, 1.8), (20.0, 2.9), (30.0, 3.9)]
    assert "for each stretch" in checked.notes[0]


def test_times_that_fit_both_readings_are_a_question():
    text = "Name,Date,10m,100m\nAna Berg,2026-03-03,2.0,12.0\n"
    # since the start: 90 m in 10.0 s = 9 m/s; for the stretch: 90 m in 12.0 s = 7.5 m/s: both possible
    checked = take_in(text, "wide_unclear.csv")
    assert lines_set_aside(checked) == [2]
    assert "--split-times cumulative or --split-times segment" in reasons(checked)
    assert rows(take_in(text, split_times="cumulative"), "split", "elapsed_s") == [(2.0,), (12.0,)]
    assert rows(take_in(text, split_times="segment"), "split", "elapsed_s") == [(2.0,), (14.0,)]


def test_a_missing_stretch_leaves_no_time_since_the_start_after_it():
    checked = take_in("Name,Date,10m,20m,30m\nAna Berg,2026-03-03,1.8,1.1,1.0\nBea Lund,2026-03-03,1.8,,1.0\n")
    assert lines_set_aside(checked) == [3]
    assert "stretch before it is missing" in reasons(checked, 3)


def test_stretches_named_in_the_headers_are_summed():
    checked = take_in("Name,Date,0-10m,10-20m,20-30m\nAna Berg,2026-03-03,1.80,1.10,1.00\n", "wide_named_stretches.csv")
    assert rows(checked, "split", "distance_m", "elapsed_s") == [(10.0, 1.8), (20.0, 2.9), (30.0, 3.9)]


def test_times_without_a_unit_that_can_only_be_milliseconds():
    checked = take_in("Athlete,Date,10m,20m\nAna Berg,2026-03-03,1800,2900\n", "wide_milliseconds.csv")
    assert rows(checked, "split", "elapsed_s") == [(1.8,), (2.9,)]
    assert "millisecond" in checked.notes[0]


def test_a_long_sheet_without_run_numbers_begins_a_run_where_distance_falls():
    checked = take_in(
        "Athlète;Date;Distance (m);Temps (s)\n"
        "Ana Berg;15/03/2026;10;1,80\nAna Berg;15/03/2026;20;2,90\nAna Berg;15/03/2026;10;1,82\n",
        "long_french.csv",
    )
    assert rows(checked, "split", "rep_no", "distance_m") == [(1, 10.0), (1, 20.0), (2, 10.0)]


def test_a_wide_step_sheet_fills_steps_runs_and_sessions():
    checked = take_in(
        "Athlete,Date,Run,contact 1 (ms),flight 1 (ms),length 1,contact 2 (ms),Frame rate,Start\n"
        "Ana Berg,2026-03-03,2,190,50,1.02,170,240,block start\n",
        "wide_steps.csv",
    )
    assert rows(checked, "step", "rep_no", "step_no", "contact_s", "flight_s", "step_length_m", "frame_rate_hz") == [
        (2, 1, 0.19, 0.05, 1.02, 240.0), (2, 2, 0.17, None, None, 240.0),
    ]  # fmt: skip
    assert rows(checked, "rep", "rep_no", "start_kind") == [(2, "blocks")]
    assert checked.accepted["session"].height == 1


def test_frame_numbers_become_times():
    checked = take_in(
        "Atleta;Fecha;Rep;Paso;contact frame;toe off frame;fps\n"
        "Ana Berg;2026-03-03;1;1;100;146;240\nAna Berg;2026-03-03;1;2;160;200;240\n",
        "long_steps_by_frame.csv",
    )
    # (146 - 100) / 240 = 0.191667; (160 - 146) / 240 = 0.058333; (200 - 160) / 240 = 0.166667
    got = rows(checked, "step", "contact_s", "flight_s")
    assert [(round(c, 6), f and round(f, 6)) for c, f in got] == [(0.191667, 0.058333), (0.166667, None)]


def test_frame_numbers_without_a_frame_rate_are_set_aside():
    checked = take_in("Athlete,Date,Rep,Step,contact frame,toe off frame\nAna Berg,2026-03-03,1,1,100,146\n")
    assert "frame rate" in reasons(checked, 2)


def test_a_gym_log_in_one_cell_is_numbered_on_through_its_rows():
    checked = take_in(
        "Athlete,Date,Exercise,Sets x reps\nAna Berg,2026-03-03,Back squat,2x5 @ 220 lb\n"
        "Ana Berg,2026-03-03,Back squat,1x3 @ 105\nAna Berg,2026-03-03,Hip thrust,3xfive\n",
        "gym_one_cell.csv",
        units={"Sets x reps": "kg"},  # of the cells without a unit: beside pounds they are asked
    )
    # 220 lb * 0.45359237 = 99.79 kg
    got = rows(checked, "lift_set", "exercise", "set_no", "reps", "load_kg")
    assert [(e, n, r, round(load, 2)) for e, n, r, load in got] == [
        ("back_squat", 1, 5, 99.79), ("back_squat", 2, 5, 99.79), ("back_squat", 3, 3, 105.0),
    ]  # fmt: skip
    assert lines_set_aside(checked) == [4]


def test_a_gym_log_by_number_of_sets_and_by_set_columns():
    by_count = take_in("Athlete,Date,Exercise,Sets,Reps,Load\nAna Berg,2026-03-03,Squat,3,5,100\n", "gym_counts.csv")
    by_set = take_in(
        "Athlete,Date,Exercise,Set 1,Set 2,Set 3\nAna Berg,2026-03-03,Squat,5x100,5x100,5x100\n", "gym_sets.csv"
    )
    columns = ("set_no", "reps", "load_kg")
    assert (
        rows(by_count, "lift_set", *columns) == rows(by_set, "lift_set", *columns) == [(n, 5, 100.0) for n in (1, 2, 3)]
    )


@pytest.mark.parametrize("header", ["Sets", "Sätze", "Week 3 plan", "Sets x reps"])
def test_a_column_of_sets_is_known_by_its_cells(header):
    checked = take_in(
        f"Name,Date,Exercise,{header}\nAna Berg,2026-03-03,squat,2x5 @ 100 kg\nAna Berg,2026-03-03,dip,3x8\n"
    )
    assert sorted(rows(checked, "lift_set", "exercise", "reps", "load_kg")) == [
        *[("dip", 8, None)] * 3, *[("squat", 5, 100.0)] * 2,
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "Name,Date,Exercise,Sets\nAna Berg,2026-03-03,pull-up,2x8 @ bodyweight\n"
        "Ana Berg,2026-03-03,dip,1x6 @ BW + 10 kg\n",
        "Name,Date,Exercise,Set 1,Set 2\nAna Berg,2026-03-03,pull-up,8 x BW,8 x bw\n"
        "Ana Berg,2026-03-03,dip,6 @ BW+10kg,\n",
        "Name,Date,Exercise,Set,Reps,Load (kg)\nAna Berg,2026-03-03,pull-up,1,8,BW\nAna Berg,2026-03-03,pull-up,2,8,0\n"
        "Ana Berg,2026-03-03,dip,1,6,BW + 10\n",
        "Name,Date,Exercise,Set,Reps,Load (lb)\nAna Berg,2026-03-03,pull-up,1,8,Körpergewicht\n"
        "Ana Berg,2026-03-03,pull-up,2,8,BW\nAna Berg,2026-03-03,dip,1,6,BW + 10 kg\n",
    ],
)
def test_body_weight_is_no_load_besides_the_body(text):
    checked = take_in(text)
    assert checked.set_aside.is_empty()
    assert sorted(rows(checked, "lift_set", "exercise", "reps", "load_kg")) == [
        ("dip", 6, 10.0), ("pull_up", 8, 0.0), ("pull_up", 8, 0.0),
    ]  # fmt: skip


def test_equal_sets_without_numbers_are_sets_not_repeats():
    checked = take_in("Athlete,Date,Exercise,Reps,Load\n" + "Ana Berg,2026-03-03,Squat,5,100\n" * 3)
    assert rows(checked, "lift_set", "set_no") == [(1,), (2,), (3,)]


def test_a_checkin_form_with_questions_for_headers():
    checked = take_in(
        "Timestamp,Your name,How many hours of sleep did you get?,Sleep quality (1-5),How sore are your muscles?,Mood,"
        "Left hamstring tightness (0-10),Are you ill?\n"
        "18/11/2026 07:12:33,bea lünd,7:30,4,3,5,2,no\n",
        "form_export.csv",
        scales={"How sore are your muscles?": "1 to 5, 5 is good", "Mood": "1 to 5, 5 is good"},
    )
    columns = ("athlete_id", "sleep_h", "sleep_quality", "soreness", "mood", "hamstring_tightness_l", "ill")
    assert rows(checked, "checkin", *columns) == [("bea-lund", 7.5, 4, 3, 5, 2, False)]


def test_first_and_last_name_in_two_columns_make_a_roster():
    checked = take_in(
        "Vorname;Nachname;Geschlecht;Geburtsdatum\nDora;Weiß;w;24.12.2004\nAna;Berg;w;1.2.2003\n", "roster.csv"
    )
    assert rows(checked, "athlete", "athlete_id", "display_name", "sex") == [
        ("dora-weiss", "Dora Weiß", "f"), ("ana-berg", "Ana Berg", "f"),
    ]  # fmt: skip


def test_the_day_may_stand_in_the_files_name():
    checked = take_in("Name,10m,20m\nAna Berg,1.80,2.90\n", "sprints 2026-03-03.csv")
    assert str(rows(checked, "session", "session_date")[0][0]) == "2026-03-03"


def test_comment_lines_and_a_second_header_are_named():
    checked = take_in(
        "Name,Date,10m,20m\nAna Berg,2026-03-03,1.80,2.90\n# after the rain,,,\n"
        "Name,Date,10m,20m\nBea Lund,2026-03-03,1.9,3.0\n"
    )
    assert "comment" in reasons(checked, 3)
    assert "header stands here once more" in reasons(checked, 4)
    assert checked.accepted["rep"].height == 2


def test_an_exported_table_with_its_provenance_loads_back():
    checked = take_in(
        "athlete_id,measured_on,body_mass_kg,load_no,source_sha256,source_name,source_sheet,source_line,entered_at\n"
        "ana-berg,2026-03-03,60.5,3,abc,x.csv,,2,2026-03-03T10:00:00\n"
    )
    assert rows(checked, "body_measure", "athlete_id", "body_mass_kg") == [("ana-berg", 60.5)]


def test_race_results_with_units_in_the_cells():
    checked = take_in(
        "Athlete,Date,Event,Round,Time,Wind\nAna Berg,2026-06-20,100 m,Final,11.82 s,+0.8\n"
        "Bea Lund,2026-06-20,400 m,Heat 2,1:02.35,\n"
        "Ana Berg,2026-06-21,100 mH,Final,DNF,0.1\n"
        "Bea Lund,2026-06-22,200,Final,DNS,\nBea Lund,2026-06-23,200,Final,DQ,\n"
    )
    assert rows(checked, "race_result", "event", "round", "time_s", "wind_ms", "race_outcome") == [
        ("100", "final", 11.82, 0.8, None), ("400", "heat 2", 62.35, None, None),
        ("100h", "final", None, 0.1, "not_finished"), ("200", "final", None, None, "not_started"),
        ("200", "final", None, None, "disqualified"),
    ]  # fmt: skip


@pytest.mark.parametrize("text", ENDED_RACE)
def test_how_a_race_ended_reads_alike_in_its_own_column_and_in_place_of_the_time(text):
    told = ENDED_RACE[text]
    beside = take_in(f"Athlete,Date,Event,Time,Outcome\nAna Berg,2026-06-20,100,,{text.upper()}\n")
    instead = take_in(
        f"Athlete,Date,Event,Time\nAna Berg,2026-06-20,100,{text.title()}\nBea Lund,2026-06-20,100,11.9\n"
    )
    assert rows(beside, "race_result", "athlete_id", "time_s", "race_outcome") == [("ana-berg", None, told)]
    assert rows(instead, "race_result", "athlete_id", "time_s", "race_outcome") == [
        ("ana-berg", None, told), ("bea-lund", 11.9, None),
    ]  # fmt: skip
    assert not lines_set_aside(beside)
    assert not lines_set_aside(instead)


def test_a_table_of_words_headed_by_own_names_is_one_table():
    # a drill's cue speaks of steps, pushes and days: such a row was taken for the header of another table
    text = (
        "drill,limit,cue,why\nfalling_start,push_cut_short,push long,the fall sets the angle\n"
        "sled_three_steps,push_cut_short,each step as long as the leg,time to finish the push\n"
        "stiff_hops,ankle_gives,contact time short,flight time grows\n"
    )
    assert rows(take_in(text, "drills.csv"), "drill", "drill") == [
        ("falling_start",), ("sled_three_steps",), ("stiff_hops",),
    ]  # fmt: skip
