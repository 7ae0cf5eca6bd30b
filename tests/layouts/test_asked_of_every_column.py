"""What is not understood is asked with its true meaning among the choices, and the answer is obeyed or said why not."""

import datetime as dt

import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.errors import NotUnderstood
from pipelines.layouts import lay_out, plain_tables
from pipelines.readers import read_tables
from tests.intake import AS_OF, rows, take_in

PEOPLE = pl.DataFrame(
    {"athlete_id": ["ana-berg", "bea-lund", "rio-o-hara"], "display_name": ["Ana Berg", "Bea Lund", "Rio O'Hara"]}
)
KNOWN = Known(PEOPLE, AS_OF)
HURT = "Date,Who,What,Side,Zork\n2026-11-03,Ana Berg,ankle sprain,L,9\n2026-11-05,Bea Lund,hammy tight,R,4\n"


def asked_of(checked):
    return {one.about: [answer for answer, _ in one.answers] for one in checked.questions if one.ask == "columns"}


def test_every_filled_column_of_a_sheet_not_understood_is_asked_about():
    asked = asked_of(take_in(HURT, "x.csv"))
    assert set(asked) == {"What", "Zork"}  # 'Side' says which side of what the others turn out to be
    assert asked["What"][0] == "injury.site"


@pytest.mark.parametrize("answer", ["injury.site", "injury.kind"])
def test_an_injury_that_was_answered_is_stored_with_its_side_and_words(answer):
    checked = take_in(HURT, "x.csv", columns={"What": answer, "Zork": "other_measure"})
    assert rows(checked, "injury", "site", "side", "kind") == [
        ("ankle", "l", "ankle sprain"), ("hamstring", "r", "hammy tight"),
    ]  # fmt: skip
    assert rows(checked, "other_measure", "what", "value") == [("Zork", 9.0), ("Zork", 4.0)]


def test_a_column_named_injury_beside_a_day_is_an_injury_and_no_kind_of_session():
    checked = take_in("Date,Athlete,Injury,Side\n2026-11-03,Ana Berg,calf strain,left\n", "x.csv")
    assert rows(checked, "injury", "site", "side") == [("calf", "l")]
    assert "session" not in checked.accepted


def test_remarks_about_a_muscle_are_no_injuries():
    text = "Date,Athlete,What\n2026-11-03,Ana Berg,a tight hamstring after the long bus ride\n"
    checked = take_in(text * 1 + "2026-11-04,Bea Lund,the calf felt a bit odd in the warm up\n", "x.csv")
    assert "injury.site" not in {answer for some in asked_of(checked).values() for answer in some}
    assert "injury" not in checked.accepted


def test_what_a_table_needs_besides_is_said_where_an_answer_cannot_be_obeyed():
    text = "Date,Athlete,Zork\n2026-11-03,Ana Berg,100\n2026-11-03,Bea Lund,80\n"
    checked = take_in(text, "x.csv", columns={"Zork": "lift_set.load_kg"})
    [asked] = [one for one in checked.questions if one.ask == "columns"]
    assert "also need reps, exercise" in asked.sentence or "also need exercise, reps" in asked.sentence


FORCES = "Date,Athlete,Left 1,Left 2,Right 1,Right 2\n2026-11-03,Ana Berg,282,268,284,281\n"


def test_a_test_is_answered_as_a_heading_would_say_it_and_each_side_is_kept():
    more = FORCES + "2026-11-03,Bea Lund,350,373,351,361\n"
    asked = asked_of(take_in(more, "x.csv"))
    assert asked["Left 2"][1] == "eccentric hamstring l 2 (N)"
    checked = take_in(more, "x.csv", columns={name: some[1] for name, some in asked.items()})
    assert sorted(rows(checked, "force_test", "athlete_id", "test", "side", "trial_no", "peak_force_n"))[:4] == [
        ("ana-berg", "eccentric_hamstring", "l", 1, 282.0), ("ana-berg", "eccentric_hamstring", "l", 2, 268.0),
        ("ana-berg", "eccentric_hamstring", "r", 1, 284.0), ("ana-berg", "eccentric_hamstring", "r", 2, 281.0),
    ]  # fmt: skip


