"""The People page: the head coach's alone, and every step of it asks again."""

import dataclasses
from collections.abc import Callable
from pathlib import Path

import pytest

from dashboard import wording
from dashboard.screens.people import writes as managing
from dashboard.writes import NotKept
from pipelines.accounts.accounts import Accounts
from tests.dashboard.conftest import ATHLETE, GUARDIAN, HEAD, STAFF, html_of


@pytest.fixture
def own(board_like: Callable[..., Path], monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = board_like()
    monkeypatch.setenv("THIRDSTEP_HOME", str(folder))
    return folder


@pytest.fixture
def kept(own: Path) -> Accounts:
    accounts = Accounts(own / "access.sqlite")
    accounts.add("head coach", "head_coach", None)
    accounts.add("staff", "staff", None, groups=["hurdles"])
    return accounts


@pytest.mark.parametrize("viewer", [STAFF, ATHLETE, GUARDIAN])
def test_nobody_but_the_head_coach_opens_or_does_anything(open_as: Callable, kept: Accounts, viewer):
    with pytest.raises(ValueError, match="page"):
        open_as(viewer, "people")
    for step in (
        lambda: managing.accounts_of(viewer),
        lambda: managing.trail_of(viewer),
        lambda: managing.add_account(viewer, "x", "head_coach", None, [], grant=False),
        lambda: managing.invite(viewer, "staff"),
        lambda: managing.change_account(viewer, "staff", ["hurdles"], grant=True),
        lambda: managing.close_account(viewer, "staff"),
        lambda: managing.sign_out_everywhere(viewer, "staff"),
        lambda: managing.keep_consent(viewer, {"athlete_id": "teo-brandmere"}),
        lambda: managing.export_person(viewer, "teo-brandmere"),
        lambda: managing.erase_person(viewer, "teo-brandmere", "teo-brandmere"),
        lambda: managing.past_keeping(viewer),
    ):
        with pytest.raises(NotKept, match="head coach"):
            step()
    assert [one.reads_injuries for one in kept.list()] == [True, False]


def test_the_page_lists_who_reads_what(open_as: Callable, kept: Accounts, own: Path):
    at = open_as(HEAD, "people", at_home=own)
    assert not at.exception
    said = html_of(at)
    assert "hurdles; no injury detail" in said
    assert wording.NOT_JOINED in said


def test_adding_an_account_gives_a_link_that_joins(open_as: Callable, kept: Accounts, own: Path):
    at = open_as(HEAD, "people", at_home=own)
    at.selectbox(key="role").set_value("athlete").run()
    at.selectbox(key="new_for").set_value("teo-brandmere").run()
    at.text_input(key="new_name").set_value("Teo").run()
    at.button(key="add_account").click().run()
    assert not at.exception
    token = at.code[0].value.split("/join#")[1]
    account = kept.invited(token)
    assert account is not None
    assert (account.name, account.role, account.athlete_id) == ("teo", "athlete", "teo-brandmere")
    assert ("Head coach", "account added: athlete", "teo") in [row[1:] for row in kept.trail()]


def test_what_cannot_be_undone_is_refused_until_the_pass_phrase_is_given_again(
    open_as: Callable, kept: Accounts, own: Path
):
    left = dataclasses.replace(HEAD, is_fresh=False)
    for step in (
        lambda: managing.add_account(left, "x", "head_coach", None, [], grant=False),
        lambda: managing.invite(left, "staff"),
        lambda: managing.change_account(left, "staff", ["hurdles"], grant=True),
        lambda: managing.close_account(left, "staff"),
        lambda: managing.set_email(left, "staff", "x@club.example"),
        lambda: managing.export_person(left, "teo-brandmere"),
        lambda: managing.erase_person(left, "teo-brandmere", "teo-brandmere"),
    ):
        with pytest.raises(NotKept, match="pass-phrase again"):
            step()
    assert [one.reads_injuries for one in kept.list()] == [True, False]
    managing.sign_out_everywhere(left, "staff")  # what only takes rights away is not kept up
    at = open_as(left, "people", at_home=own)
    assert not at.exception
    assert wording.ASK_AGAIN in html_of(at)
    assert not [one for one in at.button if one.key in ("add_account", "erase")]


def test_a_mistyped_key_erases_nobody(kept: Accounts):
    with pytest.raises(NotKept, match="nothing was erased"):
        managing.erase_person(HEAD, "teo-brandmere", "teo-brandmer")


def test_closing_the_last_head_coach_is_refused_on_the_page(open_as: Callable, kept: Accounts, own: Path):
    at = open_as(HEAD, "people", at_home=own)
    at.selectbox(key="chosen_account").set_value("head coach").run()
    at.button(key="close_account").click().run()
    assert "last head coach" in html_of(at)
    assert all(one.closed_at is None for one in kept.list())


def test_reads_of_injury_detail_leave_a_line_once_a_day(kept: Accounts, own: Path):
    from dashboard.board import Board

    board = Board(own)
    for _ in range(2):
        board.rows(HEAD, "injury", {"athlete_id": "caspian-wray"})
    board.rows(STAFF, "injury")  # without the grant there is nothing to read
    reads = [row[1:] for row in kept.trail() if row[2] == "injury detail read"]
    assert reads == [("Head coach", "injury detail read", "caspian-wray")]
