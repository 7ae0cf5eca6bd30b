"""A trial of A against B over sessions: the difference within days, and what dealing by lot alone would do."""

import datetime as dt

import numpy as np
import polars as pl
import pytest
from scipy import stats

from pipelines.derived.sprint.profile import sprint_profile
from pipelines.derived.start.phase import start_phase, start_steps
from pipelines.derived.start.trial import MOST_DEALINGS, start_trial_result
from schemas.derived.trial import StartTrialResult
from schemas.settings import SquadSettings
from tests.derived.sprint.sprint_frames import no_noise
from tests.derived.start.start_frames import record

SETTINGS = SquadSettings()
START = dt.date(2026, 5, 4)
SAYS = {"start_kind": "blocks", "clock_start": "first_movement", "timing_kind": "electronic"}


Days = list[tuple[list[float], list[float]]]


def trial(days: Days, name: str = "rear foot one hand back", lots=(), **says) -> pl.DataFrame:
    """Run a trial: of each day the 10 m times of A and of B."""
    return trials({"ada": days}, name, lots, **says)


def trials(of: dict[str, Days], name: str = "rear foot one hand back", lots=(), **says) -> pl.DataFrame:
    """Run a trial of each of several athletes, all of them at once."""
    keys, ways = [], []
    for who, days in of.items():
        for number, (a, b) in enumerate(days):
            for place, (way, time) in enumerate([("a", t) for t in a] + [("b", t) for t in b]):
                on = START + dt.timedelta(days=7 * number)
                key = {"athlete_id": who, "session_date": on, "session_no": 1, "rep_no": place + 1}
                keys.append(key | {"distance_m": 10.0, "elapsed_s": time})
                ways.append(key | {"tried": name, "way": way})
    split, rep = record("split", keys), record("rep", [{**row, **SAYS, **says} for row in keys])
    steps = start_steps(rep.clear(), record("step"))
    phase = start_phase(rep.clear(), record("step"), record("set_position"), record("technique_note"), steps)
    profile = sprint_profile(
        rep, split, record("session"), record("body_measure"), record("athlete"), no_noise(), settings=SETTINGS
    )
    found = start_trial_result(
        record("start_trial", ways), record("trial_lot", lots), profile, phase, rep, split, record("session"),
        record("athlete", [{"athlete_id": who, "display_name": who.title()} for who in of]), settings=SETTINGS,
    )  # fmt: skip
    return StartTrialResult.validate(found)


TWO_DAYS = [([1.90, 1.92, 1.91], [1.86, 1.88, 1.87]), ([1.93, 1.95, 1.94], [1.90, 1.92, 1.88])]


def test_a_difference_worked_by_hand():
    # day 1: 1.87 - 1.91 = -0.040; day 2: 1.90 - 1.94 = -0.040; weights 9/6 each: -0.040
    # squares: 4 x 0.0002 ways with 0.0002 but the last, 0.0008: 0.0002 x 3 + 0.0008 = 0.0014 on 8 degrees of freedom
    row = trial(TWO_DAYS).row(0, named=True)
    assert row["difference_s"] == pytest.approx(-0.040)
    spread = (0.0014 / 8) ** 0.5
    assert row["run_sd_s"] == pytest.approx(spread)
    assert row["difference_s_se"] == pytest.approx(spread / 3**0.5)
    assert row["difference_high_s"] == pytest.approx(-0.040 + stats.t(8).ppf(0.975) * spread / 3**0.5)
    # 20 x 20 ways to deal; only the dealing that was run and its mirror lie so far apart
    assert (row["dealings"], row["p_chance"]) == (400, pytest.approx(2 / 400))
    assert (row["word"], row["reason"], row["runs_a"], row["runs_b"]) == ("b_faster", None, 6, 6)
    # 2 (2.8 x 0.01323 / 0.020)^2 = 6.86: seven of each
    assert row["runs_to_see"] == 7
    assert row["sentence"].startswith("B 40 ms faster than A at 10 m ± 18, over 2 days, 6 runs of A and 6 of B;")


