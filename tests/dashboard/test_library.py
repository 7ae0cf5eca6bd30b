"""Drills: offered with the work that is advised, chosen in two taps, read by the athlete with their cue."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import polars as pl
import pytest

from dashboard import writes as deciding
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.parts import drills
from dashboard.reads import Opened
from dashboard.screens.library import writes
from dashboard.writes import NotKept
from pipelines import flow
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, html_of
from tests.dashboard.make_board import board_tables, write_board

WEEK = dt.date(2026, 11, 16)


@pytest.fixture
def written(home: Path, monkeypatch: pytest.MonkeyPatch) -> list:
    notes: list = []

    def enter(at: object, table: str, rows: list, by: flow.Writer, **more: object) -> object:
        notes.append((table, rows, by.name))
        return SimpleNamespace(problem="", set_aside=0, reasons=[], load_no=7)

    monkeypatch.setenv("THIRDSTEP_HOME", str(home))
    monkeypatch.setattr(flow, "enter", enter)
    monkeypatch.setattr(deciding, "publish_soon", lambda: None)
    return notes


def test_drills_are_offered_for_the_work_that_is_advised_and_for_nothing_held_back(board: Board):
    opened = Opened(HEAD, board)
    advised = {row["athlete_id"] for row in opened.rows("advised_work")}
    everybody = board.allowed_athletes(HEAD)["athlete_id"].to_list()
    found = drills.offered(opened, everybody)
    assert advised
    assert set(found) == advised < set(everybody)
    # every advised work of the invented board is for the push cut short; neither proposed nor put away is offered
    assert {tuple(one["drill"] for one in some) for some in found.values()} == {("falling_start", "hill_start")}


def test_a_drill_is_chosen_by_a_press_beside_the_athlete(open_as: Callable):
    page = html_of(open_as(HEAD, "week")).replace('\\"', '"')
    assert 'data-act="drill"' in page
    assert 'data-drill="falling_start"' in page
    assert "wall_push" not in page


def test_a_chosen_drill_is_the_decision_on_the_work_and_leaves_a_training_call_as_somebody_decided_it(
    board: Board, written: list, tmp_path: Path
):
    deciding.keep_decision(HEAD, board, "teo-brandmere", WEEK, drill="falling_start")
    [(table, rows, by)] = written
    by_topic = {row["topic"]: row for row in rows}
    assert (table, by) == ("decision", "Head coach")
    assert (by_topic["start_work"]["call"], by_topic["start_work"]["drill"]) == ("Falling start", "falling_start")
    assert by_topic["training"]["call"] == "adapt"  # as the sheet says: nobody had decided otherwise
    tables = board_tables()
    tables["decision"] = tables["decision"].cast({"drill": pl.String, "note": pl.String})
    one = tables["decision"].head(1)
    told = {"athlete_id": "teo-brandmere", "week_of": WEEK, "topic": "training", "call": "talk first"}
    extra = one.with_columns(**{name: pl.lit(value).cast(one.schema[name]) for name, value in told.items()})
    work = extra.with_columns(topic=pl.lit("start_work"), call=pl.lit("Hill start"), drill=pl.lit("hill_start"))
    tables["decision"] = tables["decision"].vstack(extra).vstack(work.select(one.columns))
    write_board(tmp_path, tables)
    decided = Board(tmp_path)
    written.clear()
    deciding.keep_decision(HEAD, decided, "teo-brandmere", WEEK, drill="falling_start")
    assert "training" not in {row["topic"] for row in written[0][1]}
    written.clear()
    # other work takes the drill out again: an empty cell would leave it standing
    deciding.keep_decision(HEAD, decided, "teo-brandmere", WEEK, work="rest")
    assert [row["drill"] for row in written[0][1] if row["topic"] == "start_work"] == [deciding.NO_DRILL]


@pytest.mark.parametrize("drill", ["wall_push", "old_drill", "nobody_knows"])
def test_a_drill_that_is_not_in_use_is_not_chosen(board: Board, written: list, drill: str):
    with pytest.raises(NotKept, match="not in use"):
        deciding.keep_decision(HEAD, board, "teo-brandmere", WEEK, drill=drill)
    assert written == []


def test_the_athlete_reads_the_chosen_drill_with_its_cue_and_only_a_safe_address(board: Board):
    opened = Opened(ATHLETE, board)
    [one] = drills.chosen_drills(opened, [{"drill": "falling_start"}, {"drill": deciding.NO_DRILL}, {"call": "keep"}])
    html = drills.drill_text(one)
    for said in ("Falling start", "push long", "2 x 4 x 10 m", "Not with a sore calf.", "https://club.example/falling"):
        assert said in html
    assert "noopener" in html
    assert "<script>" not in drills.drill_text(one | {"cue": "<script>", "link": "javascript:alert(1)"})
    assert "javascript" not in drills.drill_text(one | {"link": "javascript:alert(1)"})


def test_the_head_coach_writes_a_drill_that_is_used_and_staff_propose_one(written: list):
    said = {"cue": " push ", "why": "", "link": ""}
    mine = writes.drill_row(HEAD, "Wall drill, one switch", "any", said)
    assert mine == {"drill": "wall_drill_one_switch", "limit": "any", "cue": "push", "is_used": True}
    theirs = writes.drill_row(STAFF, "Wall drill", "any", said)
    assert "is_used" not in theirs
    assert writes.keep_drills(STAFF, [theirs]) == 7
    assert written == [("drill", [theirs], "Staff coach")]
    for viewer in (STAFF, ATHLETE):
        with pytest.raises(NotKept):
            writes.use_drill(viewer, [mine], used=True)
    with pytest.raises(NotKept):
        writes.keep_drills(ATHLETE, [mine])


@pytest.mark.parametrize(("name", "link"), [("...", ""), ("Fine", "http://plain.example"), ("Fine", "javascript:1")])
def test_a_drill_without_a_name_or_with_another_address_is_not_kept(name: str, link: str):
    with pytest.raises(NotKept):
        writes.drill_row(HEAD, name, "any", {"link": link})


@pytest.mark.parametrize(("viewer", "may"), [(HEAD, True), (STAFF, False), (Viewer("Staff 2", "staff"), False)])
def test_the_page_of_drills_offers_to_use_and_put_away_to_the_head_coach_alone(
    open_as: Callable, viewer: Viewer, may: bool
):
    at = open_as(viewer, "library")
    assert not at.exception
    page = html_of(at).replace('\\"', '"')
    assert "Falling start" in page
    assert ('data-act="away"' in page) is may
    assert ('data-act="use"' in page) is may
    # who proposed a drill may still change it, somebody else of the staff may not
    assert ('data-act="edit" data-drill="wall_push"' in page) is (viewer.name != "Staff 2")
