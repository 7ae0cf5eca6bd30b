"""Two ways to start, tried over several sessions: B against A within days, and what dealing by lot alone would do."""

from collections.abc import Iterator
from itertools import combinations, product
from math import ceil, comb, prod
from typing import Any

import numpy as np
import numpy.typing as npt
import polars as pl
import scipy

from pipelines.derived.common.step_error import REP_KEY
from pipelines.derived.start.progress import MAIN_METRICS
from pipelines.derived.start.trend_runs import trend_runs
from schemas.derived.progress import SERIES_KEY
from schemas.derived.trial import StartTrialResult
from schemas.normal import NORMAL_95
from schemas.settings import SquadSettings

MOST_DEALINGS = 20_000  # ways to deal that are all looked at; beyond, as many are drawn by lot
LEAST_DEALINGS = 40  # below it even the farthest dealing, either way, is no rarer than one in twenty
SURE = 0.05
POWER_ERRORS = NORMAL_95 + 0.84  # standard errors of a difference that is seen four times of five
DRAWN_BY = 20261130  # seed of the lots: the same runs always give the same answer
WHERE = {"t_10_s": "10 m", "t_20_s": "20 m", "t_30_s": "30 m", "t_5_s": "5 m"}

Array = npt.NDArray[np.float64]
Day = tuple[Array, Array]  # times of A and of B


def start_trial_result(
    start_trial: pl.DataFrame,
    trial_lot: pl.DataFrame,
    sprint_profile: pl.DataFrame,
    start_phase: pl.DataFrame,
    rep: pl.DataFrame,
    split: pl.DataFrame,
    session: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
) -> pl.DataFrame:
    """Hold B against A within each day of a trial, and against all ways to deal the day's runs to A and B.

    difference = sum w_d (mean B - mean A of day d) / sum w_d, w_d = n_A n_B / (n_A + n_B), over days with both ways.
    difference_s_se^2 = s^2 / sum w_d, s^2 = pooled variance of runs of one way within a day (df = runs less two a day);
    95 %: t(df). p_chance: the share of dealings (each day's runs to A and B anew, as many of each as were run) whose
    difference is at least as large, either way: all of them up to 20,000, else 20,000 by lot, (1 + hits) / 20,001.
    One counted measure: the 10 m time (else 20, 30, 5 m), of the start, clock, timing and set-up with most days with
    both ways, by the same rules as the trend (``start_trend``). runs_to_see = 2 (2.8 s / change)^2 of each way.

    Where lots were drawn beforehand (``trial_lot``), runs_as_drawn counts the runs that were run as they say,
    the sessions of a trial and the runs of a session in their order.

    Units: s. Source: "fisher_1935" (randomisation within blocks), "student_1908". Null: difference with no day with
    both ways; errors without a degree of freedom. A word needs two days and 40 dealings: fewer cannot be rarer than one
    in twenty. Limits: the order of a day is in it where it was neither by lot nor in turn; it holds for nobody else.
    """
    if start_trial.is_empty():  # as of most athletes
        return StartTrialResult.no_rows()
    tables = [sprint_profile, start_phase, rep, split, session, athlete]
    profile, phase, *others = [table.join(start_trial, on="athlete_id", how="semi") for table in tables]
    runs = trend_runs(profile, phase, others[0], others[1], others[2], others[3]).filter(
        pl.col("metric").is_in(MAIN_METRICS)
    )
    drawn = _as_drawn(start_trial, trial_lot)
    rows = [
        _judge(key, group, drawn.get((str(key[0]), str(key[1])), (0, 0)), settings)
        for key, group in start_trial.select(*REP_KEY, "tried", "way")
        .join(runs.select(*SERIES_KEY, *REP_KEY[1:], "value"), on=REP_KEY, how="left")
        .sort("athlete_id", "tried", *REP_KEY[1:])
        .group_by("athlete_id", "tried", maintain_order=True)
    ]
    return pl.DataFrame(rows, schema=StartTrialResult.to_schema().types).sort("athlete_id", "tried")


