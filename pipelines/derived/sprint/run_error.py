"""The error of one run in its named parts: the timing, and when the body really started to move.

Timing. sigma^2 of a kind of timing and start, from the whole squad: (10 sigma0^2 + sum RSS) / (10 + sum df), sigma0 the
noise usual for the timing. Of a session: (12 sigma^2 + sum RSS) / (12 + sum df), of the athlete's own runs by that
timing. Standard errors follow from it, times t(12 + sum df) / 1.96, so that 1.96 of them hold 95 of 100.

Time zero. Where the start rule is taken as known it is known to s only: a reaction time to 10 ms (it ends at a force
threshold, not at the first force), a first movement to 10 ms, a place behind the gate to 5 cm. The fit made anew with
the rule shifted gives the sensitivity b of ceiling and time constant, and s^2 b b' their covariance. Where the rule has
a spread of its own (unknown reaction, hand release, place not measured) the part is what that spread adds.

Sources: "normal_shrinkage" (pooling), "student_1908" (t), "common_practice" (10, 12 and the three s). The third part,
the model's own, is stated and not added (``model_late``).
"""

from dataclasses import replace
from typing import TypeAlias

import numpy as np
import polars as pl
import scipy

from pipelines.derived.common.resistance import was_run
from pipelines.derived.common.some_athletes import in_turn
from pipelines.derived.sprint.fit import POOR_RMSE_S, Fitted, Runs, fit_runs
from pipelines.derived.sprint.fit_core import quadratic_form
from pipelines.derived.sprint.model_late import lateness_of_runs, own_lateness
from pipelines.derived.sprint.motion import FloatArray
from pipelines.derived.sprint.time_zero import name_time_zero, set_up_runs, spread_splits, timing_noise
from schemas.normal import NORMAL_95

Parts: TypeAlias = dict[str, FloatArray]

NOISE_KEY = ["timing_kind", "start_kind"]
SESSION_KEY = ["athlete_id", "session_date", "timing_kind"]
PRIOR_FREEDOM = 10.0  # degrees of freedom that the usual noise of a timing counts as, source: "common_practice"
ROUNDS = 2  # in which the noise of runs whose start rule has a spread is asked again
POOL_FREEDOM = 12.0  # ... that the squad's noise counts as against a session's own, source: "common_practice"
# s, what the curve misses of one time, of a body with a force line and air drag (simulated: tests/bench). It is in the
# noise found, but where the clock has a spread it hides in the clock.
HIDDEN_S = 0.002
ZERO_SD_S = {"gun_reaction": 0.010, "first_movement": 0.010}  # s, source: "common_practice"
BEHIND_SD_M = 0.05  # m, the place of foot or hand behind a gate, source: "common_practice"
SHIFT_S, SHIFT_M = 0.001, 0.005  # steps of the sensitivity


def sprint_noise(rep_settled: pl.DataFrame, split_settled: pl.DataFrame, athlete: pl.DataFrame) -> pl.DataFrame:
    """Estimate the noise of one time per kind of timing and start, from how far the squad's times lie off their curves.

    noise^2 = (10 usual^2 + sum RSS) / (10 + sum df): RSS = sum of squared residuals of a run's fit, df = its splits
    (and a prior, where the start rule is one; asked again with the noise found) less its unknowns; usual = 0.010 s for
    light gates, 0.015 s for video or where it is not said. What the curve misses is in it. Runs of free start with a
    curve count; a residual above 0.05 s is a slip of entry, not noise, and does not.

    late_10: what the curve of the other gates reads the gate at 10 m later by, mean of the athletes' means, where time
    zero is known; null under twenty runs or three athletes.

    Units: s. Source: "normal_shrinkage", "earp_newton_2012" (usual). From whole weeks, so that a run of today moves no
    other athlete's errors. No row for hand times, and none where no such run has a split to spare.
    """
    rep = rep_settled.filter(
        (pl.col("timing_kind") != "hand").fill_null(True)
        & was_run()
        & (pl.col("start_kind") != "rolling").fill_null(True)
    ).sort("athlete_id", "session_date", "session_no", "rep_no")
    some = [_Fits(part, athlete, split) for part, split in in_turn(rep, split_settled)]
    told = pl.concat([part.told for part in some])
    found = _pooled(told)
    # Where the start rule has a spread, how far a run is off it counts in units of the noise: with the noise usual for
    # the timing in the place of a better squad's own it would count too much, so those are asked again.
    for _ in range(ROUNDS if any(len(part.open_rows) for part in some) else 0):
        told = pl.concat([part.asked_again(found) for part in some])
        found = _pooled(told)
    late = own_lateness(told, np.concatenate([part.late for part in some]), NOISE_KEY)
    return (
        found.join(late, on=NOISE_KEY, how="left", nulls_equal=True)
        .with_columns(pl.col("late_10_runs").fill_null(0))
        .sort(NOISE_KEY)
    )


