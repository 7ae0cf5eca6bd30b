"""Lifts and tests of force, for the tests of strength."""

import datetime as dt
from typing import Any

import polars as pl

from pipelines.derived.strength.state import strength_state
from schemas.derived.strength import StrengthState
from tests.derived.load.work_frames import SETTINGS, checked, day, record

EXERCISES = record(
    "exercise",
    {"exercise": "back_squat", "family": "squat"},
    {"exercise": "romanian_deadlift", "family": "hinge"},
    {"exercise": "nordic_lower", "family": "hamstring_eccentric"},
)
ATHLETES = record("athlete", *({"athlete_id": f"a{n}", "display_name": f"A{n}", "sex": "m"} for n in range(8)))
MASS = record("body_measure", {"measured_on": day(-10), "body_mass_kg": 75})
NO_TEST = record("force_test")
LATER = day(1000)


def state_of(
    *lifts: dict[str, Any], tests: pl.DataFrame = NO_TEST, mass: pl.DataFrame = MASS, as_of: dt.date = LATER
) -> pl.DataFrame:
    lift_set = record("lift_set", *lifts)
    frame = strength_state(lift_set, EXERCISES, tests, mass, ATHLETES, settings=SETTINGS, as_of=as_of)
    return checked(StrengthState, frame)


# --- estimated maximum -------------------------------------------------------------------------------------------


def trial(side: str, force: float, after: int = 0, trial_no: int = 1, who: str = "ann") -> dict[str, Any]:
    return {"athlete_id": who, "tested_on": day(after), "test": "eccentric_hamstring", "side": side,
            "trial_no": trial_no, "peak_force_n": force}  # fmt: skip


def of_side(rows: pl.DataFrame, side: str, who: str = "ann") -> pl.DataFrame:
    return rows.filter((pl.col("side") == side) & (pl.col("athlete_id") == who)).sort("measured_on")
