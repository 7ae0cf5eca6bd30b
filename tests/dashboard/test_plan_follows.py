"""The plan follows a decision: from the sheet in one tap to the week with it laid over, saved, undone."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from dashboard import writes as deciding
from dashboard.board import Board
from dashboard.reads import Opened
from dashboard.screens.athlete import plan_today
from dashboard.screens.plan import grid as planning
from dashboard.screens.plan import words
from dashboard.screens.plan.templates import rows_to_save
from dashboard.screens.plan.wall import session_words
from pipelines import flow
from tests.dashboard.conftest import HEAD, html_of
from tests.dashboard.small_board import WEEK

INES = "ines-quarrington"
COMING = dt.date(2026, 11, 23)


@dataclass
class Loaded:
    """What entering rows gives back, as far as the page asks."""

    load_no: int


def change(**more: Any) -> dict[str, Any]:
    """Return a row of what a decision changes."""
    return {"athlete_id": INES, "planned_on": COMING, "plan_no": 1, "change": "less_volume", "kind": "acceleration",
            "fast_metres": 20.0, "planned_min": 40.0, "planned_effort_0_10": 6.0,
            "note": "Less volume, about two thirds; planned: 3 x 30 m from blocks"} | more  # fmt: skip


def decision(**more: Any) -> dict[str, Any]:
    return {"athlete_id": INES, "week_of": WEEK, "topic": "training", "call": "adapt: less volume",
            "decided_by": "coach", "decided_at": dt.datetime(2026, 11, 22, 18)} | more  # fmt: skip


def test_who_is_decided_on_and_whose_plan_does_not_follow_has_the_way_there(
    open_as: Callable, board_like: Callable[..., Path]
):
    both = board_like(plan_change=[change(), change(athlete_id="teo-brandmere")], decision=[decision()])
    drawn = html_of(open_as(HEAD, "week", at_home=both))
    assert drawn.count("change the plan") == 1  # on Teo nothing is decided in this week
    assert f"plan?athlete={INES}" in drawn
    assert "change the plan" not in html_of(open_as(HEAD, "week", at_home=board_like(plan_change=[])))


def test_the_plan_opens_with_what_was_decided_laid_over_it_and_nothing_saved(
    open_as: Callable, board_like: Callable[..., Path]
):
    at = open_as(HEAD, "plan", at_home=board_like(plan_change=[change()]), athlete=INES, copy="decided")
    assert not at.exception
    drawn = html_of(at)
    assert words.LAID_DECIDED in drawn
    assert words.EFFECT_CAPTION in drawn
    assert "1 planned session of 1 athlete would be new or changed." in drawn
    assert not at.button(key="save_plan").disabled


def test_a_change_that_crosses_sunday_is_laid_over_both_weeks_and_undone_as_one(
    open_as: Callable, board_like: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
):
    sunday = COMING - dt.timedelta(days=1)
    over = [change(planned_on=sunday), change(), change(planned_on=sunday, athlete_id="teo-brandmere")]
    kept: list[list[dict[str, Any]]] = []
    monkeypatch.setattr(planning, "enter", lambda rows, *_: kept.append(rows) or Loaded(7))
    back: list[int] = []
    monkeypatch.setattr(planning, "undo_load", lambda _, load_no, **__: back.append(load_no))
    monkeypatch.setattr(planning, "publish_soon", lambda: None)
    at_home = board_like(plan_change=over)
    for week in ("", str(WEEK)):  # from either of the two weeks
        at = open_as(HEAD, "plan", at_home=at_home, athlete=INES, copy="decided", **({"week": week} if week else {}))
        assert not at.exception
        drawn = html_of(at)
        assert words.crosses_sunday([COMING if week else WEEK]) in drawn
        assert "2 planned sessions of 1 athlete would be new or changed." in drawn
        assert "<h3>Week of 16 November</h3>" in drawn
        assert "<h3>Week of 23 November</h3>" in drawn
    at.button(key="save_plan").click().run()
    assert [[row["planned_on"] for row in rows] for rows in kept] == [[sunday, COMING]]
    at.button(key="undo_plan").click().run()
    assert back == [7]


def test_a_saved_week_holds_no_session_of_the_week_beside_it():
    slots = [(COMING - dt.timedelta(days=1), 1), (COMING, 1)]
    both = {INES: {slot: {"planned_min": 40.0} for slot in slots}}
    rows = rows_to_save("hard", planning.grid_of(both, [INES], slots), slots, COMING, [])
    assert [row["weekday"] for row in rows] == [1]


def test_without_a_decision_nothing_of_the_kind_is_offered(open_as: Callable, board_like: Callable[..., Path]):
    drawn = html_of(open_as(HEAD, "plan", at_home=board_like(plan_change=[]), athlete=INES))
    assert words.LAY_DECIDED not in drawn


def test_agreed_changed_saved_and_undone_plan_print_and_athlete_s_page_say_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    home = flow.Home(tmp_path / "home")
    monkeypatch.setenv("THIRDSTEP_HOME", str(home.root))
    monkeypatch.setattr(deciding, "publish_soon", lambda: None)
    monkeypatch.setattr(planning, "publish_soon", lambda: None)
    today = dt.date.today()
    monkeypatch.setattr(plan_today, "viewers_day", lambda: today)
    flow.enter(home, "athlete", [{"athlete_id": "ann", "display_name": "Ann Ash", "event_group": "hurdles"}], "coach",
               derive_after=False)  # fmt: skip
    fast = {"athlete_id": "ann", "planned_on": today, "plan_no": 1, "kind": "top_speed", "fast_metres": 90.0,
            "planned_min": 80.0, "planned_effort_0_10": 7.0, "note": "3 x flying 30 m"}  # fmt: skip
    flow.enter(home, "plan", [fast], "coach", derive_after=False)
    monday = today - dt.timedelta(days=today.weekday())
    said = decision(athlete_id="ann", week_of=monday, call="adapt: no maximal runs")
    flow.enter(home, "decision", [said | {"decided_at": dt.datetime.combine(today, dt.time(8))}], "coach")
    opened = Opened(HEAD, Board(home.root))
    [asked] = opened.rows("plan_change")
    now = planning.planned_of(opened.rows("plan"), monday)
    wanted = planning.laid_over(now, planning.planned_of([asked], monday), ["ann"])
    load_no = planning.keep_plan(HEAD, opened.board, planning.changed_rows(now, wanted))
    assert load_no is not None
    flow.derive_board(home)
    opened = Opened(HEAD, Board(home.root))
    words_now = "No maximal runs, nothing over 90 %; planned: 3 x flying 30 m"
    [row] = opened.rows("plan")
    assert (row["note"], row["fast_metres"]) == (words_now, 0)
    assert words_now in session_words(row)  # the week on the page, and the coaches' sheet
    assert session_words(row, for_all=True) == "Top speed, 80\u202fmin. Changed: ask the coach"  # the wall
    assert words_now in str(plan_today.plan_today(opened, "ann", None))  # the athlete's page
    assert opened.rows("plan_change") == []
    assert opened.rows("plan_caution") == []
    planning.take_back(HEAD, load_no)
    assert flow.table(home, "plan")["note"].to_list() == ["3 x flying 30 m"]
