"""Runs that something held back, in a coach's own sheets: none of them may stand beside free runs on the flat."""

import pytest

from pipelines.errors import NotUnderstood
from tests.intake import rows, take_in
from tests.layouts.test_found_by_strangers import KNOWN, book

SLED = """data,atleta,slitta kg,distanza,{}
2025-11-04,Ana Berg,15,20 m,3.17,3.12,3.15
2025-11-04,Bea Lund,10,20 m,3.47,3.49,3.46
"""
HILL = "{}\n,1,2,3\nAna Berg,6.2,6.3,6.4\nBea Lund,5.7,5.8,5.8\n"


@pytest.mark.parametrize("header", ["t1,t2,t3", "T 1,T 2,T 3", "1,2,3"])
def test_times_counted_from_one_beside_a_distance_are_runs_over_it(header):
    checked = take_in(SLED.format(header), "traino.csv")
    assert sorted(rows(checked, "split", "athlete_id", "rep_no", "distance_m", "elapsed_s")) == [
        ("ana-berg", 1, 20.0, 3.17), ("ana-berg", 2, 20.0, 3.12), ("ana-berg", 3, 20.0, 3.15),
        ("bea-lund", 1, 20.0, 3.47), ("bea-lund", 2, 20.0, 3.49), ("bea-lund", 3, 20.0, 3.46),
    ]  # fmt: skip
    assert set(rows(checked, "rep", "resistance_kind", "resistance_load_kg")) == {("sled", 15.0), ("sled", 10.0)}


def test_without_a_distance_nobody_knows_whether_they_are_gates_or_runs():
    checked = take_in("date,athlete,t1,t2,t3\n2025-11-04,Ana Berg,3.17,3.12,3.15\n", "x.csv")
    assert "split" not in checked.accepted
    assert checked.questions


def test_gates_with_a_unit_or_not_counted_from_one_stay_gates():
    checked = take_in("date,athlete,t10,t20,t30\n2025-11-04,Ana Berg,1.85,3.10,4.25\n", "x.csv")
    assert rows(checked, "split", "distance_m", "elapsed_s") == [(10.0, 1.85), (20.0, 3.10), (30.0, 4.25)]


@pytest.mark.parametrize(
    "title",
    ["Salita del Mulino 8% – 40 m – 19.11.2025 – cronometro a mano", "Hill sprints 40 m 19.11.2025 by hand",
     "Bergläufe 40 m 19.11.2025 handgestoppt", "Cuestas 40 m 19.11.2025 a mano", "Heuvelsprints 40 m 19.11.2025",
     "Abbey hill 40 m (about 9%) 19.11.2025", "Abbey hill 40 m 19.11.2025 - 9% grade"],
)  # fmt: skip
def test_runs_up_a_hill_are_kept_as_such(title):
    checked = take_in(HILL.format(title), "x.csv")
    assert set(rows(checked, "rep", "resistance_kind")) == {("incline",)}


@pytest.mark.parametrize(
    ("name", "kinds"),
    [("Sleds hills hurdles.xlsx", {"sleds": "sled", "hills": "incline", "hurdles": None}),
     ("Sled runs.xlsx", {"week 1": "sled", "spring": "sled"})],
)  # fmt: skip
def test_a_file_that_names_its_tabs_says_of_each_only_what_it_names(name, kinds):
    lines = [["Date", "Athlete", "10 m", "20 m"], ["2026-02-03", "Ana Berg Holm", 1.95, 3.3]]
    for tab, kind in kinds.items():
        checked = take_in(book(**{tab: lines}), name, KNOWN)
        told = checked.accepted["rep"]
        assert (told["resistance_kind"].to_list() if "resistance_kind" in told.columns else [None]) == [kind], tab


@pytest.mark.parametrize("title", ["Mill Hill track 19.11.2025", "Mill Hill 19.11.2025, 95% effort"])
def test_a_place_called_hill_makes_no_hill(title):
    checked = take_in(f'"{title}"\nathlete,10 m,20 m\nAna Berg,1.85,3.10\n', "x.csv")
    assert rows(checked, "split", "distance_m") == [(10.0,), (20.0,)]
    assert "resistance_kind" not in checked.accepted["rep"].columns or rows(checked, "rep", "resistance_kind") == [
        (None,)
    ]


