"""Columns said to be lengths of jumps are kept as that: a choice that is offered is accepted."""

import pytest

from tests.intake import lines_set_aside, rows, take_in

BESIDE = """atleta;data;lungo 1;lungo 2;lungo 3;CMJ cm;CMJ cm
Ana Berg;2026-04-11;2,30;2,33;;35,7;38,8
Béa Lünd;2026-04-11;2,69;2,83;2,73;52,2;43,1
"""
ALONE = "atleta;data;lungo 1;lungo 2\nAna Berg;2026-04-11;2,30;2,33\nBéa Lünd;2026-04-11;2,69;2,83\n"
ANSWER = "jump_test.jump_length_m"


def test_columns_said_to_be_lengths_of_jumps_are_trials_of_the_standing_long_jump():
    [answers] = {one.answers for one in take_in(BESIDE, "test.csv").questions if one.about.startswith("lungo")}
    assert (ANSWER, "the length of a standing long jump") in answers
    told = take_in(BESIDE, "test.csv", columns={f"lungo {n}": ANSWER for n in (1, 2, 3)})
    assert not [one for one in told.questions if one.ask == "columns"]
    jumps = rows(told, "jump_test", "athlete_id", "test", "trial_no", "jump_length_m", "jump_height_m")
    assert sorted(jumps, key=str) == [
        ("ana-berg", "countermovement", 1, None, 0.357), ("ana-berg", "countermovement", 2, None, 0.388),
        ("ana-berg", "standing_long_jump", 1, 2.30, None), ("ana-berg", "standing_long_jump", 2, 2.33, None),
        ("bea-lund", "countermovement", 1, None, 0.522), ("bea-lund", "countermovement", 2, None, 0.431),
        ("bea-lund", "standing_long_jump", 1, 2.69, None), ("bea-lund", "standing_long_jump", 2, 2.83, None),
        ("bea-lund", "standing_long_jump", 3, 2.73, None),
    ]  # fmt: skip
    assert lines_set_aside(told) == []


def test_likewise_where_nothing_else_stands_in_the_sheet():
    told = take_in(ALONE, "test.csv", columns=dict.fromkeys(("lungo 1", "lungo 2"), ANSWER))
    assert sorted(rows(told, "jump_test", "athlete_id", "test", "trial_no", "jump_length_m")) == [
        ("ana-berg", "standing_long_jump", 1, 2.30), ("ana-berg", "standing_long_jump", 2, 2.33),
        ("bea-lund", "standing_long_jump", 1, 2.69), ("bea-lund", "standing_long_jump", 2, 2.83),
    ]  # fmt: skip


def test_one_of_several_may_be_told_and_the_others_wait():
    told = take_in(BESIDE, "test.csv", columns={"lungo 2": ANSWER, "lungo 3": "not_used"})
    assert {one.about for one in told.questions if one.ask == "columns"} == {"lungo 1"}
    long = [one for one in rows(told, "jump_test", "jump_length_m") if one[0] is not None]
    assert sorted(long) == [(2.33,), (2.83,)]


@pytest.mark.parametrize("test", ["drop", "repeated_hop"])
def test_where_a_column_names_the_tests_it_decides(test):
    text = f"atleta;data;test;misura\nAna Berg;2026-04-11;{test};2,30\nBéa Lünd;2026-04-11;{test};2,69\n"
    told = take_in(text, "test.csv", columns={"misura": ANSWER})
    jumps = rows(told, "jump_test", "test") if "jump_test" in told.accepted else []
    assert ("standing_long_jump",) not in jumps


def test_the_words_of_italian_clubs_for_it_are_known():
    text = "atleta;data;lungo da fermo\nAna Berg;2026-04-11;2,30\nBéa Lünd;2026-04-11;2,69\n"
    assert rows(take_in(text, "x.csv"), "jump_test", "test", "jump_length_m") == [
        ("standing_long_jump", 2.30), ("standing_long_jump", 2.69)
    ]  # fmt: skip


@pytest.mark.parametrize("tries", ["1.,2.", "1st,2nd", "Try 1,Try 2"])
def test_tries_beside_a_test_and_its_unit_are_of_that_test(tries):
    text = f"date,name,testi,{tries},yksikkö\n2026-02-17,Ana Berg,CMJ,38.5,39.1,cm\n"
    text += "2026-02-17,Ana Berg,standing long jump,2.31,2.35,m\n"
    checked = take_in(text, "x.csv")
    assert sorted(rows(checked, "jump_test", "test", "trial_no", "jump_height_m", "jump_length_m")) == [
        ("countermovement", 1, 0.385, None), ("countermovement", 2, 0.391, None),
        ("standing_long_jump", 1, None, 2.31), ("standing_long_jump", 2, None, 2.35),
    ]  # fmt: skip


def test_tries_below_a_measure_nobody_knows_are_not_of_the_test_beside_it():
    text = "Tests 2026-02-17,,,,\n,CMJ (cm),,Zork (m),\nName,Try 1,Try 2,Try 1,Try 2\nAna Berg,38.5,39.1,0.41,0.42\n"
    checked = take_in(text + "Bea Lund,36.5,37.1,0.43,0.44\n", "x.csv")
    assert len(rows(checked, "jump_test", "jump_height_m")) == 4
    assert [one.about for one in checked.questions] == ["Zork (m) Try 1", "Zork (m) Try 2"]


@pytest.mark.parametrize(
    ("height", "contact"),
    [("DJ 40 height (cm)", "DJ 40 contact (ms)"), ("DJ 40 cm Höhe (cm)", "DJ 40 cm Kontaktzeit (ms)"),
     ("Drop jump from 40 (cm)", "Drop jump from 40 GCT (ms)"), ("DJ40 hoogte (cm)", "DJ40 contacttijd (ms)")],
)  # fmt: skip
def test_a_drop_jump_with_its_box_in_the_heading_is_one_row_with_height_and_contact(height, contact):
    checked = take_in(f"Name;Date;CMJ (cm);{height};{contact}\nAna Berg;2026-01-17;46.8;36.6;202\n", "tests.csv")
    jumps = rows(checked, "jump_test", "test", "box_height_m", "jump_height_m", "contact_s")
    assert sorted(jumps) == [("countermovement", None, 0.468, None), ("drop", 0.4, 0.366, 0.202)]
    assert not checked.questions
