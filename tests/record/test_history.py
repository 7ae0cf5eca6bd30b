"""Undo, redo and history: the record is always what the loads in force say, in their order."""

import hypothesis.strategies as st
import pytest
from hypothesis import given

from pipelines.errors import ThirdstepError
from pipelines.record import warehouse
from tests.examples import examples
from tests.record.frames import (
    DAY,
    ROSTER,
    aside,
    assert_current_rows_follow_from_the_versions,
    current,
    put,
    redo,
    rows,
    split,
    undo,
)


@pytest.fixture
def con():
    with warehouse.in_memory() as record:
        put(record, "roster", ROSTER)
        yield record


def test_undo_brings_the_earlier_value_back_and_redo_the_later(con):
    put(con, "a", {"split": rows(split("ada-reed", 10, 1.80))})
    before = current(con)
    put(con, "b", {"split": rows(split("ada-reed", 10, 1.84), split("ada-reed", 20, 2.95))})
    after = current(con)
    undo(con, 3)
    assert all(before[name].equals(frame) for name, frame in current(con).items())
    redo(con, 3)
    assert all(after[name].equals(frame) for name, frame in current(con).items())


def test_undo_keeps_what_another_load_says_too(con):
    put(con, "a", {"split": rows(split("ada-reed", 10, 1.80))})
    put(con, "b", {"split": rows(split("ada-reed", 10, 1.80), split("ada-reed", 20, 2.95))})
    undo(con, 2)
    table = warehouse.table(con, "split")
    assert table.select("distance_m", "load_no").rows() == [(10.0, 3), (20.0, 3)]
    assert warehouse.table(con, "session").height == 1  # implied by load 3 as well


def test_an_older_load_redone_does_not_overrule_a_newer_one(con):
    put(con, "a", {"split": rows(split("ada-reed", 10, 1.80))})
    undo(con, 2)
    put(con, "b", {"split": rows(split("ada-reed", 10, 1.84))})
    redo(con, 2)
    assert warehouse.table(con, "split")["elapsed_s"].to_list() == [1.84]


def test_undo_of_athletes_whom_others_need_is_refused_and_names_the_loads(con):
    put(con, "a", {"split": rows(split("ada-reed", 10, 1.80))})
    with pytest.raises(ThirdstepError, match="Undo those first: 2"):
        undo(con, 1)
    assert warehouse.table(con, "athlete").height == 2
    undo(con, 2)
    undo(con, 1)
    assert warehouse.table(con, "athlete").is_empty()
    with pytest.raises(ThirdstepError, match="Redo their load first"):
        redo(con, 2)


def test_undo_twice_says_so_and_changes_nothing(con):
    put(con, "a", {"split": rows(split("ada-reed", 10, 1.80))})
    undo(con, 2)
    with pytest.raises(ThirdstepError, match="undone already"):
        undo(con, 2)
    with pytest.raises(ThirdstepError, match="no load 9"):
        undo(con, 9)


def test_an_undone_file_can_be_loaded_again(con):
    file = {"split": rows(split("ada-reed", 10, 1.80))}
    put(con, "a", file)
    undo(con, 2)
    again = put(con, "a", file)
    assert (again.load_no, again.stored) == (3, 1)


def test_a_row_waits_again_when_the_load_that_mended_it_is_undone(con):
    put(con, "a", {}, set_aside=aside(2))
    put(con, "b", {"split": rows(split("ada-reed", 10, 1.80))}, settled=(1,))
    assert warehouse.waiting(con).is_empty()
    undo(con, 3)
    assert warehouse.waiting(con)["reject_no"].to_list() == [1]
    undo(con, 2)
    assert warehouse.waiting(con).is_empty()  # its own load is out of force


def test_a_partial_row_whose_first_load_is_undone_waits_out_of_sight(con):
    put(con, "b", {"athlete": rows({"athlete_id": "cy-moor", "display_name": "Cy Moor"})})
    put(con, "c", {"athlete": rows({"athlete_id": "cy-moor", "display_name": None, "squad": "senior"})})
    undo(con, 2)
    assert "cy-moor" not in warehouse.table(con, "athlete")["athlete_id"].to_list()
    put(con, "d", {"athlete": rows({"athlete_id": "cy-moor", "display_name": "C. Moor"})})
    shown = warehouse.table(con, "athlete").filter(athlete_id="cy-moor")
    assert shown.select("display_name", "squad").rows() == [("C. Moor", "senior")]
    assert_current_rows_follow_from_the_versions(con)


# One thing done to a record: a file of up to three body measures with blanks, or an undo or redo of a load.
cell = st.sampled_from([None, 60.0, 61.0, 62.0])
measure = st.tuples(st.sampled_from(["ada-reed", "bo-lind"]), cell, cell)
step = st.one_of(
    st.tuples(st.just("load"), st.integers(1, 4), st.lists(measure, min_size=1, max_size=3)),
    st.tuples(st.sampled_from(["undo", "redo"]), st.integers(2, 6), st.just([])),
)


@examples(25)
@given(st.lists(step, max_size=8))
def test_whatever_is_loaded_undone_and_redone_the_record_follows_from_its_versions(steps):
    with warehouse.in_memory() as con:
        put(con, "roster", ROSTER)
        for what, number, measures in steps:
            if what == "load":
                told = [
                    {"athlete_id": who, "measured_on": DAY, "body_mass_kg": mass, "leg_length_m": leg and leg / 70}
                    for who, mass, leg in measures
                ]
                stored = put(con, f"{number} {told}", {"body_measure": rows(*told)})
                assert stored.stored + stored.unchanged + stored.replaced == len(told)
            else:
                try:
                    undo(con, number) if what == "undo" else redo(con, number)
                except ThirdstepError:
                    continue
            assert_current_rows_follow_from_the_versions(con, "body_measure")


def test_the_order_of_files_that_do_not_contradict_is_irrelevant():
    files = {
        "a": {"split": rows(split("ada-reed", 10, 1.80))},
        "b": {"split": rows(split("ada-reed", 20, 2.95))},
        "c": {
            "session": rows({"athlete_id": "ada-reed", "session_date": DAY, "session_no": 1, "kind": "acceleration"})
        },
    }
    seen = []
    for order in ("abc", "cba", "bca"):
        with warehouse.in_memory() as con:
            put(con, "roster", ROSTER)
            for name in order:
                put(con, name, files[name])
            seen.append(warehouse.record_frames(con))
    assert all(frame.equals(other[name]) for other in seen[1:] for name, frame in seen[0].items())
