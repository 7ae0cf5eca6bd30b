"""What a load does to the record: stored, unchanged, replaced, set aside, and never anything else."""

import duckdb
import polars as pl
import pytest

from pipelines.record import warehouse
from pipelines.record.merge import count_effects
from tests.record.frames import (
    DAY,
    NOTHING_ASIDE,
    ROSTER,
    aside,
    assert_current_rows_follow_from_the_versions,
    counts,
    current,
    put,
    rows,
    split,
)


@pytest.fixture
def con():
    with warehouse.in_memory() as record:
        put(record, "roster", ROSTER)
        yield record


def test_the_same_file_again_changes_nothing(con):
    file = {"split": rows(split("ada-reed", 10, 1.80), split("ada-reed", 20, 2.95))}
    first = put(con, "gates", file)
    before = current(con)
    again = put(con, "gates", file)
    assert counts(first) == (2, 0, 0, 0)
    assert counts(again) == (0, 2, 0, 0)
    assert again.load_no is None
    assert all(before[name].equals(frame) for name, frame in current(con).items())


def test_another_file_with_the_same_rows_is_logged_and_leaves_their_origin(con):
    file = {"split": rows(split("ada-reed", 10, 1.80))}
    put(con, "gates", file)
    again = put(con, "gates-copy", file)
    assert counts(again) == (0, 1, 0, 0)
    assert again.load_no == 3
    assert warehouse.table(con, "split")["source_sha256"].to_list() == ["gates"]


def test_a_changed_value_replaces_and_the_old_one_stays_in_the_history(con):
    put(con, "gates", {"split": rows(split("ada-reed", 10, 1.80), split("ada-reed", 20, 2.95))})
    corrected = put(con, "gates-2", {"split": rows(split("ada-reed", 10, 1.80), split("ada-reed", 20, 2.97))})
    assert counts(corrected) == (0, 1, 1, 0)
    table = warehouse.table(con, "split")
    assert table.select("distance_m", "elapsed_s", "load_no").rows() == [(10.0, 1.80, 2), (20.0, 2.97, 3)]
    history = con.sql("select elapsed_s from version_split where distance_m = 20 order by load_no").fetchall()
    assert [value for (value,) in history] == [2.95, 2.97]


def test_a_blank_cell_never_erases(con):
    told = {"athlete_id": "ada-reed", "measured_on": DAY}
    put(con, "a", {"body_measure": rows({**told, "body_mass_kg": 61.5, "height_m": 1.71})})
    blank = rows({**told, "body_mass_kg": None, "height_m": None, "leg_length_m": 0.91})
    assert counts(put(con, "b", {"body_measure": blank})) == (1, 0, 0, 0)
    assert warehouse.table(con, "body_measure").select("body_mass_kg", "height_m", "leg_length_m").row(0) == (
        61.5, 1.71, 0.91,
    )  # fmt: skip


def test_a_row_that_adds_and_changes_counts_as_replaced(con):
    told = {"athlete_id": "ada-reed", "measured_on": DAY}
    put(con, "a", {"body_measure": rows({**told, "body_mass_kg": 61.5})})
    both = rows({**told, "body_mass_kg": 62.0, "height_m": 1.71})
    assert counts(put(con, "b", {"body_measure": both})) == (0, 0, 1, 0)


def test_one_source_row_counts_once_however_many_tables_it_fills(con):
    session = {"athlete_id": "ada-reed", "session_date": DAY, "session_no": 1}
    wide = {
        "session": rows({**session, "kind": "acceleration"}),
        "rep": rows({**session, "rep_no": 1, "timing_kind": "electronic"}),
        "split": pl.concat([rows(split("ada-reed", 10, 1.80)), rows(split("ada-reed", 20, 2.95))]),
    }
    assert counts(put(con, "wide", wide)) == (1, 0, 0, 0)
    wide["split"] = pl.concat([rows(split("ada-reed", 10, 1.80)), rows(split("ada-reed", 20, 2.99))])
    assert counts(put(con, "wide-2", wide)) == (0, 0, 1, 0)


def test_a_split_makes_its_run_and_session(con):
    put(con, "gates", {"split": rows(split("ada-reed", 10, 1.80), split("ada-reed", 20, 2.95))})
    key = ["athlete_id", "session_date", "session_no"]
    assert warehouse.table(con, "session").select(key).rows() == [("ada-reed", DAY, 1)]
    assert warehouse.table(con, "rep").select(*key, "rep_no").rows() == [("ada-reed", DAY, 1, 1)]


