"""What a British club's folder brought up: each cause once, in a small file of our own with other people and words."""

import polars as pl
import pytest

from pipelines.cells.spoken import group_of, kind_of
from pipelines.checks import Known
from pipelines.layouts.words.sets import parse_sets
from tests.intake import AS_OF, reasons, rows, take_in

PEOPLE = pl.DataFrame(
    {
        "athlete_id": ["ana-berg", "bea-lund", "cleo-dahl"],
        "display_name": ["Ana Berg", "Bea Lund", "Cleo Dahl"],
        "event_group": ["short_sprints", "long_sprints", "hurdles"],
    }
)
KNOWN = Known(PEOPLE, AS_OF)


# --- rows of words in the midst of a table ---------------------------------------------------------------------------


def test_a_row_of_words_without_a_day_is_no_header_of_the_rows_below():
    text = (
        "Date,Athlete,Exercise,Sets,Reps,Kg\n13/11/2026,Ana Berg,Back squat,3,5,80\n,,Bench,3,3,55\n"
        ",,Plank,time,hold,bw\n14/11/2026,Bea Lund,Back squat,3,5,100\n,,Bench,3,5,70\n"
    )
    checked = take_in(text, "gym.csv", KNOWN)
    made = checked.accepted["lift_set"].group_by("athlete_id", "exercise").len().sort("athlete_id", "exercise")
    assert made.rows() == [
        ("ana-berg", "back_squat", 3), ("ana-berg", "bench", 3), ("bea-lund", "back_squat", 3),
        ("bea-lund", "bench", 3),
    ]  # fmt: skip
    assert "'time sets' is not a number" in reasons(checked, 4)
    assert checked.rows_read == 5


@pytest.mark.parametrize("odd", [",Bea Lund,sleep,sore,ill", "\n,Bea Lund,sleep,sore,ill\n", ",,sleep,sore,"])
def test_a_line_with_somebody_s_name_or_right_below_the_rows_begins_no_block(odd):
    text = (
        "Date,Name,Sleep (h),Soreness (1=none 5=bad),Notes\n13/11/2026,Ana Berg,8,2,\n"
        f"{odd}\n14/11/2026,Ana Berg,7.5,3,\n15/11/2026,Ana Berg,7,1,\n"
    )
    checked = take_in(text, "mornings.csv", KNOWN)
    assert [one for one in rows(checked, "checkin", "sleep_h", "soreness") if one[1] is not None] == [
        (8.0, 4.0), (7.5, 3.0), (7.0, 5.0),
    ]  # fmt: skip


def test_a_second_block_without_a_blank_line_still_begins_with_its_header():
    text = (
        "Date,Name,10 m,30 m\n13/11/2026,Ana Berg,1.92,4.31\n13/11/2026,Bea Lund,1.98,4.48\n"
        "Date,Name,CMJ (cm)\n14/11/2026,Ana Berg,38\n14/11/2026,Bea Lund,35\n"
    )
    checked = take_in(text, "tests.csv", KNOWN)
    assert (checked.accepted["split"].height, checked.accepted["jump_test"].height) == (4, 2)


# --- tests -----------------------------------------------------------------------------------------------------------

RESULTS = (
    "Date,Athlete,Test,Side,Trial,Result,Unit\n13/11/2026,Ana Berg,Nordic,L,1,310,N\n"
    "13/11/2026,Ana Berg,Nordic,R,1,320,N\n"
    "13/11/2026,Ana Berg,Nordic,L,2,315,N\n13/11/2026,Ana Berg,CMJ,,1,41,cm\n13/11/2026,Bea Lund,Broad jump,,1,2.41,m\n"
    "13/11/2026,Bea Lund,30m,,,4.51,s\n13/11/2026,Bea Lund,30m fly (20m run-in),,,3.71,s\n"
)


def test_a_row_for_each_result_of_a_test_is_read_with_its_side_trial_and_unit():
    checked = take_in(RESULTS, "battery.csv", KNOWN)
    assert sorted(rows(checked, "force_test", "test", "side", "trial_no", "peak_force_n")) == [
        ("eccentric_hamstring", "l", 1, 310.0), ("eccentric_hamstring", "l", 2, 315.0),
        ("eccentric_hamstring", "r", 1, 320.0),
    ]  # fmt: skip
    assert rows(checked, "jump_test", "athlete_id", "test", "jump_height_m", "jump_length_m") == [
        ("ana-berg", "countermovement", 0.41, None), ("bea-lund", "standing_long_jump", None, 2.41),
    ]  # fmt: skip
    runs = checked.accepted["split"].join(checked.accepted["rep"], on=["athlete_id", "session_date", "rep_no"])
    assert runs.sort("elapsed_s").select("elapsed_s", "distance_m", "start_kind").rows() == [
        (3.71, 30.0, "rolling"), (4.51, 30.0, None),
    ]  # fmt: skip
    assert not checked.set_aside.height


