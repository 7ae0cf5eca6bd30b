"""Runs, sessions and sets get the numbers a file leaves out; what is said again is told, and one row a key is kept."""

import datetime as dt

import polars as pl
import pytest

from pipelines.checks import counted_on
from pipelines.checks.repeats import find_repeats, one_row_a_key
from schemas.shape import table_shape
from tests.intake import lines_set_aside, reasons, rows, take_in

AGAIN = "The run numbers begin anew for each kind of start; the runs of a day were counted on."
RUN = ("session_date", "rep_no", "elapsed_s")


@pytest.mark.parametrize(
    ("header", "first", "second"),
    [
        ("Resistance", "none", "sled"), ("Start kind", "blocks", "standing"), ("Clock start", "gun", "first_gate"),
        ("Timing kind", "electronic", "video"), ("gate_offset_m", "0.3", "0.5"), ("resistance_load_kg", "10", "20"),
    ],
)  # fmt: skip
def test_runs_numbered_anew_for_each_kind_of_a_day_are_counted_on_day_by_day(header, first, second):
    checked = take_in(
        f"Name,Date,Run,{header},10m\nAna Berg,2026-03-03,1,{first},1.80\nAna Berg,2026-03-03,2,{first},1.81\n"
        f"Ana Berg,2026-03-03,1,{second},1.92\nAna Berg,2026-03-04,1,{second},1.93\n"
    )
    days = (dt.date(2026, 3, 3), dt.date(2026, 3, 4))
    assert rows(checked, "split", *RUN) == [
        (days[0], 1, 1.80), (days[0], 2, 1.81), (days[0], 3, 1.92), (days[1], 1, 1.93),
    ]  # fmt: skip
    assert AGAIN in checked.notes
    assert not checked.made_numbers


def test_runs_that_go_on_counting_keep_their_numbers():
    checked = take_in(
        "Name,Date,Run,Start kind,10m\nAna Berg,2026-03-03,1,blocks,1.80\nAna Berg,2026-03-03,2,standing,1.92\n"
        "Ana Berg,2026-03-04,1,standing,1.93\n"
    )
    assert [number for _, number, _ in rows(checked, "split", *RUN)] == [1, 2, 1]
    assert AGAIN not in checked.notes


def test_rows_without_numbers_are_runs_in_their_order_and_a_row_again_is_told_with_its_line():
    checked = take_in(
        "Name,Date,10m\nAna Berg,2026-03-03,1.80\nAna Berg,2026-03-03,1.85\nAna Berg,2026-03-04,1.80\n"
        "Ana Berg,2026-03-03,1.80\n"
    )
    assert [number for _, number, _ in rows(checked, "split", *RUN)] == [1, 2, 1]
    assert reasons(checked, 5) == "the same row stands at line 2. Row set aside."
    assert checked.made_numbers


def test_sets_without_numbers_are_numbered_within_their_exercise_and_day():
    checked = take_in(
        "athlete_id,session_date,exercise,reps,load_kg\nana-berg,2026-03-03,squat,5,100\nana-berg,2026-03-03,squat,5,105\n"
        "ana-berg,2026-03-03,bench_press,5,60\nbea-lund,2026-03-03,squat,5,80\nana-berg,2026-03-04,squat,5,110\n"
    )
    assert rows(checked, "lift_set", "load_kg", "set_no") == [
        (100.0, 1), (105.0, 2), (60.0, 1), (80.0, 1), (110.0, 1)
    ]  # fmt: skip


def test_what_holds_for_all_sets_or_steps_makes_no_set_and_no_step():
    sheet = "Name,Date,Run,Frame rate,Step 1 contact (s),Step 2 contact (s)\n"
    checked = take_in(sheet + "Ana Berg,2026-03-03,1,240,0.19,\nAna Berg,2026-03-03,2,240,,\n")
    assert rows(checked, "step", "rep_no", "step_no", "contact_s") == [(1, 1, 0.19)]
    assert reasons(checked, 3).startswith("there is no value in this row, so nothing to store.")
    sets = take_in("Name,Date,Exercise,RIR,Set 1,Set 2\nAna Berg,2026-03-03,Squat,2,5x100,\n")
    assert rows(sets, "lift_set", "set_no", "reps", "load_kg", "reps_in_reserve") == [(1, 5, 100.0, 2.0)]


def test_runs_of_a_second_sheet_count_on_from_those_of_the_first():
    run = {"athlete_id": ["ana", "bea"], "session_date": ["d", "d"], "session_no": [1, 1], "rep_no": [1, 1]}
    last = pl.DataFrame({"athlete_id": ["ana"], "session_date": ["d"], "session_no": [1], "_last": [4]})
    found = counted_on(pl.DataFrame(run), last)
    assert found["rep_no"].to_list() == [5, 1]  # nobody counts on from runs of somebody else, or from none
    assert found.columns == list(run)


