"""A gym sheet with exercises down and days across."""

import pytest

from pipelines.errors import NotUnderstood
from tests.intake import rows, take_in

SHEET = """{title}
{corner},2026-01-05,2026-01-12
Back squat,4x5 @ 120,rest
RDL,3x8 @ 90,2x8 @ 95
Zorkel press,3x6 @ 40,
"""


@pytest.mark.parametrize("corner", ["", "Exercise", "Übung"])
def test_sets_below_days_are_sets_of_the_person_the_title_names(corner):
    checked = take_in(SHEET.format(title="Ana Berg", corner=corner), "gym.csv")
    sets = rows(checked, "lift_set", "athlete_id", "exercise", "reps", "load_kg")
    assert len(sets) == 4 + 3 + 2 + 3
    assert {one for one in sets if one[1] in ("back_squat", "rdl")} == {
        ("ana-berg", "back_squat", 5, 120.0), ("ana-berg", "rdl", 8, 90.0), ("ana-berg", "rdl", 8, 95.0),
    }  # fmt: skip


def test_planned_sets_are_not_done():
    with pytest.raises(NotUnderstood, match="sets that were planned are not sets that were done"):
        take_in(SHEET.format(title="Ana Berg: plan for January", corner="Exercise"), "gym.csv")


CARD = "{title},,,\nLift,Sets x Reps,{heads}\nBack squat,3x4,100/110/115,105\nRDL,2x6,80,skip\n"


@pytest.mark.parametrize(
    ("title", "heads"),
    [("Ana Berg 2026 - Monday (kg)", "Wk 1 3/9,Wk 2 3/16"), ("Ana Berg, Montag 2026, kg", "Woche 1 9.3.,KW 2 16.3."),
     ("Ana Berg (kg)", "2026-03-09,2026-03-16")],
)  # fmt: skip
def test_loads_below_days_are_those_of_the_sets_beside_the_exercise(title, heads):
    sets = rows(take_in(CARD.format(title=title, heads=heads), "card.csv"),
                "lift_set", "exercise", "session_date", "reps", "load_kg")  # fmt: skip
    assert [(name, day.day, reps, load) for name, day, reps, load in sets if name == "back_squat"] == [
        ("back_squat", 9, 4, 100.0), ("back_squat", 9, 4, 110.0), ("back_squat", 9, 4, 115.0),
        ("back_squat", 16, 4, 105.0), ("back_squat", 16, 4, 105.0), ("back_squat", 16, 4, 105.0),
    ]  # fmt: skip


@pytest.mark.parametrize("title", ["Ana Berg 2026 (kg)", "Ana Berg 2026 - Tuesday card (kg)", "Ana Berg - Monday (kg)"])
def test_weeks_whose_day_nothing_says_are_asked(title):
    checked = take_in(CARD.format(title=title, heads="Wk 1 3/9,Wk 2 3/16"), "card.csv")
    assert "lift_set" not in checked.accepted
    assert "days" in [one.ask for one in checked.questions]


def test_runs_below_days_are_no_sets():
    text = "Ana Berg\n,2026-01-05,2026-01-12\nGrass,10x100,8x100\nHill,6x60,6x60\n"
    assert "lift_set" not in take_in(text, "tempo.csv").accepted