def test_values_of_what_a_row_names_are_kept_under_that_name():
    text = "Date,Athlete,Drill,Outcome\n2026-11-03,Ana Berg,Zork bench,31\n2026-11-03,Bea Lund,Plip pull,33\n"
    assert "other_measure.what" in asked_of(take_in(text, "x.csv"))["Drill"]
    checked = take_in(text, "x.csv", columns={"Drill": "other_measure.what", "Outcome": "other_measure"})
    assert rows(checked, "other_measure", "what", "value") == [
        ("Outcome: Zork bench", 31.0),
        ("Outcome: Plip pull", 33.0),
    ]


def test_several_columns_of_strangers_are_asked_once_whether_they_are_people():
    text = "Date,Plums,Zorro,Wendel\n2026-11-03,a,31,33\n2026-11-04,b,30,32\n"
    asked = asked_of(take_in(text, "x.csv"))
    assert asked["Plums"][0] == "people"
    assert "Wendel" not in asked
    checked = take_in(text, "x.csv", columns={"Zorro": "people", "Plums": "not_used"})
    assert {"Zorro", "Wendel"} <= {one.about for one in checked.questions if one.ask == "athletes"} or {"value"} <= set(
        asked_of(checked)
    )


DAYS = "Name,11/3,12/1,1/12\nAna Berg,58.4,58.5,58.7\nBea Lund,61.1,,61.9\n"


def test_days_of_two_numbers_are_of_the_season_that_the_file_is_named_after():
    checked = take_in(DAYS, "body weight 25-26 (kg).csv")
    assert rows(checked, "body_measure", "measured_on", "body_mass_kg")[:3] == [
        (dt.date(2025, 11, 3), 58.4), (dt.date(2025, 12, 1), 58.5), (dt.date(2026, 1, 12), 58.7),
    ]  # fmt: skip


@pytest.mark.parametrize("header", ["Name,3/4,4/5,5/6", "Name,11/3,12/1"])
def test_days_that_rise_in_both_orders_or_are_but_two_are_not_settled(header):
    text = f"{header}\nAna Berg,58.4,58.5\nBea Lund,61.1,61.9\n"
    checked = take_in(text, "body weight 25-26 (kg).csv")
    assert not any(frame.height for frame in checked.accepted.values())
    assert "days" in next(iter(asked_of(checked).values()))


def test_tries_of_named_tests_are_trials():
    text = "Athlete,Test,try 1,try 2\nAna Berg,CMJ (cm),41,42\nBea Lund,CMJ (cm),33,\nAna Berg,Broad jump (m),2.4,2.5\n"
    checked = take_in(text, "tests 2026-11-03.csv")
    assert sorted(rows(checked, "jump_test", "athlete_id", "test", "trial_no")) == [
        ("ana-berg", "countermovement", 1), ("ana-berg", "countermovement", 2), ("ana-berg", "standing_long_jump", 1),
        ("ana-berg", "standing_long_jump", 2), ("bea-lund", "countermovement", 1),
    ]  # fmt: skip


TESTING = 'Tests 2026-11-03,,\n,Ana,Rio\nBroad jump (ft-in),8-07.5,6-07.5\n"30 m, 3-point, gates",4.19,4.60\n'


def test_people_over_columns_and_tests_before_rows_are_results_of_each():
    checked = take_in(TESTING, "x.csv", known=KNOWN)
    lengths = [one for (one,) in rows(checked, "jump_test", "jump_length_m")]
    assert lengths == pytest.approx([(8 * 12 + 7.5) * 0.0254, (6 * 12 + 7.5) * 0.0254])
    assert rows(checked, "split", "athlete_id", "distance_m", "elapsed_s") == [
        ("ana-berg", 30.0, 4.19), ("rio-o-hara", 30.0, 4.6),
    ]  # fmt: skip
    assert set(rows(checked, "rep", "start_kind", "timing_kind")) == {("three_point", "electronic")}


