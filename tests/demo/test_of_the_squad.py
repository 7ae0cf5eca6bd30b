"""No table in which an athlete's rows depend on others' is left out of the squad's tables.

One athlete's rows change, and what is derived again, with the others' rows taken over where they may be, is held table
by table against a derivation from nothing: a table wrongly left out keeps somebody else's old rows.
"""

import datetime as dt

import polars as pl
import pytest

from pipelines import flow
from pipelines.board import derivation
from pipelines.derived.registry import BY_ATHLETE, derivations
from pipelines.home.settings import read_settings
from pipelines.record import opening
from schemas.derived.registry import derived_models
from tests.demo.deriving import Frames, Machines, busiest

FEW = 4  # athletes
KEPT = ("athlete", "checkin", "session")  # what the others have where only one athlete brings everything else


class Squad:
    """A few athletes of the demo, and what follows from their rows."""

    def __init__(self, records: Frames, home: flow.Home) -> None:
        self.settings = read_settings(home.settings)
        self.as_of, self.records = opening.looking_from(self.settings), records
        self.before = self.derive(records)

    def derive(self, records: Frames, earlier: derivation.Earlier = derivation.NOTHING_EARLIER) -> derivation.Derived:
        return derivation.derive_all(
            records, self.settings, self.as_of, functions=derivations(), models=derived_models(),
            by_athlete=BY_ATHLETE, earlier=earlier,
        )  # fmt: skip

    def wrong(self, changed: Frames) -> list[str]:
        """Return the tables that are not as from nothing after a change."""
        again = self.derive(changed, derivation.Earlier.of(self.before)).frames
        return [name for name, frame in self.derive(changed).frames.items() if not again[name].equals(frame)]


def without(records: Frames, who: str, but: tuple[str, ...]) -> Frames:
    return {
        name: frame.filter(pl.col("athlete_id") != who) if "athlete_id" in frame.columns and name not in but else frame
        for name, frame in records.items()
    }


@pytest.fixture(scope="module")
def few(demo_home: flow.Home, tmp_path_factory: pytest.TempPathFactory) -> Frames:
    return busiest(Machines(demo_home, tmp_path_factory.mktemp("squad")).records, FEW)


@pytest.fixture(scope="module")
def who(few: Frames) -> str:
    return str(few["athlete"]["athlete_id"][0])


@pytest.fixture(scope="module")
def squad(few: Frames, demo_home: flow.Home) -> Squad:
    return Squad(few, demo_home)


def test_one_among_others_who_have_everything_loses_every_row(squad: Squad, who: str):
    assert squad.wrong(without(squad.records, who, but=("athlete",))) == []


def test_the_roster_says_something_else_of_one(squad: Squad, who: str):
    athlete = squad.records["athlete"]
    is_other = pl.col("athlete_id") != who
    sex, group = (athlete.filter(is_other)[name] for name in ("sex", "event_group"))
    other = athlete.with_columns(
        sex=pl.when(is_other).then("sex").otherwise(pl.lit("m" if sex[0] == "f" else "f")),
        event_group=pl.when(is_other).then("event_group").otherwise(pl.lit(group[0])),
        birth_date=pl.when(is_other).then("birth_date").otherwise(pl.lit(dt.date(2010, 5, 5))),
    )
    assert not other.equals(athlete)
    assert squad.wrong({**squad.records, "athlete": other}) == []


def test_the_only_one_who_has_done_the_tests_and_runs_loses_them(few: Frames, who: str, demo_home: flow.Home):
    others = few["athlete"].filter(pl.col("athlete_id") != who)["athlete_id"]
    lone = few
    for other in others:
        lone = without(lone, other, but=KEPT)
    squad = Squad(lone, demo_home)
    assert squad.before.frames["group_test_calendar"].filter(pl.col("athlete_id") != who).height
    assert squad.wrong(without(lone, who, but=("athlete",))) == []
