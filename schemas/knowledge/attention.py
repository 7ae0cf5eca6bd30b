"""How much attention alarms may ask for: the thresholds that follow from a squad on which nothing is wrong."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from schemas.knowledge import clean_rates
from schemas.knowledge.source import Source
from schemas.settings import SquadSettings

OF = 24  # athletes of the squad that the two budgets are told for

SOURCES: dict[str, Source] = {
    "page_1954": Source(
        "Page 1954, Biometrika 41:100-115: cumulative sum, for a small lasting shift that no single value shows.",
        read="memory",
        note="Slack of half the shift looked for, which is two standard deviations here.",
    ),
    "clean_squads": Source(
        f"Simulated squads of {OF} athletes over a season in which nothing is wrong, made {clean_rates.MADE_ON} by a "
        "simulator that no rule of ours made (tests/bench/bench_alarms.py).",
        strength="definition",
        read="source",
        note="Proven on invented squads only: a squad that answers or plans in another way has other rates.",
    ),
    "leave_one_out": Source(
        "Each own day held against all others of the window: the share that would be marked though nothing but chance "
        "set the day apart.",
        strength="definition",
        read="source",
    ),
    "normal_shrinkage": Source(
        "Normal prior and normal error: weight = prior variance / (prior + error variance), textbook statistics.",
        read="memory",
    ),
    "opar_2013": Source(
        "Opar et al. 2013, J Orthop Sports Phys Ther 43(9):636-640: eccentric hamstring force, typical error 22 to 28 "
        "N, 5.8 to 8.5 %.",
        read="memory",
    ),
}


@dataclass(frozen=True)
class HamstringThresholds:
    """From where the families of the hamstring flag speak under a budget of so many athletes a week.

    ``tightness_sum``: tightness above own usual, added up (own standard deviations). ``force_p``: how sure one test
    alone must be of a loss. ``metres_z``: fast metres of a week above what was to be expected (own scatters).
    """

    of_24: float
    tightness_sum: float
    force_p: float
    metres_z: float


@dataclass(frozen=True)
class AdaptThresholds:
    """From where reasons ask to adapt under a budget of so many calls a day.

    ``answer_z``: how far answers lie on the worse side of own usual, over one to three mornings (own standard
    deviations). ``load_z``: load of a week above what was to be expected (own scatters). ``jump_p``: how sure a drop of
    the jump must be.
    """

    of_24: float
    answer_z: float
    load_z: float
    jump_p: float


class _Line(Protocol):
    @property
    def of_24(self) -> float: ...


Chosen = TypeVar("Chosen", bound=_Line)

HAMSTRING: tuple[HamstringThresholds, ...] = tuple(HamstringThresholds(*row) for row in clean_rates.HAMSTRING)
ADAPT: tuple[AdaptThresholds, ...] = tuple(AdaptThresholds(*row) for row in clean_rates.ADAPT)


def hamstring_thresholds(settings: SquadSettings) -> HamstringThresholds:
    """Return the thresholds for ``settings.attention_athletes``: of the budgets simulated, the next not above it."""
    return _not_above(HAMSTRING, settings.attention_athletes)


def adapt_thresholds(settings: SquadSettings) -> AdaptThresholds:
    """Return the thresholds for ``settings.adapt_by_chance``: of the budgets simulated, the next not above it."""
    return _not_above(ADAPT, settings.adapt_by_chance)


def _not_above(lines: Sequence[Chosen], budget: float) -> Chosen:
    return lines[max(bisect_right([line.of_24 for line in lines], budget) - 1, 0)]