@pytest.mark.parametrize(
    ("header", "kinds"), [("sled (kg)", ["sled", None]), ("Kelkka kg", ["sled", None]), ("Load (kg)", [None, None])]
)
def test_a_mass_below_a_heading_that_says_sled_was_pulled_on_one_where_there_is_a_mass(header, kinds):
    runs = (
        f"date,athlete,distance,time s,{header}\n2025-11-04,Ana Berg,20 m,3.17,12.5\n2025-11-04,Bea Lund,20 m,3.02,\n"
    )
    checked = take_in(runs, "x.csv")
    assert checked.accepted["rep"]["resistance_load_kg"].to_list() == [12.5, None]
    rep = checked.accepted["rep"]
    assert (rep["resistance_kind"].to_list() if "resistance_kind" in rep.columns else [None, None]) == kinds


HELD = "Date,Athlete,Type,Distance,Resistance,Time\n"


@pytest.mark.parametrize("name", ["hills and sleds.csv", "cuestas y trineo.csv", "runs.csv"])
def test_a_column_says_which_runs_were_held_back_by_what(name):
    checked = take_in(
        f"{HELD}2026-10-05,Ana Berg,sled,20 m,25kg,3.42\n2026-10-05,Ana Berg,hill 8%,30 m,,4.95\n"
        "2026-10-05,Bea Lund,free,20 m,,2.98\n", name,
    )  # fmt: skip
    found = rows(checked, "rep", "athlete_id", "resistance_kind", "resistance_load_kg")
    assert sorted(found, key=str) == [
        ("ana-berg", "incline", None), ("ana-berg", "sled", 25.0), ("bea-lund", "none", None),
    ]  # fmt: skip


def test_a_file_of_hills_and_sleds_says_of_no_run_which_it_was():
    checked = take_in("Date,Athlete,20 m\n2026-10-05,Ana Berg,3.42\n", "hill and sled.csv")
    assert "resistance_kind" not in checked.accepted["rep"].columns
    assert rows(take_in("Date,Athlete,20 m\n2026-10-05,Ana Berg,3.42\n", "sleds.csv"), "rep", "resistance_kind") == [
        ("sled",)
    ]


@pytest.mark.parametrize("heads", ["run 1,run 2", "1,2"])
def test_hills_below_sleds_are_hills_whatever_the_file_is_called(heads):
    sleds = '"Sled 20 m"\ndate,who,sled kg,run 1,run 2\n21/10/26,Ana Berg,30,3.30,3.43\n\n'
    hills = f'"Hill (school bank, 60 m, about 7%) - stopwatch"\ndate,who,{heads}\n14/10/26,Bea Lund,8.9,9.1\n'
    found = rows(take_in(sleds + hills, "sled.csv"), "rep", "athlete_id", "resistance_kind", "resistance_load_kg")
    assert found == [("ana-berg", "sled", 30.0)] * 2 + [("bea-lund", "incline", None)] * 2


@pytest.mark.parametrize("word", ["no sled", "ohne Schlitten", "sans traîneau", "w/o sled", "unresisted", "free"])
def test_columns_that_say_that_nothing_is_pulled_are_not_of_the_sled_beside_them(word):
    text = (
        f"20 m standing 31.1.2026 gates;;;;;;\n;sled 10 kg;;sled 20 kg;;{word};\nname;1st;2nd;1st;2nd;1st;2nd\n"
        "Ana Berg;3.37;3.38;3.74;3.75;3.01;3.02\nBéa Lünd;3.35;3.40;3.73;3.76;2.99;3.04\n"
    )
    checked = take_in(text, "starts.csv")
    kinds = ("resistance_kind", "resistance_load_kg")
    pulled = {(one[0], one[1]): one[2:] for one in rows(checked, "rep", "athlete_id", "rep_no", *kinds)}
    ran = {one[2]: pulled[one[0], one[1]] for one in rows(checked, "split", "athlete_id", "rep_no", "elapsed_s")}
    assert len(ran) == 12
    assert {ran[time] for time in (3.37, 3.38, 3.35, 3.40)} == {("sled", 10.0)}
    assert {ran[time] for time in (3.74, 3.75, 3.73, 3.76)} == {("sled", 20.0)}
    assert {ran[time] for time in (3.01, 3.02, 2.99, 3.04)} == {("none", None)}


def test_columns_below_a_word_nobody_understands_are_not_given_to_the_group_beside_them():
    text = (
        "20 m standing 31.1.2026 gates;;;;;;\n;sled 10 kg;;sled 20 kg;;quokka;\nname;1st;2nd;1st;2nd;1st;2nd\n"
        "Ana Berg;3.37;3.38;3.74;3.75;3.01;3.02\n"
    )
    with pytest.raises(NotUnderstood, match="'quokka' stands over some of its columns"):
        take_in(text, "starts.csv")
