"""A step in everybody's time at once: a gate, a clock or the ground was changed, not the athletes (``start_shift``)."""

import datetime as dt

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.number_text import decimals
from pipelines.derived.start.noise import Grid, placed
from schemas.derived.noise import NOISE_KEY
from schemas.derived.progress import SERIES_KEY
from schemas.derived.shift import SHIFT_KEY, StartShift
from schemas.phrase import phrase

LEAST_STEP_S = 0.015  # s, about 10 cm of gate at 10 m; smaller steps are not told from training
LEAST_ATHLETES = 4
LEAST_SHARE = 0.75  # of the athletes timed on both sides whose step goes the same way by half of it
SURE = 4.0  # standard errors of the squad's step
LOOK_BACK_DAYS = 200
NEAR_BEFORE_DAYS, NEAR_AFTER_DAYS = 15.0, 8.0
APART_DAYS = 21.0  # of two steps told apart
MEDIAN_ERROR_FACTOR = 1.2533  # standard error of a median over that of a mean, source: "definition"
EPOCH = dt.date(1970, 1, 1)  # day 0 of a date as a number
CLASS = [name for name in NOISE_KEY if name != "age_group"]
TREND_READ = (*SERIES_KEY, "session_date", "observed")  # all that is read here of a wide table of days

Array = npt.NDArray[np.float64]


def start_shift(start_trend_settled: pl.DataFrame, start_noise: pl.DataFrame) -> pl.DataFrame:
    """Find the days from which on all athletes' gate times of a kind lie apart from before.

    Per athlete and day B: J = mean of the two days from B on less the mean of the two before; G = the same one step
    earlier or later, whichever is larger in J's direction (a ramp has it too, a step has not). step = median over the
    athletes of J less G's median; its error 1.2533 x neighbour SD x sqrt(2 / athletes). A shift: |step| at least 15 ms
    and 4 errors, in at least four athletes, three quarters of them by half of it. Of days within three weeks the one
    with the largest step. Looked for over 200 days, in times measured at a gate. One day after it is enough to hold
    words back: if the next day is as before, the step is gone and nothing was said.

    Units: s. Source: our own rule, "common_practice"; its false and true rates stand on Methods. No row where nothing
    stepped.
    """
    gates = start_trend_settled.filter(pl.col("measured_by").is_in(["gate", "gate_less_reaction"]))
    rows: list[dict[str, object]] = []
    if gates.height:
        since = gates["session_date"].max() - dt.timedelta(days=LOOK_BACK_DAYS)  # type: ignore[operator]
        noise = start_noise.group_by(CLASS, maintain_order=True).agg(pl.col("neighbour_sd").max())
        spread = dict(zip(noise.select(CLASS).rows(), noise["neighbour_sd"], strict=True))
        for key, group in gates.filter(pl.col("session_date") >= since).group_by(CLASS, maintain_order=True):
            for found in _steps(group, spread.get(key)):
                rows.append({**dict(zip(CLASS, key, strict=True)), **found})
    numbers = {
        "shift_on": pl.Date, "shift_s": pl.Float64, "shift_s_se": pl.Float64, "athletes": pl.Int64, "alike": pl.Int64,
    }  # fmt: skip
    frame = pl.DataFrame(rows, schema={**dict.fromkeys(CLASS, pl.String), **numbers})
    return frame.with_columns(sentence=_say(frame)).select(list(StartShift.to_schema().columns)).sort(SHIFT_KEY)