class _Fits:
    """The fits of some athletes' runs: ``told`` is what they say of the noise, a row a run."""

    def __init__(self, rep: pl.DataFrame, athlete: pl.DataFrame, split: pl.DataFrame) -> None:
        usual, time_zero = timing_noise(rep), name_time_zero(rep)
        runs = set_up_runs(rep, athlete, spread_splits(rep, split), time_zero, usual)
        squares, freedom = misfit(fit_runs(runs, noise="known"), runs)
        self.open_rows = np.flatnonzero((runs.offset_sd_s > 0) & np.isfinite(runs.offset_sd_s))
        self.open_runs = runs.rows(self.open_rows)
        self.late = lateness_of_runs(runs, time_zero)
        self.told = rep.select("athlete_id", *NOISE_KEY).with_columns(
            _squares=pl.Series(squares), _freedom=pl.Series(freedom), usual_s=pl.Series(usual)
        )

    def asked_again(self, found: pl.DataFrame) -> pl.DataFrame:
        """Return ``told``, once the runs whose start rule has a spread are fitted with the squad's own noise."""
        if len(self.open_rows):
            own = noise_of(self.told, found)[self.open_rows]
            again = replace(self.open_runs, noise_s=own)
            squares, freedom = (self.told[name].to_numpy().copy() for name in ("_squares", "_freedom"))
            squares[self.open_rows], freedom[self.open_rows] = misfit(fit_runs(again, noise="known"), again)
            self.told = self.told.with_columns(_squares=pl.Series(squares), _freedom=pl.Series(freedom))
        return self.told


def _pooled(told: pl.DataFrame) -> pl.DataFrame:
    """Return the noise of one time per kind of timing and start, drawn to what is usual."""
    found = (
        told.filter(pl.col("_freedom") > 0)
        .group_by(NOISE_KEY, maintain_order=True)
        .agg(
            runs=pl.len().cast(pl.Int64),
            freedom=pl.col("_freedom").sum().cast(pl.Int64),
            usual_s=pl.col("usual_s").first(),
            _squares=pl.col("_squares").sum(),
        )
    )
    pooled = (PRIOR_FREEDOM * pl.col("usual_s") ** 2 + pl.col("_squares")) / (PRIOR_FREEDOM + pl.col("freedom"))
    return found.select(*NOISE_KEY, "runs", "freedom", "usual_s", noise_s=pooled.sqrt())


def misfit(fitted: Fitted, runs: Runs) -> tuple[FloatArray, FloatArray]:
    """Return each run's sum of squares beyond the fit in s^2 and its degrees of freedom; 0 where it says nothing."""
    squares = fitted.chi_square * runs.noise_s**2
    said = np.isfinite(squares) & (fitted.degrees > 0) & (fitted.rmse_s <= POOR_RMSE_S)
    said &= fitted.ended_as("converged", "vmax_not_identified")
    return np.where(said, squares, 0.0), np.where(said, fitted.degrees, 0.0)


def noise_of(rep: pl.DataFrame, sprint_noise: pl.DataFrame) -> FloatArray:
    """Return the squad's noise of one time for each run; the usual one where the squad has none."""
    known = sprint_noise.select(*NOISE_KEY, "noise_s")
    found = rep.select(NOISE_KEY).join(known, on=NOISE_KEY, how="left", nulls_equal=True, maintain_order="left")
    own = found["noise_s"].to_numpy().astype(np.float64)
    return np.where(np.isfinite(own), own, timing_noise(rep))


