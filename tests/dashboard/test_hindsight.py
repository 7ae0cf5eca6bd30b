"""Flags in hindsight: the sentence first, counts before shares, only for the head coach; and the rules' numbers."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from dashboard import wording
from dashboard.access.rules import NotForThisViewer
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.screens.hindsight import words
from dashboard.screens.hindsight import writes as ruling
from dashboard.writes import NotKept
from pipelines import flow
from pipelines.derived.hindsight.backtest import flag_backtest
from schemas.settings import SquadSettings
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, html_of
from tests.dashboard.small_board import put_board

MONDAY = dt.date(2026, 5, 25)
NAMES = ("marit-oakhollow", "teo-brandmere", "ines-quarrington")


def weeks(hits: int, false_flags: int, missed: int, quiet: int, acted: int = 0) -> pl.DataFrame:
    """Return weeks dealt to three athletes in turn, in this order; the first so many flags were acted on."""
    kinds = [("hit", True, True)] * hits + [("false_flag", True, False)] * false_flags
    kinds += [("missed", False, True)] * missed + [("quiet", False, False)] * quiet
    rows: list[dict[str, Any]] = []
    for number, (outcome, flagged, followed) in enumerate(kinds):
        monday = MONDAY + dt.timedelta(weeks=number // len(NAMES))
        rows.append({
            "athlete_id": NAMES[number % len(NAMES)], "week_of": monday, "judged_on": monday - dt.timedelta(days=1),
            "level": "one_family" if flagged else "none", "families": "state" if flagged else None,
            "flagged": flagged, "flagged_without_budget": True,
            "history_flagged": False, "injured_on": monday if followed else None,
            "acted": flagged and number < acted, "outcome": outcome, "reason": None,
        })  # fmt: skip
    return pl.DataFrame(rows, infer_schema_length=None, schema_overrides={"families": pl.String, "reason": pl.String})


def board_with(home: Path, folder: Path, judged: pl.DataFrame) -> Path:
    """Put the board of the few with another look back on it in a folder."""
    hurt = judged.drop_nulls("injured_on").select(
        "athlete_id", onset_on="injured_on", site=pl.lit("hamstring"), side=pl.lit("l"),
        stopped_training=pl.lit(value=True), returned_on=pl.lit(None, pl.Date),
    )  # fmt: skip
    # check-ins of every Sunday and Monday, all loaded on one day
    entered = pl.concat([judged.select("athlete_id", day_on=day) for day in ("judged_on", "week_of")]).with_columns(
        table_name=pl.lit("checkin"), entered_on=pl.lit(dt.date(2026, 11, 25)), load_no=pl.lit(1, pl.Int64)
    )
    found = flag_backtest(judged, hurt, entered, settings=SquadSettings(), as_of=dt.date(2026, 11, 22))
    return put_board(folder, home, {"flag_backtest": found, "flag_backtest_week": judged})


@pytest.fixture(scope="module")
def three_injuries(home: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    # 26 weeks of three athletes: 2 + 15 + 1 + 60 = 78
    return board_with(home, tmp_path_factory.mktemp("three"), weeks(2, 15, 1, 60, acted=3))


def test_the_sentence_stands_first(open_as: Callable, three_injuries: Path):
    at = open_as(HEAD, "hindsight", at_home=three_injuries)
    assert not at.exception
    said = html_of(at)
    assert "3 injuries in 26 weeks: nothing can be concluded." in said
    assert said.index("nothing can be concluded") < said.index(words.WHAT_FOLLOWED)


def test_counts_stand_before_shares_with_their_words(open_as: Callable, three_injuries: Path):
    said = html_of(open_as(HEAD, "hindsight", at_home=three_injuries))
    for count, word in ((2, words.FOUND), (15, words.FALSE), (1, words.MISSED), (60, words.QUIET)):
        assert f'<b class="big">{count}</b><br><span class="soft">{word}</span>' in said
    assert "Of 3 injuries, 2 came in a flagged week. Of 17 flags, 15 were followed by none." in said
    assert said.index(words.WHAT_FOLLOWED) < said.index(words.HOW_SURE)
    # 2 of 3: exact 9.4 to 99.2 % (scipy binomtest; by hand 1 - 0.975^(1/3) = 0.8 % lies outside on the other side)
    assert "2 of 3" in said
    assert "9 to 99" in said


def test_every_rule_compared_and_both_parts_are_there(open_as: Callable, three_injuries: Path):
    said = html_of(open_as(HEAD, "hindsight", at_home=three_injuries))
    for name in words.RULE_NAMES.values():
        assert f">{name}<" in said
    assert "3 flags came with a decision other than as planned, 14 did not." in said
    assert "With so few injuries that says nothing either way." in said


def test_what_was_known_and_which_rule_is_said(open_as: Callable, three_injuries: Path):
    said = html_of(open_as(HEAD, "hindsight", at_home=three_injuries))
    assert "what was known at the time cannot be told; dates of the rows are used instead." in said
    assert "At least one of the four families speaks; numbers " in said
    for line in words.NOT_MEANT:
        assert line.split("’")[0] in said


def test_charts_have_words_and_a_table_behind_them(open_as: Callable, three_injuries: Path):
    at = open_as(HEAD, "hindsight", at_home=three_injuries)
    alts = [chart.proto.alt for chart in at.get("vega_lite_chart")]
    assert len(alts) == 2
    assert any("injuries that were flagged 67" in alt for alt in alts)
    assert any("always: 100" in alt for alt in alts)
    said = html_of(at)
    for _, label in (*words.SHARE_COLUMNS, *words.BESIDE_COLUMNS):
        assert label in said


def test_figures_open_to_the_weeks_behind_them_by_name(open_as: Callable, three_injuries: Path):
    at = open_as(HEAD, "hindsight", at_home=three_injuries)
    at.session_state["how_followed"] = True
    before = html_of(at).count("Marit Oakhollow")
    at.run()
    assert not at.exception
    assert html_of(at).count("Marit Oakhollow") > before


@pytest.mark.parametrize("opened", ["how_sure", "how_beside"])
def test_each_chart_opens_to_its_formula_and_its_own_picture(open_as: Callable, three_injuries: Path, opened: str):
    at = open_as(HEAD, "hindsight", at_home=three_injuries)
    before = html_of(at)
    assert wording.AS_PICTURE not in before
    at.session_state[opened] = True
    at.run()
    assert not at.exception
    said = html_of(at)
    assert len(said) > len(before)
    assert said.count(wording.AS_PICTURE) == 1


def test_ten_injuries_may_be_spoken_of(open_as: Callable, home: Path, tmp_path: Path):
    said = html_of(open_as(HEAD, "hindsight", at_home=board_with(home, tmp_path, weeks(6, 12, 4, 56))))
    assert "In 26 weeks: 6 of 10 injuries were flagged (26 to 88 %" in said.replace("\u202f", " ")
    assert "nothing can be concluded" not in said


def test_no_flag_at_all_divides_nothing_by_nothing(open_as: Callable, home: Path, tmp_path: Path):
    at = open_as(HEAD, "hindsight", at_home=board_with(home, tmp_path, weeks(0, 0, 0, 30)))
    assert not at.exception
    said = html_of(at)
    assert "0 injuries in 10 weeks: nothing can be concluded." in said
    assert words.NO_INJURIES in said
    assert "There was no flag." in said


def test_a_board_without_a_look_back_says_so(open_as: Callable, board_like: Callable[..., Path]):
    said = html_of(open_as(HEAD, "hindsight", at_home=board_like(flag_backtest=[], flag_backtest_week=[])))
    assert words.NOTHING_YET in said


@pytest.mark.parametrize("viewer", [STAFF, ATHLETE])
def test_the_page_is_not_among_the_pages_of_others(open_as: Callable, three_injuries: Path, viewer: Viewer):
    with pytest.raises(ValueError, match="page"):
        open_as(viewer, "hindsight", at_home=three_injuries)


@pytest.mark.parametrize("viewer", [STAFF, ATHLETE])
def test_others_cannot_read_the_counts_nor_touch_the_rules(
    three_injuries: Path, viewer: Viewer, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("THIRDSTEP_HOME", str(three_injuries))
    for table in ("flag_backtest", "flag_backtest_week"):
        with pytest.raises(NotForThisViewer):
            Board(three_injuries).rows(viewer, table)
    for refused in (
        lambda: ruling.rule_history(viewer),
        lambda: ruling.change_rule(viewer, "unusual_z", 2.5, "because"),
        lambda: ruling.flags_under(viewer, 0),
    ):
        with pytest.raises(NotKept, match="head coach"):
            refused()
    assert flow.rule_history(flow.Home(three_injuries)).is_empty()


@pytest.fixture
def own_home(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home whose rules may be changed; the board is not derived anew, as there is no record behind it."""
    monkeypatch.setattr(ruling, "publish_soon", lambda: None)
    return board_with(home, tmp_path, weeks(2, 15, 1, 60))


