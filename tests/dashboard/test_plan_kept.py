"""Weeks to plan by, days that are always off, and the week as PDF: kept, laid over, taken back, printed."""

import datetime as dt
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.reads import Opened
from dashboard.screens.plan import by_day as day
from dashboard.screens.plan import grid as planning
from dashboard.screens.plan import off_days, templates, wall, words
from dashboard.sheets import plan
from dashboard.writes import NotKept
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, html_of

MONDAY = dt.date(2026, 11, 23)
DAY = dt.timedelta(days=1)


SPEED_WEEK = [
    {"template": "speed_week", "weekday": 1, "plan_no": 1, "kind": "acceleration", "fast_metres": 40.0,
     "planned_min": 90.0, "planned_effort_0_10": 6.0, "note": "4 x 30 m from blocks", "is_dropped": False},
    {"template": "speed_week", "weekday": 3, "plan_no": 1, "kind": "top_speed", "planned_min": 80.0},
    {"template": "speed_week", "weekday": 5, "plan_no": 1, "kind": "tempo", "planned_min": 60.0, "is_dropped": True},
]  # fmt: skip
OFF = [{"athlete_id": "marit-oakhollow", "weekday": 7, "from_on": MONDAY - 7 * DAY}]


def test_a_saved_week_is_laid_over_any_week_and_athlete_without_what_was_dropped(board_like: Callable[..., Path]):
    saved = templates.templates_of(Opened(HEAD, Board(board_like(week_template=SPEED_WEEK))))
    assert list(saved) == ["speed_week"]
    weeks = templates.as_weeks(saved["speed_week"], MONDAY, ["a", "b"])
    assert set(weeks) == {"a", "b"}
    assert set(weeks["a"]) == {(MONDAY, 1), (MONDAY + 2 * DAY, 1)}
    assert weeks["a"][MONDAY, 1] == {
        "kind": "acceleration", "fast_metres": 40.0, "planned_min": 90.0, "planned_effort_0_10": 6.0,
        "note": "4 x 30 m from blocks",
    }  # fmt: skip
    weeks["a"][MONDAY, 1]["planned_min"] = 0  # each has a week of their own
    assert weeks["b"][MONDAY, 1]["planned_min"] == 90.0


def test_a_week_saved_and_laid_over_again_is_the_same_week():
    told = {(MONDAY, 1): {"kind": "tempo", "planned_min": 60.0}, (MONDAY + 3 * DAY, 2): {"note": "8 x 100 m"}}
    slots = planning.slots_of(MONDAY, {"a": told}, two_a_day=False)
    shown = planning.grid_of({"a": told}, ["a"], slots)
    rows = templates.rows_to_save("easy", shown, slots, MONDAY, [])
    assert templates.as_weeks(rows, MONDAY + 7 * DAY, ["b"])["b"] == {
        (on + 7 * DAY, no): cells for (on, no), cells in told.items()
    }


def test_saving_a_week_under_a_name_again_drops_the_sessions_it_no_longer_has():
    before = [{"weekday": 1, "plan_no": 1}, {"weekday": 5, "plan_no": 1}]
    told = {(MONDAY, 1): {"planned_min": 60.0}}
    slots = planning.slots_of(MONDAY, {"a": told}, two_a_day=False)
    rows = templates.rows_to_save("easy", planning.grid_of({"a": told}, ["a"], slots), slots, MONDAY, before)
    assert [(row["weekday"], row["is_dropped"]) for row in rows] == [(1, False), (5, True)]
    empty = planning.grid_of({"a": {}}, ["a"], slots)
    assert templates.rows_to_save("easy", empty, slots, MONDAY, before) == []


def test_who_is_no_coach_keeps_no_week_and_no_day_off(board: Board):
    with pytest.raises(NotKept):
        templates.keep_template(ATHLETE, [{"template": "x"}])
    with pytest.raises(NotKept, match="nothing in the grid"):
        templates.keep_template(HEAD, [])
    for viewer in (STAFF, ATHLETE, Viewer("New", "staff")):
        with pytest.raises(NotKept, match="not among those"):
            off_days.keep_off(viewer, board, [{"athlete_id": "rune-halvard-okoro", "weekday": 7, "from_on": MONDAY}])


