"""Stretches of a run that no sprint has between the stretches beside them: a digit missed, a point slipped.

The bounds of the record (0.5 to 13 m/s) let 5 m in 7.8 s pass; the run itself does not. A single such stretch makes
every later time of its run wrong, so these are set aside from there on.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.checks.chain import FAULT_SCHEMA, runs_of
from pipelines.checks.faults import RECORD, SET_ASIDE

# Shares of the speed beside it below which a stretch is none of a sprint; common practice, no source. A first stretch
# holds the reaction and the push off; at the end of a run somebody may have pulled up, which is true and stays.
BETWEEN, FIRST, LAST = 0.5, 0.3, 1 / 3
FIRST_FROM_M = 5.0  # m; a shorter first stretch is mostly reaction and is not judged
TWICE = 2.0  # times the speed of the faster of both neighbours
MOST_SHARE, ALWAYS_FEW = 0.2, 2  # odd runs of a sheet up to which they are slips; beyond, the sheet is of other running

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Stretches:
    """The stretches of the runs of a sheet, in order of run and distance."""

    order: npt.NDArray[np.int64]  # place in the frame
    run: npt.NDArray[np.int64]
    start_m: Floats
    end_m: Floats
    seconds: Floats

    @classmethod
    def of(cls, split: pl.DataFrame) -> "Stretches":
        """Lay out splits with times since the start."""
        runs = runs_of(split)
        first = np.zeros(len(runs.order), dtype=np.int64)
        first[runs.starts] = 1
        seconds = runs.elapsed - runs.elapsed_before
        return cls(runs.order, np.cumsum(first) - 1, runs.distance_before, runs.distance, seconds)

    def beside(self, speed: Floats, step: int) -> Floats:
        """Return the speed of the stretch before (-1) or after (1) in the same run, NaN where there is none."""
        other, is_same = np.full(len(speed), np.nan), self.run[1:] == self.run[:-1]
        to, of = (other[:-1], speed[1:]) if step > 0 else (other[1:], speed[:-1])
        np.copyto(to, of, where=is_same)  # in place: a long file has millions
        return other


def dip_faults(split: pl.DataFrame, notes: list[str]) -> pl.DataFrame:
    """Return the splits from the first stretch on that fits none beside it, as faults.

    Speed v = metres / seconds of each stretch. Odd: between two others, v under half of the slower or over twice the
    faster; the first, from 5 m on, under 0.3 of the next; the last, under a third of the one before. Where more than a
    fifth of the runs (and more than two) hold one, they are no slips: nothing is set aside, and a note says so.
    ``split``: sound rows with ``_header``, times since the start that rise.
    """
    if split.height < 2:
        return pl.DataFrame(schema=FAULT_SCHEMA)
    made = Stretches.of(split)
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = (made.end_m - made.start_m) / made.seconds
        before, after = made.beside(speed, -1), made.beside(speed, 1)
        inner = np.isfinite(before) & np.isfinite(after)
        odd = inner & ((speed < BETWEEN * np.minimum(before, after)) | (speed > TWICE * np.maximum(before, after)))
        odd |= np.isnan(before) & (made.end_m >= FIRST_FROM_M) & (speed < FIRST * after)
        odd |= np.isnan(after) & (speed < LAST * before)
    if not odd.any():
        return pl.DataFrame(schema=FAULT_SCHEMA)
    runs = int(made.run[-1]) + 1
    odd_runs = np.unique(made.run[odd])
    if len(odd_runs) > max(ALWAYS_FEW, MOST_SHARE * runs):
        notes.append(
            f"In {len(odd_runs)} of {runs} runs a stretch is far slower or faster than those beside it; as that is so "
            "often, they were stored as written."
        )
        return pl.DataFrame(schema=FAULT_SCHEMA)
    rows, parts, headers = (split[name].to_list() for name in ("_row", "_part", "_header"))
    elapsed = split["elapsed_s"].to_list()
    found = []
    for run in odd_runs:
        places = np.flatnonzero(made.run == run)
        first = places[odd[places]][0]
        said = _say(made, int(first), speed, float(before[first]), float(after[first]))
        later = f"{_stretch(made, int(first))} is not possible, and this time is counted on from it."
        for place in places[places >= first]:
            at = int(made.order[place])
            why = said if place == first else f"{later} {SET_ASIDE} Mend that cell."
            found.append((rows[at], parts[at], headers[at], f"{elapsed[at]:g}", why, RECORD))
    return pl.DataFrame(found, schema=FAULT_SCHEMA, orient="row")


def _stretch(made: Stretches, place: int) -> str:
    return f"{made.start_m[place]:g} to {made.end_m[place]:g} m in {made.seconds[place]:.2f} s"


def _say(made: Stretches, place: int, speed: Floats, before: float, after: float) -> str:
    beside = " and ".join(f"{one:.1f} m/s" for one in (before, after) if np.isfinite(one))
    return (
        f"{_stretch(made, place)} is {speed[place]:.1f} m/s, beside {beside}: no sprint goes so. It and the times "
        f"after it in this run are not stored. {SET_ASIDE} Look whether a digit is missing, and mend the cell."
    )