def test_two_columns_of_one_test_are_two_trials_and_neither_is_lost():
    text = "Date,Athlete,Standing LJ,SBJ\n13/11/2026,Ana Berg,2m35,2.31\n13/11/2026,Bea Lund,2m41,2.38\n"
    checked = take_in(text, "power.csv", KNOWN)
    assert rows(checked, "jump_test", "athlete_id", "trial_no", "jump_length_m") == [
        ("ana-berg", 1, 2.35), ("ana-berg", 2, 2.31), ("bea-lund", 1, 2.41), ("bea-lund", 2, 2.38),
    ]  # fmt: skip


@pytest.mark.parametrize("header", ["Fly 30", "flying 30m", "30m fly (20m run-in)", "Flys 30 m", "vliegende 30 m"])
def test_a_flying_run_is_named_in_many_ways(header):
    checked = take_in(f"Date,Athlete,10m,{header}\n13/11/2026,Ana Berg,1.92,3.35\n", "tests.csv", KNOWN)
    assert rows(checked, "split", "rep_no", "distance_m", "elapsed_s") == [(1, 10.0, 1.92), (2, 30.0, 3.35)]
    assert rows(checked, "rep", "rep_no", "start_kind") == [(1, None), (2, "rolling")]


# --- races -----------------------------------------------------------------------------------------------------------


def test_places_of_races_say_round_and_who_went_on():
    text = (
        "Date,Athlete,Event,Time,Place\n13/09/2026,Ana Berg,100m,12.35,3rd\n13/09/2026,Bea Lund,100m,12.02,2 (h1)\n"
        "13/09/2026,Bea Lund,100m,11.98,=4th (F)\n14/09/2026,Bea Lund,200m,24.3,Q\n14/09/2026,Cleo Dahl,400m,57.9,q\n"
        "14/09/2026,Cleo Dahl,100m,12.9,5q\n"
    )
    checked = take_in(text, "races.csv", KNOWN)
    assert rows(checked, "race_result", "athlete_id", "event", "round", "time_s", "place", "note") == [
        ("ana-berg", "100", "unknown", 12.35, 3, None), ("bea-lund", "100", "heat 1", 12.02, 2, None),
        ("bea-lund", "100", "final", 11.98, 4, None), ("bea-lund", "200", "qualifying", 24.3, None, "Q"),
        ("cleo-dahl", "400", "qualifying", 57.9, None, "q"), ("cleo-dahl", "100", "qualifying", 12.9, 5, "q"),
    ]  # fmt: skip
    assert not checked.set_aside.height


def test_a_round_of_its_own_column_is_never_overruled_by_the_place():
    text = (
        "Date,Athlete,Event,Round,Time,Pos\n13/09/2026,Ana Berg,100,h2,12.35,1Q\n"
        "13/09/2026,Bea Lund,100,sf1,12.3,2 (h1)\n"
    )
    checked = take_in(text, "races.csv", KNOWN)
    assert rows(checked, "race_result", "round", "place") == [("h2", 1), ("sf1", 2)]


# --- masses, sets, groups, kinds -------------------------------------------------------------------------------------


def test_body_mass_in_stones_and_pounds():
    text = (
        "Date,Athlete,Weight\n13/11/2026,Ana Berg,9st 8lb\n13/11/2026,Bea Lund,10 stone 1\n13/11/2026,Cleo Dahl,11st\n"
    )
    checked = take_in(text, "weights.csv", KNOWN)
    # 14 lb a stone, 0.45359237 kg a pound (international pound, 1959; from memory): 134, 141 and 154 lb
    assert [mass for (mass,) in rows(checked, "body_measure", "body_mass_kg")] == pytest.approx(
        [60.781, 63.957, 69.853], abs=5e-4
    )


