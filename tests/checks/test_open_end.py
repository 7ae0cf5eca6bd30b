"""An injury whose end has not come is an open one, in whatever words the list says so."""

import datetime as dt

import pytest

from tests.intake import reasons, rows, take_in

LIST = "Athlete,Date,Body part,Back training\nAna Berg,2026-09-12,hamstring,{}\nBea Lund,2026-09-02,calf,2026-09-20\n"


@pytest.mark.parametrize("word", ["not yet", "Not yet", "ongoing", "offen", "noch nicht", "en cours", "-", ""])
def test_who_is_not_back_yet_has_an_open_injury(word: str):
    checked = take_in(LIST.format(word), "injuries.csv", columns={"Back training": "injury.returned_on"})
    found = sorted(rows(checked, "injury", "athlete_id", "returned_on"))
    assert found == [("ana-berg", None), ("bea-lund", dt.date(2026, 9, 20))]
    assert checked.set_aside.height == 0


def test_a_word_that_says_no_such_thing_is_set_aside_alone():
    checked = take_in(LIST.format("soon"), "injuries.csv", columns={"Back training": "injury.returned_on"})
    assert "'soon' is not a date" in reasons(checked, 2)