def test_the_head_coach_changes_a_number_and_it_is_told(open_as: Callable, own_home: Path):
    at = open_as(HEAD, "hindsight", at_home=own_home)
    assert words.NO_HISTORY in html_of(at)
    at.selectbox(key="rule_name").select("pain_talk_level").run()
    at.number_input[0].set_value(4.0)
    at.text_input(key="rule_why_pain_talk_level").input("three talks about nothing")
    at.button(key="FormSubmitter:rule_form-Change the rule").click()
    at.run()
    assert not at.exception
    said = html_of(at)
    assert "Kept: pain from which the call is &#39;talk first&#39; is now 4." in said
    assert "three talks about nothing" in said
    assert "(came as 3)" in said
    assert "pain of at least 4 of 10" in said
    assert flow.settings(flow.Home(own_home)).pain_talk_level == 4.0


def test_a_wrong_number_is_told_in_a_sentence_and_not_kept(open_as: Callable, own_home: Path):
    at = open_as(HEAD, "hindsight", at_home=own_home)
    at.selectbox(key="rule_name").select("pain_talk_level").run()
    at.number_input[0].set_value(40.0)
    at.text_input(key="rule_why_pain_talk_level").input("three talks about nothing")
    at.button(key="FormSubmitter:rule_form-Change the rule").click()
    at.run()
    assert "may be 1 to 10 of 10, not 40. Nothing was changed." in html_of(at)
    assert flow.rule_history(flow.Home(own_home)).is_empty()


def test_a_change_of_the_flag_names_since_when_it_is_in_force(open_as: Callable, own_home: Path):
    home = flow.Home(own_home)
    flow.change_rule(home, "exposure_gap_days", 14, "Head coach", "holidays", derive_after=False)
    flow.change_rule(home, "exposure_gap_days", 10, "Head coach", "back again", derive_after=False)
    said = html_of(open_as(HEAD, "hindsight", at_home=own_home))
    assert "changed by Head coach" in said
    assert words.OTHER_VERSION in said


def test_a_phone_shows_what_was_looked_back_on_or_the_rules(open_as: Callable):
    first, other = html_of(open_as(HEAD, "hindsight")), html_of(open_as(HEAD, "hindsight", show="rules"))
    assert all(label in first for label in words.PARTS.values())
    assert ".st-key-of_hindsight_rules" in first
    assert ".st-key-of_hindsight_back" not in first
    assert ".st-key-of_hindsight_back" in other
