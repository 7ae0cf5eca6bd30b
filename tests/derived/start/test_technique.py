"""What was looked for and seen: counted free and under a load apart, by hand."""

import datetime as dt

import polars as pl

from pipelines.derived.start.technique import technique_seen
from schemas.derived.technique import TechniqueSeen
from schemas.records import RECORDS

AS_OF = dt.date(2026, 11, 22)


def record(table: str, *rows: dict) -> pl.DataFrame:
    schema = {name: one.dtype.type for name, one in RECORDS[table].to_schema().columns.items()}
    return pl.DataFrame([{name: row.get(name) for name in schema} for row in rows], schema=schema, orient="row")


def run(no: int, back: int = 1, **more: object) -> dict:
    return {"athlete_id": "ada", "session_date": AS_OF - dt.timedelta(days=back), "session_no": 1, "rep_no": no, **more}


def note(no: int, seen: bool, back: int = 1, item: str = "head_moves_alone") -> dict:
    return run(no, back, item=item, seen=seen)


def test_free_and_loaded_starts_are_counted_apart():
    runs = record(
        "rep", run(1), run(2, resistance_kind="none"), run(3, resistance_kind="sled", resistance_load_kg=40.0),
        run(4, resistance_load_kg=20.0), run(5, resistance_kind="none", outcome="false_start"),
    )  # fmt: skip
    notes = record("technique_note", *(note(no, seen) for no, seen in ((1, True), (2, False), (3, True), (4, True),
                                                                      (5, True), (9, False))))  # fmt: skip
    found = technique_seen(notes, runs, as_of=AS_OF)
    TechniqueSeen.as_pandera().validate(found)
    # 1, 2, the false start 5, and 9, of which no run is on record, are no loaded runs; 3 and 4 are
    assert found.row(0, named=True) == {
        "athlete_id": "ada", "item": "head_moves_alone", "free_looked": 4, "free_seen": 2, "sled_looked": 2,
        "sled_seen": 2, "last_seen_on": AS_OF - dt.timedelta(days=1),
    }  # fmt: skip


def test_a_loaded_run_of_the_day_s_other_session_makes_no_run_of_this_one_loaded():
    runs = record("rep", run(1), run(1, resistance_kind="sled", resistance_load_kg=40.0) | {"session_no": 2})
    notes = record("technique_note", note(1, seen=True), note(1, seen=False) | {"session_no": 2})
    [row] = technique_seen(notes, runs, as_of=AS_OF).to_dicts()
    assert (row["free_looked"], row["free_seen"], row["sled_looked"], row["sled_seen"]) == (1, 1, 1, 0)


def test_what_is_older_than_ninety_days_or_still_to_come_is_not_counted():
    notes = record("technique_note", note(1, True, back=90), note(1, True, back=-1), note(1, False, back=89))
    [row] = technique_seen(notes, record("rep"), as_of=AS_OF).to_dicts()
    assert (row["free_looked"], row["free_seen"], row["last_seen_on"]) == (1, 0, None)
