"""What alarms cost where nothing is wrong, and what they find where something is; the thresholds follow from it.

``python -m tests.bench.bench_alarms`` prints the table; ``--write`` sets the thresholds anew and writes them and the
table into schemas/knowledge/clean_rates.py. Thresholds are set on one set of squads and judged on another.
"""

import datetime as dt
import math
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
import polars as pl
import pytest

from pipelines.board import derivation as derive
from pipelines.derived.common.sentences import list_review_days
from pipelines.derived.hamstring.capacity import ALONE_DAYS, TEST
from pipelines.derived.hamstring.without_budget import UNUSUAL_Z, list_without_budget
from pipelines.derived.readiness.checkin_answers import join_fresh_checkin
from pipelines.derived.readiness.tightness import HIGH_ABOVE
from pipelines.derived.registry import derivations
from pipelines.derived.strength.own_change import SURE
from schemas.derived.registry import DERIVED
from schemas.knowledge import attention, clean_rates
from schemas.knowledge.hamstring import DATA_FAMILIES
from schemas.settings import SquadSettings
from tests.bench.alarm_squads import ATHLETES, PLANTED, Squad, make_squad

pytestmark = pytest.mark.bench

REVIEWED_WEEKS = 24
SETTINGS = SquadSettings(review_days=7 * REVIEWED_WEEKS)
NEEDED = ("hamstring_flag", "readiness_reason")
PATTERNS = pl.DataFrame(schema={"athlete_id": pl.String, "session_date": pl.Date, "pattern": pl.String})
BUDGETS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0)  # athletes of 24 a week
CALL_BUDGETS = (0.25, 0.5, 1.0, 2.0, 4.0)  # calls 'adapt' of 24 a day
CHANCE = ("answers", "load", "jump")  # what asks to adapt by chance
CHANCE_PARTS = (1.0, 1.6, 1.0)  # of the budget: one week's load is told on seven days, an answer on one or two
FAMILY_OF = {"strain": "state", "drop": "capacity", "growth": "exposure", "fatigue": "answers"}
WITHIN_DAYS = {"strain": 5, "drop": 63, "growth": 28, "fatigue": 4}  # found is: by then, counted from the first day
HOME = Path(clean_rates.__file__)
DAY = ["athlete_id", "day_on"]
Rows = list[tuple[str, str, float, float, float, float | None]]


class Seen(NamedTuple):
    """A squad as the rules see it: who is brought up on which day, by which rule and for what."""

    speaks: pl.DataFrame  # rule, athlete_id, day_on, what: a family, or a reason of chance to adapt
    scores: pl.DataFrame  # athlete_id, day_on, state, capacity, exposure, answers, load, jump: evidence, inf where sure
    days: pl.DataFrame


def see(squad: Squad, settings: SquadSettings = SETTINGS) -> Seen:
    """Derive everything through the project's own functions and read what speaks, under today's rule and the old."""
    every = derivations()
    wanted, waiting = {}, list(NEEDED)
    while waiting:
        name = waiting.pop()
        if name in every and name not in wanted and name != "start_pattern":
            wanted[name] = every[name]
            waiting += derive.inputs_of(every[name])
    frames = {**squad.record, "start_pattern": PATTERNS}
    done = derive.derive_all(
        frames, settings, squad.as_of, functions=wanted, models={name: DERIVED[name] for name in wanted}
    ).frames
    both = {**frames, **done}
    days = list_review_days(frames["athlete"], settings=settings, as_of=squad.as_of)
    counted = done["hamstring_flag"].filter(pl.col("state") == "speaks", pl.col("family").is_in(DATA_FAMILIES))
    speaks = [counted.select(*DAY, rule=pl.lit("budget"), what="family")]
    old = list_without_budget(
        days, *(both[name] for name in ("checkin", "checkin_answer", "strength_state", "speed_exposure", "work_week",
                                        "plan")), settings=settings, as_of=squad.as_of,
    )  # fmt: skip
    speaks.append(old.select(*DAY, rule=pl.lit("without_budget"), what="family"))
    scores = _scores(days, both, settings)
    reasons = done["readiness_reason"].join(
        pl.DataFrame([("week_load", "load"), ("jump_drop", "jump")], schema=["item", "what"], orient="row"),
        on="item", how="left",
    )  # fmt: skip
    by_chance = reasons.filter(
        (pl.col("pushes_to") == "adapt") & ~pl.col("item").is_in(["recent_return", "tight_unusual"])
    ).select(*DAY, rule=pl.lit("budget"), what=pl.col("what").fill_null("answers"))
    speaks += [by_chance.unique(), *_adapt_before(days, both, settings)]
    return Seen(pl.concat([part.select("rule", *DAY, "what") for part in speaks]), scores, days)