def test_rows_of_one_key_in_one_file_complete_each_other(con):
    told = {"athlete_id": "ada-reed", "measured_on": DAY}
    file = {"body_measure": rows({**told, "body_mass_kg": 61.5, "height_m": None}, {**told, "height_m": 1.71})}
    assert counts(put(con, "a", file)) == (2, 0, 0, 0)
    assert warehouse.table(con, "body_measure").select("body_mass_kg", "height_m").rows() == [(61.5, 1.71)]
    assert_current_rows_follow_from_the_versions(con)


def test_of_a_row_with_a_cell_set_aside_the_rest_is_stored_and_the_row_counts_once(con):
    wide = pl.concat([rows(split("ada-reed", 10, 1.80)), rows(split("ada-reed", 20, 2.95))])  # both of line 2
    stored = put(con, "wide", {"split": wide}, set_aside=aside(2))
    assert counts(stored) == (1, 0, 0, 0)
    assert warehouse.table(con, "split").height == 2
    assert warehouse.waiting(con).height == 1


def test_two_faults_in_a_row_set_it_aside_once(con):
    two = pl.concat([aside(3), aside(3, "in the future")])
    stored = put(con, "gates", {"split": rows(split("ada-reed", 10, 1.80))}, set_aside=two)
    assert counts(stored) == (1, 0, 0, 1)
    assert warehouse.waiting(con)["reason"].to_list() == ["not a number", "in the future"]


def test_a_row_without_what_it_means_is_set_aside_and_not_stored(con):
    stored = put(con, "gates", {"split": rows(split("ada-reed", 10, 1.80), split("ada-reed", 20, None))})
    assert counts(stored) == (1, 0, 0, 1)
    assert stored.set_aside["reason"].to_list() == [
        "elapsed_s is missing, and a row of 'split' means nothing without it."
    ]


def test_the_same_file_again_tries_only_what_was_set_aside(con):
    good = rows(split("ada-reed", 10, 1.80))
    put(con, "gates", {"split": good}, set_aside=aside(3))
    put(con, "gates-2", {"split": rows(split("ada-reed", 10, 1.84))})  # replaces what the first file said
    later = pl.concat([good, rows(split("bo-lind", 10, 1.90), first_line=3)])  # the athlete of line 3 exists by now
    again = put(con, "gates", {"split": later}, settled=(1,))
    assert counts(again) == (1, 1, 0, 0)
    table = warehouse.table(con, "split")
    # 1.84 stays: the old file does not say 1.80 a second time
    assert table.select("athlete_id", "elapsed_s").rows() == [("ada-reed", 1.84), ("bo-lind", 1.90)]
    assert warehouse.waiting(con).is_empty()
    assert_current_rows_follow_from_the_versions(con)


def test_the_same_file_with_the_same_faults_is_not_logged_again(con):
    file = {"split": rows(split("ada-reed", 10, 1.80))}
    put(con, "gates", file, set_aside=aside(3))
    again = put(con, "gates", file, set_aside=aside(3))
    assert (counts(again), again.load_no) == ((0, 1, 0, 1), None)
    assert warehouse.waiting(con).height == 1


def test_counts_that_do_not_add_up_store_nothing(con):
    with pytest.raises(ValueError, match="do not add up"):
        put(con, "gates", {"split": rows(split("ada-reed", 10, 1.8), split("ada-reed", 20, 2.9))}, rows_read=1)
    assert warehouse.table(con, "split").is_empty()
    assert warehouse.table(con, "load").height == 1


def test_an_empty_load_is_logged_with_zeros(con):
    assert counts(put(con, "empty", {}, set_aside=NOTHING_ASIDE)) == (0, 0, 0, 0)


def test_lines_of_one_number_in_several_sheets_are_several_rows():
    # adding: a 1, b 1, 1 of no sheet, c 2 = 4 places, of which a 1 also replaces: 3 add, 1 replaces
    fresh = pl.DataFrame({"source_sheet": ["a", "b", None, "a"], "source_line": [1, 1, 1, 1]})
    told = {"source_sheet": ["a", "c"], "source_line": [1, 2], "adds": [True, True], "replaces": [True, False]}
    assert count_effects([fresh], [pl.DataFrame(told)]) == (3, 1)


def test_a_first_load_that_breaks_says_why_and_leaves_nothing_of_itself(con, monkeypatch):
    file = {"split": rows(split("ada-reed", 10, 1.80))}

    def broken(con, *_):
        con.execute("select * from nowhere")

    monkeypatch.setattr(warehouse.history, "merge_new", broken)
    with pytest.raises(duckdb.CatalogException, match="nowhere"):
        put(con, "gates", file)
    monkeypatch.undo()
    assert not con.execute("select view_name from duckdb_views() where view_name like 'new_%'").fetchall()
    assert counts(put(con, "gates", file)) == (1, 0, 0, 0)
