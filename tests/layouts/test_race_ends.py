"""Races that ended without a time, rounds that nobody wrote, hurdles in short."""

import pytest

from tests.intake import rows, take_in

HEAD = "Date;Athlete;Event;Round;Time;Wind\n"


@pytest.mark.parametrize(("cell", "ended"), [
    ("NP", "not_started"), ("no presentada", "not_started"), ("DESC", "disqualified"), ("hylätty", "disqualified"),
    ("diskad", "disqualified"), ("AB", "not_finished"), ("desistiu", "not_finished"), ("nie ukończył", "not_finished"),
    ("nicht angetreten", "not_started"),
])  # fmt: skip
def test_a_race_without_a_time_ended_as_its_cell_says(cell, ended):
    columns = ("time_s", "race_outcome", "wind_ms")
    in_place = take_in(
        f"{HEAD}2026-06-06;Ana Berg;200 m;heat;{cell};+0.3\n2026-06-06;Bea Lund;200 m;heat;26.1;\n", "x.csv"
    )
    assert rows(in_place, "race_result", *columns) == [(None, ended, 0.3), (26.1, None, None)]
    assert not in_place.set_aside.height
    beside = take_in(f"Date;Athlete;Event;Time;Result\n2026-06-06;Ana Berg;200 m;;{cell}\n", "x.csv")
    assert rows(beside, "race_result", "race_outcome") == [(ended,)]
    assert not beside.questions


def test_a_word_that_says_nothing_of_the_end_is_none():
    checked = take_in("Date;Athlete;Event;Time;Result\n2026-06-06;Ana Berg;200 m;26.1;good\n", "x.csv")
    assert rows(checked, "race_result", "time_s") == [(26.1,)]
    assert {one.ask for one in checked.questions} == {"columns"}


def test_a_round_that_is_not_written_is_unknown_and_no_final():
    checked = take_in(f"{HEAD}2026-06-06;Ana Berg;200 m;;26.1;\n2026-06-06;Bea Lund;200 m;Final;25.4;\n", "x.csv")
    assert rows(checked, "race_result", "athlete_id", "round") == [("ana-berg", "unknown"), ("bea-lund", "final")]


@pytest.mark.parametrize(("said", "event"), [("100 mv", "100h"), ("400 m.v.", "400h"), ("60 mv", "60h")])
def test_hurdles_in_short_spanish(said, event):
    checked = take_in(f"{HEAD}2026-06-06;Ana Berg;{said};heat;61.1;\n", "x.csv")
    assert rows(checked, "race_result", "event") == [(event,)]


@pytest.mark.parametrize("said", ["3000 mv", "100 mvp", "100 va"])
def test_what_is_no_event_over_hurdles_is_set_aside(said):
    checked = take_in(f"{HEAD}2026-06-06;Ana Berg;{said};heat;61.1;\n", "x.csv")
    assert "race_result" not in checked.accepted
    assert checked.set_aside.height
