"""Splits of a run: times rise with distance at a speed a person can run; else the longest chain that does is kept."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.checks.faults import RECORD, SET_ASIDE
from pipelines.checks.keys import key_code
from schemas.phrase import phrase
from schemas.speeds import FASTEST_MPS, SLOWEST_MPS

USUAL_MPS = 6.0  # m/s, about the mean speed of a sprint over its first 10 to 20 m; common practice, no source
SLOWING_SHARE = 0.85  # a stretch of a sprint is run at no less than this share of the speed of the one before
GAINING_M = 40.0  # m, up to here a sprint from a start gains speed from stretch to stretch; common practice, no source
CLEAR_MAJORITY = 5  # times as many runs must speak for one reading as for the other
REP_KEY = ["athlete_id", "session_date", "session_no", "rep_no"]


FAULT_SCHEMA = {
    "_row": pl.UInt32, "_part": pl.UInt32, "column": pl.String, "value": pl.String, "reason": pl.String,
    "holds": pl.String,
}  # fmt: skip


@dataclass(frozen=True)
class _Runs:
    """Splits in order of run and distance, as arrays."""

    order: np.ndarray  # position in the frame
    starts: np.ndarray  # first place of each run
    distance: np.ndarray
    elapsed: np.ndarray
    distance_before: np.ndarray  # 0 for the first split of a run
    elapsed_before: np.ndarray

    def each(self, runs: np.ndarray) -> Iterator[slice]:
        """Yield the places of some of the runs."""
        ends = np.append(self.starts[1:], len(self.order))
        for run in runs:
            yield slice(int(self.starts[run]), int(ends[run]))


def runs_of(split: pl.DataFrame) -> _Runs:
    """Return splits in order of run and distance, as arrays."""
    code = key_code(split, REP_KEY).to_numpy()
    distance = split["distance_m"].to_numpy()
    elapsed = split["elapsed_s"].to_numpy()
    in_order = bool(np.all((np.diff(code) > 0) | ((np.diff(code) == 0) & (np.diff(distance) >= 0))))
    order = np.arange(len(code)) if in_order else np.lexsort((distance, code))
    if not in_order:
        code, distance, elapsed = code[order], distance[order], elapsed[order]
    is_first = np.ones(len(code), dtype=bool)
    is_first[1:] = code[1:] != code[:-1]
    before, time_before = np.zeros(len(code)), np.zeros(len(code))
    np.copyto(before[1:], distance[:-1], where=~is_first[1:])
    np.copyto(time_before[1:], elapsed[:-1], where=~is_first[1:])
    return _Runs(order, np.flatnonzero(is_first), distance, elapsed, before, time_before)


def _is_possible(metres: np.ndarray, seconds: np.ndarray) -> np.ndarray:
    """Return whether a stretch can be run in a time: SLOWEST_MPS <= metres / seconds <= FASTEST_MPS, seconds > 0."""
    return (seconds > 0) & (metres <= FASTEST_MPS * seconds) & (metres >= SLOWEST_MPS * seconds)


def find_split_times(split: pl.DataFrame) -> str | None:
    """Return whether the times of splits are 'cumulative' or for each 'segment'; None where the data fit both.

    Read as cumulative, every stretch must be run at 0.5 to 13 m/s. Read as segments, so must each, and none may be
    slower than 85 % of the one before (up to 40 m: than the one before), since a sprint does not brake so.

    Source: physical bounds; the share is common practice, no source.
    """
    if split.height == 0:
        return "cumulative"
    runs = runs_of(split)
    metres = runs.distance - runs.distance_before
    cumulative = _is_possible(metres, runs.elapsed - runs.elapsed_before)
    speed = np.divide(metres, runs.elapsed, out=np.zeros_like(metres), where=runs.elapsed > 0)
    first = np.zeros(len(speed), dtype=bool)
    first[runs.starts] = True
    share = np.where(runs.distance <= GAINING_M, 1.0, SLOWING_SHARE)
    slower = ~first & (speed < share * np.concatenate(([0.0], speed[:-1])))
    segment = _is_possible(metres, runs.elapsed) & ~slower
    sizes = np.diff(np.append(runs.starts, len(runs.order)))
    several = sizes >= 2
    if not several.any():
        return "cumulative"
    as_cumulative = np.logical_and.reduceat(cumulative, runs.starts)[several]
    as_segment = np.logical_and.reduceat(segment, runs.starts)[several]
    only_cumulative = int((as_cumulative & ~as_segment).sum())
    only_segment = int((as_segment & ~as_cumulative).sum())
    if only_cumulative == only_segment == 0:
        return None if (as_cumulative & as_segment).any() else "cumulative"
    if only_cumulative >= CLEAR_MAJORITY * only_segment:
        return "cumulative"
    return "segment" if only_segment >= CLEAR_MAJORITY * only_cumulative else None


def sum_segments(split: pl.DataFrame) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Return splits whose times are for each stretch as times since the start, and the faults of those that cannot be.

    elapsed_s(d) = sum of the stretches up to d. A stretch said again counts once. A fault where a stretch before it is
    missing, or was said with two times: which of them is right nobody knows.
    """
    runs = runs_of(split)
    total = np.empty(len(runs.order))
    gates = np.unique(runs.distance)
    has_all = np.empty(len(runs.order), dtype=bool)  # no stretch before it is missing
    is_clear = np.empty(len(runs.order), dtype=bool)  # none before it was said with two times
    for places in runs.each(np.arange(len(runs.starts))):
        seconds = runs.elapsed[places]
        at, first, which = np.unique(runs.distance[places], return_index=True, return_inverse=True)
        before = np.concatenate(([0.0], np.cumsum(seconds[first])[:-1]))
        total[places] = before[which] + seconds
        has_all[places] = (at == gates[: len(at)])[which]
        at_odds = np.zeros(len(at), dtype=bool)
        at_odds[which[seconds != seconds[first][which]]] = True
        is_clear[places] = np.concatenate(([True], ~np.logical_or.accumulate(at_odds)[:-1]))[which]
    back = np.empty_like(runs.order)
    back[runs.order] = np.arange(len(runs.order))
    out = split.with_columns(elapsed_s=pl.Series(np.round(total[back], 6)))
    broken = out.with_columns(_has_all=pl.Series(has_all[back])).filter(pl.Series(~(has_all & is_clear)[back]))
    why = phrase(
        "the time of a stretch before it {}, so the time since the start cannot be summed. {}",
        pl.when("_has_all").then(pl.lit("stands in the file with two values")).otherwise(pl.lit("is missing")),
        pl.lit(SET_ASIDE),
    )  # fmt: skip
    faults = broken.select(
        "_row",
        "_part",
        holds=pl.lit(RECORD),
        column="_header",
        value=pl.col("elapsed_s").cast(pl.String),
        reason=why,
    )
    return out, faults


