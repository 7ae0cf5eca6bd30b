"""Deriving on from the last time gives what deriving from nothing gives, whatever happened to the record in between."""

import datetime as dt
from typing import ClassVar

import polars as pl
from hypothesis import given
from hypothesis import strategies as st

from pipelines.board.derivation import NOTHING_EARLIER, Derived, Earlier, derive_all
from schemas.base import DerivedTable, column
from schemas.settings import SquadSettings
from tests.demo.test_one_athlete import assert_alike
from tests.examples import examples
from tests.flow.conftest import LoadDay, LoadWeek, load_day

FIRST = dt.date(2025, 11, 3)  # a Monday
SESSION = {"athlete_id": pl.String, "session_date": pl.Date, "duration_min": pl.Float64}


class SquadUsual(DerivedTable):
    """One row: the middle of all days before the running week."""

    minutes: float = column("Minutes trained.", unit="min", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """No key."""


class DaySheet(DerivedTable):
    """One row per day and athlete, the day first: minutes beyond the squad's usual."""

    day_on: pl.Date = column("Day.", source="definition")
    athlete_id: str = column("Athlete.", source="definition")
    more: float = column("Minutes beyond the usual.", unit="min", source="definition", nullable=True)
    is_today: bool = column("Whether it is today.", source="definition")

    class Config(DerivedTable.Config):
        """Key."""

        metadata: ClassVar = {"key": ["day_on", "athlete_id"]}


def squad_usual(load_day_settled: pl.DataFrame) -> pl.DataFrame:
    """Take the middle of the settled days."""
    return load_day_settled.select(pl.col("minutes").median())


def load_week(load_day_settled: pl.DataFrame) -> pl.DataFrame:
    """Add up the settled minutes of an athlete."""
    return load_day_settled.group_by("athlete_id").agg(pl.col("minutes").sum())


def day_sheet(
    load_day: pl.DataFrame, load_week: pl.DataFrame, squad_usual: pl.DataFrame, *, as_of: dt.date
) -> pl.DataFrame:
    """Set each day of an athlete with settled days against the squad's usual."""
    return load_day.join(load_week, on="athlete_id", how="semi").select(
        "day_on",
        "athlete_id",
        more=pl.col("minutes") - squad_usual["minutes"].item(),
        is_today=pl.col("day_on") == as_of,
    )


FUNCTIONS = {"day_sheet": day_sheet, "squad_usual": squad_usual, "load_week": load_week, "load_day": load_day}
MODELS = {"day_sheet": DaySheet, "squad_usual": SquadUsual, "load_week": LoadWeek, "load_day": LoadDay}

sessions = st.dictionaries(
    st.tuples(st.sampled_from(["ann", "bo", "cy"]), st.integers(0, 15)), st.integers(1, 3), max_size=8
)
moments = st.lists(st.tuples(sessions, st.integers(5, 16)), min_size=2, max_size=4)


def derived(rows: dict[tuple[str, int], int], day: int, earlier: Earlier = NOTHING_EARLIER) -> Derived:
    data = [(who, FIRST + dt.timedelta(days=on), float(minutes)) for (who, on), minutes in sorted(rows.items())]
    return derive_all(
        {"session": pl.DataFrame(data, schema=SESSION, orient="row")}, SquadSettings(), FIRST + dt.timedelta(days=day),
        functions=FUNCTIONS, models=MODELS, by_athlete=("day_sheet", "load_week", "load_day"), earlier=earlier,
    )  # fmt: skip


@given(moments)
@examples(60)
def test_whatever_changed_the_answer_is_that_of_a_derivation_from_nothing(moments):
    # Athletes who come, go, have rows in one table and none in another; days that pass; a week that begins.
    earlier = NOTHING_EARLIER
    for rows, day in moments:
        after = derived(rows, day, earlier)
        assert_alike(after, derived(rows, day))
        earlier = Earlier.of(after)


def test_one_athletes_new_day_leaves_the_others_and_the_settled_squad_alone():
    rows = {("ann", 1): 1, ("bo", 2): 2, ("cy", 3): 3}
    first = derived(rows, 9)
    after = derived({**rows, ("bo", 9): 2}, 9, Earlier.of(first))
    assert after.recomputed == {"load_day": 1, "day_sheet": 1}
    assert after.reused == ["squad_usual", "load_week"]