def test_exercises_before_rows_below_people_are_no_tests():
    text = "Gym 2026-11-03,,\n,Ana,Rio\nsquat,3x5 80 kg,3x5 60 kg\nbench press,3x5 50 kg,3x5 40 kg\n"
    checked = take_in(text, "x.csv", known=KNOWN)
    assert not {"jump_test", "split"} & set(checked.accepted)


def test_how_far_is_taken_from_the_words_for_the_session_beside_the_times_of_each():
    text = 'Date,Workout,Ana,Rio\n2026-11-03,3x150 r 8min,"19.7, 19.9, 20.0","22.4, 22.4, 22.5"\n'
    checked = take_in(text + '2026-11-10,2x200,"26.1, 26.6","29.8, 29.3"\n', "x.csv", known=KNOWN)
    assert rows(checked, "split", "distance_m").count((150.0,)) == 6
    assert rows(checked, "split", "distance_m").count((200.0,)) == 4


def test_sets_of_ten_beside_numbers_are_no_runs():
    text = "Date,Workout,Ana,Rio\n2026-11-03,3x10 kg squats,80.5,60.5\n2026-11-10,2x12,82.5,62.5\n"
    assert "split" not in take_in(text, "x.csv", known=KNOWN).accepted


def test_a_list_of_bests_with_the_day_behind_each_is_results():
    text = "Athlete,60 m,Date,100 m,Date\nAna Berg,7.65,2026-02-14,11.98,2025-06-20\nBea Lund,7.81,2026-01-24,,\n"
    checked = take_in(text, "PBs.csv")
    assert rows(checked, "race_result", "athlete_id", "event", "raced_on", "time_s") == [
        ("ana-berg", "60", dt.date(2026, 2, 14), 7.65), ("ana-berg", "100", dt.date(2025, 6, 20), 11.98),
        ("bea-lund", "60", dt.date(2026, 1, 24), 7.81),
    ]  # fmt: skip


def test_runs_with_days_that_nobody_calls_bests_are_no_results():
    text = "Athlete,20 m,Date,30 m,Date\nAna Berg,3.05,2026-02-14,4.28,2026-06-20\n"
    with pytest.raises(NotUnderstood, match="which values are of which day"):
        take_in(text, "x.csv")


WEEK = "Week 2 to 8 March 2026,,\nGroup,Mon 2,Thu 5\nsprint,gym 4x4,6x30\nhurdles,easy,8x60\n"


def test_weekdays_with_the_number_of_their_day_are_days_of_a_plan():
    checked = take_in(WEEK, "plan week.csv", who="groups", groups={"sprint": "everybody", "hurdles": "nobody"})
    assert {day for (day,) in rows(checked, "plan", "planned_on")} == {dt.date(2026, 3, 2), dt.date(2026, 3, 5)}


def test_weekdays_that_are_other_days_of_that_month_are_no_days():
    checked = take_in(WEEK.replace("Thu 5", "Thu 6"), "plan week.csv")
    assert not any(frame.height for frame in checked.accepted.values())
    assert {"Group", "Mon 2", "Thu 6"} <= set(asked_of(checked))


def test_runs_as_times_a_distance_are_no_jumps_whatever_stands_over_them():
    text = "Date,Athlete,DJ 5\n2026-03-05,Ana Berg,6x20 15 kg\n2026-03-05,Bea Lund,8x60\n"
    assert "jump_test" not in take_in(text, "x.csv").accepted


# --- guesses ---------------------------------------------------------------------------------------------------------


def test_a_wind_written_once_beside_several_runs_is_asked_and_given_to_each_where_that_is_said():
    text = "Date,Athlete,Run 1 30 m,Run 2 30 m,Wind\n2026-11-03,Ana Berg,4.31,4.28,1.2\n"
    text += "2026-11-03,Bea Lund,4.52,4.50,0.4\n"
    checked = take_in(text, "x.csv")
    assert "wind_ms" not in checked.accepted["rep"].columns
    assert "rep.wind_ms" in asked_of(checked)["Wind"]
    told = take_in(text, "x.csv", columns={"Wind": "rep.wind_ms"})
    assert sorted(rows(told, "rep", "rep_no", "wind_ms")) == [(1, 0.4), (1, 1.2), (2, 0.4), (2, 1.2)]