def _adapt_before(days: pl.DataFrame, both: dict[str, pl.DataFrame], settings: SquadSettings) -> Iterator[pl.DataFrame]:
    """Yield what asked to adapt without a budget: an answer from z 2, load above own range, a drop 80 % sure."""
    fresh = join_fresh_checkin(days, both["checkin"], settings=settings)
    answers = both["checkin_answer"].filter((pl.col("z") <= -UNUSUAL_Z) & ~pl.col("item").str.starts_with("hamstring"))
    weeks = both["load_week"].filter(pl.col("load_au") > pl.col("own_high_au"))
    jumps = both["spring_state"].filter((pl.col("p_drop") >= 0.8) & (pl.col("change_percent") < 0))
    found = {
        "answers": fresh.join(
            answers.select("athlete_id", fresh_on="checked_on").unique(), on=["athlete_id", "fresh_on"], how="semi"
        ),
        "load": _after(days, weeks, "week_of", 6, 12),
        "jump": _after(days, jumps, "tested_on", 0, settings.checkin_stale_days),
    }
    for what, rows in found.items():
        yield rows.select(DAY).unique().with_columns(rule=pl.lit("without_budget"), what=pl.lit(what))


def _after(days: pl.DataFrame, rows: pl.DataFrame, day: str, first: int, last: int) -> pl.DataFrame:
    """Return the days that lie so many days after rows of the athlete."""
    since = (pl.col("day_on") - pl.col(day)).dt.total_days()
    return days.join(rows, on="athlete_id").filter(since.is_between(first, last))


def _scores(days: pl.DataFrame, both: dict[str, pl.DataFrame], settings: SquadSettings) -> pl.DataFrame:
    """Return the evidence of each day, on the scale of its threshold; inf where it speaks whatever the budget."""
    fresh = join_fresh_checkin(days, both["checkin"], settings=settings)
    answers = both["checkin_answer"]
    tight = answers.filter(
        pl.col("item").str.starts_with("hamstring") & (pl.col("value") >= settings.tight_adapt_level)
    )
    standing = (pl.col("value") < pl.col("usual") + HIGH_ABOVE).fill_null(value=False)
    high = (pl.col("value") >= settings.tight_talk_level) & ~standing
    sure = pl.when(high).then(np.inf).otherwise("excess_sum")
    usual = answers.filter(pl.col("worse_z").is_not_null() & ~pl.col("item").str.starts_with("hamstring"))
    tests = both["strength_state"].filter(pl.col("item") == TEST)
    weeks = both["speed_exposure"].filter(pl.col("above_z").is_not_null())
    # What speaks of itself, whatever the thresholds: pain told, gaps, work left out.
    flags = both["hamstring_flag"].filter(pl.col("state") == "speaks")
    always = {
        "state": flags.filter(pl.col("sentence").str.contains("pain ")),
        "capacity": flags.filter(pl.col("sentence").str.contains("days since isolated|second test|told of")),
        "exposure": flags.filter(
            pl.col("family") == "exposure", pl.col("sentence").str.contains("days (since|without)")
        ),
    }
    parts = {
        "state": _on_checkins(fresh, tight.select("athlete_id", "checked_on", score=sure)),
        "capacity": _after(days, tests, "measured_on", 0, ALONE_DAYS - 1).select(*DAY, score="p_fallen"),
        "exposure": _after(days, weeks, "week_of", 6, 13).select(*DAY, score="above_z"),
        "answers": _on_checkins(fresh, usual.select("athlete_id", "checked_on", score="worse_z")),
        "load": _after(days, both["load_week"], "week_of", 6, 12).select(*DAY, score="above_z"),
        "jump": _after(days, both["spring_state"], "tested_on", 0, settings.checkin_stale_days).select(
            *DAY, score="p_drop"
        ),
    }  # fmt: skip
    out = days
    for name, rows in parts.items():
        some = rows.select(*DAY, "score")
        if name in always:
            some = pl.concat([some, always[name].select(*DAY, score=pl.lit(np.inf))])
        out = out.join(some.group_by(DAY).agg(pl.col("score").max().alias(name)), on=DAY, how="left")
    return out.with_columns(pl.col(name).fill_null(-np.inf) for name in parts).sort(DAY)