def test_a_day_that_is_no_longer_off_ends_with_the_week_before():
    began = dt.date(2026, 9, 7)
    off = {"a": {7: began}, "b": {}}
    assert off_days.off_for_all(off) == []
    assert off_days.changed_off(off, [4, 7], MONDAY) == [
        {"athlete_id": "a", "weekday": 4, "from_on": MONDAY},
        {"athlete_id": "b", "weekday": 4, "from_on": MONDAY},
        {"athlete_id": "b", "weekday": 7, "from_on": MONDAY},
    ]
    assert off_days.changed_off({"a": {7: began}}, [], MONDAY) == [
        {"athlete_id": "a", "weekday": 7, "from_on": began, "until_on": MONDAY - DAY}
    ]


def test_a_day_off_holds_from_its_first_week_to_its_last(board_like: Callable[..., Path]):
    opened = Opened(HEAD, Board(board_like(rest_day=OFF)))
    ids = ["marit-oakhollow", "teo-brandmere"]
    assert off_days.off_days(opened, ids, MONDAY) == {"marit-oakhollow": {7: MONDAY - 7 * DAY}, "teo-brandmere": {}}
    assert off_days.off_days(opened, ids, MONDAY - 14 * DAY)["marit-oakhollow"] == {}


def test_the_page_lays_a_saved_week_over_the_grid_before_anything_is_saved(open_as: Callable):
    at = open_as(HEAD, "plan", group="short_sprints", copy="week.race_week", week=MONDAY.isoformat())
    assert not at.exception
    page = html_of(at)
    assert "race week laid over it: not saved yet" in page
    assert words.EFFECT_CAPTION in page
    refused = open_as(HEAD, "plan", copy="week.nobody_s", week=MONDAY.isoformat())
    assert not refused.exception


def test_a_week_is_saved_from_the_page_and_taken_back(open_as: Callable, monkeypatch: pytest.MonkeyPatch):
    kept: list = []
    undone: list[int] = []

    class Kept:
        load_no = 12

    monkeypatch.setattr(templates, "enter", lambda rows, table, viewer: kept.append((table, rows)) or Kept())
    monkeypatch.setattr(planning, "undo_load", lambda viewer, load_no, publish: undone.append(load_no))
    monkeypatch.setattr(planning, "publish_soon", lambda: None)
    at = open_as(HEAD, "plan", group="short_sprints", week=MONDAY.isoformat())
    at.text_input(key="template_name").set_value("Speed, first week").run()
    at.button(key="save_template").click().run()
    assert not at.exception
    [(table, rows)] = kept
    assert table == "week_template"
    # the demo's short sprints have the same week of five days, two sessions on two of them
    assert {(row["template"], row["saved_by"]) for row in rows} == {("speed_first_week", "Head coach")}
    assert sorted(row["weekday"] for row in rows) == [1, 1, 2, 3, 3, 4, 6]
    assert "Saved to plan by: speed first week." in html_of(at)
    at.button(key="undo_plan").click().run()
    assert undone == [12]


