"""Flying runs by two columns: the run-in, and the stretch that was timed behind it."""

import pytest

from tests.intake import rows, take_in

TWO = """Data;Atleta;{};{};1;2;3;vento
17.3.2026;Ana Berg;20 m;30 m;3,26;3,30;3,29;-0,8
17.3.2026;Bea Lund;20 m;30 m;3,13;3,12;;+0,4
"""


@pytest.mark.parametrize(
    ("run_in", "stretch"),
    [("rincorsa", "tratto"), ("Anlauf", "Strecke"), ("élan", "distance"), ("aanloop (m)", "afstand"),
     ("run-in", "stretch"), ("run in m", "distance m")],
)  # fmt: skip
def test_runs_counted_from_one_beside_a_run_in_and_a_stretch_are_flying_runs(run_in, stretch):
    checked = take_in(TWO.format(run_in, stretch), "gennaio.csv")
    assert sorted(rows(checked, "split", "athlete_id", "rep_no", "distance_m", "elapsed_s")) == [
        ("ana-berg", 1, 30.0, 3.26), ("ana-berg", 2, 30.0, 3.30), ("ana-berg", 3, 30.0, 3.29),
        ("bea-lund", 1, 30.0, 3.13), ("bea-lund", 2, 30.0, 3.12),
    ]  # fmt: skip
    assert "wind_ms" not in checked.accepted["rep"].columns  # written once beside them: of which run is asked
    wind = next(one.about for one in checked.questions if one.ask == "columns")
    checked = take_in(TWO.format(run_in, stretch), "gennaio.csv", columns={wind: "rep.wind_ms"})
    assert sorted(rows(checked, "rep", "athlete_id", "rep_no", "start_kind", "wind_ms")) == [
        ("ana-berg", 1, "rolling", -0.8), ("ana-berg", 2, "rolling", -0.8), ("ana-berg", 3, "rolling", -0.8),
        ("bea-lund", 1, "rolling", 0.4), ("bea-lund", 2, "rolling", 0.4),
    ]  # fmt: skip


@pytest.mark.parametrize("first", ["0 m", "", "breve"])
@pytest.mark.parametrize("name", ["gennaio.csv", "lanciati.csv"])
def test_where_not_every_run_had_a_run_in_the_start_is_asked(first, name):
    checked = take_in(TWO.format("rincorsa", "distanza").replace("20 m", first, 1), name)
    assert {one.ask for one in checked.questions} >= {"start_kind"}
    starts = rows(checked, "rep", "start_kind") if "start_kind" in checked.accepted["rep"].columns else []
    assert set(starts) <= {(None,)}


def test_a_stretch_without_a_run_in_is_asked_about():
    checked = take_in(TWO.format("gruppo", "tratto"), "gennaio.csv")
    assert "split" not in checked.accepted


def test_the_length_of_the_run_in_is_kept_with_the_run():
    checked = take_in(TWO.format("rincorsa", "tratto").replace("20 m;30 m;3,13", "25 m;30 m;3,13"), "gennaio.csv")
    assert sorted(rows(checked, "rep", "athlete_id", "run_in_m")) == [
        ("ana-berg", 20.0), ("ana-berg", 20.0), ("ana-berg", 20.0), ("bea-lund", 25.0), ("bea-lund", 25.0),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "title", ["30 m fly (20 m run-in)", "Fliegend 30 m, Anlauf 20 m", "30 m lanciati, rincorsa 20 m"]
)
def test_a_title_says_it_for_all_runs_and_makes_no_session_of_their_times(title):
    checked = take_in(f'"{title}"\n\nDate,Athlete,Time\n2026-03-17,Ana Berg,3.26\n2026-03-17,Bea Lund,3.30\n', "x.csv")
    assert rows(checked, "rep", "distance_m", "start_kind", "run_in_m") == [(30.0, "rolling", 20.0)] * 2
    assert rows(checked, "split", "elapsed_s") == [(3.26,), (3.30,)]


def test_runs_from_the_start_beside_flying_ones_have_no_run_in_and_no_flying_start():
    checked = take_in("Date,Athlete,10 m,30 m,Run-in,Fly 20 m\n2026-03-17,Ana Berg,1.9,4.26,20,2.2\n", "x.csv")
    assert rows(checked, "rep", "rep_no", "start_kind", "run_in_m") == [(1, None, None), (2, "rolling", 20.0)]


@pytest.mark.parametrize("name", ["30 m.csv", "x.csv"])
def test_sprint_times_under_a_bare_time_are_no_minutes_of_a_session(name):
    """Where nothing says how far was run it is asked, and nothing is stored before."""
    text = "Date,Athlete,Time\n2026-03-17,Ana Berg,4.26\n2026-03-17,Bea Lund,4.30\n"
    if name == "x.csv":
        [asked] = [one for one in take_in(text, name).questions if one.ask == "columns"]
        assert (asked.about, asked.answers[0][0]) == ("Time", "30 m")
        checked = take_in(text, name, columns={"Time": "20 m"})
        assert rows(checked, "split", "distance_m", "elapsed_s") == [(20.0, 4.26), (20.0, 4.3)]
    else:
        assert rows(take_in(text, name), "split", "distance_m", "elapsed_s") == [(30.0, 4.26), (30.0, 4.3)]


def test_whole_minutes_under_a_bare_time_stay_those_of_a_session():
    checked = take_in("Date,Athlete,Time\n2026-03-17,Ana Berg,75\n2026-03-17,Bea Lund,80\n", "tempo 100 m.csv")
    assert rows(checked, "session", "duration_min") == [(75.0,), (80.0,)]