def _on_checkins(fresh: pl.DataFrame, rows: pl.DataFrame) -> pl.DataFrame:
    return fresh.join(rows.rename({"checked_on": "fresh_on"}), on=["athlete_id", "fresh_on"]).select(*DAY, "score")


# --- thresholds -----------------------------------------------------------------------------------------------------


def budget_with_room(squads: Sequence[np.ndarray], budget: float, parts: Sequence[float] = ()) -> float:
    """Return the rate of 24 that thresholds are set to, so that squads they were not set on stay in the budget too.

    Set to the budget itself the squads differ with an SD s; their mean is known to s / sqrt(squads), and so is that of
    as many others. The room is two errors of the difference, 2 s sqrt(2 / squads).
    """
    at = np.array(find_thresholds(np.concatenate(squads), budget / ATHLETES, parts))
    each = [ATHLETES * float((units >= at).any(axis=1).mean()) for units in squads]
    return budget - ROOM_ERRORS * float(np.std(each, ddof=1)) * (2.0 / len(squads)) ** 0.5


def find_thresholds(units: np.ndarray, share: float, parts: Sequence[float] = ()) -> list[float]:
    """Return the threshold of each kind of evidence so that the share of units with any at or above it is ``share``.

    ``units`` is units x kinds, the strongest evidence of each; inf speaks whatever the threshold and uses up its part
    of the share. Of what is left every kind gets the same, or as ``parts`` say, as far as its steps allow. Where
    nothing is left, the thresholds lie above everything seen.
    """
    kinds = np.array(parts or [1.0] * units.shape[1])
    sure = np.isposinf(units).any(axis=1)
    rest, left = units[~sure], share - float(sure.mean())
    low, high = 0.0, max(left, 0.0)
    for _ in range(40):
        middle = (low + high) / 2
        reached = (rest >= _upper(rest, middle * kinds)).any(axis=1).sum() / len(units)
        low, high = (middle, high) if reached <= left else (low, middle)
    return _upper(rest, low * kinds).tolist()


