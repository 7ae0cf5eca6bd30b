"""How flags did: counts, shares with their intervals, and the honest refusal when there are too few injuries.

Pure arithmetic on counts; nothing here says anything about one athlete.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

Z_95 = 1.959964  # no unit, normal quantile of a two-sided 95 % interval
LEAST_INJURIES = 10  # injuries below which nothing can be concluded; our own rule, see the monitoring notes, section 9
BISECTIONS = 80  # halvings of an interval of length 1: far below the last digit of a float

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


def compute_wilson(count: int, of: int, z: float = Z_95) -> Interval | None:
    """Return Wilson's score interval of a share.

    centre (p + z^2 / 2n) / (1 + z^2 / n), half-width z sqrt(p (1 - p) / n + z^2 / 4 n^2) / (1 + z^2 / n).
    Source: "wilson_1927". Kept within 0 and 1. Null when ``of`` is 0.
    """
    if of == 0:
        return None
    share = count / of
    scale = 1 + z * z / of
    centre = (share + z * z / (2 * of)) / scale
    half = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of)) / scale
    low = 0.0 if count == 0 else max(0.0, centre - half)
    return low, 1.0 if count == of else min(1.0, centre + half)


def _upper_tail(count: int, of: int, share: float) -> float:
    """P(X >= count) of a binomial, summed in logarithms."""
    if count <= 0:
        return 1.0
    if share <= 0:
        return 0.0
    if share >= 1:
        return 1.0
    log_p, log_q = math.log(share), math.log1p(-share)
    log_of = math.lgamma(of + 1)
    return math.fsum(
        math.exp(log_of - math.lgamma(k + 1) - math.lgamma(of - k + 1) + k * log_p + (of - k) * log_q)
        for k in range(count, of + 1)
    )


def _solve(rising: Callable[[float], float], low: float, high: float) -> float:
    """Return where a rising function crosses 0, by halving."""
    for _ in range(BISECTIONS):
        middle = (low + high) / 2
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def compute_exact(count: int, of: int, level: float = 0.95) -> Interval | None:
    """Return the exact interval of a share: the shares at which so many, or so few, would be rare.

    Low: P(X >= count) = (1 - level) / 2; high: P(X <= count) = (1 - level) / 2, X binomial. Solved by halving.
    Source: "clopper_1934". Low is 0 when nothing was counted, high 1 when all were. Null when ``of`` is 0.
    """
    if of == 0:
        return None
    tail = (1 - level) / 2
    low = 0.0 if count == 0 else _solve(lambda share: _upper_tail(count, of, share) - tail, 0.0, 1.0)
    high = (
        1.0 if count == of else _solve(lambda share: _upper_tail(count + 1, of, share) - (1 - tail), 0.0, 1.0)
    )  # P(X <= count) = 1 - P(X >= count + 1)
    return low, high


def _poisson_at_most(count: int, mean: float) -> float:
    if count < 0:
        return 0.0
    if mean <= 0:
        return 1.0
    return math.fsum(math.exp(k * math.log(mean) - mean - math.lgamma(k + 1)) for k in range(count + 1))


def compute_poisson(count: int, level: float = 0.95) -> Interval:
    """Return the exact interval of the mean of a count (injuries in a season); divide by the hours for a rate.

    Low: P(X >= count) = (1 - level) / 2; high: P(X <= count) = (1 - level) / 2, X Poisson. Textbook, from memory.
    """
    tail = (1 - level) / 2
    most = count + 10 * math.sqrt(count + 1) + 20
    low = 0.0 if count == 0 else _solve(lambda mean: 1 - _poisson_at_most(count - 1, mean) - tail, 0.0, most)
    return low, _solve(lambda mean: tail - _poisson_at_most(count, mean), 0.0, most)


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
