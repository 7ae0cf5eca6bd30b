"""Blocks below each other under titles, each with a row of people over the same headings."""

import datetime as dt

import polars as pl
import pytest

from pipelines.layouts.sheets import midway
from tests.intake import rows, take_in

SHEET = """Film 17.2.2026, contact and flight in ms,,,,
Step,Ana Berg,,Béa Lünd,
,contact,flight,contact,flight
1,183,62,166,51
2,162,78,157,72
,,,,
Film 7.4.2026, contact and flight in ms,,,,
Step,{first},,{second},
,contact,flight,contact,flight
1,179,59,175,54
2,169,77,155,78
"""


def steps_of(first, second):
    told = take_in(SHEET.replace("{first}", first).replace("{second}", second), "film.csv")
    april = [one for one in rows(told, "step", "athlete_id", "session_date", "step_no", "contact_s", "flight_s")
             if one[1] == dt.date(2026, 4, 7)]  # fmt: skip
    return sorted((who, step, contact, air) for who, _, step, contact, air in april)


def test_the_header_once_more_below_a_title_is_no_step():
    assert steps_of("Ana Berg", "Béa Lünd") == [
        ("ana-berg", 1, 0.179, 0.059), ("ana-berg", 2, 0.169, 0.077), ("bea-lund", 1, 0.175, 0.054),
        ("bea-lund", 2, 0.155, 0.078),
    ]  # fmt: skip


def test_the_people_of_each_block_are_its_own():
    assert steps_of("Cleo Dahl-Frost", "Ana Berg") == [
        ("ana-berg", 1, 0.175, 0.054), ("ana-berg", 2, 0.155, 0.078), ("cleo-dahl-frost", 1, 0.179, 0.059),
        ("cleo-dahl-frost", 2, 0.169, 0.077),
    ]  # fmt: skip


BLOCKS = (
    "First steps,,,\n,,,\n{},27/01/2026,,\nStep,1,2,3\nContact (ms),197,180,166\nFlight (ms),50,63,70\n,,,\n"
    "{},27/01/2026,,\nStep,1,2,3\nContact (ms),195,178,167\nFlight (ms),51,60,71\n"
)


@pytest.mark.parametrize(("first", "second", "people"), [
    ("Ana", "Béa", ["ana-berg", "bea-lund"]), ("Ana Berg", "Cleo", ["ana-berg", "cleo-dahl-frost"]),
    ("Ana Berg", "Dora Stein", ["ana-berg"]), ("Ana", "Dora", ["ana-berg"]),
])  # fmt: skip
def test_steps_are_of_the_person_in_the_line_above_and_of_nobody_above_another_block(first, second, people):
    checked = take_in(BLOCKS.format(first, second), "steps.csv")
    told = rows(checked, "step", "athlete_id", "step_no", "contact_s", "flight_s")
    assert [who for who, *_ in told] == [who for who in people for _ in (1, 2, 3)]
    assert told[:2] == [("ana-berg", 1, 0.197, 0.05), ("ana-berg", 2, 0.18, 0.063)]
    assert ("who" in {one.ask for one in checked.questions}) == (len(people) == 1)


def test_rows_below_a_title_that_are_no_header_stay_rows():
    frame = pl.DataFrame({"c0": ["Ana", "Béa"], "c1": ["10 m", "1.95"], "_line": [4, 5]})
    for header in (["Name", "10 m"], ["Ana", "10 m", "20 m"], ["", "10 m"]):
        kept, above = midway.without_heads(frame, header)
        assert (kept.height, above) == (2, [])
