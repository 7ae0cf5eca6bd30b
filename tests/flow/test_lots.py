"""Lots for a trial of two ways to start: balanced, drawn again by anybody, kept by who may, taken back."""

import datetime as dt
import hashlib
from collections import Counter

import pytest
from scipy import stats

from pipelines import flow
from pipelines.errors import ThirdstepError
from tests.flow.test_rights import ADA, COACH, STAFF, fill

pytestmark = pytest.mark.usefixtures("small_derived")


@pytest.fixture
def squad(home, filled_once):
    return filled_once(home, fill)


def rows(seed: int = 4711, athlete: str = "ada-reed", **more) -> list[dict]:
    said = {"athlete_id": athlete, "tried": "rear foot one hand back", "drawn_on": dt.date(2025, 11, 3), **more}
    return [{**said, **one} for one in flow.draw_lots(4, 6, seed)]


def test_every_session_holds_as_many_of_one_way_as_of_the_other_and_the_seed_alone_says_which():
    lots = flow.draw_lots(4, 6, 4711)
    assert [(one["trial_session"], one["trial_run"]) for one in lots] == [
        (s, r) for s in range(1, 5) for r in range(1, 7)
    ]
    for session in range(1, 5):
        ways = {one["trial_run"]: one["way"] for one in lots if one["trial_session"] == session}
        # drawn again from the words of the dictionary alone
        first = sorted(range(1, 7), key=lambda r, s=session: hashlib.sha256(f"4711|{s}|{r}".encode()).hexdigest())[:3]
        assert {run for run, way in ways.items() if way == "a"} == set(first)
    assert flow.draw_lots(4, 6, 4711) == lots
    assert len({str(flow.draw_lots(4, 6)) for _ in range(20)}) == 20  # nobody chooses the seed


def test_every_order_is_as_likely_as_any_other():
    # six orders of A A B B; chi-squared over 3,000 seeds, 5 degrees of freedom (scipy): p above 0.001
    seen: Counter[str] = Counter()
    for seed in range(1, 3001):
        session = [one for one in flow.draw_lots(4, 4, seed) if one["trial_session"] == 3]
        seen["".join(str(one["way"]) for one in session)] += 1
    assert len(seen) == 6
    assert stats.chisquare(list(seen.values())).pvalue > 0.001


@pytest.mark.parametrize(
    ("sessions", "runs", "says"),
    [(1, 6, "2 to 40 sessions"), (41, 6, "2 to 40 sessions"), (4, 5, "even number"), (4, 22, "2 to 20 runs"),
     (2, 2, "4 ways"), (2, 4, "36 ways, and 40")],
)  # fmt: skip
def test_a_trial_that_could_say_nothing_is_refused_with_what_to_do(sessions, runs, says):
    with pytest.raises(ThirdstepError, match=says):
        flow.draw_lots(sessions, runs)


def test_lots_are_kept_by_who_may_and_taken_back(squad):
    outcome = flow.enter(squad, "trial_lot", rows(), STAFF, derive_after=False)
    assert (outcome.stored, outcome.set_aside) == (24, 0)
    kept = flow.table(squad, "trial_lot")
    assert kept["seed"].unique().to_list() == [4711]
    assert kept["drawn_by"].unique().to_list() == ["assistant"]  # who signed in, whatever was left unsaid
    assert [one["order"].count("A") for one in flow.lots_as_sheet(kept.to_dicts())] == [3, 3, 3, 3]
    flow.undo(squad, outcome.load_no, STAFF, derive_after=False)
    assert flow.table(squad, "trial_lot").is_empty()


def test_nobody_draws_for_another_group_as_an_athlete_or_in_another_one_s_name(squad):
    assert flow.enter(squad, "trial_lot", rows(athlete="bo-lind"), STAFF, derive_after=False).stored == 0
    refused = flow.enter(squad, "trial_lot", rows(), ADA, derive_after=False)
    assert refused.stored == 0
    claimed = flow.enter(squad, "trial_lot", rows(drawn_by="coach"), STAFF, derive_after=False)
    assert (claimed.stored, "Put your own name" in str(claimed.reasons[0]["reason"])) == (0, True)
    assert flow.enter(squad, "trial_lot", rows(athlete="bo-lind"), COACH, derive_after=False).stored == 24
