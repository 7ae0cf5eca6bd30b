"""How much is seen at once: menus in the bar, a line for who goes on as planned, a part of a long page on a phone."""

from collections.abc import Callable, Mapping
from types import SimpleNamespace
from typing import Any

import pytest

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.parts.lines import is_above
from dashboard.parts.week_sheet import filter_line, sheet_table
from dashboard.screens.data import words as data_words
from dashboard.screens.group import words as group_words
from dashboard.screens.group.small_figures import week_bars
from dashboard.screens.hindsight import words as hindsight_words
from dashboard.sheets import week as printed
from pipelines.derived.start.focus_words import WORKS
from tests.dashboard.conftest import ATHLETE, GUARDIAN, HEAD, STAFF, html_of

BAR = ["This week", "At the track", "Groups", "Plan", "Athletes"]


def links_of(at: Any) -> list[str]:
    return [link.label for link in at.get("page_link")]


def menus_of(at: Any) -> dict[str, list[str]]:
    return {one.proto.label: list(one.proto.options) for one in at.get("menu_button")}


@pytest.mark.parametrize(
    ("viewer", "records"),
    [(HEAD, ["Data", "Hindsight", "People", "Methods"]), (STAFF, ["Data", "Methods"])],
)
def test_every_page_of_a_coach_is_in_the_bar_or_in_one_of_two_menus(
    open_as: Callable, viewer: Viewer, records: list[str]
):
    at = open_as(viewer, "week")
    assert not at.exception
    assert links_of(at) == BAR
    assert menus_of(at) == {"Starts": ["Two starts", "What followed", "Drills", "Film"], "Records": records}


def test_a_menu_names_its_page_that_is_open(open_as: Callable):
    assert list(menus_of(open_as(HEAD, "methods"))) == ["Starts", "Records: Methods"]


@pytest.mark.parametrize("viewer", [ATHLETE, GUARDIAN])
def test_who_has_few_pages_has_them_all_in_the_bar(open_as: Callable, viewer: Viewer):
    at = open_as(viewer, "athlete/today")
    assert "Methods" in links_of(at)
    assert menus_of(at) == {}


def line(**more: Any) -> dict[str, Any]:
    """Return a row of the sheet of somebody with nothing to say."""
    known = {
        "athlete_id": "a", "training_call": "as_planned", "training_reason": None, "training_more": 0,
        "hamstring_level": "none", "hamstring_reason": None, "hamstring_words": None, "progress_word": "holding",
        "progress_sentence": "0 ms", "trend_points": [], "trend_low": [], "trend_high": [], "load_points": [],
        "load_low": None, "load_high": None, "load_above": False, "focus_headline": wording.KEEP_THE_WORK,
        "caution": None,
    }  # fmt: skip
    return known | more


def drawn(row: Mapping[str, Any], **more: Any) -> str:
    return str(sheet_table([row], {"a": {"display_name": "Ada", "event_group": "hurdles"}}, {}, **more))


def test_who_goes_on_as_planned_with_nothing_to_watch_has_one_line():
    assert 'class="calm"' in drawn(line())
    assert 'class="focus-line kept"' in drawn(line())
    assert 'class="focus-line"' in drawn(line(focus_headline="Lower the set position"))


@pytest.mark.parametrize(
    "more",
    [
        {"training_call": "adapt"}, {"training_call": "no_call"}, {"hamstring_level": "one_family"},
        {"hamstring_level": "cannot_say"}, {"progress_word": "slipping"}, {"progress_word": "improving"},
        {"load_above": True},
    ],
)  # fmt: skip
def test_who_needs_a_look_has_a_whole_row(more: dict[str, Any]):
    assert 'class="calm"' not in drawn(line(**more))


def test_all_rows_can_be_had_in_full_and_the_choice_stands_in_the_address():
    assert 'class="sheet full"' in drawn(line(), in_full=True)
    assert 'class="sheet"' in drawn(line())
    said = filter_line([{"event_group": "hurdles", "squad": None}], {"a": "as_planned"}, {"group": "hurdles"})
    assert f'data-go="group=hurdles&amp;full=1">{wording.IN_FULL}' in said


def test_the_line_leaves_out_the_work_as_the_derivation_words_it():
    assert WORKS["keep"].headline == wording.KEEP_THE_WORK


def week(load: float | None, high: float | None = 2000.0) -> dict[str, Any]:
    return {"load_au": load, "load_known_au": None, "own_low_au": 1000.0, "own_high_au": high}


def test_a_load_is_marked_by_one_rule_on_every_page_in_the_last_week_alone():
    assert is_above(week(2001.0))
    assert not any(map(is_above, (week(2000.0), week(None), week(3000.0, None))))
    above, within = week(2500.0), week(1500.0)
    assert week_bars([above, within], "Ada").count("▲") == 0
    assert week_bars([within, above], "Ada").count("▲") == 1


def test_a_phone_is_offered_the_parts_of_groups_and_the_choice_stays(open_as: Callable):
    at = open_as(HEAD, "group", show="load")
    assert not at.exception
    page = html_of(at)
    for name in group_words.PARTS.values():
        assert name in page
    assert ".st-key-of_group_starts" in page
    assert ".st-key-of_group_load," not in page


def test_what_nothing_can_be_concluded_from_stands_behind_a_line(open_as: Callable):
    at = open_as(HEAD, "hindsight")
    labels = [one.label for one in at.expander]
    assert hindsight_words.ATTENTION_BEHIND in labels
    assert hindsight_words.IN_FIGURES in labels  # one injury


def test_what_is_for_whoever_runs_the_machine_is_folded_away(open_as: Callable):
    at = open_as(HEAD, "data")
    assert data_words.FOR_THE_MACHINE in [one.label for one in at.expander]


def test_on_paper_too_who_goes_on_as_planned_has_a_line_without_what_needs_no_look():
    kept = line(focus_caution="Only what was filmed or timed is seen.")
    people = {"a": {"display_name": "Ada", "event_group": "hurdles"}}
    week = SimpleNamespace(athletes=people, decided={}, standing={}, again={}, closed=None)
    calm = printed._row(week, kept)
    assert (calm["calm"], calm["about"], calm["work_caution"], calm["progress_why"]) == (True, "", "", "")
    heavy = kept | {"focus_headline": "Nordics", "focus_caution": "Build up slowly.", "caution": "Under 18: …"}
    short = printed._row(week, heavy)
    assert (short["calm"], short["about"], short["work_caution"]) == (True, "under 18", "Build up slowly.")
    assert ("under 18" in drawn(heavy), "under 18" in drawn(kept)) == (True, False)
    loud = printed._row(week, kept | {"progress_word": "slipping", "progress_sentence": "33 ms slower"})
    assert (loud["calm"], loud["about"], loud["progress_why"]) == (False, "hurdles", "33 ms slower")