def chain_faults(split: pl.DataFrame) -> pl.DataFrame:
    """Return the splits that do not fit the longest consistent chain of their run, as faults.

    Two splits fit when the later one has the later time and the mean speed between them is 0.5 to 13 m/s; the start
    (0 m, 0 s) belongs to every chain. Of equally long chains the one whose most unusual
    speed is the least far from a usual one (by ratio) is kept. Two neighbours of which the one that is kept is earlier
    than the other, and which fit all the others where they are changed round, are both faults: nobody knows which time
    is whose.
    """
    if split.height == 0:
        return pl.DataFrame(schema=FAULT_SCHEMA)
    runs = runs_of(split)
    wrong = ~_is_possible(runs.distance - runs.distance_before, runs.elapsed - runs.elapsed_before)
    if not wrong.any():
        return pl.DataFrame(schema=FAULT_SCHEMA)
    bad_runs = np.flatnonzero(np.logical_or.reduceat(wrong, runs.starts))
    rows, headers = split["_row"].to_list(), split["_header"].to_list()
    parts = split["_part"].to_list()
    found: list[tuple[int, int, str, str, str, str]] = []
    for places in runs.each(bad_runs):
        distance, elapsed = runs.distance[places], runs.elapsed[places]
        kept = longest_chain(distance, elapsed)
        round_ = _changed_round(distance, elapsed, kept)
        for place in range(len(distance)):
            if place not in kept or place in round_:
                position = int(runs.order[places.start + place])
                why = _why_round(distance, elapsed, round_) if place in round_ else _why(distance, elapsed, place, kept)
                found.append((rows[position], parts[position], headers[position], f"{elapsed[place]:g}", why, RECORD))
    return pl.DataFrame(found, schema=FAULT_SCHEMA, orient="row")


