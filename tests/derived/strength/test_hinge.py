"""A hinge that rises while eccentric force stands still: by hand, off without both, and how often it speaks."""

import datetime as dt

import numpy as np
import polars as pl
import pytest

from pipelines.derived.strength.hinge import list_outgrown_hinges, say_outgrown_hinges
from schemas.settings import SquadSettings

AS_OF = dt.date(2026, 3, 4)
SETTINGS = SquadSettings()
SCHEMA = {
    "athlete_id": pl.String, "measured_on": pl.Date, "item": pl.String, "side": pl.String, "kind": pl.String,
    "family": pl.String, "e1rm_kg": pl.Float64, "mean_force_n": pl.Float64,
}  # fmt: skip


def lifted(back: int, kg: float, who: str = "ida-fell", item: str = "romanian_deadlift", side: str = "both") -> dict:
    return {"athlete_id": who, "measured_on": AS_OF - dt.timedelta(days=back), "item": item, "side": side,
            "kind": "lift", "family": "hinge", "e1rm_kg": kg, "mean_force_n": None}  # fmt: skip


def forced(back: int, newton: float, who: str = "ida-fell", sides: str = "lr") -> list[dict]:
    common = {"athlete_id": who, "measured_on": AS_OF - dt.timedelta(days=back), "item": "eccentric_hamstring",
              "kind": "force", "family": "hamstring_eccentric", "e1rm_kg": None, "mean_force_n": newton}  # fmt: skip
    return [common | {"side": side} for side in sides]


def found(rows: list[dict]) -> pl.DataFrame:
    frame = pl.DataFrame([{name: row[name] for name in SCHEMA} for row in rows], schema=SCHEMA)
    return list_outgrown_hinges(frame, SETTINGS, AS_OF)


NOW, THEN = (0, 14, 28), (45, 80, 120)
RISEN = [lifted(back, 165.0) for back in NOW] + [lifted(back, 150.0) for back in THEN]
STILL = forced(7, 402.0) + forced(60, 400.0)


def test_rises_and_stands_still_by_hand():
    row = found(RISEN + STILL)
    # 165 / 150 - 1 = 10 %; 402 / 400 - 1 = 0.5 %
    assert row.select("athlete_id", "item").rows() == [("ida-fell", "romanian_deadlift")]
    assert row["hinge_percent"].item() == pytest.approx(10)
    assert row["force_percent"].item() == pytest.approx(0.5)
    assert say_outgrown_hinges(row).to_list() == [
        "romanian deadlift up by 10 % on own earlier weeks while eccentric hamstring force stands still (+0.5 %)"
    ]


def test_of_two_hinges_that_rise_the_one_that_rises_more_is_told_and_of_equals_the_first_by_name():
    more = [row | {"item": "good_morning", "e1rm_kg": row["e1rm_kg"] * (1.1 if n < 3 else 1.0)} for n, row in
            enumerate(RISEN)]  # fmt: skip
    assert found(RISEN + more + STILL)["item"].to_list() == ["good_morning"]
    alike = [row | {"item": "good_morning"} for row in RISEN]
    assert found(RISEN + alike + STILL)["item"].to_list() == ["good_morning"]


@pytest.mark.parametrize(
    ("what", "rows"),
    [
        ("no force test at all", RISEN),
        ("no earlier force test", RISEN + forced(7, 402.0)),
        ("no recent force test", RISEN + forced(60, 400.0)),
        ("one side tested", RISEN + forced(7, 402.0, sides="l") + forced(60, 400.0, sides="l")),
        ("no hinge", STILL),
        ("two earlier days of the hinge", RISEN[:5] + STILL),
        ("another hinge then", [*RISEN[:3], *(lifted(back, 150.0, item="good_morning") for back in THEN), *STILL]),
        ("one leg at a time", [row | {"side": "l"} for row in RISEN] + STILL),
        ("force rises as well", RISEN + forced(7, 440.0) + forced(60, 400.0)),
        ("the hinge is as it was", [lifted(back, 260.0) for back in (*NOW, *THEN)] + STILL),
    ],
)  # fmt: skip
def test_off_until_both_are_measured_and_quiet_whatever_the_load(what, rows):
    assert found(rows).height == 0, what


@pytest.mark.parametrize(
    ("hinge", "force", "least", "most"),
    # Our own simulation, seeded: 600 lifters, nine days of the hinge in each stretch, one force test in the recent and
    # two in the earlier one; the figures the docstring gives.
    [(0.0, 0.0, 0.0, 0.01), (0.05, 0.05, 0.0, 0.03), (0.10, 0.0, 0.45, 0.75)],
)
def test_how_often_it_speaks(hinge, force, least, most):
    chance = np.random.default_rng(20)
    rows = []
    for number in range(600):
        who = f"a{number}"
        rows += [lifted(back, 150 * (1 + hinge) * (1 + 0.03 * chance.normal()), who) for back in range(1, 42, 5)]
        rows += [lifted(back, 150 * (1 + 0.03 * chance.normal()), who) for back in range(43, 126, 10)]
        rows += forced(7, 400 * (1 + force) * (1 + 0.035 * chance.normal()), who)
        rows += [one for back in (60, 100) for one in forced(back, 400 * (1 + 0.035 * chance.normal()), who)]
    share = found(rows).height / 600
    assert least <= share <= most, share