def test_one_day_is_what_scipy_finds_by_permuting():
    # scipy.stats.permutation_test, all dealings of independent samples; one day is judged alike, though given no word
    a, b = [1.90, 1.92, 1.91, 1.97], [1.86, 1.89, 1.93]
    row = trial([(a, b)]).row(0, named=True)
    found = stats.permutation_test((b, a), lambda x, y, axis: x.mean(axis=axis) - y.mean(axis=axis), vectorized=True,
                                   n_resamples=np.inf)  # fmt: skip
    assert row["difference_s"] == pytest.approx(found.statistic)
    # scipy doubles the smaller tail; both tails counted as they are is what stands here
    both = (np.abs(found.null_distribution) >= abs(found.statistic) - 1e-12).mean()
    assert row["p_chance"] == pytest.approx(both)
    assert (row["word"], row["reason"]) == ("cannot_tell", "one_day_only")
    assert "A second session is needed" in row["sentence"]


def test_day_form_falls_out():
    shifted = [TWO_DAYS[0], tuple([t + 0.15 for t in part] for part in TWO_DAYS[1])]
    one, other = trial(TWO_DAYS).row(0, named=True), trial(shifted).row(0, named=True)
    for name in ("difference_s", "difference_s_se", "p_chance"):
        assert other[name] == pytest.approx(one[name])


def test_chance_alone_gives_a_word_in_at_most_one_trial_of_twenty():
    rng = np.random.default_rng(3)

    def three_days() -> Days:
        return [(list(1.9 + 0.02 * rng.standard_normal(3)), list(1.9 + 0.02 * rng.standard_normal(3))) for _ in "123"]

    found = trials({f"athlete-{n:03d}": three_days() for n in range(200)})
    assert found.height == 200
    assert (found["word"] != "cannot_tell").mean() <= 0.05 + 3 * (0.05 * 0.95 / 200) ** 0.5


def test_too_many_ways_are_drawn_by_lot_and_always_the_same():
    rng = np.random.default_rng(4)
    days = [(list(1.9 + 0.02 * rng.standard_normal(5)), list(1.89 + 0.02 * rng.standard_normal(5))) for _ in range(4)]
    one, again = trial(days).row(0, named=True), trial(days).row(0, named=True)
    assert one == again
    assert one["dealings"] == MOST_DEALINGS
    # against the normal approximation of the same test
    z = one["difference_s"] / one["difference_s_se"]
    assert one["p_chance"] == pytest.approx(2 * stats.norm.sf(abs(z)), abs=0.05)


@pytest.mark.parametrize(
    ("days", "says", "reason"),
    [
        ([([1.90, 1.91], []), ([], [1.88, 1.89])], {}, "no_day_with_both"),
        ([([1.90], [1.88]), ([1.91], [1.88])], {}, "too_few_ways_to_deal"),
        ([([1.90, 1.91], [1.88, 1.89])], {"timing_kind": "hand"}, "no_day_with_both"),
        ([([1.90, 1.94, 1.91], [1.91, 1.90, 1.93]), ([1.92, 1.90], [1.90, 1.93])], {}, "chance_not_ruled_out"),
    ],
)
def test_what_cannot_be_told_says_why(days, says, reason):
    row = trial(days, **says).row(0, named=True)
    assert (row["word"], row["reason"]) == ("cannot_tell", reason)
    assert row["sentence"].startswith("Cannot tell")


def test_runs_of_a_trial_that_do_not_count_are_counted():
    row = trial([*TWO_DAYS, ([1.91], [])]).row(0, named=True)
    assert (row["days"], row["runs_left_out"]) == (2, 1)


def test_no_trial_is_no_row():
    assert trial([]).is_empty()


def test_runs_that_were_not_run_as_the_lots_say_are_counted():
    # sessions and runs in their order: day 1 is A A A B B B, day 2 the same; the lots say A B A B A B and A A A B B B
    said = ["ababab", "aaabbb"]
    lots = [
        {
            "athlete_id": "ada",
            "tried": "rear foot one hand back",
            "trial_session": s + 1,
            "trial_run": r + 1,
            "way": way,
        }
        for s, ways in enumerate(said)
        for r, way in enumerate(ways)
    ]
    row = trial(TWO_DAYS, lots=lots).row(0, named=True)
    assert (row["runs_by_lot"], row["runs_as_drawn"]) == (12, 10)  # two of day 1 stand the other way round
    assert row["sentence"].endswith("Lots were drawn beforehand: 10 of 12 runs were run as they say.")
    plain = trial(TWO_DAYS).row(0, named=True)
    assert (plain["runs_by_lot"], "Lots" in plain["sentence"]) == (0, False)
    other = trial(TWO_DAYS, lots=[{**one, "tried": "another trial"} for one in lots]).row(0, named=True)
    assert other["runs_by_lot"] == 0
