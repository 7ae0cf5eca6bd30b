"""Speeds over a known distance are times; a highest speed, a wind and a speed over no distance are not."""

import pytest

from tests.intake import rows, take_in

TIMES = [(20.0, 1.976), (20.0, 2.21)]


@pytest.mark.parametrize(("heads", "one", "other"), [
    ("Fly 20 (m/s)", "10.12", "9.05"), ("Zone (m),Speed (m/s)", "20,10.12", "20,9.05"),
    ("Distance (m),Speed (km/h)", "20,36.43", "20,32.58"),
])  # fmt: skip
def test_a_mean_speed_over_a_distance_is_the_time_it_took(heads, one, other):
    checked = take_in(f"Date,Athlete,{heads}\n2026-10-05,Ana Berg,{one}\n2026-10-05,Bea Lund,{other}\n")
    assert rows(checked, "split", "distance_m", "elapsed_s") == TIMES


@pytest.mark.parametrize(("heads", "cells"), [
    ("Zone (m),Top speed (m/s)", "20,10.12"),  # a highest speed is none over the zone
    ("10 m (s),Speed (m/s)", "1.85,10.12"),  # nothing says over how far
    ("Fly 20 (m/s)", "2.21e1"), ("Zone (m),Speed (m/s)", "20,21.4"),  # nobody's speed
])  # fmt: skip
def test_what_is_no_mean_speed_over_a_known_distance_is_no_time(heads, cells):
    checked = take_in(f"Date,Athlete,{heads}\n2026-10-05,Ana Berg,{cells}\n2026-10-06,Ana Berg,{cells}\n")
    splits = checked.accepted.get("split")
    assert splits is None or set(splits["elapsed_s"]) <= {1.85}


def test_a_speed_of_the_wind_stays_one():
    checked = take_in("Date,Athlete,Fly 20 (s),Wind (m/s)\n2026-10-05,Ana Berg,2.21,1.1\n")
    assert rows(checked, "rep", "wind_ms") == [(1.1,)]


def test_two_speeds_that_are_counted_are_two_runs_and_the_top_of_them_is_neither():
    checked = take_in(
        "Date,Athlete,Fly zone (m),Speed 1 (m/s),Speed 2 (m/s),Top (m/s)\n2026-10-05,Ana Berg,20,9.05,9.20,9.20\n"
        "2026-10-05,Bea Lund,20,9.11,8.95,9.11\n"
    )  # fmt: skip
    assert sorted(rows(checked, "split", "athlete_id", "rep_no", "elapsed_s")) == [
        ("ana-berg", 1, 2.21), ("ana-berg", 2, 2.174), ("bea-lund", 1, 2.195), ("bea-lund", 2, 2.235),
    ]  # fmt: skip
