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


def test_runs_below_days_are_no_sets():
    text = "Ana Berg\n,2026-01-05,2026-01-12\nGrass,10x100,8x100\nHill,6x60,6x60\n"
    assert "lift_set" not in take_in(text, "tempo.csv").accepted
