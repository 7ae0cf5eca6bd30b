"""The budget of attention: thresholds follow from it, and a small sample of the bench holds it in every run."""

import math
from itertools import pairwise

import numpy as np
import pytest

from pipelines.derived.hindsight.attention import attention_budget, attention_rate
from schemas.knowledge import clean_rates
from schemas.knowledge.attention import ADAPT, HAMSTRING, adapt_thresholds, hamstring_thresholds
from schemas.knowledge.hamstring import DATA_FAMILIES
from schemas.settings import SquadSettings
from tests.bench.alarm_squads import ATHLETES, make_squad
from tests.bench.bench_alarms import (
    CHANCE,
    REVIEWED_WEEKS,
    SETTINGS,
    budget_with_room,
    clean_rate,
    find_thresholds,
    see,
)

SEED = 1


@pytest.fixture(scope="module")
def seen():
    return see(make_squad(SEED))


def most(budget: float, units: int) -> float:
    """Budget plus three binomial standard errors, of 24 athletes."""
    share = budget / ATHLETES
    return ATHLETES * (share + 3 * math.sqrt(share * (1 - share) / units))


def test_a_squad_with_nothing_wrong_stays_within_the_budget_of_the_flag(seen):
    now = clean_rate([seen], "budget", DATA_FAMILIES)
    assert now <= most(SETTINGS.attention_athletes, ATHLETES * REVIEWED_WEEKS)
    # the rule before it brought up half the squad every week
    assert clean_rate([seen], "without_budget", DATA_FAMILIES) > 3 * SETTINGS.attention_athletes


def test_a_squad_with_nothing_wrong_stays_within_the_budget_of_adapt(seen):
    now = clean_rate([seen], "budget", CHANCE, "1d")
    assert now <= most(SETTINGS.adapt_by_chance, ATHLETES * REVIEWED_WEEKS)  # days of a week hang together


def test_the_written_rates_keep_their_budgets_and_say_how_well_they_are_known():
    rates = {(rule, what): (rate, error) for rule, what, rate, error, *_ in clean_rates.RATES}
    for what, budget in (("any_family", SETTINGS.attention_athletes), ("any_adapt", SETTINGS.adapt_by_chance)):
        rate, error = rates["budget", what]
        assert 0 < error < budget / 10
        assert rate <= budget
    shown = attention_rate(settings=SETTINGS).filter(item="any_adapt")
    assert shown.select("clean_of_24", "clean_error_of_24").row(0) == rates["budget", "any_adapt"]
    assert not set(clean_rates.SET_ON) & set(clean_rates.JUDGED_ON)


def test_the_room_below_a_budget_is_two_errors_of_what_squads_differ_by():
    # 16 squads of binomial counts, closed form: SD of a rate of 24 a week over 576 athlete-weeks
    rng = np.random.default_rng(3)
    squads = [rng.standard_normal((576, 1)) for _ in range(400)]
    spread = 24 * math.sqrt(2 / 24 * 22 / 24 / 576)
    assert budget_with_room(squads[:400], 2.0) == pytest.approx(2.0 - 2 * spread * math.sqrt(2 / 400), abs=0.004)
    inside = 0
    for first in range(0, 400, 20):  # set on ten, judged on the ten after them
        share = budget_with_room(squads[first : first + 10], 2.0) / ATHLETES
        at = find_thresholds(np.concatenate(squads[first : first + 10]), share)[0]
        inside += 24 * np.mean(np.concatenate(squads[first + 10 : first + 20]) >= at) <= 2.0
    assert inside >= 17  # of 20, each with 97.5 % in expectation


def test_a_smaller_budget_never_asks_for_less_evidence():
    for tighter, wider in pairwise(HAMSTRING):
        assert tighter.of_24 < wider.of_24
        for name in ("tightness_sum", "force_p", "metres_z"):
            assert getattr(tighter, name) >= getattr(wider, name)
    assert [line.of_24 for line in ADAPT] == sorted(line.of_24 for line in ADAPT)


def test_the_next_budget_not_above_the_setting_is_in_force():
    settings = SquadSettings()
    assert hamstring_thresholds(settings).of_24 <= settings.attention_athletes
    assert adapt_thresholds(settings).of_24 <= settings.adapt_by_chance
    assert attention_budget(settings=settings)["is_in_force"].sum() <= 1
