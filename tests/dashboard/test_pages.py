"""Every page opened as every role, and the ways round the roles tried."""

from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard import wording
from dashboard.access.viewer import Viewer
from pipelines import flow
from tests.dashboard.conftest import APP, ATHLETE, HEAD, OPENERS, STAFF, html_of

OF_COACHES = ("week", "track", "group", "plan", "athlete", "starts", "followed", "library", "film", "data")
OF_ONE = ("athlete/my_start", "athlete/my_work", "consent", "methods")
SCREENS = {
    "head_coach": (*OF_COACHES, "hindsight", "people", "methods"),
    "staff": (*OF_COACHES, "methods"),
    "athlete": ("athlete/today", "check_in", "after", *OF_ONE),
    "guardian": ("athlete/today", *OF_ONE),
}
FIRST = {"head_coach": "week", "staff": "week", "athlete": "athlete/today", "guardian": "athlete/today"}
CASES = [(role, page) for role, pages in SCREENS.items() for page in pages]


@pytest.mark.parametrize("role", SCREENS)
def test_these_are_the_pages_of_the_role_and_there_is_no_other(open_as: Callable, role: str):
    registered = open_as(OPENERS[role])._registered_pages.values()
    files = [Path(one["script_path"]).relative_to(APP.parent / "screens").with_suffix("") for one in registered]
    assert [one.as_posix().removesuffix("/page") for one in files] == list(SCREENS[role])


@pytest.mark.parametrize(("role", "page"), CASES)
def test_a_page_of_the_role_opens_without_exception(open_as: Callable, role: str, page: str):
    at = open_as(OPENERS[role], None if page == FIRST[role] else page, athlete="teo-brandmere")
    assert not at.exception
    said = html_of(at)
    assert "<h1>" in said
    assert "Teo Brandmere" in said or page not in ("week", "group", "plan", "athlete", "starts")


@pytest.mark.parametrize(("role", "page"), CASES)
def test_an_empty_home_has_a_sentence_on_every_page(open_as: Callable, empty_home: Path, role: str, page: str):
    at = open_as(OPENERS[role], None if page == FIRST[role] else page, at_home=empty_home)
    assert not at.exception
    assert "<h1>" in html_of(at)


@pytest.mark.parametrize(("role", "page"), CASES)
def test_a_home_without_a_board_says_what_to_do_first(open_as: Callable, tmp_path: Path, role: str, page: str):
    at = open_as(OPENERS[role], None if page == FIRST[role] else page, at_home=tmp_path)
    assert not at.exception
    assert wording.NO_BOARD in html_of(at)


@pytest.mark.parametrize("page", ["week", "athlete", "data"])
def test_a_coach_page_is_not_among_an_athletes_pages(open_as: Callable, page: str):
    with pytest.raises(ValueError, match="page"):
        open_as(ATHLETE, page)


def test_nobody_signed_in_sees_nothing_but_the_way_to_sign_in(open_as: Callable):
    at = open_as(None)
    assert not at.exception
    said = html_of(at)
    assert wording.NO_ACCESS in said
    assert "Oakhollow" not in said


def test_a_missing_header_is_nobody(open_as: Callable):
    at = open_as(HEAD)
    del at.user["local_user"]
    at.run()
    assert "Oakhollow" not in html_of(at)


def test_an_athlete_sees_no_other_name_on_any_page(open_as: Callable):
    for page in (None, "athlete/my_start", "athlete/my_work", "consent", "methods"):
        said = html_of(open_as(ATHLETE, page, athlete="marit-oakhollow"))
        for other in ("Oakhollow", "Quarrington", "Fernbank"):
            assert other not in said


def test_staff_asking_for_an_athlete_of_another_group_get_a_sentence(open_as: Callable):
    at = open_as(STAFF, "athlete", athlete="rune-halvard-okoro")
    assert not at.exception
    said = html_of(at)
    assert wording.NOT_ALLOWED in said
    assert "Rune" not in said


def test_staff_see_only_their_groups_on_the_sheet(open_as: Callable):
    said = html_of(open_as(STAFF))
    assert "Marit Oakhollow" in said
    assert "Rune Halvard-Okoro" not in said