def test_a_week_without_a_name_is_not_saved(open_as: Callable, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(templates, "enter", lambda *given: pytest.fail("kept without a name"))
    at = open_as(HEAD, "plan", week=MONDAY.isoformat())
    at.text_input(key="template_name").set_value("?!").run()
    at.button(key="save_template").click().run()
    assert words.TEMPLATE_UNNAMED in html_of(at)


def test_a_day_that_is_always_off_says_so_on_the_wall_and_in_the_grid():
    names = {"a": "Ada", "b": "Bo"}
    rows = [{"athlete_id": "a", "planned_on": MONDAY, "planned_min": 60.0, "kind": "tempo", "note": None}]
    lines = wall.wall_lines(rows, names, MONDAY, {"a": [7], "b": [7]})
    assert [(who, days[0], days[6]) for who, days in lines] == [
        (["a"], ["Tempo, 60\u202fmin"], [words.OFF]),
        (["b"], ["\N{EN DASH}"], [words.OFF]),
    ]
    slots = planning.slots_of(MONDAY, {}, two_a_day=False)
    assert planning.grid_of({}, ["a"], slots, [7])["day"].to_list()[6].endswith(", off")


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Note what a printed plan says instead of typesetting it."""
    noted: list[str] = []
    monkeypatch.setattr(
        plan, "pdf", lambda template, said: noted.append(json.dumps(said, ensure_ascii=False)) or b"%PDF"
    )
    return noted


def test_the_wall_says_nothing_of_how_people_are_and_the_coaches_sheet_does(board: Board, told: list[str]):
    opened = Opened(HEAD, board)
    assert any(wall.said_of(opened, board.allowed_athletes(HEAD)["athlete_id"].to_list()).values())
    for calls in (False, True):
        assert plan.plan_sheet(opened, MONDAY, None, None, calls=calls)
    for_wall, for_coaches = told
    assert "Marit Oakhollow" in for_wall
    for word in ("talk first", "adapt", "hamstring: ", "watch"):  # hamstrings are trained, and the plan says so
        assert word not in for_wall.lower()
    assert "talk first" in for_coaches
    assert words.COACHES_ONLY in for_coaches


def test_staff_print_the_plan_of_their_own_groups_only(board: Board, told: list[str]):
    opened = Opened(STAFF, board)
    assert plan.plan_sheet(opened, MONDAY, None, None, calls=False)
    assert "Rune Halvard-Okoro" not in told[0]
    assert plan.plan_sheet(opened, MONDAY, "long_sprints", None, calls=True) is None


def test_the_printed_plan_is_a_pdf(board: Board):
    printed = plan.plan_sheet(Opened(HEAD, board), MONDAY, "short_sprints", None, calls=True)
    assert printed
    assert printed.startswith(b"%PDF")


SLOT = (MONDAY, 1)
BOTH_RUN = {
    "a": {SLOT: {"kind": "acceleration", "planned_min": 90.0, "note": "4 x 30 m"}},
    "b": {SLOT: {"kind": "acceleration", "planned_min": 75.0, "note": "4 x 30 m"}},
}


def test_a_session_on_a_phone_shows_what_all_have_alike_and_changes_only_what_was_typed():
    shown = day.alike(BOTH_RUN, ["a", "b"], SLOT)
    assert shown == {"kind": "acceleration", "note": "4 x 30 m"}  # the minutes differ
    typed = {**shown, "planned_min": None, "fast_metres": 40.0, "planned_effort_0_10": None}
    rows = day.rows_typed(BOTH_RUN, BOTH_RUN, ["a", "b"], SLOT, shown, typed)
    assert [(row["athlete_id"], row["fast_metres"], row["planned_min"]) for row in rows] == [
        ("a", 40, 90),
        ("b", 40, 75),
    ]
    assert day.rows_typed({}, BOTH_RUN, ["a"], SLOT, shown, {**shown})[0]["note"] == "4 x 30 m"  # laid over, not saved
    assert day.rows_typed(BOTH_RUN, BOTH_RUN, ["a", "b"], SLOT, shown, {**typed, "fast_metres": None}) == []


def test_a_session_of_one_athlete_emptied_on_a_phone_is_a_day_off_and_of_a_group_nothing():
    empty = dict.fromkeys(("kind", "note", "planned_min", "fast_metres", "planned_effort_0_10"))
    [row] = day.rows_typed(BOTH_RUN, BOTH_RUN, ["a"], SLOT, day.alike(BOTH_RUN, ["a"], SLOT), empty)
    assert row["planned_min"] == 0
    assert day.rows_typed(BOTH_RUN, BOTH_RUN, ["a", "b"], SLOT, day.alike(BOTH_RUN, ["a", "b"], SLOT), empty) == []


def test_the_week_on_a_phone_is_a_line_a_session():
    assert day.said_shortly(SLOT, BOTH_RUN["a"][SLOT], []).endswith(": acceleration, 90 min")
    assert day.said_shortly(SLOT, {}, [1]).endswith(", off")
    assert day.said_shortly(SLOT, {"planned_min": 0.0}, []).endswith(": off")
