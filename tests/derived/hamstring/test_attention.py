"""The budget of attention: thresholds follow from it, and a small sample of the bench holds it in every run."""

import math
from itertools import pairwise

import pytest

from pipelines.derived.hindsight.attention import attention_budget
from schemas.knowledge.attention import ADAPT, HAMSTRING, adapt_thresholds, hamstring_thresholds
from schemas.knowledge.hamstring import DATA_FAMILIES
from schemas.settings import SquadSettings
from tests.bench.alarm_squads import ATHLETES, make_squad
from tests.bench.bench_alarms import CHANCE, REVIEWED_WEEKS, SETTINGS, clean_rate, see

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
