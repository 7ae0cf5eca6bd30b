"""The season on the pages: phase and next race where somebody said them, nothing where nobody did."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dashboard import writes as deciding
from dashboard.board import Board
from dashboard.parts.season import season_line, season_strip
from dashboard.reads import Opened
from dashboard.screens.plan import phases, words
from dashboard.wording import season as said
from dashboard.writes import NotKept
from pipelines import flow
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, html_of
from tests.dashboard.small_board import WEEK, table_of

COMING = dt.date(2026, 11, 23)
TEO = {"teo-brandmere": "Teo Brandmere"}


@pytest.fixture
def real_home(own_home_of_one: flow.Home, monkeypatch: pytest.MonkeyPatch) -> flow.Home:
    """A home with one athlete and a board."""
    monkeypatch.setenv("THIRDSTEP_HOME", str(own_home_of_one.root))
    monkeypatch.setattr(deciding, "publish_soon", lambda: None)
    return own_home_of_one


def row(**fields: Any) -> dict[str, Any]:
    """Return a week of the season."""
    known = {"phase": None, "phase_week": None, "phase_weeks": None, "race_on": None, "race_words": None,
             "weeks_to_race": None}  # fmt: skip
    return known | fields


@pytest.mark.parametrize(
    ("fields", "phase", "race"),
    [
        ({}, "", ""),
        ({"phase": "competition", "phase_week": 2}, "Competition, week 2", ""),
        ({"phase": "special_preparation", "phase_week": 7, "phase_weeks": 8}, "Special preparation, week 7 of 8", ""),
        ({"race_on": dt.date(2026, 12, 12), "weeks_to_race": 3}, "", "next race Sat 12 Dec, in 3 weeks"),
        ({"race_on": dt.date(2026, 12, 12), "weeks_to_race": 1}, "", "next race Sat 12 Dec, in a week"),
        ({"race_on": dt.date(2026, 12, 12), "weeks_to_race": 0, "race_words": "60 m"}, "",
         "next race Sat 12 Dec, this week: 60 m"),
    ],
)  # fmt: skip
def test_phase_and_race_are_said_as_they_were_told(fields: dict[str, Any], phase: str, race: str):
    assert said.phase_said(row(**fields)) == phase
    assert said.race_said(row(**fields), in_full=True) == race


@pytest.mark.parametrize(
    ("viewer", "page", "more"),
    [(HEAD, "week", {}), (HEAD, "athlete", {"athlete": "teo-brandmere"}), (ATHLETE, "athlete/today", {})],
)
def test_the_running_week_says_its_phase_and_the_weeks_to_the_race(
    open_as: Callable, viewer: Any, page: str, more: dict[str, str]
):
    # 5 October to 29 November are eight weeks, that of 16 November the seventh; 12 December is in the fourth after it.
    drawn = html_of(open_as(viewer, page, **more))
    assert "Special preparation, week 7 of 8" in drawn
    assert "next race Sat 12 Dec, in 3 weeks" in drawn


def test_the_plan_says_it_of_its_own_week_and_shows_the_weeks_around(open_as: Callable):
    drawn = html_of(open_as(HEAD, "plan", athlete="teo-brandmere"))
    assert "Special preparation, week 8 of 8" in drawn
    assert "next race Sat 12 Dec, in 2 weeks" in drawn
    assert drawn.count("Weeks around") == 1
    assert "Week of 7 Dec: 270 min planned, race Sat 12 Dec" in drawn
    assert "Week of 28 Dec: not planned" in drawn


def test_where_nobody_said_a_phase_or_a_race_nothing_is_shown(board_like: Callable[..., Path], home: Path):
    empty = table_of(home, "season_week").clear()
    opened = Opened(HEAD, Board(board_like(season_week=empty)))
    assert season_line(opened, TEO, WEEK) == ""
    assert season_strip(opened, list(TEO), WEEK, {}, COMING) == ""


def test_those_who_differ_are_named(board_like: Callable[..., Path], home: Path):
    weeks = table_of(home, "season_week").to_dicts()
    for one in weeks:
        if one["athlete_id"] == "dilys-fernbank":
            one |= {"race_on": None, "weeks_to_race": None}
    opened = Opened(HEAD, Board(board_like(season_week=weeks)))
    line = season_line(opened, {**TEO, "dilys-fernbank": "Dilys Fernbank"}, WEEK)
    assert 'week 7 of 8 <span class="soft">(Dilys Fernbank)</span>' in line
    assert 'in 3 weeks <span class="soft">(Teo Brandmere)</span>' in line


def test_a_phase_is_that_of_the_week_where_all_have_the_same():
    first = {"from_on": dt.date(2026, 10, 5), "until_on": None, "phase": "special_preparation", "aim": None}
    then = first | {"from_on": dt.date(2026, 11, 30), "phase": "competition"}
    assert phases.phase_for_all({"a": [first, then], "b": [first]}, COMING) == first
    assert phases.phase_for_all({"a": [first, then], "b": [first]}, dt.date(2026, 11, 30)) is None
    ended = first | {"until_on": dt.date(2026, 11, 1)}
    assert phases.phase_for_all({"a": [ended]}, COMING) is None
    assert phases.phase_for_all({"a": []}, COMING) is None


def test_a_phase_whose_first_day_is_moved_does_not_stand_twice():
    wanted = {"from_on": COMING, "until_on": None, "phase": "competition", "aim": "race"}
    now = {"from_on": WEEK, "until_on": None, "phase": "competition", "aim": None}
    rows = phases.changed_phase(wanted, now, ["a"])
    assert rows == [
        {"athlete_id": "a", **wanted, "is_dropped": False},
        {"athlete_id": "a", "from_on": WEEK, "is_dropped": True},
    ]
    assert phases.changed_phase(wanted, None, ["a"]) == rows[:1]


def test_a_phase_of_somebody_else_s_athlete_or_that_ends_first_is_refused(board: Board):
    ended = {"athlete_id": "teo-brandmere", "from_on": COMING, "until_on": WEEK, "phase": "transition"}
    with pytest.raises(NotKept, match=words.PHASE_ENDS_FIRST):
        phases.keep_phase(HEAD, board, [ended])
    for viewer, who in ((STAFF, "caspian-wray"), (ATHLETE, "teo-brandmere")):
        with pytest.raises(NotKept, match=words.PLAN_REFUSED):
            phases.keep_phase(viewer, board, [{"athlete_id": who, "from_on": COMING, "phase": "transition"}])


def test_a_phase_typed_is_in_the_record_and_on_the_board_and_undo_takes_it_out(real_home: flow.Home):
    aim = "a week of nothing"
    wanted = {"from_on": COMING, "until_on": COMING + dt.timedelta(days=6), "phase": "transition", "aim": aim}
    rows = phases.changed_phase(wanted, None, ["ann"])
    load_no = phases.keep_phase(HEAD, Board(real_home.root), rows)
    assert load_no is not None
    kept = [one for one in flow.table(real_home, "season_phase").to_dicts() if one["aim"] == aim]
    assert [(one["athlete_id"], one["phase"]) for one in kept] == [("ann", "transition")]
    deciding.undo_load(HEAD, load_no, publish=False)
    assert flow.table(real_home, "season_phase").is_empty()
