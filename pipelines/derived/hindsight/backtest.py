"""The flag in force held against what followed, beside never, always, random at the same rate and history alone."""

import datetime as dt
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.derived.common.entered import KEY, add_known
from pipelines.derived.hindsight.counts import (
    LEAST_INJURIES,
    FlagTable,
    compute_base_rate,
    compute_exact,
    compute_false_per_hit,
    compute_lift,
    compute_ppv,
    compute_sensitivity,
    compute_specificity,
    compute_wilson,
    divide,
    say_verdict,
)
from pipelines.derived.hindsight.replay import counted_injuries
from schemas.settings import SquadSettings, version_of
from schemas.vocabulary import BACKTEST_RULES

FLAG_RULE = "at least one of the four families speaks"  # what counts as a flag; chosen before any look back
DRAWS = 2000  # times the athletes are drawn anew; fixed, so that the same record gives the same interval
SEED = 20260105  # of those draws; any number would do
SHARES = ("sensitivity", "specificity", "ppv")
Counts = NDArray[np.int64]


def flag_backtest(
    flag_backtest_week: pl.DataFrame,
    injury: pl.DataFrame,
    entry_day: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Count how the flag in force did, beside rules that know less.

    Over the athlete-weeks judged: hits (flagged, injury within seven days), false flags, missed, quiet. sensitivity =
    hits / injuries; specificity = quiet / (quiet + false flags); ppv = hits / flagged; base rate = injuries / weeks;
    lift = ppv / base rate; false flags per hit; flags a week. Wilson and exact 95 % intervals take weeks as
    independent, which those of one athlete are not: so, from ten injuries on, also whole athletes drawn anew (2,000
    times, fixed start).

    Compared over the same weeks: the flag without a budget (every sign speaks for itself); never; always; random
    at the same rate (each athlete's flags shuffled over their own weeks: the hits are then a sum of hypergeometric
    numbers, taken whole, and ``as_good_by_chance`` is the share of shuffles with as many hits or more); history alone
    (a hamstring injury of the last twelve months known). Flags acted on and not acted on stand apart: an injury that
    acting prevented looks like a false flag.

    Sources: "wilson_1927", "clopper_1934", "efron_1979", "permutation_test". Null: a share of nothing.
    Limits: under ten injuries nothing can be concluded. One rule, chosen beforehand: numbers tuned on a season must be
    judged on the next one. Thresholds changed today judge the past as if they had stood then; the version is named.
    """
    weeks = flag_backtest_week.sort("athlete_id", "week_of")
    judged = weeks.filter(pl.col("flagged").is_not_null())
    told = _describe(weeks, judged, injury, as_of)
    version = version_of(settings, "hamstring")
    entered = _say_entered(entry_day)
    rows = []
    for rule, flag in _flags(judged).items():
        table, counts = _count(judged, flag)
        row = _rates(rule, table, counts, told["weeks"])
        if rule == "flag_in_force":
            row["as_good_by_chance"] = compute_chance(counts)[1]
        rows.append(row)
    expected = compute_chance(_count(judged, judged["flagged"])[1])[0]
    rows.append(_random(rows[0], expected))
    rows += [_part(judged, rule, is_acted, told["weeks"]) for rule, is_acted in _PARTS]
    for row in rows:
        row["flags"] = row["hits"] + row["false_flags"]
        row["without_injury"] = None if row.get("quiet") is None else row["quiet"] + row["false_flags"]
        row["flagged_share"] = divide(row["flags"], told["judged"])
    common = {
        **told,
        "rule_version": f"{FLAG_RULE}; numbers {version}",
        "entered_sentence": entered,
        "sentence": _say(rows[0]["table"], told),
        "reason": "no_weeks_to_judge"
        if not told["judged"]
        else "too_few_injuries"
        if told["injuries"] < LEAST_INJURIES
        else None,
    }
    ordered = sorted(rows, key=lambda row: BACKTEST_RULES.index(row["rule"]))
    return pl.DataFrame([{name: {**common, **row}.get(name) for name in _SCHEMA} for row in ordered], schema=_SCHEMA)


_PARTS = (("acted_on", True), ("not_acted_on", False))


def _flags(judged: pl.DataFrame) -> dict[str, pl.Series]:
    return {
        "flag_in_force": judged["flagged"],
        "without_budget": judged["flagged_without_budget"],
        "history_alone": judged["history_flagged"],
        "always": pl.repeat(value=True, n=judged.height, eager=True, dtype=pl.Boolean),
        "never": pl.repeat(value=False, n=judged.height, eager=True, dtype=pl.Boolean),
    }


def _count(judged: pl.DataFrame, flag: pl.Series) -> tuple[FlagTable, Counts]:
    """Return the table of a rule, and hits, false flags, missed and quiet of each athlete."""
    followed = pl.col("injured_on").is_not_null()
    counts = (
        judged.with_columns(_flag=flag)
        .group_by("athlete_id", maintain_order=True)
        .agg(
            (pl.col("_flag") & followed).sum().cast(pl.Int64).alias("hits"),
            (pl.col("_flag") & ~followed).sum().cast(pl.Int64).alias("false_flags"),
            (~pl.col("_flag") & followed).sum().cast(pl.Int64).alias("missed"),
            (~pl.col("_flag") & ~followed).sum().cast(pl.Int64).alias("quiet"),
        )
        .drop("athlete_id")
        .to_numpy()
        .reshape(-1, 4)
    )
    return FlagTable(*(int(n) for n in counts.sum(axis=0))), counts


def compute_chance(counts: Counts) -> tuple[float, float | None]:
    """Return the hits to expect of flags shuffled within each athlete, and the share of shuffles at least as good.

    ``counts``: hits, false flags, missed, quiet of each athlete. An athlete with n weeks, k flags and m injuries hits
    h times with probability C(m, h) C(n - m, k - h) / C(n, k); athletes are added up by convolution. Source:
    "permutation_test". The share is null without an injury.
    """
    found = int(counts[:, 0].sum()) if len(counts) else 0
    expected, spread = 0.0, np.ones(1)
    for hits, false_flags, missed, quiet in counts.tolist():
        injuries, flags = hits + missed, hits + false_flags
        total = injuries + false_flags + quiet
        if injuries:
            expected += injuries * flags / total
            spread = np.convolve(spread, _hypergeometric(total, flags, injuries))
    if len(spread) == 1:
        return expected, None
    return expected, min(1.0, float(spread[found:].sum()))


def _hypergeometric(total: int, flags: int, injuries: int) -> NDArray[np.float64]:
    from math import comb

    ways = comb(total, flags)
    return np.array(
        [comb(injuries, h) * comb(total - injuries, flags - h) / ways if h <= flags else 0.0
         for h in range(injuries + 1)]
    )  # fmt: skip


def draw_athletes(counts: Counts, draws: int = DRAWS, seed: int = SEED) -> dict[str, tuple[float, float]]:
    """Return 95 % intervals of the shares and the lift from athletes drawn anew with replacement.

    Each draw takes as many athletes as there are, whole, with all their weeks. Percentiles 2.5 and 97.5; a draw in
    which a share has nothing to divide by is left out of that share. Source: "efron_1979".
    """
    rng = np.random.default_rng(seed)
    taken = rng.multinomial(len(counts), np.full(len(counts), 1 / len(counts)), size=draws)
    hits, false_flags, missed, quiet = (taken @ counts).astype(float).T
    with np.errstate(divide="ignore", invalid="ignore"):
        ppv = hits / (hits + false_flags)
        found = {
            "sensitivity": hits / (hits + missed),
            "specificity": quiet / (quiet + false_flags),
            "ppv": ppv,
            "lift": ppv * (hits + false_flags + missed + quiet) / (hits + missed),
        }
    known = {name: values[np.isfinite(values)] for name, values in found.items()}
    return {
        name: (float(np.percentile(values, 2.5)), float(np.percentile(values, 97.5)))
        for name, values in known.items()
        if len(values)
    }


def _rates(rule: str, table: FlagTable, counts: Counts, weeks: int) -> dict[str, Any]:
    row: dict[str, Any] = {
        "rule": rule, "table": table, "hits": table.hits, "false_flags": table.false_flags, "missed": table.missed,
        "quiet": table.quiet, "sensitivity": compute_sensitivity(table), "specificity": compute_specificity(table),
        "ppv": compute_ppv(table), "base_rate": compute_base_rate(table), "lift": compute_lift(table),
        "false_per_hit": compute_false_per_hit(table), "flags_a_week": divide(table.flagged, weeks),
    }  # fmt: skip
    parts = {
        "sensitivity": (table.hits, table.injuries),
        "specificity": (table.quiet, table.quiet + table.false_flags),
        "ppv": (table.hits, table.flagged),
    }
    for name, (count, of) in parts.items():
        _add_interval(row, f"{name}_wilson", compute_wilson(count, of))
        _add_interval(row, f"{name}_exact", compute_exact(count, of))
    if table.injuries >= LEAST_INJURIES:
        for name, interval in draw_athletes(counts).items():
            _add_interval(row, f"{name}_athletes", interval)
    return row


def _add_interval(row: dict[str, Any], name: str, interval: tuple[float, float] | None) -> None:
    if interval is not None:
        row[f"{name}_low"], row[f"{name}_high"] = interval


def _random(flag: dict[str, Any], expected: float) -> dict[str, Any]:
    """Return the row of flags drawn at random at the same rate: what to expect of them."""
    table: FlagTable = flag["table"]
    false_flags, missed = table.flagged - expected, table.injuries - expected
    ppv, base_rate = divide(expected, table.flagged), flag["base_rate"]
    quiet = table.total - table.flagged - missed
    return {
        "rule": "random", "hits": expected, "false_flags": false_flags, "missed": missed, "quiet": quiet,
        "sensitivity": divide(expected, table.injuries), "specificity": divide(quiet, quiet + false_flags), "ppv": ppv,
        "base_rate": base_rate, "lift": divide(ppv, base_rate) if ppv is not None and base_rate else None,
        "false_per_hit": divide(false_flags, expected), "flags_a_week": flag["flags_a_week"],
    }  # fmt: skip


def _part(judged: pl.DataFrame, rule: str, is_acted: bool, weeks: int) -> dict[str, Any]:
    """Return the row of the flags that were acted on, or were not: only what followed a flag can be said of them."""
    part = judged.filter(pl.col("flagged") & (pl.col("acted") == is_acted))
    hits = part["injured_on"].count()
    row: dict[str, Any] = {
        "rule": rule, "hits": hits, "false_flags": part.height - hits, "ppv": divide(hits, part.height),
        "false_per_hit": divide(part.height - hits, hits), "flags_a_week": divide(part.height, weeks),
    }  # fmt: skip
    _add_interval(row, "ppv_wilson", compute_wilson(hits, part.height))
    _add_interval(row, "ppv_exact", compute_exact(hits, part.height))
    return row


def _describe(weeks: pl.DataFrame, judged: pl.DataFrame, injury: pl.DataFrame, as_of: dt.date) -> dict[str, Any]:
    counts = dict(weeks.group_by("outcome", maintain_order=True).len().iter_rows())
    left_out, unjudged = counts.get("left_out", 0), counts.get("no_flag_possible", 0)
    first, last = weeks["week_of"].min(), weeks["week_of"].max()
    in_time = counted_injuries(injury).filter(pl.col("injured_on") <= as_of)
    if isinstance(first, dt.date) and isinstance(last, dt.date):
        in_time = in_time.filter(pl.col("injured_on").is_between(first, last + dt.timedelta(days=6)))
    followed = weeks.filter(pl.col("injured_on").is_not_null())
    unjudged_injuries = followed.filter(pl.col("outcome") == "no_flag_possible").height
    injuries = judged.filter(pl.col("injured_on").is_not_null()).height
    return {
        "first_week_of": first,
        "last_week_of": last,
        "weeks": weeks["week_of"].n_unique(),
        "athletes": judged["athlete_id"].n_unique(),
        "judged": judged.height,
        "no_flag_possible": unjudged,
        "left_out": left_out,
        "coverage": divide(judged.height, judged.height + unjudged),
        "injuries": injuries,
        "injuries_unjudged": unjudged_injuries,
        "injuries_not_counted": in_time.height - injuries - unjudged_injuries if weeks.height else 0,
    }


def _say(table: FlagTable, told: dict[str, Any]) -> str:
    if not told["judged"]:
        return "No past week can be judged yet: nothing can be concluded."
    many = f"{told['weeks']} {'week' if told['weeks'] == 1 else 'weeks'}"
    if table.injuries < LEAST_INJURIES:
        injuries = f"{table.injuries} {'injury' if table.injuries == 1 else 'injuries'}"
        return f"{injuries} in {many}: nothing can be concluded."
    return f"In {many}: {say_verdict(table)}"


def _say_entered(entry_day: pl.DataFrame) -> str:
    """Say how far it is told what was known at the time."""
    known = add_known(entry_day.select(*KEY, "entered_on"))
    if known.is_empty():
        return "Nothing has been entered yet."
    bulk = known.filter(pl.col("entered") == "in_one_go")
    late = known.filter(pl.col("entered") == "late").height
    said = []
    if bulk.height:
        days = bulk["entered_on"].unique().sort()
        when = _say_day(days[0]) if len(days) == 1 else f"{len(days)} days, {_say_day(days[0])} to {_say_day(days[-1])}"
        some = (
            f"{_say_count(bulk.height)} of {_say_count(known.height)} entries (all of an athlete, table and day) were "
        )
        how_many = "" if bulk.height == known.height else some
        said.append(
            f"{how_many or 'It was all '}entered in one go on {when}: what was known at the time cannot be told; dates "
            "of the rows are used instead."
        )
    else:
        said.append("A row counts from the day it was entered.")
    if late:
        said.append(
            f"{_say_count(late)} of {_say_count(known.height)} entries came after their week was over; until then they "
            "count as missing."
        )
    return " ".join(said)


def _say_count(count: int) -> str:
    return f"{count:,}".replace(",", "\u202f")


def _say_day(day: dt.date) -> str:
    return f"{day.day} {day:%b %Y}"


_SCHEMA: dict[str, Any] = {
    "rule": pl.String, "rule_version": pl.String, "first_week_of": pl.Date, "last_week_of": pl.Date,
    **dict.fromkeys(
        ("weeks", "athletes", "judged", "no_flag_possible", "left_out"), pl.Int64
    ),
    "coverage": pl.Float64,
    **dict.fromkeys(("injuries", "injuries_unjudged", "injuries_not_counted"), pl.Int64),
    **dict.fromkeys(("flags", "flagged_share", "hits", "false_flags", "missed", "quiet", "without_injury"), pl.Float64),
    **{
        f"{share}{end}": pl.Float64
        for share in SHARES
        for end in ("", "_wilson_low", "_wilson_high", "_exact_low", "_exact_high", "_athletes_low", "_athletes_high")
    },
    **dict.fromkeys(
        ("base_rate", "lift", "lift_athletes_low", "lift_athletes_high", "false_per_hit", "flags_a_week",
         "as_good_by_chance"),
        pl.Float64,
    ),
    "entered_sentence": pl.String, "sentence": pl.String, "reason": pl.String,
}  # fmt: skip
