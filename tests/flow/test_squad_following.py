"""What rests on the whole squad follows a moment after a write, and is then as a derivation from nothing has it."""

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import ClassVar

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.board import Board
from pipelines import flow
from pipelines.board import building, derivation, publish, squad_following
from pipelines.board.delta import Delta, Piece, base_of, read_delta, write_delta
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, only_follower
from schemas.base import DerivedTable, column
from tests.examples import examples
from tests.flow.conftest import LoadDay, LoadWeek, load_day, load_week
from tests.flow.squad import load_squad, on_board

WHO = ("ada-reed", "bo-lind")
FRIDAY = dt.date(2025, 11, 14)  # the day looked from: what is of the week before is settled


class Squads(DerivedTable):
    """One row: minutes of everybody. A table of the squad, of no athlete."""

    minutes: float = column("Minutes trained.", unit="min", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """No key."""

        metadata: ClassVar = {"key": []}


class Shares(DerivedTable):
    """One row per athlete: a number that depends on the others too."""

    athlete_id: str = column("Athlete.", source="definition")
    share: float = column("Share.", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """Key."""

        metadata: ClassVar = {"key": ["athlete_id"]}


def group_load(load_week: pl.DataFrame) -> pl.DataFrame:
    """Add up everybody's minutes."""
    return load_week.select(pl.col("minutes").sum())


def strength_state(load_day_settled: pl.DataFrame) -> pl.DataFrame:
    """Return each athlete's minutes of past weeks, no more than two hours, less the least of anybody."""
    own = load_day_settled.group_by("athlete_id").agg(share=pl.col("minutes").sum().clip(0.0, 120.0))
    return own.with_columns(pl.col("share") - pl.col("share").min()).sort("athlete_id")


def week_sheet(strength_state: pl.DataFrame, load_week: pl.DataFrame) -> pl.DataFrame:
    """Return each athlete's share of own minutes: an athlete's own table that rests on one of the squad."""
    both = load_week.join(strength_state, on="athlete_id", how="left")
    return both.select("athlete_id", share=(pl.col("share") / pl.col("minutes")).fill_nan(None)).sort("athlete_id")


def plan_done(group_load: pl.DataFrame, load_week: pl.DataFrame) -> pl.DataFrame:
    """Return each athlete's share of everybody's minutes: it rests on a table of no athlete."""
    of_all = group_load["minutes"].item() if group_load.height else None
    return load_week.select("athlete_id", share=(pl.col("minutes") / pl.lit(of_all, pl.Float64)).fill_nan(None)).sort(
        "athlete_id"
    )


def squad_week(week_sheet: pl.DataFrame, plan_done: pl.DataFrame) -> pl.DataFrame:
    """Return the sum of all shares, whatever it means."""
    both = pl.concat([week_sheet, plan_done])
    return both.select(minutes=pl.col("share").sort().sum())  # in one order, so that the last bit is one too


FUNCTIONS = {
    f.__name__: f for f in (load_week, load_day, group_load, strength_state, week_sheet, plan_done, squad_week)
}
MODELS = {
    "load_week": LoadWeek, "load_day": LoadDay, "group_load": Squads, "squad_week": Squads,
    "strength_state": Shares, "week_sheet": Shares, "plan_done": Shares,
}  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def squad_derived() -> Iterator[None]:
    """Put tables of every kind in place of the real ones."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(building, "derivations", lambda: FUNCTIONS)
        patch.setattr(building, "derived_models", lambda: MODELS)
        yield


def filled(home: Home) -> Home:
    load_squad(home)
    flow.write_settings(home.settings, flow.settings(home).changed({"as_of": FRIDAY}))
    flow.derive_board(home)
    return home


@pytest.fixture
def squad(home: Home) -> Home:
    return filled(home)


def enter(home: Home, who: str, day: int, minutes: float) -> None:
    on = dt.date(2025, 11, 3) + dt.timedelta(days=day)
    row = {"athlete_id": who, "session_date": on, "session_no": 1, "duration_min": minutes}
    flow.enter(home, "session", [row], by="coach", derive_after=False)


def shown(home: Home) -> dict[str, list]:
    return {name: frame.rows() for name, frame in on_board(home, FUNCTIONS).items()}


def from_nothing(home: Home) -> dict[str, list]:
    settings = flow.settings(home)
    records = {"session": flow.table(home, "session").select(building.warehouse.SHAPES["session"].columns)}
    done = derivation.derive_all(records, settings, FRIDAY, functions=FUNCTIONS, models=MODELS)
    return {name: frame.rows() for name, frame in done.frames.items()}


def test_the_squads_tables_follow_and_nothing_is_older_then(squad: Home):
    base = base_of(publish.current_board(squad))
    enter(squad, "ada-reed", 1, 30.0)
    assert flow.follow(squad) is flow.Reach.ATHLETES
    assert flow.follow_squad(squad) is flow.Reach.ALL
    # by hand: Ada 80 + 30 = 110 and Bo 60 in the week before: 170 in all; 110 - 60 = 50 above the least
    assert flow.table(squad, "group_load")["minutes"].to_list() == [170.0]
    assert flow.table(squad, "strength_state").rows() == [("ada-reed", 50.0), ("bo-lind", 0.0)]
    assert flow.table(squad, "week_sheet").rows() == [("ada-reed", 50.0 / 110.0), ("bo-lind", 0.0)]
    assert flow.table(squad, "plan_done")["share"].to_list() == pytest.approx([110.0 / 170.0, 60.0 / 170.0])
    assert Board(squad.root).older == frozenset()
    assert not flow.is_stale(squad)
    assert base_of(publish.current_board(squad)) == base  # beside the board's file, which is as it was
    before = publish.current_board(squad)
    assert flow.follow_squad(squad) is flow.Reach.ALL
    assert publish.current_board(squad) == before


def test_only_whose_rows_came_out_otherwise_stands_in_the_delta(squad: Home):
    enter(squad, "ada-reed", 8, 30.0)  # in the running week: the settled weeks are as they were
    flow.follow(squad)
    flow.follow_squad(squad)
    delta = read_delta(publish.current_board(squad))
    assert "strength_state" not in delta.pieces
    assert delta.pieces["week_sheet"].athletes == {"ada-reed"}
    assert delta.pieces["plan_done"].athletes == set(WHO)  # everybody's share is another one
    assert delta.pieces["group_load"].athletes is None
    assert delta.waiting == {}


OPS = st.one_of(
    st.tuples(st.just("enter"), st.sampled_from(WHO), st.integers(0, 9), st.integers(1, 90)),
    st.tuples(st.sampled_from(["undo", "redo"]), st.integers(2, 9)),
    st.tuples(st.sampled_from(["derive", "follow squad", "follow squad"])),
)


@given(ops=st.lists(OPS, min_size=2, max_size=8))
@examples(32)
def test_after_any_sequence_of_writes_what_followed_is_that_of_a_derivation_from_nothing(ops):
    with TemporaryDirectory() as folder:
        home = filled(Home(Path(folder) / "home"))
        for what, *more in ops:
            try:
                if what == "enter":
                    enter(home, *more)
                elif what == "derive":
                    flow.derive_board(home)
                elif what == "follow squad":
                    assert flow.follow_squad(home) is flow.Reach.ALL
                    assert shown(home) == from_nothing(home)
                else:
                    (flow.undo if what == "undo" else flow.redo)(home, *more, by="c", derive_after=False)
            except ThirdstepError:
                continue  # no such load, or it is so already
            flow.follow(home)
        flow.follow_squad(home)
        assert shown(home) == from_nothing(home)
        assert not flow.is_stale(home)


def test_who_writes_meanwhile_is_not_lost_and_the_squad_follows_that_too(squad: Home, monkeypatch):
    run, times = squad_following._Spread.run, []

    def slowly(self, functions):
        run(self, functions)
        times.append(1)
        if len(times) == 1:
            enter(squad, "bo-lind", 2, 15.0)
            flow.follow(squad)

    enter(squad, "ada-reed", 1, 30.0)
    flow.follow(squad)
    monkeypatch.setattr(squad_following._Spread, "run", slowly)
    assert flow.follow_squad(squad) is flow.Reach.ALL
    assert len(times) == 2
    assert shown(squad) == from_nothing(squad)


def test_under_many_writes_the_last_try_has_them_wait(squad: Home, monkeypatch):
    run, held = squad_following._Spread.run, []

    def overtaken(self, functions):
        run(self, functions)
        try:
            with only_follower(squad, wait_s=0.05):
                held.append(False)
        except ThirdstepError:
            held.append(True)
            return
        enter(squad, "bo-lind", len(held), 15.0)
        flow.follow(squad)

    enter(squad, "ada-reed", 1, 30.0)
    flow.follow(squad)
    monkeypatch.setattr(squad_following._Spread, "run", overtaken)
    assert flow.follow_squad(squad) is flow.Reach.ALL
    assert held == [False, False, True]
    assert shown(squad) == from_nothing(squad)


def test_a_board_made_while_the_squad_followed_names_what_it_lacks(squad: Home, monkeypatch):
    def slowly(*given, **more):
        enter(squad, "bo-lind", 1, 15.0)
        flow.follow(squad)
        flow.follow_squad(squad)
        return derived(*given, **more)

    derived = building.derive.derive_all
    monkeypatch.setattr(building.derive, "derive_all", slowly)
    flow.derive_board(squad)
    monkeypatch.undo()
    monkeypatch.setattr(building, "derivations", lambda: FUNCTIONS)
    monkeypatch.setattr(building, "derived_models", lambda: MODELS)
    assert Board(squad.root).older == {"group_load", "strength_state", "week_sheet", "plan_done", "squad_week"}
    assert flow.is_stale(squad)
    assert flow.follow_squad(squad) is flow.Reach.ALL
    assert shown(squad) == from_nothing(squad)


def test_other_settings_ask_for_a_whole_derivation(squad: Home):
    enter(squad, "ada-reed", 1, 30.0)
    flow.follow(squad)
    flow.write_settings(squad.settings, flow.settings(squad).changed({"as_of": dt.date(2025, 11, 21)}))
    assert flow.follow_squad(squad) is flow.Reach.NOTHING
    flow.bring_news(squad)
    assert not flow.is_stale(squad)
    assert not read_delta(publish.current_board(squad)).pieces


def test_news_are_brought_beside_the_board_until_much_lies_over_it(squad: Home, monkeypatch):
    first = publish.current_board(squad)
    enter(squad, "ada-reed", 1, 30.0)
    flow.bring_news(squad)
    assert base_of(publish.current_board(squad)) == first
    assert shown(squad) == from_nothing(squad)
    monkeypatch.setattr(squad_following, "LONG_DELTA", 3)
    enter(squad, "ada-reed", 2, 10.0)
    flow.bring_news(squad)
    assert publish.current_board(squad) == base_of(publish.current_board(squad)) != first
    assert shown(squad) == from_nothing(squad)


def test_a_delta_keeps_what_the_squads_tables_wait_for(tmp_path: Path):
    rows = pl.DataFrame({"athlete_id": ["a"], "x": [1.0]})
    piece = {"t": Piece(rows, frozenset("a"))}
    first = Delta("board-000007.duckdb").with_pieces(piece, ["a"], 4, {"last_event": "4"}, ["t"])
    second = first.with_pieces(piece, ["b"], 5, {"last_event": "5"}, ["t", "t_settled"])
    (tmp_path / "elsewhere").mkdir()
    written = write_delta(tmp_path, second).rename(tmp_path / "elsewhere" / second.name)
    assert read_delta(written).waiting == {"t": {"a", "b"}, "t_settled": {"b"}}
    assert second.caught_up({}, {}).waiting == {}
    # one whose rows come later is laid over a table that stands there whole
    both = pl.DataFrame({"athlete_id": ["a", "b"], "x": [3.0, 4.0]})
    whole = Delta("board-000007.duckdb", pieces={"t": Piece(both, None)})
    merged = whole.with_more(piece).pieces["t"]
    assert (sorted(merged.rows.rows()), merged.athletes) == ([("a", 1.0), ("b", 4.0)], None)
