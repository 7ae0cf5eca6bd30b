"""The Groups page as each role, and the new tables read round the roles."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard.access.rules import NotForThisViewer
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.parts.return_ladder import keep_step, ladder_table
from dashboard.reads import Opened
from dashboard.screens.group import tables as group_tables
from dashboard.screens.group import words
from dashboard.screens.group.day_grid import day_grid
from dashboard.wording import returning
from dashboard.writes import NotKept
from pipelines.accounts.accounts import Accounts
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, STAFF_WITH_GRANT, html_of
from tests.dashboard.small_board import TODAY, WEEK

NEW = ("group_test_calendar", "exposure_calendar", "completeness_week", "plan_done", "return_ladder", "return_step")


# Caspian's strain of the demo.
HURT = {"athlete_id": "caspian-wray", "onset_on": dt.date(2026, 9, 12), "site": "hamstring", "side": "r"}


@pytest.fixture
def said(open_as: Callable) -> Callable[..., str]:
    def opened(viewer: Viewer, **query: str) -> str:
        at = open_as(viewer, "group", **query)
        assert not at.exception
        return html_of(at)

    return opened


def test_every_section_of_the_page_is_there(said: Callable[..., str]):
    page = said(HEAD)
    for title in (words.TREND_TITLE, words.SPREAD_TITLE, words.LOAD_TITLE, words.TESTS_TITLE, words.DAYS_TITLE,
                  words.COMPLETE_TITLE):  # fmt: skip
        assert title in page
    assert "<svg" in page
    assert "Marit Oakhollow" in page
    assert "Ines Quarrington" not in page  # a hurdler; the first group is the short sprints


def test_the_group_is_chosen_in_the_address(said: Callable[..., str]):
    page = said(HEAD, group="hurdles")
    assert "Ines Quarrington" in page
    assert "Marit Oakhollow" not in page
    assert "Marit Oakhollow" in said(HEAD, group="'; drop table", weeks="x")


def test_people_stand_by_last_name_in_every_section(said: Callable[..., str]):
    page = said(HEAD, group="hurdles")
    tests = page[page.index(words.TESTS_TITLE) :]
    order = [tests.index(name) for name in ("Åsa Lindenmoor", "Luca Pemberwick", "Ines Quarrington")]
    assert order == sorted(order)


def test_staff_see_their_own_groups_only(said: Callable[..., str]):
    page = said(STAFF, group="long_sprints")
    assert "Rune Halvard-Okoro" not in page
    assert "Long sprints" not in page
    assert "Hurdles 3" in page


def test_an_athlete_has_no_such_page(open_as: Callable):
    with pytest.raises(ValueError, match="page"):
        open_as(ATHLETE, "group")


def test_a_board_without_rows_in_these_tables_says_so_in_sentences(open_as: Callable, board_like: Callable):
    none = board_like(group_test_calendar=[], exposure_calendar=[], completeness_week=[])
    at = open_as(HEAD, "group", at_home=none)
    assert not at.exception
    page = html_of(at)
    assert words.NO_TESTS in page
    assert words.NO_DAYS in page
    assert words.NO_COMPLETE in page


def test_days_since_a_test_stand_in_the_calendar(said: Callable[..., str]):
    # the jumps of the hurdlers were last done on Friday 20 November: 22 - 20 = 2 days
    page = said(HEAD, group="hurdles")
    assert ">2 d</td>" in page
    # the one who came in November has done no test of strength or jumping yet
    assert "never done" in page


def test_overdue_and_never_are_words_with_a_mark():
    rows = [
        {"athlete_id": "a", "test": "drop", "last_on": None, "days_since": None, "state": "never"},
        {"athlete_id": "b", "test": "drop", "last_on": WEEK, "days_since": 51, "state": "overdue"},
    ]
    shown = group_tables.test_table(rows, {"a": "Ann", "b": "Bo"})
    assert '<span class="call none">never</span>' in shown
    assert '<span class="call adapt">overdue, 51 d</span>' in shown
    assert words.tests_title(1, 1, 42) == "1 overdue (older than 42 days) and 1 never done"


def test_a_step_says_what_it_is_for_and_who_reads_it(open_as: Callable, board_like: Callable[..., Path]):
    own = board_like()
    accounts = Accounts(own / "access.sqlite")
    accounts.add("Head", "head_coach", "a phrase of four words")
    accounts.add("Physio", "staff", "a phrase of four words", groups=["horizontal_jumps"], reads_injuries=True)
    accounts.add("Helper", "staff", "a phrase of four words", groups=["horizontal_jumps"], reads_injuries=False)
    page = open_as(STAFF_WITH_GRANT, "group", at_home=own, group="horizontal_jumps")
    assert returning.STEP_PURPOSE not in html_of(page)
    page.session_state[f"step_{HURT['athlete_id']}_{HURT['onset_on']}_{HURT['site']}_{HURT['side']}"] = True
    page.run()
    assert returning.STEP_PURPOSE in html_of(page)
    assert "Read by head, physio and the athlete." in html_of(page)  # nobody without the grant


def test_the_ladder_is_for_those_with_the_grant(said: Callable[..., str]):
    page = said(STAFF_WITH_GRANT, group="horizontal_jumps")
    assert returning.LADDER_TITLE in page
    assert "Caspian Wray: right hamstring, since 12 Sep (71 days)" in page  # 18 + 31 + 22 days
    assert "The tool clears nobody" in page
    assert "8 x 60 m easy, upright" in page
    without = Viewer("Coach", "staff", event_groups=("horizontal_jumps",))
    page = said(without, group="horizontal_jumps")
    assert returning.LADDER_TITLE not in page
    assert "8 x 60 m easy, upright" not in page


@pytest.mark.parametrize("table", NEW)
def test_rows_of_the_new_tables_keep_to_the_viewer(board: Board, table: str):
    assert set(board.read(ATHLETE, table)["athlete_id"]) <= {ATHLETE.athlete_id}
    groups = set(board.allowed_athletes(STAFF)["athlete_id"])
    assert set(board.read(STAFF, table)["athlete_id"]) <= groups
    assert board.read(HEAD, table).height > 0


@pytest.mark.parametrize("table", ["group_spread", "group_load"])
def test_tables_of_groups_are_read_for_own_groups_and_by_no_athlete(board: Board, table: str):
    assert set(board.read(STAFF, table)["event_group"]) == {"short_sprints", "hurdles"}
    # of the fifth there is nobody with data
    assert len(set(board.read(HEAD, table)["event_group"])) == 4
    with pytest.raises(NotForThisViewer):
        board.read(ATHLETE, table)
    assert board.read(Viewer("New", "staff"), table).is_empty()


def test_what_was_felt_and_signed_is_hidden_without_the_grant(board: Board):
    without = Viewer("Coach", "staff", event_groups=("horizontal_jumps",))
    rows = board.rows(without, "return_step")
    assert len(rows) == 10
    assert all(row[name] is None for row in rows for name in ("symptoms", "signed_by", "note", "work_done"))
    assert board.read(without, "return_step", {"symptoms": "slight"}).is_empty()
    [ladder] = board.rows(without, "return_ladder")
    assert (ladder["days_with_symptoms"], ladder["signed_by"]) == (None, None)


def test_a_step_is_kept_only_with_the_grant_and_for_own_athletes(board: Board):
    step = HURT | {"rung_no": 4, "done_on": TODAY}
    for viewer in (STAFF, Viewer("Coach", "staff", event_groups=("horizontal_jumps",)), ATHLETE,
                   Viewer("Physio", "staff", event_groups=("hurdles",), may_read_injuries=True)):  # fmt: skip
        with pytest.raises(NotKept):
            keep_step(Opened(viewer, board), step)


def test_a_rung_beyond_ours_and_a_stop_are_shown_as_noted():
    steps = [{"rung_no": 12, "done_on": TODAY, "work_done": "relay <changes>", "symptoms": "stopped", "signed_by": None,
              "note": None}]  # fmt: skip
    shown = ladder_table(steps)
    assert '<th scope="row">12</th>' in shown
    assert "relay &lt;changes&gt;" in shown
    assert 'call talk">had to stop' in shown
    assert shown.count(returning.NOT_DONE) == 9


def test_a_cell_of_the_calendar_has_a_number_or_a_mark():
    def cell(**told: object) -> str:
        none = {"runs_90": 0, "runs_95": 0, "run_90_metres": 0.0, "run_95_metres": 0.0, "unclassified_runs": 0}
        row = none | {"day_on": WEEK, "resisted_runs": 0, "resisted_metres": 0.0, "is_logged": True} | told
        shown = day_grid([row], "A", [WEEK], TODAY)
        body = shown[shown.index("<tbody>") :]
        return body[body.index("<td") : body.index("</td>")]

    assert cell(runs_90=2, runs_95=2, run_90_metres=60.0, run_95_metres=60.0) == '<td class="fast">60'
    assert cell(runs_90=1, run_90_metres=30.0) == '<td class="near">30°'
    assert cell() == '<td class="none">·'
    assert cell(resisted_runs=2, resisted_metres=40.0) == '<td class="none">·<i>r40</i>'
    unknown = {"runs_90": None, "runs_95": None, "run_90_metres": None, "run_95_metres": None}
    assert cell(**unknown, unclassified_runs=1) == '<td class="ask">?'
    assert cell(**unknown, is_logged=False) == '<td class="blank">'