def _as_drawn(start_trial: pl.DataFrame, trial_lot: pl.DataFrame) -> dict[tuple[str, str], tuple[int, int]]:
    """Return for each trial with lots how many of its runs have one, and how many were run as it says."""
    trial = ["athlete_id", "tried"]
    numbered = start_trial.sort(REP_KEY).with_columns(
        trial_session=pl.struct("session_date", "session_no").rank("dense").over(trial).cast(pl.Int64),
        trial_run=pl.col("rep_no").rank("ordinal").over([*trial, "session_date", "session_no"]).cast(pl.Int64),
    )
    lots = trial_lot.select(*trial, "trial_session", "trial_run", _lot="way")
    found = (
        numbered.join(lots, on=[*trial, "trial_session", "trial_run"], how="inner")
        .group_by(trial, maintain_order=True)
        .agg(drawn=pl.len(), kept=(pl.col("way") == pl.col("_lot")).sum())
    )
    return {(row["athlete_id"], row["tried"]): (row["drawn"], row["kept"]) for row in found.to_dicts()}


def _judge(
    key: tuple[object, ...], runs: pl.DataFrame, drawn: tuple[int, int], settings: SquadSettings
) -> dict[str, Any]:
    """Return the row of one trial; ``drawn``: its runs with a lot, and those run as it says."""
    whole = runs.select(REP_KEY).unique().height
    series, counted = _main_series(runs)
    days = [
        (
            day.filter(pl.col("way") == "a")["value"].to_numpy(),
            day.filter(pl.col("way") == "b")["value"].to_numpy(),
        )
        for _, day in counted.group_by("session_date", maintain_order=True)
    ]
    row: dict[str, Any] = {
        "athlete_id": key[0], "tried": key[1], **series,
        "first_on": counted["session_date"].min(), "last_on": counted["session_date"].max(),
        "days": len(days), "runs_a": sum(len(a) for a, _ in days), "runs_b": sum(len(b) for _, b in days),
        "runs_left_out": whole - counted.height, "dealings": 0, "runs_by_lot": drawn[0], "runs_as_drawn": drawn[1],
    }  # fmt: skip
    row |= _difference(days, settings.see_change_ms / 1000.0)
    row |= _dealt(days)
    few = "no_day_with_both" if not days else "one_day_only" if len(days) == 1 else None
    few = few or ("too_few_ways_to_deal" if row["dealings"] < LEAST_DEALINGS else None)
    if few is None and row["p_chance"] <= SURE:
        row |= {"word": "b_faster" if row["difference_s"] < 0 else "a_faster", "reason": None}
    else:
        row |= {"word": "cannot_tell", "reason": few or "chance_not_ruled_out"}
    return {**row, "sentence": _say(row, settings.see_change_ms)}


def _main_series(runs: pl.DataFrame) -> tuple[dict[str, Any], pl.DataFrame]:
    """Return the series with most days with both ways, and its runs on those days, in order."""
    both = pl.col("way").n_unique().over(*SERIES_KEY, "session_date") == 2
    counted = runs.drop_nulls("value").filter(both)
    if not counted.height:
        return dict.fromkeys(SERIES_KEY[1:]), counted
    order = {metric: place for place, metric in enumerate(MAIN_METRICS)}
    most = (
        counted.group_by(SERIES_KEY, maintain_order=True)
        .agg(days=pl.col("session_date").n_unique(), runs=pl.len())
        .with_columns(_place=pl.col("metric").replace_strict(order, return_dtype=pl.Int64))
        .sort("days", "_place", "runs", *SERIES_KEY[2:], descending=[True, False, True, *[False] * len(SERIES_KEY[2:])])
        .head(1)
        .select(SERIES_KEY)
    )
    chosen = counted.join(most, on=SERIES_KEY, how="semi", nulls_equal=True).sort(REP_KEY)
    return most.select(SERIES_KEY[1:]).row(0, named=True), chosen


def _difference(days: list[Day], change_s: float) -> dict[str, Any]:
    """Return difference, errors and plan."""
    names = ("difference_s", "difference_s_se", "difference_low_s", "difference_high_s", "run_sd_s", "runs_to_see")
    found: dict[str, Any] = dict.fromkeys(names)
    if not days:
        return found
    weight = _weights(days)
    difference = float(sum(w * (b.mean() - a.mean()) for w, (a, b) in zip(weight, days, strict=True)) / weight.sum())
    found["difference_s"] = difference
    freedom = sum(len(a) + len(b) - 2 for a, b in days)
    if freedom < 1:
        return found
    squares = sum(float(((part - part.mean()) ** 2).sum()) for day in days for part in day)
    spread = (squares / freedom) ** 0.5
    error = spread / float(weight.sum()) ** 0.5
    reach = float(scipy.special.stdtrit(freedom, 0.975)) * error
    return {
        "difference_s": difference, "difference_s_se": error,
        "difference_low_s": difference - reach, "difference_high_s": difference + reach,
        "run_sd_s": spread, "runs_to_see": max(1, ceil(2 * (POWER_ERRORS * spread / change_s) ** 2)),
    }  # fmt: skip


