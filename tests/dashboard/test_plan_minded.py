"""What calls and decisions say against the plan stands beside the session: grid, wall, coaches' print, athlete."""

import datetime as dt
from collections.abc import Mapping
from types import SimpleNamespace
from typing import Any, cast

import pytest

from dashboard import wording
from dashboard.parts.page import _SCRIPT
from dashboard.parts.week_sheet import sheet_table
from dashboard.reads import Opened
from dashboard.screens.after import words as after_words
from dashboard.screens.athlete import plan_today
from dashboard.screens.plan import grid as planning
from dashboard.screens.plan import wall
from dashboard.screens.plan.tables import effect_table
from dashboard.screens.week import rows as week_rows
from dashboard.sheets import plan as printed

MONDAY = dt.date(2026, 11, 23)
NAMES = {"a": "Ada Moss", "b": "Bo Reed"}
TALK, DECIDED, EVE = (
    "waits for the talk",
    "no maximal runs (decided, to 29 Nov)",
    "hamstring work the day before full speed",
)


def caution(who: str, after_days: int, words: str, code: str = "waits_for_talk") -> dict[str, Any]:
    """Return a row of ``plan_caution``."""
    return {"athlete_id": who, "planned_on": MONDAY + dt.timedelta(days=after_days), "plan_no": 1, "caution": code,
            "words": words, "for_athlete": code != "hamstrings_before_speed"}  # fmt: skip


def planned(who: str, after_days: int, kind: str = "top_speed") -> dict[str, Any]:
    """Return a row of ``plan``."""
    return {
        "athlete_id": who,
        "planned_on": MONDAY + dt.timedelta(days=after_days),
        "plan_no": 1,
        "kind": kind,
        "planned_min": 60.0,
        "planned_effort_0_10": 7.0,
        "fast_metres": 60.0,
        "note": "2 x flying 30 m",
    }


def opened_with(**tables: list[dict[str, Any]]) -> Opened:
    """Return what a page reads through, with these tables and no others."""

    def meets(value: Any, wanted: Any) -> bool:
        if isinstance(wanted, tuple):
            sign, bound = wanted
            return bool({">=": value >= bound, "<=": value <= bound, "<": value < bound, ">": value > bound}[sign])
        return value in wanted if isinstance(wanted, list) else bool(value == wanted)

    def rows(table: str, where: Mapping[str, Any] | None = None, **_: Any) -> list[dict[str, Any]]:
        return [r for r in tables.get(table, []) if all(meets(r[n], w) for n, w in (where or {}).items())]

    info = {"squad_name": "Squad", "data_to": "2026-11-22"}
    people = [{"athlete_id": who, "display_name": name, "event_group": "hurdles"} for who, name in NAMES.items()]
    board = SimpleNamespace(
        tables=set(tables),
        info=lambda _: info,
        allowed_athletes=lambda _: SimpleNamespace(to_dicts=lambda: people),
    )
    return cast("Opened", SimpleNamespace(rows=rows, board=board, viewer=None))


BOTH = [planned("a", 2), planned("b", 2)]
SAID = [caution("a", 2, TALK), caution("a", 9, "of the week after"), caution("b", 2, EVE, "hamstrings_before_speed")]


def test_the_wall_keeps_one_line_for_one_plan_and_names_whose_session_waits():
    cautions = wall.cautions_of(opened_with(plan_caution=SAID), MONDAY, NAMES)
    assert len(cautions) == 2  # that of the week after is not of this week
    html = wall.wall_table(BOTH, NAMES, MONDAY, {}, None, cautions)
    assert html.count("2 x flying 30 m") == 1
    assert f'<small class="noprint mind">Ada Moss: {TALK}</small>' in html
    assert html.count("noprint mind") == 2


def test_what_is_of_everybody_in_a_line_needs_no_names():
    cautions = {(who, MONDAY + dt.timedelta(days=2), 1): [TALK] for who in NAMES}
    assert wall.wall_marks(BOTH, list(NAMES), NAMES, MONDAY, cautions)[2] == [[TALK]]
    assert wall.wall_marks(BOTH, list(NAMES), NAMES, MONDAY, {})[2] == [[]]


def test_every_day_of_the_wall_bears_its_name_so_that_a_phone_can_stack_them():
    html = wall.wall_table(BOTH, NAMES, MONDAY, {})
    for name, day in zip(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), range(23, 30), strict=True):
        assert f'data-day="{name} {day} Nov"' in html


def test_the_grid_has_a_column_to_mind_only_where_there_is_something_and_never_keeps_it():
    slots = planning.slots_of(MONDAY, {}, two_a_day=False)
    assert "mind" not in planning.grid_of({}, ["a"], slots).columns
    marks = wall.day_marks({("a", MONDAY, 1): [TALK], ("b", MONDAY, 1): [DECIDED]}, NAMES)
    shown = planning.grid_of({}, ["a", "b"], slots, (), marks)
    assert shown["mind"].to_list()[:2] == [f"Ada: {TALK}; Bo: {DECIDED}", None]
    assert planning.typed_week(shown, shown, slots, ["a", "b"]) == {"a": {}, "b": {}}