def test_a_wind_beside_one_run_is_its_own():
    text = "Date,Athlete,30 m,Wind\n2026-11-03,Ana Berg,4.31,1.2\n2026-11-03,Bea Lund,4.52,0.4\n"
    assert rows(take_in(text, "x.csv"), "rep", "wind_ms") == [(1.2,), (0.4,)]


@pytest.mark.parametrize("title", ["60 m hurdles starts 2026-11-03", "over 3 hurdles 2026-11-03"])
def test_times_below_a_title_of_hurdles_are_no_flat_runs_until_that_is_said(title):
    text = f"{title},,\nAthlete,10 m,20 m\nAna Berg,1.95,3.41\nBea Lund,2.01,3.52\n"
    checked = take_in(text, "x.csv")
    assert not any(frame.height for frame in checked.accepted.values())
    assert asked_of(checked)["10 m"][0] == "10 m"
    told = take_in(text, "x.csv", columns={"10 m": "10 m", "20 m": "20 m"})
    assert sorted(rows(told, "split", "distance_m", "elapsed_s"))[::2] == [(10.0, 1.95), (20.0, 3.41)]


def test_flat_runs_of_a_group_of_hurdlers_are_flat_runs():
    text = "Hurdles group 2026-11-03,,\nAthlete,10 m,20 m\nAna Berg,1.95,3.41\n"
    assert rows(take_in(text, "x.csv"), "split", "distance_m") == [(10.0,), (20.0,)]


def test_what_a_heading_names_is_the_first_of_its_choices():
    text = "Date,Name,Exercise,Zork,Plip\n2026-11-03,Ana Berg,calf raise,a,b\n2026-11-03,Bea Lund,hamstring curl,c,d\n"
    assert asked_of(take_in(text, "x.csv"))["Exercise"][0] == "lift_set.exercise"


def test_columns_numbered_like_days_of_the_month_of_the_title_are_asked_once_and_become_those_days():
    text = "Plan zorf 2 to 8 March 2026,,\nSquad,xq 2,yq 5\nsprint,starts,hills\nhurdles,easy,gym\n"
    name = "plan.csv"
    asked = asked_of(take_in(text, name))
    assert asked["xq 2"][0] == "days"
    assert "yq 5" not in asked
    checked = take_in(text, name, columns={"xq 2": "days"}, who="everybody")
    assert {day for (day,) in rows(checked, "plan", "planned_on")} == {dt.date(2026, 3, 2), dt.date(2026, 3, 5)}


def test_columns_whose_numbers_do_not_rise_are_no_days_of_a_month():
    text = "Zorf March 2026,,\nName,xq 5,yq 2\nAna Berg,starts,hills\nBea Lund,easy,gym\n"
    assert "days" not in {answer for some in asked_of(take_in(text, "x.csv")).values() for answer in some}


def test_telephones_and_addresses_are_not_asked_about_and_said_to_be_left():
    text = "Name,Sex,Parent phone,E-mail,Zork\nAna Berg,F,+49 170 555 0101,a.b@example.org,12 34\n"
    checked = take_in(text, "squad.csv")
    assert "Zork" in asked_of(checked)
    assert {"Parent phone", "E-mail"}.isdisjoint(asked_of(checked))


def test_what_stands_below_no_heading_and_goes_nowhere_is_told():
    text = "Date,Name,min,\n2026-02-03,Ana Berg,90,7\n2026-02-04,Ana Berg,80,8\n"
    [table] = [one for read in read_tables("log.csv", text.encode()) for one in plain_tables(read)]
    assert lay_out(table).unheaded == ("right of 'min', which holds '7', '8'",)
