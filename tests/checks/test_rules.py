"""Rules over rows: ranges, rising times, repeats, conflicts, keys; what is wrong is told, what is right is kept."""

import dataclasses

import numpy as np
import polars as pl
import pytest

from pipelines.checks import check, sentence
from pipelines.checks.chain import find_split_times, longest_chain
from pipelines.checks.split_times import with_header
from pipelines.layouts import lay_out
from pipelines.readers import read_tables
from schemas.intake import LayoutOptions
from tests.intake import KNOWN, lines_set_aside, reasons, rows, take_in

SPLITS = "athlete_id,session_date,rep_no,distance_m,elapsed_s\n"


def test_a_body_mass_of_6_8_kg_is_told_in_the_coachs_words():
    checked = take_in("athlete_id,measured_on,body_mass_kg\nana-berg,2026-03-03,6.8\nbea-lund,2026-03-03,60\n")
    assert lines_set_aside(checked) == [2]
    row = checked.set_aside.row(0, named=True)
    assert (row["column"], row["value"]) == ("body_mass_kg", "6.8")
    assert sentence("squad.csv", row["source_sheet"], row["source_line"], row["column"], row["reason"]) == (
        "squad.csv line 2, body_mass_kg: 6.8 kg is outside 25 to 180 kg. Only this cell is set aside. "
        "Check the unit or the decimal point."
    )
    assert row["row_json"] == '{"athlete_id":"ana-berg","measured_on":"2026-03-03","body_mass_kg":"6.8"}'


def test_a_converted_value_is_shown_as_written_and_as_stored():
    checked = take_in("Athlete,Date,Weight (lb)\nAna Berg,2026-03-03,15\n")
    assert "'15' (6.804 kg) is outside 25 to 180 kg" in reasons(checked)  # 15 * 0.45359237 = 6.804


def test_a_time_that_does_not_rise_is_set_aside_and_its_run_kept():
    checked = take_in(
        SPLITS + "ana-berg,2026-03-03,1,10,1.81\nana-berg,2026-03-03,1,20,1.79\nana-berg,2026-03-03,1,30,3.9\n"
    )
    assert "the time at 20 m (1.79 s) is not later than at 10 m (1.81 s)" in reasons(checked, 3)
    assert rows(checked, "split", "distance_m") == [(10.0,), (30.0,)]


def test_a_30_m_time_that_would_need_20_mps():
    checked = take_in(SPLITS + "ana-berg,2026-03-03,1,30,1.5\n")
    # 30 m / 1.5 s = 20 m/s
    assert "1.50 s at 30 m would need 20.0 m/s from the start, more than the 13 m/s" in reasons(checked, 2)
    assert "split" not in checked.accepted
    assert "rep" not in checked.accepted


def test_a_stretch_slower_than_half_a_metre_a_second():
    checked = take_in(SPLITS + "ana-berg,2026-03-03,1,10,1.8\nana-berg,2026-03-03,1,20,25\n")
    # (20 - 10) m / (25 - 1.8) s = 0.43 m/s
    assert "0.4 m/s from 10 m" in reasons(checked, 3)


def test_of_a_wide_row_with_one_bad_gate_the_other_gates_are_kept():
    checked = take_in("Name,Date,10m,20m,30m\nAna Berg,2026-03-03,1.80,1.70,3.90\nBea Lund,2026-03-03,1.85,3.00,4.00\n")
    assert lines_set_aside(checked) == [2]
    kept = [at for who, at in rows(checked, "split", "athlete_id", "distance_m") if who == "ana-berg"]
    assert kept == [10.0, 30.0]


@pytest.mark.parametrize(
    ("distance", "elapsed", "kept"),
    [
        ([10, 20, 30], [1.8, 2.9, 3.9], [0, 1, 2]),
        ([10, 20, 30], [1.81, 1.79, 3.9], [0, 2]),  # as long as 20-30 m, but that one starts at 11.2 m/s
        ([10, 20, 30, 40], [1.8, 9.0, 3.9, 4.9], [0, 2, 3]),
        ([10], [0.5], []),  # 20 m/s
    ],
)
def test_the_longest_consistent_chain_is_kept(distance, elapsed, kept):
    assert longest_chain(np.array(distance, float), np.array(elapsed, float)) == kept


def test_published_splits_are_told_as_cumulative_and_their_differences_as_segments():
    # outside: 10 m splits of the men's 100 m world record of 2009, as published in the federation's analysis (from
    # memory), reaction included: 10 m 1.89, 20 m 2.88, 30 m 3.78, 40 m 4.64, 50 m 5.47, 60 m 6.29, 70 m 7.10, 80 m 7.92
    elapsed = [1.89, 2.88, 3.78, 4.64, 5.47, 6.29, 7.10, 7.92]
    frame = pl.DataFrame({
        "athlete_id": ["a"] * 8, "session_date": ["d"] * 8, "session_no": [1] * 8, "rep_no": [1] * 8,
        "distance_m": [10.0 * n for n in range(1, 9)], "elapsed_s": elapsed,
    })  # fmt: skip
    assert find_split_times(frame) == "cumulative"
    assert longest_chain(frame["distance_m"].to_numpy(), frame["elapsed_s"].to_numpy()) == list(range(8))
    stretches = frame.with_columns(elapsed_s=pl.Series(np.diff([0.0, *elapsed])))
    assert find_split_times(stretches) == "segment"