def test_what_a_plan_would_mean_says_what_speaks_against_it():
    row = {"athlete_id": "a", "monotony": 1.4, "speaks_on_exposure": False, "load_words": "l", "load_place": "within",
           "fast_words": "130 fast metres planned"}  # fmt: skip
    assert TALK in effect_table([row], NAMES, {"a": [TALK]})
    assert TALK not in effect_table([row], NAMES, {"b": [TALK]})
    only = wall.cautions_of(opened_with(plan_caution=SAID), MONDAY, NAMES, of_calls=True)
    assert [who for who, _, _ in only] == ["a"]


@pytest.mark.parametrize("calls", [False, True])
def test_the_coaches_print_says_what_waits_and_the_wall_does_not(calls: bool, monkeypatch: pytest.MonkeyPatch):
    told: list[dict[str, Any]] = []
    monkeypatch.setattr(printed, "pdf", lambda _, said: told.append(said) or b"%PDF")
    opened = opened_with(plan=BOTH, plan_caution=SAID)
    assert printed.plan_sheet(opened, MONDAY, "hurdles", None, calls)
    [day] = told[0]["rows"][0]["days"][2]
    assert day["said"].startswith("Top speed")
    assert day["mind"] == (f"Ada Moss: {TALK}; Bo Reed: {EVE}" if calls else "")


def test_the_athlete_reads_beside_the_session_that_it_waits_and_nothing_meant_for_coaches():
    opened = opened_with(plan_caution=SAID)
    minded = plan_today._minded(opened, "a", MONDAY)
    assert 'flying 30 m<br><b class="mind">Waits for the talk.</b>' in plan_today._session(BOTH[0], minded)
    assert "mind" not in plan_today._session(planned("a", 3), minded)
    assert plan_today._minded(opened, "b", MONDAY) == {}


def test_a_session_to_answer_for_says_behind_its_name_what_speaks_against_it():
    assert after_words.with_caution("today, top speed", TALK) == f"today, top speed: {TALK}"
    assert after_words.with_caution("today, top speed", None) == "today, top speed"


def standing(until: int, how_long: bool = True, week: int = 9, restrains: bool = False) -> dict[str, Any]:
    """Return a row of ``standing_decision``."""
    return {
        "athlete_id": "a",
        "week_of": dt.date(2026, 11, week),
        "call": "no maximal runs for two weeks",
        "from_on": dt.date(2026, 11, 15),
        "until_on": dt.date(2026, 11, until),
        "says_how_long": how_long,
        "restrains": restrains,
    }


@pytest.mark.parametrize(
    ("row", "is_said"),
    [(standing(29), True), (standing(22), True), (standing(21), False), (standing(29, how_long=False), False),
     (standing(29, how_long=False, restrains=True), True), (standing(29, week=16), False)],
)  # fmt: skip
def test_a_decision_for_longer_than_its_week_is_on_the_sheet_while_it_stands(row: dict[str, Any], is_said: bool):
    every = [{"athlete_id": "a", "day_on": dt.date(2026, 11, 22)}]
    week = week_rows.Week(dt.date(2026, 11, 16), [], {}, every, every, {}, {}, "")
    said = week_rows._standing(opened_with(standing_decision=[row]), week)
    assert bool(said) is is_said
    if is_said:
        assert said == {"a": f"Decided, to {row['until_on'].day} Nov: no maximal runs for two weeks."}


LINE = {"athlete_id": "a", "training_call": "as_planned", "training_reason": None, "training_more": 0,
        "hamstring_level": "none", "hamstring_reason": None, "progress_word": "holding", "progress_sentence": None,
        "trend_points": None, "trend_low": None, "trend_high": None, "load_points": None, "load_low": None,
        "load_high": None, "load_above": False, "focus_headline": "Keep the work"}  # fmt: skip
PERSON = {"athlete_id": "a", "display_name": "Ada Moss", "event_group": "hurdles", "squad": None}


def test_a_row_with_a_standing_decision_is_no_quiet_row():
    quiet = sheet_table([LINE], {"a": PERSON}, {})
    loud = sheet_table([LINE], {"a": PERSON}, {}, standing={"a": "Decided, to 29 Nov: no maximal runs."})
    assert 'class="calm"' in quiet
    assert 'class="calm"' not in loud
    assert "Decided, to 29 Nov: no maximal runs." in loud


def test_agree_marks_its_row_before_it_is_kept_and_is_drawn_anew_whatever_comes_back():
    assert f'data-sent="{wording.AGREED_SENT}"' in sheet_table([LINE], {"a": PERSON}, {})
    assert "target.textContent = sent" in _SCRIPT
    assert "box.dataset.drawn = ''" in _SCRIPT


def test_the_form_after_training_names_what_speaks_against_a_session_of_the_day():
    from dashboard.screens.after import page as after

    opened = opened_with(plan=[planned("a", 2)], session=[], plan_caution=SAID)
    day = MONDAY + dt.timedelta(days=2)
    sessions = after.sessions_of(opened, "a", day)
    assert f"today, top speed: {TALK}" in after.form_of(sessions, day, "", {}, may_take_back=False)
