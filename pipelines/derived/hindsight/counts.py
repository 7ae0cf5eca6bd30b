"""How flags did: counts, shares with their intervals, and the honest refusal when there are too few injuries.

Pure arithmetic on counts; nothing here says anything about one athlete.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import scipy

LEAST_INJURIES = 10  # injuries below which nothing can be concluded; our own rule

Interval = tuple[float, float]


@dataclass(frozen=True)
class FlagTable:
    """The two-by-two table of a flag: hits, false flags, missed, and quiet with nothing after."""

    hits: int
    false_flags: int
    missed: int
    quiet: int

    @property
    def total(self) -> int:
        """All units counted (athlete-days or athlete-weeks)."""
        return self.hits + self.false_flags + self.missed + self.quiet

    @property
    def injuries(self) -> int:
        """Units followed by an injury."""
        return self.hits + self.missed

    @property
    def flagged(self) -> int:
        """Units flagged."""
        return self.hits + self.false_flags


def divide(part: float, whole: float) -> float | None:
    """Return part / whole; null when the whole is 0: a share of nothing is unknown."""
    return part / whole if whole else None


def compute_sensitivity(table: FlagTable) -> float | None:
    """Return hits / injuries: the share of injuries that were flagged. Null without injuries."""
    return divide(table.hits, table.injuries)


def compute_specificity(table: FlagTable) -> float | None:
    """Return quiet / units without an injury after. Null without such units."""
    return divide(table.quiet, table.quiet + table.false_flags)


def compute_ppv(table: FlagTable) -> float | None:
    """Return hits / flagged: the share of flags followed by an injury. Null without flags."""
    return divide(table.hits, table.flagged)


def compute_npv(table: FlagTable) -> float | None:
    """Return quiet / not flagged. Null when everything was flagged."""
    return divide(table.quiet, table.quiet + table.missed)


def compute_base_rate(table: FlagTable) -> float | None:
    """Return injuries / all units. Null without units."""
    return divide(table.injuries, table.total)


def compute_lift(table: FlagTable) -> float | None:
    """Return PPV / base rate: how many times as often an injury follows a flag as any unit. Null without either."""
    ppv, base = compute_ppv(table), compute_base_rate(table)
    return None if ppv is None or not base else ppv / base


def compute_false_per_hit(table: FlagTable) -> float | None:
    """Return false flags / hits. Null without a hit."""
    return divide(table.false_flags, table.hits)


def compute_ppv_at(sensitivity: float, specificity: float, base_rate: float) -> float | None:
    """Return the PPV at another base rate: Se pi / (Se pi + (1 - Sp)(1 - pi)). Null when nobody is flagged."""
    true = sensitivity * base_rate
    return divide(true, true + (1 - specificity) * (1 - base_rate))


def compute_wilson(count: int, of: int, level: float = 0.95) -> Interval | None:
    """Return Wilson's score interval of a share.

    centre (p + z^2 / 2n) / (1 + z^2 / n), half-width z sqrt(p (1 - p) / n + z^2 / 4 n^2) / (1 + z^2 / n),
    z the normal quantile of (1 + level) / 2.
    Source: "wilson_1927". Kept within 0 and 1. Null when ``of`` is 0.
    """
    if of == 0:
        return None
    share, z = count / of, float(scipy.special.ndtri((1 + level) / 2))
    scale = 1 + z * z / of
    centre = (share + z * z / (2 * of)) / scale
    half = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of)) / scale
    low = 0.0 if count == 0 else max(0.0, centre - half)
    return low, 1.0 if count == of else min(1.0, centre + half)


def compute_exact(count: int, of: int, level: float = 0.95) -> Interval | None:
    """Return the exact interval of a share: the shares at which so many, or so few, would be rare.

    Low: P(X >= count) = (1 - level) / 2; high: P(X <= count) = (1 - level) / 2, X binomial. Both tails are regularized
    incomplete beta functions of the share (P(X >= k) = I_p(k, n - k + 1)), inverted by scipy.
    Source: "clopper_1934". Low is 0 when nothing was counted, high 1 when all were. Null when ``of`` is 0.
    """
    if of == 0:
        return None
    tail = (1 - level) / 2
    low = 0.0 if count == 0 else float(scipy.special.betaincinv(count, of - count + 1, tail))
    high = 1.0 if count == of else float(scipy.special.betaincinv(count + 1, of - count, 1 - tail))
    return low, high


def compute_poisson(count: int, level: float = 0.95) -> Interval:
    """Return the exact interval of the mean of a count (injuries in a season); divide by the hours for a rate.

    Low: P(X >= count) = (1 - level) / 2; high: P(X <= count) = (1 - level) / 2, X Poisson. Both tails are regularized
    incomplete gamma functions of the mean (P(X >= k) = P(k, m)), inverted by scipy. Textbook, from memory.
    """
    tail = (1 - level) / 2
    low = 0.0 if count == 0 else float(scipy.special.gammaincinv(count, tail))
    return low, float(scipy.special.gammaincinv(count + 1, 1 - tail))


def compute_brier(stated: Sequence[float], happened: Sequence[int]) -> float | None:
    """Return the mean of (stated probability - what happened)^2. Source: "brier_1950". Null for nothing."""
    pairs = list(zip(stated, happened, strict=True))
    return divide(math.fsum((p - y) ** 2 for p, y in pairs), len(pairs))


def compute_brier_skill(stated: Sequence[float], happened: Sequence[int]) -> float | None:
    """Return 1 - Brier / (pi (1 - pi)): gain over always stating the base rate. Null when all or none happened."""
    brier = compute_brier(stated, happened)
    rate = divide(sum(happened), len(happened))
    if brier is None or rate is None:
        return None
    share = divide(brier, rate * (1 - rate))
    return None if share is None else 1 - share


def compute_auc(scores: Sequence[float], happened: Sequence[int]) -> float | None:
    """Return P(a case ranks above a non-case), ties counted half. Rank definition. Null without both."""
    cases = [s for s, y in zip(scores, happened, strict=True) if y]
    others = [s for s, y in zip(scores, happened, strict=True) if not y]
    wins = math.fsum((case > other) + 0.5 * (case == other) for case in cases for other in others)
    return divide(wins, len(cases) * len(others))


def compute_net_benefit(table: FlagTable, threshold: float) -> float | None:
    """Return hits / N - false flags / N x pt / (1 - pt). Source: "vickers_2006". Null without units.

    The threshold pt is the probability at which acting is worth it. Flagging nobody has 0.
    """
    if table.total == 0:
        return None
    return table.hits / table.total - table.false_flags / table.total * threshold / (1 - threshold)


def compute_net_benefit_of_all(table: FlagTable, threshold: float) -> float | None:
    """Return the net benefit of flagging everybody: pi - (1 - pi) pt / (1 - pt). Null without units."""
    rate = compute_base_rate(table)
    return None if rate is None else rate - (1 - rate) * threshold / (1 - threshold)


def say_verdict(table: FlagTable) -> str:
    """Say what the counts allow: under ten injuries, that nothing can be concluded."""
    injuries = f"{table.injuries} {'injury' if table.injuries == 1 else 'injuries'}"
    if table.injuries < LEAST_INJURIES:
        return f"{injuries}: nothing can be concluded."
    found = compute_exact(table.hits, table.injuries)
    low, high = found if found is not None else (0.0, 1.0)
    return (
        f"{table.hits} of {injuries} were flagged ({100 * low:.0f} to {100 * high:.0f} %, exact 95 % interval); "
        f"{table.false_flags} of {table.flagged} flags were followed by none."
    )
