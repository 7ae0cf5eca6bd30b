"""The top speed of a run and the athlete's own best of them: neither too fast for being the largest of many."""

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.sprint.time_zero import NOISE_S, NOISE_UNKNOWN_S

Array = npt.NDArray[np.float64]
Days = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

REP = ["athlete_id", "session_date", "session_no", "rep_no"]
TOP_OVER_M = 20.0  # m, a stretch that long halves what timing does to a speed over 10 m, own rule
MOST_SECTIONS = 4  # sections a stretch is made of: gates every 5 m make 20 m of it
NEAR_TOP = 0.97  # share of the largest from which a run counts as one of the fast ones, own rule
BEST_DAYS = 365
DAYS_AT_ONCE = 64
TINY_M = 1e-6


def find_tops(sections: pl.DataFrame) -> pl.DataFrame:
    """Return one row per run: its fastest mean speed over 20 m, or over the longest stretch there is, and its variance.

    Stretches are of up to four sections one after the other. Variance from timing alone: 2 (noise v / time)^2.
    """
    rows = sections.sort(*REP, "distance_m")
    noise = pl.col("timing_kind").replace_strict(NOISE_S, default=NOISE_UNKNOWN_S, return_dtype=pl.Float64)
    runs = rows.group_by(REP, maintain_order=True).agg(
        noise.first().alias("_noise"), pl.col("is_far").any(), pl.len().alias("_sections")
    )
    if not runs.height:
        return runs.select(*REP, pl.lit(0.0).alias("top_mps"), pl.lit(0.0).alias("_variance"), "is_far")
    number = runs["_sections"].to_numpy().astype(np.int64)
    first = np.concatenate([[0], np.cumsum(number)[:-1]])
    distance, length, time = (rows[name].to_numpy().astype(np.float64) for name in ("distance_m", "length_m", "time_s"))
    length_of, time_of = _stretches(distance, length, time, np.arange(len(rows)) - np.repeat(first, number))
    longest = np.maximum.reduceat(length_of.max(axis=1), first)
    least = np.repeat(np.minimum(longest, TOP_OVER_M), number) - TINY_M
    # the shortest that is long enough and ends at the gate
    enough = length_of >= least[:, None]
    place = enough.argmax(axis=1)
    at = np.arange(len(rows))
    speed = np.where(enough.any(axis=1), length_of[at, place] / time_of[at, place], -np.inf)
    top = np.maximum.reduceat(speed, first)
    fastest = np.flatnonzero(speed == np.repeat(top, number))
    _, of_run = np.unique(np.repeat(np.arange(len(first)), number)[fastest], return_index=True)
    chosen = fastest[of_run]  # of equally fast ones the first
    variance = 2.0 * (runs["_noise"].to_numpy() * top / time_of[chosen, place[chosen]]) ** 2
    return runs.select(
        *REP, pl.Series("top_mps", top, dtype=pl.Float64), pl.Series("_variance", variance, dtype=pl.Float64), "is_far"
    )


def _stretches(distance: Array, length: Array, time: Array, place: npt.NDArray[np.int64]) -> tuple[Array, Array]:
    """Return length and time of the stretches of one to four sections that end with each; length -inf where none does.

    ``place``: which section of its run each is, from 0. Sections follow each other where their lengths fill the way.
    """
    lengths, times = np.full((len(length), MOST_SECTIONS), -np.inf), np.ones((len(length), MOST_SECTIONS))
    whole, lasted = np.zeros(len(length)), np.zeros(len(length))
    for back in range(MOST_SECTIONS):
        at = np.maximum(np.arange(len(length)) - back, 0)
        whole, lasted = whole + length[at], lasted + time[at]
        follows = (place >= back) & (np.abs(distance - distance[at] + length[at] - whole) < TINY_M)
        lengths[:, back] = np.where(follows, whole, -np.inf)
        times[:, back] = np.where(follows, lasted, 1.0)
    return lengths, times


