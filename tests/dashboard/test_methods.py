"""Methods: contents, a page for each measure, a search."""

from collections.abc import Callable
from html import unescape

import pytest

from dashboard import wording
from dashboard.wording.run_error import RULES, RUN_ERROR, RUN_ERROR_LEDE
from tests.dashboard.conftest import ATHLETE, HEAD, html_of


def test_the_contents_name_every_measure_and_open_none(open_as: Callable):
    shown = unescape(html_of(open_as(HEAD, "methods")))
    for word in (wording.MEASURES, wording.RECORDED, wording.SETTINGS, wording.SOURCES, "?method=readiness_day"):
        assert word in shown
    assert 'class=\\"method\\"' not in shown


@pytest.mark.parametrize("viewer", [HEAD, ATHLETE], ids=["head coach", "athlete"])
def test_a_measure_has_a_page_of_its_own_with_the_ones_beside_it(open_as: Callable, viewer):
    shown = html_of(open_as(viewer, "methods", method="readiness_day"))
    assert 'class=\\"method\\"' in shown
    assert wording.ALL_METHODS in shown
    assert "\\u2192" in shown  # an arrow to the next one
    assert wording.RECORDED not in shown


def test_what_holds_for_all_of_them_opens_alone(open_as: Callable):
    shown = html_of(open_as(HEAD, "methods", part="reasons"))
    assert wording.CAVEATS_LEDE in unescape(shown)
    assert wording.MEASURES not in shown


def test_a_method_that_is_not_there_is_said(open_as: Callable):
    assert wording.NO_SUCH_METHOD in html_of(open_as(HEAD, "methods", method="no-such"))


def test_a_search_finds_methods_settings_and_sources_or_says_that_nothing_is_found(open_as: Callable):
    at = open_as(HEAD, "methods")
    at.text_input(key="wanted").set_value("foster").run()
    assert wording.SOURCES in unescape(html_of(at))
    at.text_input(key="wanted").set_value("zzzz").run()
    assert "Nothing is called or described by" in html_of(at)


def test_how_far_one_run_may_be_trusted_stands_beside_the_other_tables(open_as: Callable):
    assert RUN_ERROR in unescape(html_of(open_as(ATHLETE, "methods")))
    shown = unescape(html_of(open_as(HEAD, "methods", part="run")))
    for word in (RUN_ERROR_LEDE[:60], RULES["hand_release"], RULES["gate_known"], "seed 20261130"):
        assert word in shown
