"""Two things in a cell, runs named in words, and headings that should be a column: each a row or column of its own."""

import pytest

from tests.intake import rows, take_in

DAY = "2026-03-03"
RACE = ("event", "time_s", "wind_ms")


def test_runs_named_in_words_are_a_distance_and_a_start():
    log = "Date,Athlete,{},Rep,Time (s)\n{},Ana Berg,Fly 10,1,1.08\n{},Ana Berg,30m blocks,2,4.28\n"
    for heading in ("Drill", "What"):
        checked = take_in(log.format(heading, DAY, DAY))
        assert rows(checked, "split", "distance_m", "elapsed_s") == [(10.0, 1.08), (30.0, 4.28)]
        assert rows(checked, "rep", "start_kind") == [("rolling",), ("blocks",)]
    # a name that says more than that leaves the column to be asked about
    assert "split" not in take_in(log.format("What", DAY, DAY).replace("Fly 10", "Fly 10 into bend")).accepted


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ("11.92 (+0.8)", ("100", 11.92, 0.8)), ("11.92 (-1.1)", ("100", 11.92, -1.1)),
        ("12.10 (+2.4w)", ("100", 12.1, 2.4)), ("11.92", ("100", 11.92, None)),
    ],
)  # fmt: skip
def test_a_wind_behind_a_time_is_a_column_of_its_own(cell, expected):
    text = f"Date,Name,Event,Result\n2026-06-14,Ana Berg,100 m,{cell}\n2026-06-14,Bea Lund,100 m,12.30 (+0.8)\n"
    assert rows(take_in(text, "results.csv"), "race_result", *RACE)[0] == expected


def test_two_times_with_a_dash_between_are_no_wind():
    text = f"Date,Athlete,30 m (hand)\n{DAY},Ana Berg,4.2 - 4.3\n{DAY},Bea Lund,4.4 - 4.5\n"
    checked = take_in(text)
    assert sorted(rows(checked, "split", "rep_no", "elapsed_s")) == [(1, 4.2), (1, 4.4), (2, 4.3), (2, 4.5)]
    assert "wind_ms" not in checked.accepted["rep"].columns


def test_an_effort_behind_sets_is_kept_and_costs_no_load():
    text = f"Date,Athlete,Exercise,Done\n{DAY},Ana Berg,Back squat,2x5 @ 80 RPE 8\n{DAY},Bea Lund,Back squat,1x3 @ 60\n"
    checked = take_in(text)
    assert sorted(rows(checked, "lift_set", "reps", "load_kg")) == [(3, 60.0), (5, 80.0), (5, 80.0)]
    assert ("columns", "RPE") in {(one.ask, one.about) for one in checked.questions}


def test_times_with_a_dash_between_are_runs_and_lists_are_gates():
    text = (
        f"Date,Athlete,30 m block\n{DAY},Ana Berg,4.28 - 4.31\n{DAY},Bea Lund,4.45 - 4.48\n{DAY},Cleo Dahl-Frost,4.61\n"
    )
    assert sorted(rows(take_in(text), "split", "rep_no", "elapsed_s")) == [
        (1, 4.28), (1, 4.45), (1, 4.61), (2, 4.31), (2, 4.48),
    ]  # fmt: skip
    text = f"Date,Athlete,Run 1 (5/10/20)\n{DAY},Ana Berg,1.05/1.82/3.10\n"
    assert rows(take_in(text), "split", "distance_m", "elapsed_s") == [(5.0, 1.05), (10.0, 1.82), (20.0, 3.1)]


def test_loads_of_a_sled_over_times_are_rows_and_no_share_of_body_mass_is_a_free_run():
    ladder = '"20 m sled, 3 March 2026{}"\nName,{}\nAna Berg,2.95,3.20,3.50\nBea Lund,2.99,3.30,3.60\n'
    kilos = take_in(ladder.format("", "5 kg,10 kg,20 kg"))
    assert rows(kilos, "rep", "resistance_load_kg")[:3] == [(5.0,), (10.0,), (20.0,)]
    shares = take_in(ladder.format(", % of body mass", "0%,25%,50%"))
    assert rows(shares, "rep", "resistance_percent")[:3] == [(None,), (25.0,), (50.0,)]
    assert [kind for (kind,) in rows(shares, "rep", "resistance_kind")[:3]][1:] == ["sled", "sled"]
    assert rows(shares, "rep", "resistance_kind")[0][0] in (None, "none")
    # a percentage of nobody knows what is asked
    assert "split" not in take_in(ladder.format("", "0%,25%,50%")).accepted


def test_events_beside_a_meeting_are_races_where_they_cannot_be_gates():
    season = "Date,Meeting,Athlete,60m,100m,200m\n2026-06-14,Town,Ana Berg,,11.92,24.30\n"
    one_each = season + "2026-01-24,Hall,Bea Lund,7.55,,\n2026-01-25,Hall,Ana Berg,7.50,,\n"
    assert sorted(rows(take_in(one_each), "race_result", "event", "time_s")) == [
        ("100", 11.92), ("200", 24.3), ("60", 7.5), ("60", 7.55),
    ]  # fmt: skip
    assert "race_result" not in take_in(season).accepted  # gates of one race, maybe