def find_bests(tops: pl.DataFrame) -> pl.DataFrame:
    """Return own best per athlete and day with runs: of the 365 days up to it, the largest top, drawn in.

    best = m + B (largest - m): m = mean of the tops within 3 % of the largest, B = max(0, 1 - s^2 / S^2), S^2 their
    variance, s^2 = mean of what timing makes of it. One such run alone: its top. Source: "james_stein_1961".
    """
    rows = tops.sort(REP[:2])
    schema = {
        "athlete_id": pl.String, "session_date": pl.Date, "best": pl.Float64, "timed_days": pl.Int64,
        "is_start_only": pl.Boolean,
    }  # fmt: skip
    if not rows.height:
        return pl.DataFrame(schema=schema)
    day = rows["session_date"].to_physical().to_numpy().astype(np.int64)
    top, variance, far = (rows[name].to_numpy() for name in ("top_mps", "_variance", "is_far"))
    own = rows["athlete_id"].rle().struct.unnest()
    ends = own["len"].cast(pl.Int64).cum_sum().to_list()
    found, days_of = [], []
    for first, end in zip([0, *ends], ends, strict=False):
        one = _bests_of(day[first:end], top[first:end], variance[first:end], far[first:end])
        found.append(one)
        days_of.append(len(one[0]))
    days, best, timed, start_only = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return pl.DataFrame(
        {
            "athlete_id": own["value"].repeat_by(pl.Series(days_of)).explode(),
            "session_date": pl.Series(days, dtype=pl.Int32).cast(pl.Date),
            "best": best,
            "timed_days": pl.Series(timed, dtype=pl.Int64),
            "is_start_only": start_only,
        },
        schema=schema,
    )


def _bests_of(day: Days, top: Array, variance: Array, far: Flags) -> tuple[Days, Array, Days, Flags]:
    """Return days, bests, timed days and whether starts are all there was, of one athlete's runs in order of day.

    Some days at a time against the runs of their year: against the runs of all years it grew with their square.
    """
    days, begin, runs = np.unique(day, return_index=True, return_counts=True)
    best = np.empty(len(days))
    fast_days = np.unique(day[far])
    last_fast = np.searchsorted(fast_days, days, side="right")
    start_only = np.searchsorted(fast_days, days - BEST_DAYS, side="right") == last_fast
    # A run far below the best of its own day is near the best of no year.
    counts = top >= NEAR_TOP * np.repeat(np.maximum.reduceat(top, begin), runs)
    day, top, variance = day[counts], top[counts], variance[counts]
    for first in range(0, len(days), DAYS_AT_ONCE):
        some = days[first : first + DAYS_AT_ONCE]
        reach = slice(np.searchsorted(day, some[0] - BEST_DAYS, side="right"), np.searchsorted(day, some[-1], "right"))
        at, tops = day[reach], top[reach]
        known = (at[None, :] <= some[:, None]) & (at[None, :] > some[:, None] - BEST_DAYS)
        largest = np.where(known, tops[None, :], -np.inf).max(axis=1)
        near = known & (tops[None, :] >= NEAR_TOP * largest[:, None])
        number = near.sum(axis=1)
        middle = np.where(near, tops[None, :], 0.0).sum(axis=1) / number
        spread = (np.where(near, tops[None, :] - middle[:, None], 0.0) ** 2).sum(axis=1) / np.maximum(number - 1, 1)
        by_timing = np.where(near, variance[None, reach], 0.0).sum(axis=1) / number
        share = np.where(spread > 0, 1.0 - by_timing / np.where(spread > 0, spread, 1.0), 0.0).clip(0.0, 1.0)
        best[first : first + len(some)] = np.where(number > 1, middle + share * (largest - middle), largest)
    timed = np.searchsorted(days, days, side="right") - np.searchsorted(days, days - BEST_DAYS, side="right")
    return days, best, timed, start_only
