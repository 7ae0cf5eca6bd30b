"""Times at hurdles, which have no home; what people are called; the cell that is meant where a header stands twice."""

import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.checks.names import Roster
from pipelines.layouts import NotUnderstood
from tests.intake import AS_OF, KNOWN, rows, take_in

DOWN = "Touchdowns of the video,,\n,Ana Berg,Bea Lund\nhurdle 1,2.61,2.70\nhurdle 2,3.71,3.84\nhurdle 3,4.80,4.97\n"


@pytest.mark.parametrize("text", [
    DOWN, DOWN.replace("hurdle ", "Hürde "), DOWN.replace("hurdle ", "H"),
    "Date,Name,valla 1,valla 2,valla 3\n2026-10-05,Ana Berg,2.61,3.71,4.80\n2026-10-06,Ana Berg,2.63,3.73,4.82\n",
])  # fmt: skip
def test_times_at_hurdles_are_named_and_nothing_of_them_is_stored(text):
    with pytest.raises(NotUnderstood, match=r"times at each hurdle \(touchdowns\), and the record keeps none"):
        take_in(text, "x.csv")


@pytest.mark.parametrize("text", [
    "Date,Name,Event,Time\n2026-10-05,Ana Berg,100 m hurdles,14.61\n2026-10-06,Ana Berg,60 m hurdles,8.9\n",
    "Hurdle drills,,,\nDate,Name,Minutes,RPE\n2026-10-05,Ana Berg,60,4\n2026-10-06,Bea Lund,70,7\n",
])  # fmt: skip
def test_hurdlers_do_other_things_too(text):
    assert take_in(text, "x.csv").accepted


@pytest.mark.parametrize("header", ["Le llamamos", "goes by", "wir nennen", "kallas", "chamamos"])
def test_a_column_of_what_people_are_called(header):
    checked = take_in(f"Name,{header},sex\nDora Elm,Dodo,f\nEva Fjell,Evi,f\n", "roster.csv")
    assert rows(checked, "athlete", "display_name", "call_name") == [("Dora Elm", "Dodo"), ("Eva Fjell", "Evi")]


def test_a_whole_first_name_is_nearer_than_the_beginning_of_another():
    people = {"mara-elm": "Márian Elm", "mariana-fjell": "Mariana Fjell"}  # invented
    roster = Roster(pl.DataFrame({"athlete_id": list(people), "display_name": list(people.values())}))
    assert [one for one, _, _ in roster.proposals("marian")] == ["mara-elm", "mariana-fjell"]
    assert Known(KNOWN.athletes, AS_OF)


def test_the_cell_of_the_second_run_is_shown_where_its_header_stands_twice():
    checked = take_in(
        "Date,Name,10 m,30 m,10 m,30 m\n2026-10-05,Ana Berg,1.95,4.35,1.93,433\n2026-10-05,Bea Lund,2.0,4.5,2.01,4.52\n"
    )
    assert checked.set_aside.select("column", "value").rows() == [("30 m (6)", "433")]


@pytest.mark.parametrize("lines", [
    "Ana Berg,Full,Full,Modified\nBea Lund,Out - shin,Full,Off\n", "Ana Berg,/,/,a\nBea Lund,s,/,i\n",
    "Ana Berg,present,absent,present\nBea Lund,present,present,sick\n",
])  # fmt: skip
def test_who_was_there_is_no_session(lines):
    with pytest.raises(NotUnderstood, match="who was there"):
        take_in(f"Name,2026-10-05,2026-10-06,2026-10-07\n{lines}", "october.csv")


def test_what_was_trained_on_a_day_is_a_session_though_somebody_was_out():
    checked = take_in(
        "Name,2026-10-05,2026-10-06,2026-10-07\nAna Berg,Tempo,Gym,Off\nBea Lund,Starts,Out,Tempo\n", "october.csv"
    )
    assert {"tempo", "strength"} <= set(checked.accepted["session"]["kind"])
