"""Consent and data: who may give and withdraw, what is then said, and what a guardian's copy leaves out."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest

from dashboard import home as served
from dashboard import wording
from dashboard import writes as deciding
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.screens.check_in.writes import is_withdrawn
from dashboard.screens.consent import words, writes
from dashboard.writes import NotKept
from pipelines import flow
from pipelines.derived.readiness.due import _withdrawn
from pipelines.federation.share import consents_on
from schemas.vocabulary import CONSENT_TOPICS, EVENT_GROUPS
from tests.dashboard.conftest import ATHLETE, GUARDIAN, HEAD, html_of

DAY = dt.date(2026, 11, 22)
STAFF = Viewer("Staff coach", "staff", event_groups=tuple(EVENT_GROUPS))
ADULT, MINOR = dt.date(2000, 11, 2), dt.date(2009, 3, 7)
YOUNG = Viewer("Luca", "athlete", athlete_id="luca-pemberwick")
GIVEN = {"athlete_id": "luca-pemberwick", "topic": "health", "given_on": dt.date(2025, 10, 1), "given_by": "guardian",
         "is_guardian": True}  # fmt: skip


@pytest.fixture
def entered(monkeypatch: pytest.MonkeyPatch) -> list[dict]:
    rows: list[dict] = []

    class Outcome:
        load_no = 7

    def enter(given: list[dict], table: str, viewer: Viewer) -> type[Outcome]:
        assert table == "consent"
        rows.extend(given)
        return Outcome

    monkeypatch.setattr(writes, "enter", enter)
    return rows


@pytest.mark.parametrize(
    ("viewer", "born", "may"),
    [(ATHLETE, ADULT, True), (YOUNG, MINOR, False), (GUARDIAN, MINOR, True), (GUARDIAN, ADULT, False),
     (HEAD, ADULT, False), (ATHLETE, None, True)],
)  # fmt: skip
def test_consent_is_the_persons_or_a_minors_guardians(viewer: Viewer, born: dt.date | None, may: bool, entered: list):
    assert writes.may_decide(viewer, born, DAY) is may
    if not may:
        with pytest.raises(NotKept, match="Nothing was changed"):
            writes.keep(viewer, "health", None, born, DAY)
        assert entered == []


def test_withdrawing_keeps_the_day_it_was_given_and_giving_again_is_a_row_of_its_own(entered: list[dict]):
    now = GIVEN | {"withdrawn_on": None}
    assert writes.keep(GUARDIAN, "health", now, MINOR, DAY) == 7
    writes.keep(GUARDIAN, "health", now | {"withdrawn_on": DAY}, MINOR, DAY)
    who = {"athlete_id": "luca-pemberwick", "topic": "health"}
    assert entered == [
        who | {"given_on": dt.date(2025, 10, 1), "withdrawn_on": DAY},
        who | {"given_on": DAY, "given_by": "Parent", "is_guardian": True},
    ]
    with pytest.raises(NotKept, match="Undo"):
        writes.keep(GUARDIAN, "health", now | {"given_on": DAY, "withdrawn_on": DAY}, MINOR, DAY)


def test_a_refusal_is_kept_as_one_and_shuts_whatever_asks_for_a_consent_in_force(
    entered: list[dict], board_like: Callable[..., Path], open_as: Callable
):
    for topic in CONSENT_TOPICS:
        writes.keep(GUARDIAN, topic, None, MINOR, DAY, is_refused=True)
    assert all(row["withdrawn_on"] == row["given_on"] == DAY and row["is_refused"] for row in entered)
    assert words.stands(entered[0]) == "Refused by Parent on Sunday 22 Nov 2026."
    board = Board(board_like(consent=entered))
    assert is_withdrawn(YOUNG, board, DAY) is True
    rows = pl.DataFrame(entered)
    assert consents_on(rows, DAY).is_empty()
    assert _withdrawn(rows, DAY)["athlete_id"].to_list() == ["luca-pemberwick"]
    with pytest.raises(NotKept, match="Undo"):
        writes.keep(GUARDIAN, "health", entered[0], MINOR, DAY)
    said = html_of(open_as(HEAD, "film", athlete="luca-pemberwick", at_home=board_like(consent=entered)))
    assert "was refused on 22 Nov 2026: take and mark no new film" in said


@pytest.mark.parametrize("viewer", [YOUNG, GUARDIAN], ids=["minor", "guardian"])
def test_the_page_says_what_stands_and_offers_it_only_to_whose_it_is(
    open_as: Callable, board_like: Callable[..., Path], monkeypatch: pytest.MonkeyPatch, viewer: Viewer
):
    monkeypatch.setattr(served, "todays_date", lambda: DAY)
    at = open_as(viewer, "consent", at_home=board_like(consent=[GIVEN]))
    said, buttons = html_of(at), [one.label for one in at.button]
    assert "Given by guardian, in force since Wednesday 1 Oct 2025." in said
    assert said.count("Neither given nor refused.") == 2
    assert buttons.count(words.GIVE) == buttons.count(words.REFUSE) == (2 if viewer is GUARDIAN else 0)  # alike
    assert all(words.ASKS[topic] in said for topic in CONSENT_TOPICS)  # what, who and for what, before any key
    assert (words.UNDER_AGE in said) == (viewer is YOUNG)
    assert (words.WITHDRAW in buttons) == (viewer is GUARDIAN)
    assert words.STOPS["health"] in said
    assert words.STAYS in said
    assert (words.NO_NOTES in said) == (viewer is GUARDIAN)
    assert "take/" not in said  # the copy asks for the pass-phrase first


@pytest.mark.parametrize("viewer", [GUARDIAN, HEAD], ids=["guardian", "coach"])
def test_a_record_that_cannot_be_written_is_no_path_to_a_parent(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, viewer: Viewer
):
    def refuse(*_: object, **__: object) -> None:
        raise flow.ThirdstepError("'/home/x/record.duckdb' was written by a newer thirdstep: run 'thirdstep rebuild'.")

    monkeypatch.setenv("THIRDSTEP_HOME", str(tmp_path))
    monkeypatch.setattr(flow, "enter", refuse)
    with pytest.raises(NotKept) as why:
        deciding.enter([GIVEN], "consent", viewer)
    assert (str(why.value) == wording.CANNOT_KEEP) == viewer.is_tied
    assert ("record.duckdb" in str(why.value)) != viewer.is_tied


def test_what_could_not_be_kept_is_said_under_the_key_that_was_pressed(
    open_as: Callable, board_like: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
):
    def refuse(*_: object, **__: object) -> None:
        raise NotKept(wording.CANNOT_KEEP)

    monkeypatch.setattr(served, "todays_date", lambda: DAY)
    at = open_as(GUARDIAN, "consent", at_home=board_like(consent=[GIVEN]))
    monkeypatch.setattr(writes, "keep", refuse)
    pressed = at.button(key="consent_video_give").click().run()
    said = html_of(pressed)
    assert said.count(wording.CANNOT_KEEP) == 1
    assert said.index(words.ASKS["video"]) < said.index(wording.CANNOT_KEEP) < said.index(words.ASKS["sharing"])


def test_the_copy_is_for_the_one_it_is_of():
    with pytest.raises(NotKept):
        writes.copy_of_all(HEAD)


@pytest.mark.parametrize("coach", [HEAD, STAFF], ids=["head", "staff"])
@pytest.mark.parametrize("withdrawn_on", [None, DAY])
def test_film_says_to_coaches_that_consent_to_video_was_withdrawn(open_as, board_like, coach, withdrawn_on):
    video = GIVEN | {"topic": "video"}
    again = video | {"given_on": dt.date(2026, 3, 1), "withdrawn_on": withdrawn_on}
    first = video | {"withdrawn_on": dt.date(2026, 2, 1)}  # given again after it: the last one counts
    said = html_of(open_as(coach, "film", athlete="luca-pemberwick", at_home=board_like(consent=[first, again])))
    assert ("was withdrawn on 22 Nov 2026: take and mark no new film" in said) == (withdrawn_on is not None)