def longest_chain(distance: np.ndarray, elapsed: np.ndarray) -> list[int]:
    """Return the places of the longest chain of splits that fit each other and the start, in order of distance."""
    metres, seconds = distance.tolist(), elapsed.tolist()  # plain numbers: a run has few splits
    best: list[tuple[int, float, int]] = []  # length of the chain that ends here, how odd it is, the split before
    for end in range(len(metres)):
        chosen = (0, 0.0, -1)
        speed = _speed(metres[end], seconds[end])
        if speed is not None:
            chosen = (1, _oddness(speed), -1)
        for before in range(end):
            length, odd, _ = best[before]
            speed = _speed(metres[end] - metres[before], seconds[end] - seconds[before]) if length else None
            if speed is None:
                continue
            odd = max(odd, _oddness(speed))
            if (-length - 1, odd) < (-chosen[0], chosen[1]):
                chosen = (length + 1, odd, before)
        best.append(chosen)
    place = min(range(len(best)), key=lambda at: (-best[at][0], best[at][1]), default=-1)
    chain: list[int] = []
    while place >= 0 and best[place][0]:
        chain.append(place)
        place = best[place][2]
    return chain[::-1]


def _oddness(speed: float) -> float:
    return abs(math.log(speed / USUAL_MPS))


def _speed(metres: float, seconds: float) -> float | None:
    """Return the mean speed over a stretch, None where nobody runs so."""
    if metres <= 0 or seconds <= 0:
        return None
    return metres / seconds if SLOWEST_MPS * seconds <= metres <= FASTEST_MPS * seconds else None


def _changed_round(distance: np.ndarray, elapsed: np.ndarray, kept: list[int]) -> list[int]:
    """Return the places of the two neighbours of a run that alone do not fit, and do where they are changed round."""
    left = [place for place in range(len(distance)) if place not in kept]
    if len(left) != 1:
        return []
    for first in (left[0] - 1, left[0]):
        if 0 <= first < len(distance) - 1 and elapsed[first] > elapsed[first + 1]:
            other = elapsed.copy()
            other[[first, first + 1]] = elapsed[[first + 1, first]]
            if len(longest_chain(distance, other)) == len(distance):
                return [first, first + 1]
    return []


def _why_round(distance: np.ndarray, elapsed: np.ndarray, places: list[int]) -> str:
    one, other = places
    return (
        f"{elapsed[one]:.2f} s stand at {distance[one]:g} m and {elapsed[other]:.2f} s at {distance[other]:g} m: they "
        f"look changed round. {SET_ASIDE} Write each below its gate."
    )


def _why(distance: np.ndarray, elapsed: np.ndarray, place: int, kept: list[int]) -> str:
    here = f"{distance[place]:g} m"
    step = f"{SET_ASIDE} Check the gate order and the time."
    before = max((other for other in kept if other < place), default=None)
    after = min((other for other in kept if other > place), default=None)
    if before is not None and elapsed[place] <= elapsed[before]:
        return (
            f"the time at {here} ({elapsed[place]:.2f} s) is not later than at {distance[before]:g} m "
            f"({elapsed[before]:.2f} s). {step}"
        )
    if after is not None and elapsed[place] >= elapsed[after]:
        return (
            f"the time at {here} ({elapsed[place]:.2f} s) is not earlier than at {distance[after]:g} m "
            f"({elapsed[after]:.2f} s). {step}"
        )
    metres, seconds = distance[place], elapsed[place]
    origin = "from the start"
    if before is not None:
        metres, seconds = metres - distance[before], seconds - elapsed[before]
        origin = f"from {distance[before]:g} m ({elapsed[before]:.2f} s)"
    speed = metres / seconds if seconds > 0 else float("inf")
    if not SLOWEST_MPS <= speed <= FASTEST_MPS or after is None:
        bound = f"more than the {FASTEST_MPS:g} m/s" if speed > FASTEST_MPS else f"less than the {SLOWEST_MPS:g} m/s"
        return (
            f"{elapsed[place]:.2f} s at {here} would need {speed:.1f} m/s {origin}, {bound} taken as possible. {step}"
        )
    speed = (distance[after] - distance[place]) / (elapsed[after] - elapsed[place])
    return (
        f"{elapsed[place]:.2f} s at {here} would need {speed:.1f} m/s from there to {distance[after]:g} m "
        f"({elapsed[after]:.2f} s), outside {SLOWEST_MPS:g} to {FASTEST_MPS:g} m/s. {step}"
    )
