"""A text that lists several people where a name stands, as of a relay, is nobody's name."""

import pytest

from pipelines.entry.together import settled
from pipelines.intake.passage import read_given
from schemas.intake import LayoutOptions

KNOWN = frozenset({"ana berg", "bea lund", "cleo dahl"})
RACES = "Date,Event,Athlete,Time\n2026-06-06,100,Ana Berg,12.41\n2026-06-06,4x100,{},47.20\n"


def others_of(name):
    given = read_given("races.csv", RACES.format(name).encode(), LayoutOptions(), "file", known=KNOWN)
    return list(settled({0: given}, KNOWN)[0].options.others)


@pytest.mark.parametrize("name", ['"Vale I (Ana, Bea, Cleo, Dee)"', "Ana/Bea/Cleo", "Ana + Bea", "Ana & Bea"])
def test_a_relay_leaves_each_of_its_runners_the_only_one_of_that_first_name(name):
    assert others_of(name) == []


@pytest.mark.parametrize("name", ["Ana Sorel", '"Sorel, Ana"', "Ana (Sorel)"])
def test_somebody_else_of_the_same_first_name_is_still_looked_at(name):
    assert others_of(name) == [name.strip('"')]
