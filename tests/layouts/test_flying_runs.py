"""Several flying runs of one distance in a row, counted in their headings."""

import pytest

from tests.intake import rows, take_in

SPLIT = ("athlete_id", "rep_no", "distance_m", "elapsed_s")
TWO = [
    ("ana-berg", 1, 20.0, 2.11),
    ("ana-berg", 2, 20.0, 2.08),
    ("bea-lund", 1, 20.0, 2.31),
    ("bea-lund", 2, 20.0, 2.29),
]


@pytest.mark.parametrize("heads", [
    ("fly 20 #1", "fly 20 #2"), ("20 m fly 1", "20 m fly 2"), ("1. 20 m fliegend", "2. 20 m fliegend"),
    ("fliegend 20 m Lauf 1", "fliegend 20 m Lauf 2"), ("lanzados 20 m 1º", "lanzados 20 m 2º"),
    ("lancé 20 m (1)", "lancé 20 m (2)"), ("flying 20 m 1st (s)", "flying 20 m 2nd (s)"),
    ("fly 20 run 1", "fly 20 run 2"),
])  # fmt: skip
def test_flying_runs_are_told_by_their_numbers(heads):
    text = f"Date;Name;{heads[0]};{heads[1]};Wind\n2026-10-05;Ana Berg;2.11;2.08;0.4\n2026-10-05;Bea Lund;2.31;2.29;\n"
    checked = take_in(text, "x.csv")
    assert sorted(rows(checked, "split", *SPLIT)) == TWO
    assert set(rows(checked, "rep", "start_kind")) == {("rolling",)}
    assert [one.about for one in checked.questions if one.ask == "columns"] == ["Wind"]  # which run it was of


def test_numbers_of_headings_count_and_not_their_order():
    checked = take_in("Date;Name;fly 20 #2;fly 20 #1\n2026-10-05;Ana Berg;2.08;2.11\n", "x.csv")
    assert sorted(rows(checked, "split", *SPLIT)) == TWO[:2]


def test_flying_runs_beside_gates_of_a_start_are_runs_of_their_own():
    checked = take_in("Date;Name;10 m;30 m;fly 20 1;fly 20 2\n2026-10-05;Ana Berg;1.95;4.4;2.11;2.08\n", "x.csv")
    assert sorted(rows(checked, "split", *SPLIT)) == [
        ("ana-berg", 1, 10.0, 1.95), ("ana-berg", 1, 30.0, 4.4),
        ("ana-berg", 2, 20.0, 2.11), ("ana-berg", 3, 20.0, 2.08),
    ]  # fmt: skip
    assert sorted(rows(checked, "rep", "rep_no", "start_kind")) == [(1, None), (2, "rolling"), (3, "rolling")]


@pytest.mark.parametrize("head", ["fly 20 30", "fly kick 1", "flying days 2", "lanzamiento 30 m 1"])
def test_what_is_no_flying_run_is_asked(head):
    checked = take_in(f"Date;Name;{head}\n2026-10-05;Ana Berg;2.11\n2026-10-06;Ana Berg;2.15\n", "x.csv")
    assert "split" not in checked.accepted
    assert "columns" in {one.ask for one in checked.questions}