def with_hidden(runs: Runs) -> Runs:
    """Return runs with the noise that is known of them; where the clock has a spread, what the curve misses added."""
    return replace(runs, noise_s=np.where(runs.offset_sd_s > 0, np.hypot(runs.noise_s, HIDDEN_S), runs.noise_s))


def put_errors(rep: pl.DataFrame, fitted: Fitted, runs: Runs, time_zero: np.ndarray) -> Parts:
    """Write the whole covariance of ceiling and time constant into the fits; return its parts, timing and time zero.

    ``fitted`` was made with noise="known" and the squad's noise. Each part is (runs, 2, 2).
    """
    squares, freedom = misfit(fitted, runs)
    own = rep.select(SESSION_KEY).with_columns(_squares=pl.Series(squares), _freedom=pl.Series(freedom))
    session = own.select(pl.col("_squares", "_freedom").sum().over(SESSION_KEY))
    more = session["_freedom"].to_numpy().astype(np.int64)
    df = POOL_FREEDOM + more
    reach = scipy.special.stdtrit(POOL_FREEDOM + np.arange(more.max(initial=0) + 1), 0.975)[more]  # few differ
    variance = (POOL_FREEDOM * runs.noise_s**2 + session["_squares"].to_numpy()) / df
    wider = variance / runs.noise_s**2 * (reach / NORMAL_95) ** 2

    both = fitted.covariance[:, :2, :2].copy()
    held = _hold_rule(fitted, runs)
    timing = held * wider[:, None, None]
    zero = both - held + _known_rule(fitted, runs, time_zero)
    fitted.covariance *= wider[:, None, None]
    fitted.covariance[:, :2, :2] = timing + zero
    return {"timing": timing, "zero": zero}


def _hold_rule(fitted: Fitted, runs: Runs) -> FloatArray:
    """Return the covariance of ceiling and time constant if the start rule were known to be what the fit found."""
    held = fitted.covariance[:, :2, :2].copy()
    open_rule = (runs.offset_sd_s > 0) | np.isnan(runs.behind_m)
    rows = np.flatnonzero(open_rule & np.isfinite(fitted.tau_s) & np.isfinite(fitted.behind_m))
    if not len(rows):
        return held
    some = runs.rows(rows)
    known = replace(
        some,
        offset_mean_s=fitted.offset_s[rows],
        offset_sd_s=np.zeros(len(rows)),
        offset_most_s=np.full(len(rows), np.inf),
        behind_m=fitted.behind_m[rows],
    )
    found = fit_runs(known, noise="known").covariance[:, :2, :2]
    held[rows] = np.where(np.isfinite(found), found, held[rows])
    return held


def _known_rule(fitted: Fitted, runs: Runs, time_zero: np.ndarray) -> FloatArray:
    """Return s^2 b b' of the runs whose start rule is taken as known; 0 for the others."""
    part = np.zeros((len(fitted.tau_s), 2, 2))
    for rule in ("gun_reaction", "first_movement", "gate_known"):
        rows = np.flatnonzero((time_zero == rule) & np.isfinite(fitted.tau_s))
        if not len(rows):
            continue
        some = runs.rows(rows)
        if rule == "gate_known":
            moved = replace(some, behind_m=some.behind_m + SHIFT_M)
            steps = BEHIND_SD_M / SHIFT_M
        else:
            moved = replace(some, offset_mean_s=some.offset_mean_s + SHIFT_S)
            steps = ZERO_SD_S[rule] / SHIFT_S
        again = fit_runs(moved, noise="known")
        b = steps * np.stack([again.vmax_mps - fitted.vmax_mps[rows], again.tau_s - fitted.tau_s[rows]], axis=1)
        b = np.where(np.isfinite(b), b, 0.0)
        part[rows] = b[:, :, None] * b[:, None, :]
    return part


def part_errors(slope: FloatArray, parts: Parts) -> dict[str, FloatArray]:
    """Return the standard error of a value from each part, by its slopes on ceiling and time constant."""
    return {word: np.sqrt(np.maximum(quadratic_form(slope, part), 0.0)) for word, part in parts.items()}
