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
