"""What an athlete of sixteen reads: sentences, no code names, no tables of many columns, no prognosis."""

import datetime as dt
import re
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest

from dashboard import wording
from dashboard.board import Board
from dashboard.screens.athlete import plan_today
from dashboard.screens.check_in import writes as checking_in
from tests.dashboard.conftest import ATHLETE, GUARDIAN, HEAD, html_of
from tests.dashboard.small_board import table_of

LEVELS = {"pain": 3.0, "tight_high": 5.0}
PAIN = {"item": "pain", "pushes_to": "talk_first", "sentence": "pain 5 of 10, left hamstring"}
MUSCLES = {"item": "soreness", "pushes_to": "adapt", "sentence": "muscles 2 of 5; own usual 4"}
# By hand: words of the method that have no place on an athlete's page.
MACHINERY = ("CALL_RULE", "thin_baseline", "never_checked_in", "strains over groups", "monotony", "seven formulas",
             "probability of a drop", "mass^0.67", "Robust z", "clinician")  # fmt: skip


@pytest.fixture
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (plan_today, checking_in):
        monkeypatch.setattr(module, "viewers_day", lambda: dt.date(2026, 11, 22))


def test_a_reason_is_said_with_what_follows_from_it_and_the_number_of_the_rule():
    said = wording.plain_reasons([PAIN, MUSCLES], LEVELS, own=True)
    assert said[0] == (
        "Pain 5 of 10, left hamstring. From 3 of 10 for pain on, your coach is asked to talk with you first."
    )
    assert said[1] == "Muscles 2 of 5; your usual 4. So your coach may change today’s training a little."
    of_other = " ".join(wording.plain_reasons([PAIN, MUSCLES], LEVELS, own=False))
    assert not re.search(r"\byour?\b", of_other)


@pytest.mark.parametrize(
    ("change", "word", "title", "much"),
    [  # by hand: 0.021 s is two hundredths, 0.011 one, 0.002 none worth saying
        (-0.021, "improving", "Your 10 m has become faster", "About 2 hundredths of a second faster"),
        (0.021, "slipping", "Your 10 m has become slower", "About 2 hundredths of a second slower"),
        (-0.011, "not_clear", "Your 10 m: too early to be sure", "About a hundredth of a second faster"),
        (0.002, "holding", "Your 10 m is about the same as before", "About the same"),
    ],
)
def test_whether_one_is_getting_faster_is_said_in_one_sentence(change: float, word: str, title: str, much: str):
    progress = {"metric": "t_10_s", "unit": "s", "word": word, "change": change, "start_kind": "blocks",
                "timing_kind": "electronic", "reference_on": dt.date(2026, 10, 11)}  # fmt: skip
    assert wording.plain_title(progress, own=True) == title
    said = wording.plain_caption(progress)
    assert said.startswith(much)
    assert "95" not in said
    assert ("move that much by themselves" in said) == (word in ("not_clear", "holding"))


@pytest.mark.parametrize("viewer", [ATHLETE, GUARDIAN], ids=["athlete", "guardian"])
def test_what_to_do_today_is_said_once(open_as: Callable, board: Board, viewer):
    [told] = board.read(viewer, "advice", limit=1, order_by=["-week_of"]).to_dicts()
    said = html_of(open_as(viewer, "athlete/today"))
    for sentence in {told["own_sentence"], told["sentence"], *wording.told_guardian(told)}:
        assert said.count(f"<p>{sentence}</p>") <= 1, sentence
    assert said.count(wording.NOTHING_IN_ANSWERS) == int(viewer.is_own and told["stands"] == "go_on")


@pytest.mark.parametrize("viewer", [ATHLETE, GUARDIAN], ids=["athlete", "guardian"])
def test_an_athletes_pages_hold_no_machinery_even_when_opened(open_as: Callable, viewer):
    for name, folds in (
        ("athlete/today", ("calls", "trend", "focus")),
        ("athlete/my_work", ("load", "strength", "spring")),
    ):
        at = open_as(viewer, name)
        for fold in folds:
            at.session_state[f"how_{fold}"] = True
        said = html_of(at.run())
        assert [word for word in MACHINERY if word in said] == []
        assert max((row.count("<th ") for row in said.split("<thead>")[1:]), default=0) <= 6
        assert "methods?method=" in said  # the formulas are one link away


def test_a_coach_goes_on_reading_formula_and_rows(open_as: Callable):
    at = open_as(HEAD, "athlete", athlete="teo-brandmere")
    at.session_state["how_calls"] = True
    said = html_of(at.run())
    assert "CALL_RULE" in said
    assert ", line " in said


@pytest.mark.usefixtures("on_the_day")
def test_today_carries_its_date_and_whether_a_coach_has_decided(
    open_as: Callable, home: Path, board_like: Callable[..., Path]
):
    assert '<p class="soft">Sunday 22 Nov</p>' in html_of(open_as(ATHLETE))
    decided = table_of(home, "decision").filter(pl.col("athlete_id") != ATHLETE.athlete_id)
    assert wording.NOT_DECIDED_OWN in html_of(open_as(ATHLETE, at_home=board_like(decision=decided.to_dicts())))


@pytest.mark.usefixtures("on_the_day")
def test_a_day_off_is_called_so_on_today(open_as: Callable, board_like: Callable[..., Path]):
    off = {
        "athlete_id": ATHLETE.athlete_id,
        "session_date": dt.date(2026, 11, 22),
        "session_no": 1,
        "duration_min": 0.0,
    }
    said = html_of(open_as(ATHLETE, at_home=board_like(session=[off], plan=[])))
    assert "Day off." in said
    assert f"<h1>{wording.DAY_OFF_TODAY}</h1>" in said
    assert "Nothing is written for today" not in said


@pytest.mark.parametrize(
    ("said", "to_athlete"),
    [
        ("This week’s load is inside the usual range", "This week’s load is inside your usual range"),
        ("3 days since a run at 95 % of own best speed", "3 days since a run at 95 % of your best speed"),
    ],
)
def test_a_figure_speaks_to_the_one_it_is_of(said: str, to_athlete: str):
    assert wording.to_you(said) == to_athlete
