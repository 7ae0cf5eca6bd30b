"""A week against what was to be expected of it: as planned is nothing, far above is something, unknown is unknown."""

import datetime as dt
import math

import polars as pl
import pytest

from pipelines.derived.load.growth import add_growth

MONDAY = dt.date(2026, 1, 5)


def weeks(done: list[float | None], plan: list[float | None]) -> list[tuple[float | None, float | None]]:
    rows = pl.DataFrame(
        {"athlete_id": "ann", "week_of": [MONDAY + dt.timedelta(weeks=n) for n in range(len(done))], "done": done,
         "plan": plan}, schema_overrides={"done": pl.Float64, "plan": pl.Float64},
    )  # fmt: skip
    found = add_growth(rows, "done", "plan", floor=0.0, scatter=0.2)
    return found.select("expected", "above_z").rows()


def test_a_plan_carried_out_as_usual_is_expected_however_it_grows():
    # ten weeks at nine tenths of the plan, then a plan twice as high carried out in the same way
    expected, z = weeks([90.0] * 10 + [180.0], [100.0] * 10 + [200.0])[-1]
    # by hand: 200 x 0.9^(10 / 14) = 185.50, as four weeks carried out exactly as planned weigh in
    assert expected == pytest.approx(200 * 0.9 ** (10 / 14))
    assert -0.5 < z < 0.0


def test_a_first_plan_is_taken_at_its_word():
    # four weeks before without a plan; then 140 where 100 are planned: ln 1.4 above, whatever the weeks before were
    expected, z = weeks([140.0] * 4 + [140.0], [None] * 4 + [100.0])[-1]
    assert expected == pytest.approx(100.0)
    assert z is not None
    assert z > 1.0


def test_twice_the_plan_lies_far_above_and_by_hand():
    # ratio 1 for ten weeks: steps 0, so s^2 = 8 x 0.2^2 / (8 + steps); z = ln 2 / s
    expected, z = weeks([100.0] * 10 + [200.0], [100.0] * 11)[-1]
    rows = weeks([100.0] * 10 + [200.0], [100.0] * 11)
    steps = sum(row[1] is not None for row in rows[:-1])
    assert expected == pytest.approx(100.0)
    assert z == pytest.approx(math.log(2) / math.sqrt(8 * 0.2**2 / (8 + steps)))


def test_without_a_plan_own_growth_is_expected():
    steady = [100.0 * 1.05**n for n in range(12)]
    _, z = weeks(steady, [None] * 12)[-1]
    assert z is not None
    assert abs(z) < 0.5
    _, jumped = weeks([*steady[:-1], 2 * steady[-1]], [None] * 12)[-1]
    assert jumped is not None
    assert jumped > 2.5


def test_two_weeks_a_little_above_weigh_more_than_one():
    one = weeks([100.0] * 10 + [130.0], [100.0] * 11)[-1][1]
    two = weeks([100.0] * 9 + [130.0, 130.0], [100.0] * 11)[-1][1]
    assert one is not None
    assert two is not None
    assert two > one


def test_what_is_not_known_is_not_as_usual():
    assert weeks([100.0] * 10 + [None], [100.0] * 11)[-1][1] is None
    assert weeks([100.0, 100.0, 500.0], [None] * 3)[-1] == (None, None)
