"""A squad longer than a page: shown in parts, chosen in the address; a short one is whole."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest
from streamlit.testing.v1 import AppTest

from dashboard import wording
from dashboard.parts.in_parts import FIGURES, LINES, part_links, part_of
from schemas.phrase import phrase
from tests.dashboard.conftest import HEAD
from tests.dashboard.small_board import put_board, table_of

COPIES = 11
FEW = 10
READ_BY_THESE = ("athlete", "week_sheet", "start_progress", "start_trend", "load_week", "advice", "advised_work",
                 "group_test_calendar", "exposure_calendar", "completeness_week")  # fmt: skip


@pytest.fixture(scope="module")
def long_home(home: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A board of the few 11 times over, each copy under keys of its own: 110 athletes."""
    copied = {
        name: pl.concat(
            table_of(home, name).with_columns(athlete_id=phrase("{}-{}", "athlete_id", pl.lit(n)))
            for n in range(COPIES)
        )
        for name in READ_BY_THESE
    }
    return put_board(tmp_path_factory.mktemp("long"), home, copied)


@pytest.mark.parametrize(
    ("asked", "number", "people"),
    [(None, 1, [1, 2, 3]), ("2", 2, [4, 5, 6]), ("3", 3, [7]), ("9", 3, [7]), ("0", 1, [1, 2, 3]), ("x", 1, [1, 2, 3]),
     ("-1", 1, [1, 2, 3]), ("²", 1, [1, 2, 3])],
)  # fmt: skip
def test_a_part_is_cut_out_and_a_wrong_number_gives_the_nearest(asked, number, people):
    assert part_of([1, 2, 3, 4, 5, 6, 7], asked, 3) == (people, number)


def test_nobody_is_an_empty_first_part():
    assert part_of([], "4", 3) == ([], 1)


def test_links_name_the_places_and_keep_the_other_choices():
    links = part_links(7, 2, {"group": "hurdles"}, 3)
    assert ">1–3</a>" in links
    assert 'data-go="group=hurdles&amp;part=2" aria-current="true">4–6</a>' in links
    assert ">7</a>" in links
    assert part_links(3, 1, {}, 3) == ""


def drawn(at: AppTest) -> str:
    """Return the HTML of a page as the browser gets it."""
    assert not at.exception
    return "".join(json.loads(element.proto.json)["html"] for element in at.get("bidi_component"))


def test_the_week_of_a_long_squad_comes_in_parts_and_each_athlete_once(open_as: Callable, long_home: Path):
    seen: list[str] = []
    for part in ("1", "2"):
        page = drawn(open_as(HEAD, at_home=long_home, part=part))
        lines = re.findall('<tr[^>]* data-athlete="([^"]+)"', page)
        assert len(lines) == (LINES if part == "1" else FEW * COPIES - LINES)
        assert page.count(wording.PART_NAV) == 2  # above and below the sheet
        assert f"All {FEW * COPIES}" in page
        seen += lines
    assert len(set(seen)) == len(seen) == FEW * COPIES


def test_a_short_squad_has_no_parts(open_as: Callable, home: Path):
    assert wording.PART_NAV not in drawn(open_as(HEAD, at_home=home))


def test_a_long_group_comes_in_parts_of_other_people(open_as: Callable, long_home: Path):
    pages = [drawn(open_as(HEAD, "group", at_home=long_home, group="short_sprints", part=part)) for part in ("1", "2")]
    assert all(f"1–{FIGURES}</a>" in page for page in pages)
    people = [re.findall("<div><b>([^<]+)</b><small", page) for page in pages]
    assert len(people[0]) == FIGURES
    assert pages[0] != pages[1]