def test_filters_come_from_the_address(open_as: Callable):
    said = html_of(open_as(HEAD, group="hurdles"))
    assert said.count("data-opens data-athlete") == 3
    assert "Ines Quarrington" in said
    # by hand: of the three only Ines is to adapt
    assert html_of(open_as(HEAD, group="hurdles", call="adapt")).count("data-opens data-athlete") == 1
    assert html_of(open_as(HEAD, squad="under-20")).count("data-opens data-athlete") == 1


def test_an_unknown_choice_in_the_address_is_left_out(open_as: Callable):
    said = html_of(open_as(HEAD, group="'; drop", week="1999-99-99", sort="x"))
    assert said.count("data-opens data-athlete") == 10


def test_an_earlier_week_is_shown_by_its_monday(open_as: Callable):
    assert "Week of 9 November" in html_of(open_as(HEAD, week="2026-11-09"))


def test_the_loudest_row_stands_first_and_by_name_the_first_name(open_as: Callable):
    def first(said: str) -> str:
        return said[said.index("data-opens data-athlete") :][:60]

    assert "marit-oakhollow" in first(html_of(open_as(HEAD)))
    assert "caspian-wray" in first(html_of(open_as(HEAD, sort="name")))


@pytest.mark.parametrize("opened", ["how_calls", "how_trend", "how_contacts", "how_load", "how_strength"])
def test_a_figure_opens_to_formula_and_rows_with_file_and_line(open_as: Callable, opened: str):
    at = open_as(HEAD, "athlete", athlete="teo-brandmere")
    before = html_of(at)
    at.session_state[opened] = True
    at.run()
    assert not at.exception
    assert len(html_of(at)) > len(before)
    assert ", line " in html_of(at)


def test_a_coach_reads_all_five_families_with_what_is_missing(open_as: Callable):
    said = html_of(open_as(HEAD, "athlete", athlete="noemi-starling-pace"))
    # those that speak or cannot say have a line of their own, the quiet ones share one
    shared = said.split("Quiet: ", 1)[1].split("</li>", 1)[0] if "Quiet: " in said else ""
    for family in wording.FAMILIES.values():
        assert f"<span>{family}</span>" in said or f"<b>{family}</b>" in said or family in shared
    assert "no check-in for 4 days" in said


def test_notes_need_the_grant_on_the_page_too(open_as: Callable):
    def opened(viewer: Viewer) -> str:
        at = open_as(viewer, "athlete", athlete="marit-oakhollow")
        at.session_state["how_calls"] = True
        return html_of(at.run())

    assert "left hamstring feels tight when I stand up" in opened(HEAD)
    assert "left hamstring feels tight when I stand up" not in opened(STAFF)


def test_a_remark_beside_a_session_stands_on_the_page_and_asks_to_be_read(open_as: Callable, own_few_home: flow.Home):
    [who, *_] = flow.table(own_few_home, "athlete")["athlete_id"]
    day = flow.table(own_few_home, "session").filter(athlete_id=who)["session_date"].max()
    row = {"athlete_id": who, "session_date": day.isoformat(), "session_no": "9", "note": "left hammy grabbed <b>"}
    assert flow.enter(own_few_home, "session", [row], "coach").stored == 1
    said = html_of(open_as(HEAD, "athlete", athlete=who, at_home=own_few_home.root))
    assert "left hammy grabbed &lt;b&gt;" in said
    week = html_of(open_as(HEAD, at_home=own_few_home.root))
    assert f"read the note of {wording.long_day(day)}: it names the hamstring" in week


def test_an_upload_says_what_would_become_of_each_row_and_stores_nothing(open_as: Callable, tmp_path: Path):
    at = open_as(HEAD, "data", at_home=tmp_path)
    # by hand: three people, one of them with a birth date that does not exist: that cell alone is set aside
    rows = ["ann-vale,Ann Vale,2003-04-01", "bo-moor,Bo Moor,", "cy-fell,Cy Fell,2003-02-31"]
    text = "\n".join(["athlete_id,display_name,birth_date", *rows])
    at.get("file_uploader")[0].set_value([("people.csv", text.encode(), "text/csv")])
    at.run()
    assert not at.exception
    said = html_of(at)
    assert "3 rows would be stored. 1 cell would be set aside alone." in said
    assert "2003-02-31" in said
    assert not (tmp_path / "board").exists()