def _steps(days: pl.DataFrame, spread: float | None) -> list[dict[str, object]]:
    """Return the steps of one kind of time, the largest first and none within three weeks of a larger one."""
    points = placed(days.select(*SERIES_KEY, "session_date", "observed", _r=pl.lit(0.0)))
    grid = Grid(points, "_r")
    if spread is None or not spread > 0 or len(grid.y) < LEAST_ATHLETES:
        return []
    on = np.unique(grid.on[np.isfinite(grid.on)])[1:]
    jump, earlier, later, alone = _jumps(grid, on)
    seen = np.isfinite(jump).sum(axis=1)
    enough = seen >= LEAST_ATHLETES
    on, jump, earlier, later, alone, seen = (part[enough] for part in (on, jump, earlier, later, alone, seen))
    if not len(on):
        return []
    middle = np.nanmedian(jump, axis=1)
    side = np.sign(middle)
    along = np.zeros(len(on))
    for slope in (earlier, later):
        told = np.isfinite(slope).sum(axis=1) >= LEAST_ATHLETES
        along[told] = np.maximum(along[told], side[told] * np.nanmedian(slope[told], axis=1))
    step = side * (np.abs(middle) - along)
    # Two days before; two after, or the one there is so far.
    error = MEDIAN_ERROR_FACTOR * spread * np.sqrt((1.0 + 0.5 * alone / seen) / seen)
    alike = (side[:, None] * np.nan_to_num(jump) >= np.abs(step)[:, None] / 2).sum(axis=1)
    found = (np.abs(middle) > along) & (np.abs(step) >= np.maximum(LEAST_STEP_S, SURE * error))
    found &= alike >= LEAST_SHARE * seen
    kept: list[int] = []
    for one in sorted(np.flatnonzero(found), key=lambda k: -abs(step[k])):
        if all(abs(on[one] - on[other]) > APART_DAYS for other in kept):
            kept.append(int(one))
    return [
        {
            "shift_on": EPOCH + dt.timedelta(days=int(on[k])), "shift_s": float(step[k]),
            "shift_s_se": float(error[k]), "athletes": int(seen[k]), "alike": int(alike[k]),
        }
        for k in kept
    ]  # fmt: skip


def _jumps(grid: Grid, on: Array) -> tuple[Array, Array, Array, Array]:
    """Return, per day and series, the jump at the day, and the same two days earlier and two days later.

    The fourth is how many series have one day alone since.

    NaN where the series was not run near enough to the day on both sides.
    """
    width = grid.y.shape[1]
    pairs = np.full((len(grid.y), width + 4), np.nan)  # mean of a day and the next; two blank columns at either end
    after_it = np.concatenate([grid.y[:, 1:], np.full((len(grid.y), 1), np.nan)], axis=1)
    pairs[:, 2 : width + 2] = np.where(np.isfinite(after_it), (grid.y + after_it) / 2, grid.y)
    at = np.stack([np.searchsorted(np.nan_to_num(row, nan=np.inf), on) for row in grid.on], axis=1)
    rows = np.arange(len(grid.y))[None, :]

    def mean_of(first: int) -> Array:
        return np.asarray(pairs[rows, np.clip(at + first + 2, 0, width + 3)])

    inside = (at > 0) & (at < width)
    with np.errstate(invalid="ignore"):
        after = grid.on[rows, np.minimum(at, width - 1)] - on[:, None]
        before = on[:, None] - grid.on[rows, np.maximum(at - 1, 0)]
        near = inside & (after < NEAR_AFTER_DAYS) & (before < NEAR_BEFORE_DAYS)
    sides = {first: mean_of(first) for first in (-4, -2, 0, 2)}
    jump, earlier, later = (np.where(near, sides[first + 2] - sides[first], np.nan) for first in (-2, -4, 0))
    days_of = np.isfinite(grid.y).sum(axis=1)[None, :]
    return jump, earlier, later, (np.isfinite(jump) & (at == days_of - 1)).sum(axis=1)


def _say(frame: pl.DataFrame) -> pl.Expr:
    step = pl.lit(decimals(frame["shift_s"] * 1000.0, 0, signed=True))
    return phrase(
        "Everybody's time stepped by {} ms on {} ({} of {} athletes): the gate, the clock or the ground was changed, "
        "not the athletes. Days before it are not compared with days after it",
        step,
        pl.col("shift_on").dt.strftime("%-d %b %Y"),
        "alike",
        "athletes",
    )