def test_the_same_row_twice_is_kept_once():
    line = "ana-berg,2026-03-03,1,10,1.8\n"
    checked = take_in(SPLITS + line + line)
    assert checked.accepted["split"]["source_line"].to_list() == [2]
    assert "the same row stands at line 2" in reasons(checked, 3)


def test_the_same_row_twice_in_a_wide_sheet_without_run_numbers():
    line = "Ana Berg,2026-03-03,1.80,2.90\n"
    checked = take_in("Name,Date,10m,20m\n" + line + "Bea Lund,2026-03-03,1.9,3.0\n" + line)
    assert checked.accepted["rep"].height == 2
    assert "line 2" in reasons(checked, 4)


def test_one_key_with_two_values_holds_both_and_shows_both():
    checked = take_in(
        SPLITS + "ana-berg,2026-03-03,1,10,1.80\nana-berg,2026-03-03,1,10,1.85\nana-berg,2026-03-03,1,20,2.9\n"
    )
    assert lines_set_aside(checked) == [2, 3]
    assert "line 2 says 1.8, line 3 says 1.85" in reasons(checked, 2)
    assert rows(checked, "split", "distance_m") == [(20.0,)]


def test_rows_that_complete_each_other_do_not_conflict():
    checked = take_in(
        "athlete_id,session_date,rep_no,distance_m,elapsed_s,start_kind,kind,note\n"
        "ana-berg,2026-03-03,1,10,1.8,blocks,,cold\nana-berg,2026-03-03,1,20,2.9,,acceleration,windy\n"
    )
    assert rows(checked, "rep", "start_kind") == [("blocks",)]
    assert rows(checked, "session", "kind", "note") == [("acceleration", "cold; windy")]


def test_parents_at_odds_hold_the_rows_that_say_so():
    checked = take_in(
        "athlete_id,session_date,rep_no,distance_m,elapsed_s,start_kind\n"
        "ana-berg,2026-03-03,1,10,1.8,blocks\nana-berg,2026-03-03,1,20,2.9,standing\nana-berg,2026-03-03,2,10,1.8,blocks\n"
    )
    assert lines_set_aside(checked) == [2, 3]
    assert "different values of start_kind" in reasons(checked, 3)


def test_an_empty_time_an_outcome_word_and_a_row_without_values():
    checked = take_in(
        SPLITS + "ana-berg,2026-03-03,1,10,\nana-berg,2026-03-03,2,10,DNF\nana-berg,2026-03-03,3,10,1.8\n"
    )
    assert "elapsed_s is empty" in reasons(checked, 2)
    assert reasons(checked, 3) == ""
    assert rows(checked, "rep", "rep_no", "outcome") == [(2, "stopped"), (3, None)]  # begun and not finished: a run
    wide = take_in("Name,Date,10m,20m\nAna Berg,2026-03-03,DNS,\nBea Lund,2026-03-03,1.8,-\n")
    assert "'DNS' is an outcome and no error" in reasons(wide, 2)
    assert wide.accepted["rep"].height == wide.accepted["split"].height == 1


def test_a_false_start_without_times_is_a_run():
    checked = take_in("Name,Date,Run,10m,20m,Outcome\nAna Berg,2026-03-03,1,,,false start\nBea Lund,2026-03-03,1,,,\n")
    assert rows(checked, "rep", "athlete_id", "outcome") == [("ana-berg", "false_start")]
    assert lines_set_aside(checked) == [3]


def test_a_cut_off_last_line_is_set_aside():
    checked = take_in(SPLITS + "ana-berg,2026-03-03,1,10,1.8\nana-berg,2026-03-03,1,2")
    assert "elapsed_s is empty" in reasons(checked, 3)


def test_a_row_with_more_cells_than_the_header():
    checked = take_in(SPLITS + "ana-berg,2026-03-03,1,10,1,8\nana-berg,2026-03-03,1,20,2.9\n")
    assert "more cells than the header's 5" in reasons(checked, 2)
    assert rows(checked, "split", "distance_m") == [(20.0,)]


def test_numbers_left_out_are_given_in_file_order():
    checked = take_in("Athlete,Date,Test,Flight time (ms)\nAna Berg,2026-03-03,CMJ,540\nAna Berg,2026-03-03,CMJ,548\n")
    assert rows(checked, "jump_test", "trial_no", "flight_s") == [(1, 0.54), (2, 0.548)]


