"""Raw bests: the fastest time as timed, never of another start, clock or way of timing, and never of a resisted run."""

import datetime as dt

import polars as pl

from pipelines.derived.sprint.bests import gate_best

AS_OF = dt.date(2026, 11, 22)
KEY = {"athlete_id": "ada", "session_no": 1}
REP = {"start_kind": "blocks", "clock_start": "first_gate", "timing_kind": "electronic", "resistance_kind": "none",
       "outcome": None, "wind_ms": None, "run_in_m": None}  # fmt: skip
TEXTS = ("start_kind", "clock_start", "timing_kind", "resistance_kind", "outcome")


def best_of(*runs):
    """Return the table of runs given as (day, run, time at 10 m, changes of the run)."""
    reps, splits = [], []
    for day, no, time, changes in runs:
        key = {**KEY, "session_date": dt.date(2026, 11, day), "rep_no": no}
        reps.append({**key, **REP, **changes})
        splits.append({**key, "distance_m": 10.0, "elapsed_s": time})
    texts = dict.fromkeys(TEXTS, pl.String)
    rep = pl.DataFrame(
        reps,
        schema_overrides={**texts, "wind_ms": pl.Float64, "run_in_m": pl.Float64, "resistance_load_kg": pl.Float64},
    )
    rep = rep.with_columns(resistance_load_kg=pl.lit(None, pl.Float64))
    return gate_best(rep, pl.DataFrame(splits), as_of=AS_OF).to_dicts()


def test_the_best_is_the_least_time_and_the_last_day_has_its_own():
    # by hand: 1.80 and 1.74 on the 3rd, 1.78 on the 10th; best 1.74, last 1.78, three runs on two days
    [row] = best_of((3, 1, 1.80, {}), (3, 2, 1.74, {"wind_ms": 0.4}), (10, 1, 1.78, {}))
    assert (row["best_s"], row["best_on"], row["best_wind_ms"]) == (1.74, dt.date(2026, 11, 3), 0.4)
    assert (row["last_s"], row["last_on"], row["days"], row["runs"]) == (1.78, dt.date(2026, 11, 10), 2, 3)


def test_the_first_day_of_a_best_run_twice_is_the_day_of_it():
    [row] = best_of((10, 1, 1.74, {}), (3, 1, 1.74, {}))
    assert row["best_on"] == dt.date(2026, 11, 3)


def test_starts_clocks_and_ways_of_timing_are_never_mixed_and_unknown_is_its_own():
    rows = best_of((3, 1, 1.74, {}), (3, 2, 1.60, {"timing_kind": "hand"}), (3, 3, 1.50, {"start_kind": None}),
                   (3, 4, 1.40, {"clock_start": "gun"}))  # fmt: skip
    assert sorted(row["best_s"] for row in rows) == [1.40, 1.50, 1.60, 1.74]
    assert {row["start_kind"] for row in rows} == {"blocks", "unknown"}


def test_resisted_stopped_and_false_starts_are_no_bests_and_later_days_are_not_known_yet():
    runs = [(3, 1, 1.60, {"resistance_kind": "sled"}), (3, 2, 1.61, {"outcome": "stopped"}),
            (3, 3, 1.62, {"outcome": "false_start"}), (30, 1, 1.63, {}), (4, 1, 1.74, {})]  # fmt: skip
    assert [row["best_s"] for row in best_of(*runs)] == [1.74]


def test_no_run_gives_no_row():
    assert best_of((30, 1, 1.63, {})) == []


def test_flying_times_of_other_run_ins_are_never_mixed_and_other_starts_have_none():
    fly = {"start_kind": "rolling"}
    rows = best_of((3, 1, 1.10, {**fly, "run_in_m": 30.0}), (3, 2, 1.04, {**fly, "run_in_m": 40.0}), (4, 1, 1.02, fly),
                   (4, 2, 1.12, {**fly, "run_in_m": 30.0}), (4, 3, 1.74, {"run_in_m": 30.0}))  # fmt: skip
    assert {row["run_in"]: (row["best_s"], row["runs"]) for row in rows} == {
        "30 m": (1.10, 2), "40 m": (1.04, 1), "unknown": (1.02, 1), "none": (1.74, 1),
    }  # fmt: skip