def _weights(days: list[Day]) -> Array:
    return np.array([len(a) * len(b) / (len(a) + len(b)) for a, b in days])


def _dealt(days: list[Day]) -> dict[str, Any]:
    """Return the share of dealings at least as far apart, and how many were looked at."""
    if not days:
        return {"p_chance": None, "dealings": 0}
    weight = _weights(days)
    share = weight / weight.sum()
    ways = prod(comb(len(a) + len(b), len(a)) for a, b in days)
    real = float(sum(s * (b.mean() - a.mean()) for s, (a, b) in zip(share, days, strict=True)))
    far = abs(real) - 1e-12  # the dealing that was run counts, whatever the order of adding
    if ways <= MOST_DEALINGS:
        each = [s * np.fromiter(_all_of(day), dtype=np.float64) for s, day in zip(share, days, strict=True)]
        found = np.array([sum(parts) for parts in product(*each)])
        return {"p_chance": float((np.abs(found) >= far).mean()), "dealings": ways}
    rng = np.random.default_rng(DRAWN_BY)
    total = np.zeros(MOST_DEALINGS)
    for s, (a, b) in zip(share, days, strict=True):
        pool = np.concatenate([a, b])
        dealt = rng.permuted(np.tile(pool, (MOST_DEALINGS, 1)), axis=1)
        total += s * (dealt[:, len(a) :].mean(axis=1) - dealt[:, : len(a)].mean(axis=1))
    hits = int((np.abs(total) >= far).sum())
    return {"p_chance": (1 + hits) / (1 + MOST_DEALINGS), "dealings": MOST_DEALINGS}


def _all_of(day: Day) -> Iterator[float]:
    """Yield mean B less mean A for every way to deal a day's runs."""
    pool = np.concatenate(day)
    whole, number = float(pool.sum()), len(day[0])
    for chosen in combinations(range(len(pool)), number):
        of_a = float(pool[list(chosen)].sum())
        yield (whole - of_a) / (len(pool) - number) - of_a / number


def _say(row: dict[str, Any], change_ms: float) -> str:
    """Say what was found, how surely, and what it takes to see the change of the settings."""
    if row["reason"] == "no_day_with_both":
        return "Cannot tell: no day on which both ways were run and timed alike; run both within one session."
    lot = ""
    if row["runs_by_lot"]:
        lot = f" Lots were drawn beforehand: {row['runs_as_drawn']} of {row['runs_by_lot']} runs were run as they say."
    where, days = WHERE[row["metric"]], row["days"]
    size = 1000 * row["difference_s"]
    reach = None if row["difference_high_s"] is None else 1000 * (row["difference_high_s"] - row["difference_s"])
    told = f"B {abs(size):.0f} ms {'faster' if size < 0 else 'slower'} than A at {where}"
    told += f" ± {reach:.0f}" if reach is not None else ""
    over = f"over {days} day{'s' if days > 1 else ''}, {row['runs_a']} runs of A and {row['runs_b']} of B"
    plan = f" To see {change_ms:.0f} ms: about {row['runs_to_see']} runs of each, in all." if row["runs_to_see"] else ""
    if row["reason"] == "one_day_only":
        return f"Cannot tell yet: {told}, {over}. A second session is needed.{plan}{lot}"
    if row["reason"] == "too_few_ways_to_deal":
        return f"Cannot tell yet: {told}, {over}: too few runs to rule chance out.{plan}{lot}"
    chance = 100 * row["p_chance"]
    said = f"in {chance:.0f} of 100" if chance >= 1 else "in under 1 of 100"
    dealt = f"dealt by lot, the same runs lie as far apart {said}"
    if row["word"] == "cannot_tell":
        return f"Cannot tell yet: {told}, {over}; {dealt}.{plan}{lot}"
    return f"{told}, {over}; {dealt}. For this athlete and these days.{plan}{lot}"