def test_a_part_number_must_be_whole():
    assert "whole number" in reasons(take_in(SPLITS + "ana-berg,2026-03-03,1.5,10,1.8\n"), 2)


def test_every_reason_of_a_row_is_told():
    checked = take_in(SPLITS + "nobody,2026-02-30,1,10,fast\n")
    assert set(checked.set_aside["column"]) == {"athlete_id", "session_date", "elapsed_s"}
    assert checked.rows_read == 1


def test_a_new_athlete_gets_a_key_made_of_the_name():
    checked = take_in("display_name,sex\nÉlodie van der Fährte,f\nBéa Lünd,f\n")
    assert rows(checked, "athlete", "athlete_id") == [("elodie-van-der-fahrte",), ("bea-lund",)]


def test_a_split_without_a_time_of_a_run_that_says_how_it_ended_is_left_out_and_the_run_kept():
    checked = take_in(
        "athlete_id,session_date,rep_no,distance_m,elapsed_s,outcome\nana-berg,2026-03-03,1,10,1.8,\n"
        "ana-berg,2026-03-03,2,10,,stopped\n"
    )
    assert checked.set_aside.is_empty()
    assert rows(checked, "split", "rep_no", "elapsed_s") == [(1, 1.8)]
    assert rows(checked, "rep", "rep_no", "outcome") == [(1, None), (2, "stopped")]
    steps = take_in(
        "Name,Date,Run,outcome,Step 1 contact (s)\nAna Berg,2026-03-03,1,stopped,\nAna Berg,2026-03-03,2,,0.19\n"
    )
    assert rows(steps, "rep", "rep_no", "outcome") == [(1, "stopped"), (2, None)]  # a sheet without splits too


def test_a_row_that_names_an_outcome_alone_says_that_there_is_nothing_to_do():
    checked = take_in("Name,Date,10m,20m\nAna Berg,2026-03-03,DNS,\nBea Lund,2026-03-03,1.8,2.9\n")
    assert reasons(checked, 2) == (
        "'DNS' is an outcome and no error: there is no value to store. Row set aside. Nothing to do."
    )


def test_how_times_are_written_is_told_by_runs_that_are_somebody_s_alone():
    # one run can only be since the start; six without a number, held back for it, could only be stretches
    sheet = "Name,Date,Run,10m,20m\nAna Berg,2026-03-01,1,1.8,5.8\n"
    sheet += "".join(f"Bea Lund,2026-03-0{day},,2.0,1.1\n" for day in range(2, 8))
    checked = take_in(sheet)
    assert rows(checked, "split", "distance_m", "elapsed_s") == [(10.0, 1.8), (20.0, 5.8)]
    assert checked.notes == []


def test_an_effort_said_once_for_all_sets_makes_no_set():
    sheet = "Name,Date,Exercise,Set effort,Set 1,Set 2\nAna Berg,2026-03-03,Squat,8,5x100,\n"
    checked = take_in(sheet)
    assert rows(checked, "lift_set", "set_no", "reps", "load_kg", "set_effort") == [(1, 5, 100.0, 8.0)]
    assert checked.set_aside.is_empty()


def test_a_race_faster_than_anybody_has_run_is_set_aside_on_its_way_in():
    # outside: 9.58 s over 100 m, Bolt 2009 (World Athletics, from memory)
    checked = take_in("athlete_id,raced_on,event,time_s\nana-berg,2026-03-03,100,8.0\nbea-lund,2026-03-03,100,11.8\n")
    assert rows(checked, "race_result", "time_s") == [(11.8,)]
    assert reasons(checked, 2).startswith("nobody has ever run 100 m in 8.0 s. ")


def test_a_table_of_forces_without_a_force_is_told_and_ends_nothing():
    answers = LayoutOptions()
    text = b"athlete_id,tested_on,test,side,peak_force_n\nana-berg,2026-03-03,eccentric_hamstring,l,300\n"
    laid = lay_out(read_tables("f.csv", text)[0], answers, frozenset())
    bare = [dataclasses.replace(part, frame=part.frame.drop("peak_force_n"),
                                cells={name: one for name, one in part.cells.items() if name != "peak_force_n"})
            for part in laid.parts]  # fmt: skip
    checked = check([dataclasses.replace(laid, parts=bare)], KNOWN)
    assert checked.accepted == {}
    assert reasons(checked, 2).startswith("peak_force_n is empty, and without it the row says nothing.")


def test_a_time_that_stands_under_no_heading_is_named_by_the_record_s_own():
    laid = lay_out(read_tables("f.csv", b"Name,Date,10m\nAna Berg,2026-03-03,1.8\n")[0], LayoutOptions(), frozenset())
    place = next(n for n, part in enumerate(laid.parts) if part.table == "split")
    named = with_header(pl.DataFrame({"_part": [place, 99]}, schema={"_part": pl.UInt32}), laid)
    assert named["_header"].to_list() == ["10m", "elapsed_s"]
