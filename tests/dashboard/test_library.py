"""Drills: offered with the work that is advised, chosen in two taps, read by the athlete with their cue."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

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
from tests.dashboard.small_board import WEEK, table_of

FOR_DILYS = ("falling_start", "hill_start", "sled_three_steps")  # her push is cut short: drills of the demo for that
PROPOSED = {"drill": "wall_push", "limit": "push_cut_short", "cue": "long leg", "is_used": None,
            "proposed_by": "Staff coach"}  # fmt: skip
AWAY = {"drill": "old_drill", "limit": "any", "is_used": False, "proposed_by": "coach"}
USED = {"drill": "falling_start", "limit": "push_cut_short", "cue": "push long", "is_used": True}


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


def shown(at) -> str:
    """Return the page with the HTML of its components as the browser has it."""
    return html_of(at).replace('\\"', '"')


def test_drills_are_offered_for_the_work_that_is_advised_and_for_nothing_held_back(board: Board):
    opened = Opened(HEAD, board)
    advised = {row["athlete_id"] for row in opened.rows("advised_work")}
    everybody = board.allowed_athletes(HEAD)["athlete_id"].to_list()
    found = drills.offered(opened, everybody)
    assert set(found) <= advised < set(everybody)
    assert "marit-oakhollow" not in found  # talk first
    assert tuple(sorted(one["drill"] for one in found["dilys-fernbank"]))[:3] == FOR_DILYS


def test_a_drill_is_chosen_by_a_press_beside_the_athlete(open_as: Callable):
    page = shown(open_as(HEAD, "week"))
    assert 'data-act="drill" data-athlete="dilys-fernbank" data-drill="falling_start"' in page
    assert 'data-act="drill" data-athlete="marit-oakhollow"' not in page


def test_neither_a_proposed_drill_nor_one_put_away_is_offered(board_like: Callable[..., Path]):
    board = Board(board_like(drill=[USED, PROPOSED, AWAY]))
    found = drills.offered(Opened(HEAD, board), ["dilys-fernbank"])
    assert [one["drill"] for one in found["dilys-fernbank"]] == ["falling_start"]


def test_a_chosen_drill_is_the_decision_on_the_work(board: Board, written: list):
    deciding.keep_decision(HEAD, board, "dilys-fernbank", WEEK, drill="falling_start")
    [(table, rows, by)] = written
    by_topic = {row["topic"]: row for row in rows}
    assert (table, by) == ("decision", "Head coach")
    assert (by_topic["start_work"]["call"], by_topic["start_work"]["drill"]) == ("Falling start", "falling_start")
    assert by_topic["training"]["call"] == "as planned"  # as the sheet says: nobody had decided otherwise


def test_a_drill_leaves_a_training_call_that_somebody_decided_and_other_work_takes_the_drill_out(
    board_like: Callable[..., Path], written: list
):
    base = {"athlete_id": "dilys-fernbank", "week_of": WEEK, "decided_by": "coach"}
    decided = Board(
        board_like(
            decision=[
                base | {"topic": "training", "call": "adapt: less volume"},
                base | {"topic": "start_work", "call": "Hill start", "drill": "hill_start"},
            ]
        )
    )
    deciding.keep_decision(HEAD, decided, "dilys-fernbank", WEEK, drill="falling_start")
    assert "training" not in {row["topic"] for row in written[0][1]}
    written.clear()
    # an empty cell would leave the drill standing
    deciding.keep_decision(HEAD, decided, "dilys-fernbank", WEEK, work="rest")
    assert [row["drill"] for row in written[0][1] if row["topic"] == "start_work"] == [deciding.NO_DRILL]


@pytest.mark.parametrize("drill", ["wall_push", "old_drill", "nobody_knows"])
def test_a_drill_that_is_not_in_use_is_not_chosen(board_like: Callable[..., Path], written: list, drill: str):
    with pytest.raises(NotKept, match="not in use"):
        deciding.keep_decision(
            HEAD, Board(board_like(drill=[USED, PROPOSED, AWAY])), "dilys-fernbank", WEEK, drill=drill
        )
    assert written == []


def test_the_athlete_reads_the_chosen_drill_with_its_cue_and_only_a_safe_address(board_like: Callable[..., Path]):
    safe = USED | {"amount": "2 x 4 x 10 m", "caution": "not with a sore calf", "link": "https://club.example/falling"}
    opened = Opened(ATHLETE, Board(board_like(drill=[safe])))
    [one] = drills.chosen_drills(opened, [{"drill": "falling_start"}, {"drill": deciding.NO_DRILL}, {"call": "keep"}])
    drawn = drills.drill_text(one)
    for said in ("Falling start", "push long", "2 x 4 x 10 m", "Not with a sore calf.", "https://club.example/falling"):
        assert said in drawn
    assert "noopener" in drawn
    assert "<script>" not in drills.drill_text(one | {"cue": "<script>", "link": "javascript:alert(1)"})
    assert "javascript" not in drills.drill_text(one | {"link": "javascript:alert(1)"})


def test_what_is_decided_for_the_week_shows_its_drill_on_today(
    open_as: Callable, board_like: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
):
    from dashboard.screens.athlete import plan_today

    monkeypatch.setattr(plan_today, "viewers_day", lambda: WEEK + dt.timedelta(days=2))
    told = {"athlete_id": "teo-brandmere", "week_of": WEEK, "topic": "start_work", "call": "Falling start",
            "drill": "falling_start", "decided_by": "coach"}  # fmt: skip
    page = html_of(open_as(ATHLETE, "athlete/today", at_home=board_like(decision=[told], drill=[USED])))
    assert "Falling start" in page
    assert "push long" in page


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
    open_as: Callable, board_like: Callable[..., Path], viewer: Viewer, may: bool
):
    at = open_as(viewer, "library", at_home=board_like(drill=[USED, PROPOSED, AWAY]))
    assert not at.exception
    page = shown(at)
    assert "Falling start" in page
    assert ('data-act="away"' in page) is may
    assert ('data-act="use"' in page) is may
    # who proposed a drill may still change it, somebody else of the staff may not
    assert ('data-act="edit" data-drill="wall_push"' in page) is (viewer.name != "Staff 2")


def test_the_demo_s_library_has_a_drill_with_cue_why_and_caution_for_every_limit(home: Path):
    from schemas.vocabulary import DRILL_LIMITS

    rows = table_of(home, "drill")
    assert set(rows["limit"]) == set(DRILL_LIMITS)
    assert rows.select("cue", "why", "amount", "caution").null_count().sum_horizontal().item() == 0


def test_the_athlete_s_page_names_the_drills_for_the_advised_work_to_coaches_alone(open_as: Callable):
    page = html_of(open_as(HEAD, "athlete", athlete="dilys-fernbank"))
    assert "Falling start: fall until you must step, then push long" in page
    assert "Falling start" not in html_of(open_as(ATHLETE, "athlete/my_work"))
