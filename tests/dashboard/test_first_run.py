"""An empty home: what to do first, for each role, with files at hand that load."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard import downloads as taking
from dashboard import wording
from pipelines import flow
from pipelines.board import publish
from pipelines.demo import SAMPLES
from tests.dashboard.conftest import HEAD, STAFF, html_of


def test_an_empty_home_says_what_to_do_first(open_as: Callable, empty_home: Path):
    at = open_as(HEAD, at_home=empty_home)
    assert not at.exception
    page = html_of(at)
    for words in (wording.FIRST_TITLE, wording.FIRST_WHO, wording.FIRST_FILES, wording.FIRST_PEOPLE):
        assert words in page
    for table in ("athlete", *wording.FIRST_RESTS_ON):
        assert f"{wording.RECORD_TITLES[table]}: {wording.TEMPLATE}" in page
        assert f"{wording.RECORD_TITLES[table]}: {wording.SAMPLE}" in page


def test_each_link_gives_its_file_to_the_one_it_was_offered_to(open_as: Callable, empty_home: Path):
    page = html_of(open_as(HEAD, at_home=empty_home))
    tokens = re.findall(r'href="/take/([^/"]+)/([^"]+)" download', page)
    assert len(tokens) == 2 * (1 + sum(len(tables) for _, tables in wording.FIRST_CALLS))
    for token, name in tokens:
        offer = taking._offers[token]
        assert offer.viewer == HEAD
        assert offer.make(), name


def test_staff_are_not_sent_to_the_people_page(open_as: Callable, empty_home: Path):
    page = html_of(open_as(STAFF, at_home=empty_home))
    assert wording.FIRST_TITLE in page
    assert wording.FIRST_PEOPLE not in page


def test_an_empty_record_has_no_day_that_its_data_reach_to(tmp_path: Path):
    home = flow.find_home(tmp_path / "home")
    flow.derive_board(home)
    told = publish.board_info(publish.current_board(home))
    assert told["data_to"] == ""
    assert wording.data_reach(told["data_to"]) == ""


@pytest.mark.parametrize("table", SAMPLES)
def test_a_sample_is_a_file_of_its_table(tmp_path: Path, table: str):
    home = flow.find_home(tmp_path / "home")
    name, content = flow.sample(table)
    told = flow.preview(home, name, content)
    assert told.problem == ""
    assert table in told.tables
    assert set(wording.FIRST_RESTS_ON) | {"athlete"} == set(SAMPLES)


def test_a_table_without_a_sample_says_which_have_one():
    with pytest.raises(flow.ThirdstepError, match="There are some for: athlete, checkin"):
        flow.sample("plan")
