"""Whom a text names: by key, by name in any order, by a part that is certain; else nobody, with the nearest told."""

import polars as pl
import pytest

from pipelines.cells.phrases import tells
from pipelines.checks.names import Roster, is_no_name, is_shortened

PEOPLE = pl.DataFrame(
    {
        "athlete_id": ["ana-berg", "bo-zubeldia", "cy-lind", "dee-lind"],
        "display_name": ["Ana Berg", "Iker Zubeldia Ponce", "Cy Lind", "Dee Lind"],
    }
)
ROSTER = Roster(PEOPLE)


@pytest.mark.parametrize(
    ("text", "who"),
    [
        ("ana-berg", "ana-berg"), ("Berg, Ana", "ana-berg"), ("BERG ana", "ana-berg"), ("Ana", "ana-berg"),
        ("Berg", "ana-berg"), ("Ana B.", "ana-berg"), ("Iker Zubeldia", "bo-zubeldia"), ("Ponce Iker", "bo-zubeldia"),
        ("Cy", None), ("Dee", "dee-lind"), ("Lind", None), ("An", None), ("Ana C.", None), ("Iker Berg", None),
        ("Nobody", None),
    ],
)  # fmt: skip
def test_a_name_or_a_part_of_it_that_is_one_person_s_alone_is_that_person(text, who):
    assert ROSTER.find(text)[0] == who


def test_a_part_that_another_name_of_the_files_has_is_nobody_s():
    assert Roster(PEOPLE, frozenset({"Ana Holm"})).find("Ana")[0] is None
    assert Roster(PEOPLE, frozenset({"Iker Zubeldia Sanz"})).find("Iker Zubeldia")[0] is None
    assert Roster(PEOPLE, frozenset({"Eva Holm"})).find("Ana")[0] == "ana-berg"


def test_nothing_is_no_name_and_the_nearest_are_told_with_their_scores():
    assert ROSTER.find(" ? ") == (
        None, "the athlete is missing. Row set aside. Write the name or the athlete_id.",
    )  # fmt: skip
    assert "The nearest names are Cy Lind (score " in ROSTER.find("Cyn Lind")[1]
    # a short form of a name scores 95 of 100, and the likeliest stands first
    assert ROSTER.proposals("D. Lind")[0] == ("dee-lind", "Dee Lind", 95.0)
    assert ROSTER.proposals("xxxxxxxx") == []


def test_names_that_may_not_be_told_are_not_told():
    hidden = Roster(PEOPLE, shown=frozenset({"ana-berg"}))
    assert [one for one, *_ in hidden.proposals("Cy Lint")] == []
    twins = pl.DataFrame({"athlete_id": ["a1", "a2"], "display_name": ["Lena Holm", "Lena Holm"]})
    assert "may be a1." in Roster(twins, shown=frozenset({"a1"})).find("Lena Holm")[1]
    assert "may be one of several." in Roster(twins, shown=frozenset()).find("Lena Holm")[1]


@pytest.mark.parametrize(
    ("text", "is_none"),
    [("Ab " * 14 + "Abc", False), ("Ab " * 14 + "Abcd", True), ("A07", False), ("Athlete 12", False),
     ("Athlete #3", False),
     ("Ana Berg", False), ("warm up 3 x 30", True), ("Ana?", True), ("see above. Rest", True), ("St. John", False)],
)  # fmt: skip
def test_a_long_text_a_digit_or_the_end_of_a_sentence_is_no_name_and_a_code_is_one(text, is_none):
    assert is_no_name(text) is is_none


@pytest.mark.parametrize(
    ("said", "name", "short"),
    [("j castell", "castell jana", True), ("c j", "castell jana", False), ("castell k", "castell jana", False),
     ("jan castell", "castell jana", True), ("castell castell", "castell jana", False)],
)  # fmt: skip
def test_a_name_is_short_for_another_where_each_word_begins_one_of_its_own(said, name, short):
    assert is_shortened(said, name) is short


def test_a_family_name_that_a_person_has_twice_may_be_written_once():
    twice = pl.DataFrame({"athlete_id": ["m1"], "display_name": ["María García García"]})
    assert Roster(twice).find("Maria Garcia") == ("m1", "")


@pytest.mark.parametrize(
    ("text", "is_remark"),
    [("Shari ill, was away", True), ("Berg, Ana", False), ("Wielen, Fenna van der", False), ("Ana Berg", False),
     ("de Hoek, Joris", False), ("berg, ana maria", False)],
)  # fmt: skip
def test_a_remark_that_begins_with_a_name_says_nothing_of_who_else_there_is(text, is_remark):
    assert tells(text) is is_remark
