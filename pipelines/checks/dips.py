"""A stretch run far slower than those beside it: no sprint does that, a digit is missing or one too many."""

import numpy as np
import polars as pl

from pipelines.checks.chain import FAULT_SCHEMA, REP_KEY, runs_of
from pipelines.checks.faults import RECORD, SET_ASIDE

DIP_SHARE = 0.5  # of the speed before and after, below which no stretch of a sprint is run; own choice
FIRST_SHARE = 0.3  # ... of the stretch after it, for the first one, which a reaction may lengthen; own choice
FIRST_FROM_M = 5.0  # m; a shorter first stretch is mostly reaction and is not judged


def dip_faults(split: pl.DataFrame) -> pl.DataFrame:
    """Return the times of runs from a stretch on that is run at less than half the speed before and after it.

    v(k) = (d(k) - d(k-1)) / (t(k) - t(k-1)). Stretch k is a dip where v(k) < 0.5 min(v(k-1), v(k+1)); the last one
    where v(k) < 0.5 v(k-1); the first one, from 5 m on, where v(1) < 0.3 v(2). Its time and those after it in the run,
    which are counted on from it, are faults. Runs of one gate are not judged.

    Args:
        split: athlete_id, session_date, session_no, rep_no, distance_m, elapsed_s, _row, _part, _header.
    """
    none = pl.DataFrame(schema=FAULT_SCHEMA)
    if split.height < 2 or not {*REP_KEY, "distance_m", "elapsed_s"} <= set(split.columns):
        return none
    runs = runs_of(split)
    distance, elapsed = runs.distance, runs.elapsed
    first = np.zeros(len(distance), dtype=bool)
    first[runs.starts] = True
    last = np.append(first[1:], True)
    metres, seconds = distance - runs.distance_before, elapsed - runs.elapsed_before
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = np.where(seconds > 0, metres / seconds, np.inf)
    before = np.concatenate(([np.inf], speed[:-1]))
    after = np.append(speed[1:], np.inf)
    middle = ~first & ~last & (speed < DIP_SHARE * np.minimum(before, after))
    ends = ~first & last & (speed < DIP_SHARE * before)
    starts = first & ~last & (distance >= FIRST_FROM_M) & (speed < FIRST_SHARE * after)
    dips = middle | ends | starts
    if not dips.any():
        return none
    found: list[tuple[int, int, str, str, str, str]] = []
    bounds = np.append(runs.starts, len(distance))
    run_of = np.cumsum(first) - 1
    for run in np.unique(run_of[dips]):
        begin, end = int(bounds[run]), int(bounds[run + 1])
        at = begin + int(np.flatnonzero(dips[begin:end])[0])
        start = 0.0 if first[at] else distance[at - 1]
        beside = [f"{v:.1f} m/s" for v in (before[at] if at > begin else None, after[at] if at + 1 < end else None)
                  if v is not None]  # fmt: skip
        stretch = f"{start:g} to {distance[at]:g} m in {seconds[at]:.2f} s"
        why = (
            f"{stretch} is {speed[at]:.1f} m/s, beside {' and '.join(beside)}: no sprint slows so. It and the times "
            f"after it in this run are not stored. {SET_ASIDE} Look whether a digit is missing, and mend the cell."
        )
        for place in range(at, end):
            one = split.row(int(runs.order[place]), named=True)
            reason = why if place == at else (
                f"{stretch} is not possible, and this time is counted on from it. {SET_ASIDE} Mend that cell."
            )  # fmt: skip
            found.append((one["_row"], one["_part"], one["_header"], f"{elapsed[place]:g}", reason, RECORD))
    return pl.DataFrame(found, schema=FAULT_SCHEMA, orient="row")
