"""The contacts of an athlete's own best starts, and the ends of the intervals that the page draws."""

import datetime as dt
import math

import polars as pl
import pytest

from dashboard.charts import start as charts
from pipelines.derived.start.best_contacts import start_best_contact
from pipelines.derived.start.phase import start_phase, start_steps
from schemas.derived.best_contacts import StartBestContact
from schemas.derived.sprint import SprintProfile
from tests.derived.start.start_frames import CONTACTS, DAY, record, rep_row, run_key, step_rows


def ranges_of(times: list[float | None], contacts: list[float], **more: object) -> pl.DataFrame:
    """Return the ranges of runs on days one after the other: their 10 m times, and their first contacts."""
    keys = [run_key(DAY + dt.timedelta(days=n)) for n in range(len(times))]
    reps = record("rep", [rep_row(key, **more) for key in keys])
    rows = [row for key, first in zip(keys, contacts, strict=True) for row in step_rows(key, [first, *CONTACTS[1:]])]
    steps = record("step", [row for row in rows if row["step_no"] <= 3])
    told = start_steps(reps, steps)
    phase = start_phase(reps, steps, record("set_position"), record("technique_note"), told)
    schema = SprintProfile.to_schema().types
    free = phase["is_free"].to_list()
    known = [{**r, "t_10_s": t, "is_free": f} for r, t, f in zip(reps.to_dicts(), times, free, strict=True)]
    profile = pl.DataFrame([{name: row.get(name) for name in schema} for row in known], schema=schema)
    found = start_best_contact(told, phase, profile)
    StartBestContact.as_pandera().validate(found)
    return found


def test_the_range_is_of_the_five_fastest_starts_and_of_no_other():
    # The slowest two (2.10, 2.20 s) have the shortest and the longest contact: neither counts.
    times = [2.00, 2.20, 1.98, 2.02, 2.01, 2.10, 1.99]
    contacts = [0.190, 0.150, 0.200, 0.185, 0.195, 0.250, 0.188]
    first = ranges_of(times, contacts).filter(step_no=1).row(0, named=True)
    assert (first["starts"], first["low_s"], first["high_s"]) == (5, 0.185, 0.200)


def test_a_run_without_a_time_or_of_an_unknown_start_is_none_of_the_best():
    assert ranges_of([None, 2.0], [0.100, 0.190]).filter(step_no=1)["low_s"].to_list() == [0.190]
    assert ranges_of([2.0], [0.190], start_kind=None).is_empty()
    assert ranges_of([2.0], [0.190], resistance_kind="sled").is_empty()
    assert ranges_of([2.0], [0.190], resistance_load_kg=20.0).is_empty()  # pulled, though the kind was not said


def test_two_ways_to_start_have_each_their_own_range():
    found = ranges_of([2.0], [0.190], start_kind="three_point")
    assert found["start_kind"].unique().to_list() == ["three_point"]
    assert found["step_no"].to_list() == [1, 2, 3]


def test_the_ends_of_a_contact_and_a_frequency_are_two_sided_95_percent_of_the_frame_error():
    row = start_steps(record("rep", [rep_row(run_key())]), record("step", step_rows(run_key()))).row(0, named=True)
    # By hand: 1 / (240 sqrt 6) = 1.701 ms, times 1.96 = 3.334 ms either side of 195 ms.
    half = 1.96 / (240 * math.sqrt(6))
    assert (row["contact_low_s"], row["contact_high_s"]) == pytest.approx((0.195 - half, 0.195 + half))
    # 4 Hz -+ 1.96 * 0.001701 / 0.250^2 = 4 -+ 0.05335
    assert (row["step_frequency_low_hz"], row["step_frequency_high_hz"]) == pytest.approx((3.94665, 4.05335), abs=1e-5)


def test_where_no_frame_rate_is_known_there_is_no_interval_and_the_charts_draw_no_bar():
    steps = record("step", step_rows(run_key(), frame_rate=None))
    row = start_steps(record("rep", [rep_row(run_key())]), steps).row(0, named=True)
    assert row["contact_s"] == 0.195
    assert row["contact_low_s"] is row["contact_high_s"] is row["step_frequency_low_hz"] is None
    for spec, column in (
        (charts.first_contacts("light"), "error_low_ms"),
        (charts.step_frequency("light"), "low_hz"),
        (charts.speed("light"), "low_mps"),
    ):
        assert f"isValid(datum.{column})" in str(spec)