def test_several_results_stand_behind_their_event():
    said = "Ana Berg 11.92 (+0.8) 2nd, Bea Lund 12.10 (+0.8) 4th"
    text = f"Town Meeting, 14 June 2026\n100m: {said}\n200m: Cleo Dahl-Frost 24.85\n"
    found = rows(take_in(text, "results.txt"), "race_result", "event", "time_s", "place")
    assert sorted(found) == [("100", 11.92, 2), ("100", 12.1, 4), ("200", 24.85, None)]


def test_the_force_of_a_test_named_in_a_row_is_of_its_side():
    text = f"Date,Athlete,Test,Side,Force\n{DAY},Ana Berg,Nordic,L,310 N\n{DAY},Ana Berg,Nordic,R,322 N\n"
    assert sorted(rows(take_in(text), "force_test", "side", "peak_force_n")) == [("l", 310.0), ("r", 322.0)]


def test_a_load_that_stands_where_the_name_does_is_of_the_runs_below():
    told = "Ana Berg,15,1,3.55\n,,2,3.60\nBea Lund,10,1,3.71\n,,2,3.75\n"
    text = f'"Sled pulls 20 m, 3 March 2026"\nName,Load (kg),Rep,Time\n{told}'
    assert rows(take_in(text), "rep", "resistance_load_kg") == [(15.0,), (15.0,), (10.0,), (10.0,)]


@pytest.mark.parametrize(
    ("text", "runs"),
    [
        (f"60 m {DAY}\nName,1,2\nAna Berg,7.58 (+1.2),7.61 (-0.4)\n", [(60, 1, 7.58), (60, 2, 7.61)]),
        (f"Gates {DAY}\n,run,30 m\nAna Berg,1,4.28\n,2,4.31\nBea Lund,1,x\n,2,x\n", [(30, 1, 4.28), (30, 2, 4.31)]),
        (f"Date,Name,Set,Rep,30 m\n{DAY},Ana Berg,1,1,4.31\n{DAY},Ana Berg,2,1,4.35\n", [(30, 1, 4.31), (30, 2, 4.35)]),
        (f"{DAY}\nAna Berg,Rep 1,Rep 2\n10 m,1.82,1.85\n30 m,4.28,4.31\n",
         [(10, 1, 1.82), (10, 2, 1.85), (30, 1, 4.28), (30, 2, 4.31)]),
        (f"date,name,rep,segment,time (s)\n{DAY},Ana Berg,1,0-10,1.85\n{DAY},Ana Berg,1,10-20,1.25\n",
         [(10, 1, 1.85), (20, 1, 3.1)]),
        (f"Sled 20 m - {DAY}\nName,15 kg,,25 kg,\n,1,2,1,2\nAna Berg,3.5,3.6,3.9,4.1\n",
         [(20, 1, 3.5), (20, 2, 3.6), (20, 3, 3.9), (20, 4, 4.1)]),
        (f"30 m {DAY}\nDate,Ana Berg,,Bea Lund,\n,1,2,1,2\n{DAY},4.28,4.31,,\n", [(30, 1, 4.28), (30, 2, 4.31)]),
        (f"Date,Name,Fly 20 time\n{DAY},Ana Berg,2.1\n", [(20, 1, 2.1)]),
        ("10 m lanzados - 17/03/2026\nAtleta,1,2\nAna Berg,1.08,1.07\n", [(10, 1, 1.08), (10, 2, 1.07)]),
    ],
)  # fmt: skip
def test_each_time_is_of_its_run_wherever_its_number_stands(text, runs):
    checked = take_in(text, "x.csv")
    assert sorted(rows(checked, "split", "distance_m", "rep_no", "elapsed_s")) == runs
    if "+1.2" in text:
        assert sorted(rows(checked, "rep", "rep_no", "wind_ms")) == [(1, 1.2), (2, -0.4)]


def test_a_height_beside_a_box_and_a_contact_is_that_of_the_jump():
    text = f"Date,Name,Box (cm),Contact (ms),Height (cm)\n{DAY},Ana Berg,30,180,30.5\n"
    assert rows(take_in(text, "dj.csv"), "jump_test", "test", "contact_s", "jump_height_m") == [("drop", 0.18, 0.305)]


def test_a_place_behind_a_wind_is_read_with_what_follows_it():
    text = "Open, 14/06/2026\n100m: Ana Berg (Harbour) 11.92 +0.8 2nd Q, Bea Lund (Harbour) 12.10 +0.8 4th\n"
    checked = take_in(f"{text}200m: Cleo Dahl (Harbour) 24.85 -1.1 1st\n", "results.txt")
    assert (100, 11.92, 0.8, 2) in [(int(e), *more) for e, *more in rows(checked, "race_result", *RACE, "place")]