def body(*told: tuple[int, str, float | None, float | None, str | None]) -> pl.DataFrame:
    kinds = {"_row": pl.UInt32, "athlete_id": pl.String, "body_mass_kg": pl.Float64, "height_m": pl.Float64,
             "note": pl.String}  # fmt: skip
    frame = pl.DataFrame(told, schema=kinds, orient="row")
    return frame.with_columns(measured_on=pl.lit(dt.date(2026, 3, 3)), _part=pl.lit(0, pl.UInt32))


SHAPE = table_shape("body_measure")
LINES = pl.Series(range(2, 20))


def test_of_each_key_one_row_is_kept_with_the_first_that_is_said_and_the_notes_joined():
    told = body((0, "ana", 60.0, None, "a"), (1, "bea", 70.0, 1.7, None), (2, "ana", None, 1.6, "b"),
                (3, "ana", None, None, "a"))  # fmt: skip
    kept = one_row_a_key(told.drop("_part"), SHAPE)
    assert kept.select("_row", "athlete_id", "body_mass_kg", "height_m", "note").rows() == [
        (0, "ana", 60.0, 1.6, "a; b"), (1, "bea", 70.0, 1.7, None),
    ]  # fmt: skip
    once = body((0, "ana", 60.0, None, None), (1, "ana", 60.0, None, None), (2, "bea", 60.0, None, None))
    assert one_row_a_key(once.drop("_part"), SHAPE)["_row"].to_list() == [0, 2]  # rows alike that follow each other


def test_cells_of_one_key_at_odds_are_told_with_every_line_and_notes_are_never_at_odds():
    found = find_repeats(
        body((0, "ana", 60.0, None, "a"), (1, "ana", 61.0, None, "b"), (2, "bea", 70.0, None, None),
             (3, "ana", None, 1.6, None)), SHAPE, LINES,
    )  # fmt: skip
    assert found.conflicts.select("_row", "column", "value").rows() == [
        (0, "body_mass_kg", "60"), (1, "body_mass_kg", "61"),
    ]  # fmt: skip
    assert set(found.conflicts["reason"]) == {
        "the same body measure stands here with different values of body_mass_kg: line 2 says 60, line 3 says 61. Row "
        "set aside. Keep the right one and load the file again."
    }
    assert (found.again.height, found.is_single) == (0, False)


def test_a_row_that_says_nothing_new_repeats_the_first_and_one_that_adds_a_value_completes_it():
    found = find_repeats(
        body((0, "ana", 60.0, None, None), (1, "ana", 60.0, None, None), (2, "ana", None, 1.6, None)), SHAPE, LINES
    )
    assert found.again.rows() == [(1, 0)]
    assert found.conflicts.is_empty()
    assert find_repeats(body((0, "ana", 60.0, None, None)), SHAPE, LINES).is_single


GYM = "Date,Name,Exercise,Sets,Reps,Load kg\n"


@pytest.mark.parametrize(
    ("header", "row"),
    [(GYM, "2026-03-03,Ana Berg,Step up,3,6,30\n"),
     ("Date,Name,Exercise,Sets x reps,Wt (kg)\n", "2026-03-03,Ana Berg,Step up,3x6,30\n")],
)  # fmt: skip
def test_a_row_of_several_sets_that_stands_twice_is_told_and_its_sets_count_once(header, row):
    other = row.replace("30\n", "32.5\n")
    checked = take_in(header + row + other + row + row.replace("Ana Berg", "Bea Lund"))
    made = rows(checked, "lift_set", "athlete_id", "set_no", "load_kg")
    assert sorted(made) == [
        *(("ana-berg", n, 30.0) for n in (1, 2, 3)), *(("ana-berg", n, 32.5) for n in (4, 5, 6)),
        *(("bea-lund", n, 30.0) for n in (1, 2, 3)),
    ]  # fmt: skip
    assert reasons(checked) == (
        "the same row stands at line 2. Row set aside. If both were done, write all their sets into one row."
    )
    assert lines_set_aside(checked) == [4]


@pytest.mark.parametrize("row", ["2026-03-03,Ana Berg,Step up,1,6,30\n", "2026-03-03,Ana Berg,Step up,,6,30\n"])
def test_rows_of_one_set_each_that_are_alike_are_sets_one_after_the_other(row):
    checked = take_in(GYM + row * 3)
    assert [number for (number,) in rows(checked, "lift_set", "set_no")] == [1, 2, 3]
    assert checked.set_aside.height == 0


def test_a_row_that_says_the_number_of_its_set_is_none_that_stands_twice():
    checked = take_in("Date,Name,Exercise,Set,Reps,Load kg\n" + "2026-03-03,Ana Berg,Step up,1,6,30\n"
                      + "2026-03-03,Ana Berg,Step up,2,6,30\n")  # fmt: skip
    assert [number for (number,) in rows(checked, "lift_set", "set_no")] == [1, 2]
