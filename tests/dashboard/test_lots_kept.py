"""Lots are drawn once for a trial, by coaches, and never so few that they could say nothing."""

import datetime as dt
from types import SimpleNamespace

import pytest

from dashboard.screens.starts import lots, words
from dashboard.writes import NotKept
from tests.dashboard.conftest import ATHLETE, GUARDIAN, HEAD, STAFF

NAME = "rear foot one hand back"


@pytest.fixture
def kept(monkeypatch: pytest.MonkeyPatch) -> list[dict]:
    rows: list[dict] = []

    def enter(given, table, viewer):
        assert (table, viewer) == ("trial_lot", HEAD)
        rows.extend(given)
        return SimpleNamespace(load_no=7)

    monkeypatch.setattr(lots, "enter", enter)
    monkeypatch.setattr(lots, "todays_date", lambda: dt.date(2026, 11, 22))
    return rows


def test_lots_are_kept_under_the_name_as_it_is_read_and_by_who_had_them_drawn(kept):
    assert lots.keep_lots(HEAD, [], "teo-brandmere", f"  {NAME.replace(' ', '   ')} ", 4, 6) == 7
    assert len(kept) == 24
    assert {row["tried"] for row in kept} == {NAME}
    assert {row["drawn_by"] for row in kept} == {HEAD.name}
    assert len({row["seed"] for row in kept}) == 1


@pytest.mark.parametrize(
    ("viewer", "there", "tried", "runs", "says"),
    [
        (ATHLETE, [], NAME, 6, words.LOTS_REFUSED),
        (GUARDIAN, [], NAME, 6, words.LOTS_REFUSED),
        (HEAD, [], "   ", 6, words.LOTS_NO_NAME),
        (HEAD, [{"tried": NAME}], NAME.upper(), 6, "has lots already"),
        (HEAD, [], NAME, 5, "an even number"),
        (STAFF, [], NAME, 2, "16 ways, and 40 are needed"),
    ],
)
def test_what_is_no_trial_of_lots_is_refused_in_a_sentence_and_nothing_is_kept(kept, viewer, there, tried, runs, says):
    with pytest.raises(NotKept) as refused:
        lots.keep_lots(viewer, there, "teo-brandmere", tried, 4, runs)
    assert says in str(refused.value)
    assert kept == []
