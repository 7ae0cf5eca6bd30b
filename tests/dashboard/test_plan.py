"""The Plan page as each role: the grid, the effect before it is saved, saving and undoing, and the ways round."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from dashboard import writes as deciding
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.parts.return_ladder import keep_step
from dashboard.reads import Opened
from dashboard.screens.plan import grid as planning
from dashboard.screens.plan import words
from dashboard.screens.plan.wall import wall_table
from dashboard.writes import NotKept
from pipelines import flow
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, html_of

SPRINTERS = ["teo-brandmere", "dilys-fernbank", "marit-oakhollow", "per-ashdown"]
MONDAY = dt.date(2026, 11, 23)  # the day after the demo's last day
OF_THE_WEEK = [MONDAY + dt.timedelta(days=n) for n in range(7)]


def test_the_coming_week_is_offered_with_what_is_planned(open_as: Callable):
    at = open_as(HEAD, "plan")
    assert not at.exception
    page = html_of(at)
    assert "Plan, week of 23 November" in page
    # Teo's easier week of the demo: 65 x 6 + 50 x 6 + 20 x 2 + 55 x 7 + 25 x 4 + 50 x 6 + 60 x 7 = 1935 AU
    assert "1935 AU planned" in page
    assert words.AS_SAVED in page


def test_one_athlete_or_a_group_and_the_week_stand_in_the_address(open_as: Callable):
    at = open_as(HEAD, "plan", athlete="ines-quarrington", week="2026-12-09")
    assert not at.exception
    page = html_of(at)
    assert "Plan, week of 7 December" in page
    assert words.GRID_ONE in page
    assert words.NOTHING_TYPED in page


def test_copying_the_week_before_shows_its_effect_before_it_is_saved(open_as: Callable, home: Path):
    at = open_as(HEAD, "plan", week="2026-11-30", copy="last")
    assert not at.exception
    page = html_of(at)
    assert words.EFFECT_CAPTION in page
    assert "1935 AU planned" in page  # laid over the week of 30 November
    sessions = Board(home).read(HEAD, "plan", {"athlete_id": SPRINTERS, "planned_on": OF_THE_WEEK})
    # seven a head, each of other minutes than in the sharp week that follows
    assert sessions.height == 7 * len(SPRINTERS)
    assert f"{7 * len(SPRINTERS)} planned sessions of {len(SPRINTERS)} athletes would be new or changed." in page


def test_staff_plan_for_their_own_groups_only(open_as: Callable):
    at = open_as(STAFF, "plan", athlete="rune-halvard-okoro")
    assert not at.exception
    page = html_of(at)
    assert "Rune Halvard-Okoro" not in page
    assert "Marit Oakhollow" in page


def test_an_athlete_has_no_such_page(open_as: Callable):
    with pytest.raises(ValueError, match="page"):
        open_as(ATHLETE, "plan")


@pytest.mark.parametrize("viewer", [STAFF, ATHLETE, Viewer("New", "staff")])
def test_a_plan_for_somebody_else_s_athlete_is_refused(board: Board, viewer: Viewer):
    rows = [{"athlete_id": "rune-halvard-okoro", "planned_on": MONDAY, "plan_no": 1, "planned_min": 60.0}]
    with pytest.raises(NotKept, match="not among those"):
        planning.keep_plan(viewer, board, rows)


def test_saving_hands_the_rows_to_the_flow_and_undo_takes_that_load_back(
    open_as: Callable, board: Board, monkeypatch: pytest.MonkeyPatch
):
    entered: list[Any] = []
    undone: list[int] = []

    class Kept:
        load_no = 41

    monkeypatch.setattr(
        planning, "enter", lambda rows, table, viewer: entered.append((rows, table, viewer.name)) or Kept()
    )
    monkeypatch.setattr(planning, "undo_load", lambda viewer, load_no, publish: undone.append(load_no))
    monkeypatch.setattr(planning, "publish_soon", lambda: None)
    at = open_as(HEAD, "plan", athlete="ines-quarrington", week="2026-11-30", copy="last")
    at.button(key="save_plan").click().run()
    assert not at.exception
    [(rows, table, by)] = entered
    assert (table, by) == ("plan", "Head coach")
    said = ("kind", "fast_metres", "planned_min", "planned_effort_0_10")
    planned = board.rows(HEAD, "plan", {"athlete_id": "ines-quarrington", "planned_on": OF_THE_WEEK})
    assert len(rows) == len(planned) > 4
    for row, last in zip(rows, sorted(planned, key=lambda one: (one["planned_on"], one["plan_no"])), strict=True):
        assert row["planned_on"] - last["planned_on"] == dt.timedelta(days=7)
        assert {name: row[name] for name in said} == {name: last[name] for name in said}
    assert f"Saved: {len(rows)} planned sessions of 1 athlete." in html_of(at)
    at.button(key="undo_plan").click().run()
    assert undone == [41]
    assert words.PLAN_BACK in html_of(at)


# --- from the record to the grid and back ----------------------------------------------------------------------------


def told(who: str, after: int, minutes: float | None, no: int = 1, **more: Any) -> dict[str, Any]:
    return {"athlete_id": who, "planned_on": MONDAY + dt.timedelta(days=after), "plan_no": no, "kind": None,
            "fast_metres": None, "planned_min": minutes, "planned_effort_0_10": None} | more  # fmt: skip


def test_a_group_s_grid_shows_what_all_have_alike():
    now = planning.planned_of([told("a", 0, 60.0, kind="tempo"), told("b", 0, 70.0, kind="tempo")], MONDAY)
    slots = planning.slots_of(MONDAY, now, two_a_day=False)
    line = planning.grid_of(now, ["a", "b"], slots).row(0, named=True)
    assert line == {"day": "Mon 23 Nov", "kind": "tempo", "text": None, "fast": None, "minutes": None, "effort": None}


def test_an_empty_cell_of_a_group_leaves_each_as_it_is():
    now = planning.planned_of([told("a", 0, 60.0), told("b", 0, 70.0)], MONDAY)
    slots = planning.slots_of(MONDAY, now, two_a_day=False)
    shown = planning.grid_of(now, ["a", "b"], slots)
    assert planning.changed_rows(now, planning.typed_week(shown, shown, slots, ["a", "b"])) == []


def test_emptying_a_session_of_one_athlete_makes_it_a_day_off_not_a_gap():
    now = planning.planned_of([told("a", 0, 60.0)], MONDAY)
    slots = planning.slots_of(MONDAY, now, two_a_day=False)
    shown = planning.grid_of(now, ["a"], slots)
    emptied = planning.grid_of({}, ["a"], slots)
    [row] = planning.changed_rows(now, planning.typed_week(emptied, shown, slots, ["a"]))
    assert (row["planned_min"], row["fast_metres"], row["planned_effort_0_10"]) == (0, 0, 0)


def test_only_what_is_new_or_changed_is_sent():
    now = planning.planned_of([told("a", 0, 60.0), told("a", 1, 50.0)], MONDAY)
    wanted = planning.laid_over(now, {"a": {(MONDAY, 1): {"planned_min": 65.0}}}, ["a"])
    assert planning.changed_rows(now, wanted) == [
        {"athlete_id": "a", "planned_on": MONDAY, "plan_no": 1, "planned_min": 65.0}
    ]


def test_a_second_session_has_its_own_line():
    slots = planning.slots_of(MONDAY, {}, two_a_day=True)
    assert len(slots) == 14
    assert planning.grid_of({}, ["a"], slots)["day"].to_list()[:2] == ["Mon 23 Nov", "Mon 23 Nov (2)"]


def test_last_week_moves_by_seven_days_and_no_more_than_that_week():
    rows = [told("a", -7, 60.0), told("a", -8, 10.0), told("a", 0, 20.0)]
    last = planning.planned_of(rows, MONDAY - dt.timedelta(days=7))
    assert planning.moved(last, 7) == {"a": {(MONDAY, 1): {"planned_min": 60.0}}}


# --- through the real flow -------------------------------------------------------------------------------------------


@pytest.fixture
def real_home(own_home_of_one: flow.Home, monkeypatch: pytest.MonkeyPatch) -> flow.Home:
    """A home with one athlete and a board, in which nothing is published beside the test."""
    monkeypatch.setenv("THIRDSTEP_HOME", str(own_home_of_one.root))
    monkeypatch.setattr(deciding, "publish_soon", lambda: None)
    monkeypatch.setattr(planning, "publish_soon", lambda: None)
    return own_home_of_one


def test_a_saved_plan_is_in_the_record_and_undo_takes_it_out(real_home: flow.Home):
    board = Board(real_home.root)
    row = {"athlete_id": "ann", "planned_on": MONDAY, "plan_no": 1, "kind": "top_speed", "planned_min": 80.0}
    load_no = planning.keep_plan(STAFF, board, [row])
    assert load_no is not None
    [kept] = flow.table(real_home, "plan").to_dicts()
    assert {name: kept[name] for name in row} == row
    assert kept["fast_metres"] is None
    planning.take_back(STAFF, load_no)
    assert flow.table(real_home, "plan").is_empty()


def test_an_effort_that_cannot_be_is_refused_in_words(real_home: flow.Home):
    row = {"athlete_id": "ann", "planned_on": MONDAY, "plan_no": 1, "planned_effort_0_10": 11.0}
    with pytest.raises(NotKept, match="11"):
        planning.keep_plan(HEAD, Board(real_home.root), [row])


def test_a_step_of_the_ladder_is_kept_as_told(real_home: flow.Home):
    step = {"athlete_id": "ann", "onset_on": dt.date(2026, 8, 20), "site": "hamstring", "side": "l", "rung_no": 3,
            "done_on": dt.date(2026, 9, 1), "symptoms": "none", "signed_by": None, "work_done": "8 x 60 m"}  # fmt: skip
    keep_step(Opened(HEAD, Board(real_home.root)), step)
    [kept] = flow.table(real_home, "return_step").to_dicts()
    assert {name: kept[name] for name in step} == step


def test_what_is_run_is_kept_in_words_and_weighs_nothing_in_the_effect():
    slot = (MONDAY, 1)
    shown = planning.grid_of({"teo-brandmere": {slot: {"planned_min": 75.0}}}, ["teo-brandmere"], [slot])
    typed = shown.with_columns(text=pl.lit("4 x 30 m blocks"))
    told = planning.typed_week(typed, shown, [slot], ["teo-brandmere"])
    assert told["teo-brandmere"][slot] == {"planned_min": 75.0, "note": "4 x 30 m blocks"}


def test_the_wall_names_who_has_the_same_plan_once_and_marks_what_is_not_printed():
    day = {"planned_on": MONDAY, "plan_no": 1, "kind": "acceleration", "planned_min": 75.0, "note": "4 x 30 m"}
    rows = [{**day, "athlete_id": "a"}, {**day, "athlete_id": "b"}, {**day, "athlete_id": "c", "planned_min": 0.0}]
    html = wall_table(rows, {"a": "Ada", "b": "Bo", "c": "Cy"}, MONDAY, {"b": "talk first"})
    assert html.count("4 x 30 m") == 1
    assert html.count("<tr>") == 3  # the head, one line for two, one for the day off
    assert '<small class="noprint">talk first</small>' in html
    assert "off" in html