def _upper(units: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """Return for each kind the least value reached by no more than its share of units."""
    out = []
    for kind, share in zip(units.T, shares, strict=True):
        values = np.sort(kind[np.isfinite(kind)])
        at, first = np.unique(values, return_index=True)
        fits = at[(len(values) - first) / len(kind) <= share]
        out.append(fits[0] if len(fits) else values[-1] + 1e-6)
    return np.array(out)


def weekly(seen: Sequence[Seen], names: Sequence[str]) -> np.ndarray:
    """Return the strongest evidence of each athlete-week."""
    weeks = pl.concat([one.scores.with_columns(squad=pl.lit(n)) for n, one in enumerate(seen)])
    most = weeks.group_by("squad", "athlete_id", pl.col("day_on").dt.truncate("1w")).agg(pl.col(list(names)).max())
    return most.select(names).to_numpy()


def daily(seen: Sequence[Seen], names: Sequence[str]) -> np.ndarray:
    """Return the evidence of each athlete-day."""
    return pl.concat([one.scores for one in seen]).select(names).to_numpy()


# --- rates ----------------------------------------------------------------------------------------------------------


def clean_rate(seen: Sequence[Seen], rule: str, whats: Sequence[str], unit: str = "1w") -> float:
    """Return how many of 24 athletes are brought up in a week ("1w") or on a day ("1d") for any of these."""
    units = raised = 0
    for one in seen:
        key = ["athlete_id", pl.col("day_on").dt.truncate(unit)]
        units += one.days.select(key).unique().height
        spoke = one.speaks.filter(rule=rule).filter(pl.col("what").is_in(list(whats)))
        raised += spoke.select(key).unique().height
    return ATHLETES * raised / units


def power(planted: Sequence[tuple[Squad, Seen]], rule: str, kind: str) -> tuple[int, int, float | None]:
    """Return how many had this planted, how many were found in time, and the median days late among those found."""
    late: list[int] = []
    number = 0
    for squad, seen in planted:
        spoke = seen.speaks.filter(rule=rule, what=FAMILY_OF[kind])
        for name, first in squad.planted_on[kind].items():
            number += 1
            until = first + dt.timedelta(days=WITHIN_DAYS[kind] - 1)
            found = spoke.filter(pl.col("athlete_id") == name, pl.col("day_on").is_between(first, until))
            if found.height:
                late.append((found["day_on"].min() - first).days)  # type: ignore[operator]
    return number, len(late), float(np.median(late)) if late else None


def rate_and_error(seen: Sequence[Seen], rule: str, whats: Sequence[str], unit: str) -> tuple[float, float]:
    """Return the clean rate of all squads and its simulation error: the SD between squads over sqrt(squads)."""
    each = [clean_rate([one], rule, whats, unit) for one in seen]
    return round(clean_rate(seen, rule, whats, unit), 3), round(float(np.std(each, ddof=1)) / len(each) ** 0.5, 3)


def rows_of(clean: Sequence[Seen], twins: Sequence[tuple[Squad, Seen]], planted: Sequence[tuple[Squad, Seen]]) -> Rows:
    """Return the table: rule, what, rate of 24 or share found, its error, share by chance alone, median days late.

    ``twins`` are the squads of ``planted`` with nothing planted, in the same order.
    """
    out: Rows = []
    for rule in ("without_budget", "budget"):
        units = [([name], name, "1w") for name in DATA_FAMILIES] + [(list(DATA_FAMILIES), "any_family", "1w")]
        units += [([name], name, "1d") for name in CHANCE] + [(list(CHANCE), "any_adapt", "1d")]
        for whats, name, unit in units:
            out.append((rule, name, *rate_and_error(clean, rule, whats, unit), 0.0, None))
        for kind in PLANTED:
            number, found, late = power(planted, rule, kind)
            by_chance = power([(squad, seen) for (squad, _), (_, seen) in zip(planted, twins, strict=True)], rule, kind)
            share = found / number
            error = (share * (1 - share) / number) ** 0.5
            out.append((rule, kind, round(share, 3), round(error, 3), round(by_chance[1] / number, 3), late))
    return out


def told(rows: Rows) -> str:
    """Return the table in words."""
    lines = [f"{'rule':16s}{'what':12s}{'rate or found':>14s}{'its error':>11s}{'by chance':>11s}{'days late':>11s}"]
    for rule, what, rate, error, chance, late in rows:
        last = "" if late is None else f"{late:.0f}"
        lines.append(f"{rule:16s}{what:12s}{rate:14.3f}{error:11.3f}{chance:11.3f}{last:>11s}")
    return "\n".join(lines)


# --- the whole bench ------------------------------------------------------------------------------------------------

SET_ON = tuple(range(101, 125))  # seeds of the squads that thresholds are set on
JUDGED_ON = tuple(range(201, 225))  # seeds of those they are judged on
PLANTED_ON = JUDGED_ON[:12]  # of these, those in which things are planted
ROOM_ERRORS = 2.0  # simulation errors of the rate that a threshold keeps below its budget


def found_at(planted: Sequence[tuple[Squad, Seen]], kind: str, threshold: float) -> float:
    """Return the share found in time if evidence spoke from this threshold."""
    number = found = 0
    for squad, seen in planted:
        for name, first in squad.planted_on[kind].items():
            until = first + dt.timedelta(days=WITHIN_DAYS[kind] - 1)
            own = seen.scores.filter(pl.col("athlete_id") == name, pl.col("day_on").is_between(first, until))
            most = own[FAMILY_OF[kind]].max()
            number += 1
            found += bool(isinstance(most, float) and most >= threshold)
    return found / number


def round_up(value: float, places: int) -> float:
    """Round a threshold so that it never lets through more than was counted."""
    return math.ceil(value * 10**places - 1e-9) / 10**places


def set_thresholds(clean: Sequence[Seen]) -> tuple[list[tuple[float, ...]], list[tuple[float, ...]]]:
    """Return the thresholds for each budget, in the order of the two tables; p no higher than 0.999."""
    weeks = [weekly([one], ("state", "capacity", "exposure")) for one in clean]
    days = [daily([one], CHANCE) for one in clean]
    flags, calls = [], []
    for budget in BUDGETS:
        share = budget_with_room(weeks, budget) / ATHLETES
        tight, force, metres = find_thresholds(np.concatenate(weeks), share)
        flags.append((budget, round_up(tight, 2), round_up(min(force, 0.999), 4), round_up(metres, 2)))
    for budget in CALL_BUDGETS:
        share = budget_with_room(days, budget, CHANCE_PARTS) / ATHLETES
        answer, load, jump = find_thresholds(np.concatenate(days), share, CHANCE_PARTS)
        calls.append((budget, round_up(answer, 2), round_up(load, 2), round_up(min(jump, 0.999), 4)))
    return flags, calls


def cost_by_budget(clean: Sequence[Seen], planted: Sequence[tuple[Squad, Seen]]) -> list[tuple[float, ...]]:
    """Return for each budget: athletes of 24 brought up a week, and the share found of strain, drop and growth."""
    weeks = weekly(clean, ("state", "capacity", "exposure"))
    rows = []
    for line in attention.HAMSTRING:
        at = (line.tightness_sum, max(line.force_p, SURE), line.metres_z)
        rate = ATHLETES * float((weeks >= np.array(at)).any(axis=1).mean())
        found = [found_at(planted, kind, level) for kind, level in zip(PLANTED, at, strict=False)]
        rows.append((line.of_24, round(rate, 2), *(round(share, 3) for share in found)))
    return rows


def write(flags: Sequence[object], calls: Sequence[object], rows: Rows, cost: Sequence[object]) -> None:
    """Write the generated module."""

    def listed(name: str, kind: str, lines: Sequence[object]) -> str:
        return f"{name}: tuple[{kind}, ...] = (\n" + "".join(f"    {line!r},\n" for line in lines) + ")\n"

    four, five = "tuple[float, float, float, float]", "tuple[float, float, float, float, float]"
    text = (
        '"""Thresholds and rates of alarms. Written by ``python -m tests.bench.bench_alarms --write``."""\n\n'
        f'MADE_ON = "{dt.date.today().isoformat()}"\n'
        f"SET_ON = tuple(range({SET_ON[0]}, {SET_ON[-1] + 1}))  # seeds of the squads that thresholds are set on\n"
        f"JUDGED_ON = tuple(range({JUDGED_ON[0]}, {JUDGED_ON[-1] + 1}))  # seeds of the squads they are judged on\n"
        f"WEEKS = {REVIEWED_WEEKS}  # judged of each squad, after the weeks in which own usual becomes known\n"
        "# Athletes of 24 a week: sum of tightness, how sure one test must be, fast metres above what was expected.\n"
        + listed("HAMSTRING", four, flags)
        + "# Calls of 24 a day: how far answers lie on the worse side, week load above what was expected, jump.\n"
        + listed("ADAPT", four, calls)
        + "# Athletes of 24 brought up a week; share found of a strain building, of a drop of force, of a growth.\n"
        + listed("COST", five, cost)
        + "# Rule, what; of 24 athletes a week (families) or a day (reasons to adapt), or the share found in time of\n"
        "# what was planted; its simulation error (standard error over the squads judged, or of the share); the share "
        "that the\n# same days bring up in the squad with nothing planted; days late.\n"
        + listed("RATES", "tuple[str, str, float, float, float, float | None]", rows)
    )
    HOME.write_text(text, encoding="utf-8")


def measure(seeds: Sequence[int], *, planted: bool) -> list[tuple[Squad, Seen]]:
    """Make the squads of these seeds and see them through the rules."""
    return [(squad, see(squad)) for squad in (make_squad(seed, planted=planted) for seed in seeds)]


def main(words: Sequence[str]) -> None:
    """Print the table; with ``--write`` set the thresholds first and write both; numbers on the line are seeds."""
    seeds = [int(word) for word in words if word.isdigit()] or list(JUDGED_ON)
    some = seeds if any(word.isdigit() for word in words) else PLANTED_ON
    if "--write" in words:
        flags, calls = set_thresholds([seen for _, seen in measure(SET_ON, planted=False)])
        attention.HAMSTRING = tuple(attention.HamstringThresholds(*row) for row in flags)
        attention.ADAPT = tuple(attention.AdaptThresholds(*row) for row in calls)
    twins, wrong = measure(seeds, planted=False), measure(some, planted=True)
    clean = [seen for _, seen in twins]
    rows, cost = rows_of(clean, twins[: len(wrong)], wrong), cost_by_budget(clean, wrong)
    print(told(rows))
    print("budget, brought up, strain, drop, growth", *cost, sep="\n")
    if "--write" in words:
        write(flags, calls, rows, cost)


def test_the_budget_holds_on_squads_it_was_not_set_on():
    twins = measure(JUDGED_ON, planted=False)
    clean = [seen for _, seen in twins]
    rows = rows_of(clean, twins[: len(PLANTED_ON)], measure(PLANTED_ON, planted=True))
    print(told(rows))
    rates = {(rule, what): rate for rule, what, rate, *_ in rows}
    assert rates["budget", "any_family"] <= SETTINGS.attention_athletes
    assert rates["budget", "any_adapt"] <= SETTINGS.adapt_by_chance


if __name__ == "__main__":
    main(sys.argv[1:])