def test_a_stone_has_no_fourteen_pounds_beside_it():
    text = "Date,Athlete,Weight\n13/11/2026,Ana Berg,9st 14lb\n13/11/2026,Bea Lund,10st 1lb\n"
    checked = take_in(text, "weights.csv", KNOWN)
    assert checked.accepted["body_measure"].height == 1
    assert "'9st 14lb'" in reasons(checked, 2)


@pytest.mark.parametrize(
    ("text", "sets"),
    [
        ("80x3x3", [("3", "80")] * 3),
        ("60 kg x 5 x 5", [("5", "60 kg")] * 5),
        ("60 kg x 5 x 3", None),  # five sets of three, or three of five: nobody knows
        ("20x3x5", None),
        ("3x5x80", [("5", "80")] * 3),
        ("3x8x10", [("8", "10")] * 3),
        ("3x6e/s", [("6", None)] * 3),
        ("3x5 each side", [("5", None)] * 3),
        ("3x6 e/s @ 20kg", [("6", "20kg")] * 3),
        ("2x8 (each leg)", [("8", None)] * 2),
        ("3 x 8 je Seite", [("8", None)] * 3),
    ],
)
def test_the_load_first_and_repetitions_of_each_side(text, sets):
    assert parse_sets(text) == sets


@pytest.mark.parametrize(
    ("text", "group"),
    [
        ("Short sprints (100/200)", "short_sprints"), ("Long sprints (400)", "long_sprints"),
        ("100/200", "short_sprints"), ("Hurdles (100h/110h)", "hurdles"),
        ("Short sprints (400)", None), ("Sprints (women)", None), ("Throws", None),
    ],
)  # fmt: skip
def test_a_group_with_its_distances_is_that_group_unless_they_say_another(text, group):
    assert group_of(text) == group


def test_a_roster_s_groups_with_distances_are_stored_and_others_are_kept_as_squads():
    text = "Name,DOB,Group\nAna Berg,13/04/2004,Short sprints (100/200)\nBea Lund,15/07/2003,Throws\n"
    checked = take_in(text, "squad.csv", Known(PEOPLE.head(0), AS_OF))
    assert rows(checked, "athlete", "athlete_id", "event_group", "squad") == [
        ("ana-berg", "short_sprints", "Short sprints (100/200)"), ("bea-lund", None, "Throws"),
    ]  # fmt: skip
    assert not checked.set_aside.height


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Accel - blocks", "acceleration"), ("Grass tempo", "tempo"), ("Max V", "top_speed"),
        ("Gym - lower", "strength"), ("Spec end 2", "speed_endurance"),
        ("Gym + jumps", None), ("Block starts + flys", None), ("team meeting", None),
    ],
)  # fmt: skip
def test_words_for_a_session_name_its_kind_where_they_name_one(text, kind):
    assert kind_of(text) == kind


# --- sleds -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("share", ["30% BM", "30 % of body mass", "30%BW", "30% LG"])
def test_a_sled_s_load_in_kilograms_and_one_as_a_share_of_body_mass_stand_apart(share):
    text = f"Date,Athlete,Sled,10m,20m\n13/11/2026,Ana Berg,15 kg,2.15,3.6\n13/11/2026,Bea Lund,{share},2.3,3.8\n"
    checked = take_in(text, "sled.csv", KNOWN)
    assert rows(checked, "rep", "resistance_kind", "resistance_load_kg", "resistance_percent") == [
        ("sled", 15.0, None), ("sled", None, 30.0),
    ]  # fmt: skip
    assert not checked.set_aside.height


@pytest.mark.parametrize("header", ["Load (%BM)", "% BM", "Sled load (% of body mass)"])
def test_a_heading_may_say_that_loads_are_shares_of_body_mass(header):
    text = f"Date,Athlete,{header},10m\n13/11/2026,Ana Berg,30,2.15\n13/11/2026,Bea Lund,25%,2.3\n"
    checked = take_in(text, "sled pulls.csv", KNOWN)
    assert rows(checked, "rep", "resistance_percent") == [(30.0,), (25.0,)]
    assert "resistance_load_kg" not in checked.accepted["rep"].columns


def test_a_share_of_nothing_that_is_said_is_told_and_not_stored():
    checked = take_in(
        "Date,Athlete,Sled,10m\n13/11/2026,Ana Berg,15 kg,2.1\n13/11/2026,Bea Lund,30%,2.3\n", "s.csv", KNOWN
    )
    assert "'30%'" in reasons(checked, 3)
    assert rows(checked, "rep", "resistance_load_kg") == [(15.0,), (None,)]
