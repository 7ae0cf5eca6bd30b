"""Marks that nobody has reached are slips: times below the world's fastest, forces that no leg has."""

import polars as pl
import pytest

from pipelines.checks.best_marks import too_fast_races, too_fast_runs, too_strong
from tests.intake import reasons, take_in

# World records and best performances of whoever ran fastest, World Athletics lists at the beginning of 2026, from
# memory: Coleman 2018, Bolt 2009 (100, 150 and 200 m), Tebogo 2024, Van Niekerk 2016, Holloway 2024, Amusan 2022,
# Merritt 2012, Warholm 2021. Written here a second time on purpose.
FASTEST = [("60", 6.34), ("100", 9.58), ("150", 14.35), ("200", 19.19), ("300", 30.69), ("400", 43.03),
           ("60h", 7.27), ("100h", 12.12), ("110h", 12.80), ("400h", 45.94)]  # fmt: skip


def race(event: str, *times: float) -> pl.DataFrame:
    return pl.DataFrame({"_row": range(len(times)), "_part": 0, "event": event, "time_s": times})


@pytest.mark.parametrize(("event", "seconds"), FASTEST)
def test_a_race_is_no_faster_than_the_world_s_fastest_and_may_be_as_fast(event: str, seconds: float):
    found = too_fast_races(race(event, round(seconds - 0.01, 2), seconds, seconds + 0.01))
    assert found["_row"].to_list() == [0]
    assert found["reason"].item().startswith(f"nobody has ever run {event} m in {seconds - 0.01:g} s. ")


def test_of_a_distance_nobody_keeps_records_of_no_race_is_too_fast():
    assert too_fast_races(race("250", 1.0)).is_empty()


@pytest.mark.parametrize(("event", "seconds"), [one for one in FASTEST if one[0].isdigit()])
def test_a_clock_without_a_gun_may_show_four_tenths_less_and_no_more(event: str, seconds: float):
    # what a clock that starts by itself leaves out: reaction and first movement, 0.40 s at most (common practice)
    times = [seconds - 0.41, seconds - 0.39]
    split = pl.DataFrame({"_row": [0, 1], "_part": 0, "distance_m": float(event), "elapsed_s": times})
    found = too_fast_runs(split)
    assert found["_row"].to_list() == [0]
    assert f"nobody has ever run {event} m in " in found["reason"].item()


@pytest.mark.parametrize(
    ("test", "most"), [("eccentric_hamstring", 1200.0), ("hip_adduction", 1500.0), ("hip_flexor", 1500.0)]
)
def test_a_force_of_one_leg_is_no_higher_than_any_leg_has(test: str, most: float):
    # published for athletes: about 300 to 500 N a leg (Opar and others 2015)
    force = pl.DataFrame(
        {"_row": range(4), "_part": 0, "test": test, "peak_force_n": [most + 1, most, 400.0, most + 1]}
    )
    assert too_strong(force)["_row"].to_list() == [0, 3]
    sided = force.with_columns(side=pl.Series(["r", "l", "l", "both"]))  # both legs together may have more
    found = too_strong(sided)
    assert found["_row"].to_list() == [0]
    assert found["reason"].item().startswith(f"no leg has {most + 1} N in this test, at most {most} N. ")


def test_a_force_of_a_jump_is_not_held_against_that_of_a_leg():
    force = pl.DataFrame({"_row": [0], "_part": [0], "test": ["isometric_mid_thigh_pull"], "peak_force_n": [4000.0]})
    assert too_strong(force).is_empty()


def test_a_slip_in_a_race_is_set_aside_from_the_file():
    checked = take_in("athlete_id,raced_on,event,time_s\nana-berg,2026-03-03,100,9.21\nana-berg,2026-03-04,100,12.1\n")
    assert "nobody has ever run 100 m in 9.21 s" in reasons(checked, 2)
    assert checked.accepted["race_result"]["time_s"].to_list() == [12.1]


def test_a_force_and_a_race_that_lack_what_is_judged_by_are_told_as_empty():
    force = take_in("Name,Date,Test,Side,Peak force (N)\nAna Berg,2026-03-03,eccentric hamstring,left,4000\n")
    assert reasons(force) == "no leg has 4000.0 N in this test, at most 1200.0 N. Row set aside. Check the digits."
    race = take_in("Name,Date,Event,Time\nAna Berg,2026-03-03,,12.1\n")
    assert reasons(race).startswith("Event is empty, and without it the row says nothing. Row set aside.")


def test_a_split_below_what_a_clock_can_show_holds_back_its_run_alone():
    line = "athlete_id,session_date,rep_no,distance_m,elapsed_s\n"
    checked = take_in(line + "ana-berg,2026-03-03,1,100,9.1\nana-berg,2026-03-03,2,100,12.1\n")
    assert "nobody has ever run 100 m in 9.1 s. Row set aside. Check the time and the distance." in reasons(checked, 2)
    assert checked.accepted["split"]["rep_no"].to_list() == [2]
