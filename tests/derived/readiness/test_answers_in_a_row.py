"""A little worse on several mornings weighs as much as much worse on one; a day of a complaint is no usual day."""

import datetime as dt
import math

import polars as pl
import pytest

from pipelines.derived.readiness.checkin_answers import _add_complaint, add_worse_z
from schemas.settings import SquadSettings

SETTINGS = SquadSettings()
DAY = dt.date(2026, 3, 2)


def worse(*told: tuple[int, float | None], item: str = "sleep_h") -> pl.DataFrame:
    return pl.DataFrame(
        {"athlete_id": "ann", "item": item, "checked_on": [DAY + dt.timedelta(days=day) for day, _ in told],
         "towards_worse": [value for _, value in told]}, schema_overrides={"towards_worse": pl.Float64},
    )  # fmt: skip


def test_answers_in_a_row_are_summed_over_the_root_of_their_number():
    # by hand: 1, 2 / sqrt 2, 3 / sqrt 3, and of four still the last three
    found = add_worse_z(worse((0, 1.0), (1, 1.0), (2, 1.0), (3, 1.0)), SETTINGS)["worse_z"].to_list()
    assert found == pytest.approx([1.0, math.sqrt(2), math.sqrt(3), math.sqrt(3)])
    # the largest counts: 3 alone is more than (3 - 1) / sqrt 2
    assert add_worse_z(worse((0, -1.0), (1, 3.0)), SETTINGS)["worse_z"].to_list() == [-1.0, 3.0]


def test_answers_further_apart_than_one_stays_good_for_and_of_another_item_do_not_add_up():
    near = SETTINGS.checkin_stale_days + 1
    found = add_worse_z(worse((0, 1.0), (near, 1.0), (2 * near + 1, 1.0)), SETTINGS)["worse_z"].to_list()
    assert found == pytest.approx([1.0, math.sqrt(2), 1.0])
    two = pl.concat([worse((0, 1.0)), worse((1, 1.0), item="mood"), worse((2, None), item="stress")])
    assert add_worse_z(two, SETTINGS)["worse_z"].to_list() == [1.0, 1.0, None]


@pytest.mark.parametrize(
    ("ill", "pain", "tight", "is_left_out"),
    [(False, 0, False, False), (True, 0, False, True), (False, SETTINGS.pain_talk_level, False, True),
     (False, SETTINGS.pain_talk_level - 1, False, False), (None, None, False, False), (None, None, True, True)],
)  # fmt: skip
def test_a_day_ill_in_pain_or_with_a_tight_hamstring_is_no_usual_day(ill, pain, tight, is_left_out):
    checkin = pl.DataFrame(
        {"athlete_id": ["ann"], "checked_on": [DAY], "ill": [ill], "pain": [pain]},
        schema_overrides={"ill": pl.Boolean, "pain": pl.Float64},
    )
    both = [{"athlete_id": "ann", "checked_on": DAY, "item": f"tightness_{side}", "speaks": tight} for side in "lr"]
    assert _add_complaint(checkin, pl.DataFrame(both), SETTINGS)["left_out"].to_list() == [is_left_out]
