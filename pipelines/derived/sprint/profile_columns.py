"""The columns of a run's profile that follow from its fit."""

from dataclasses import replace
from typing import TypeAlias

import numpy as np

from pipelines.derived.sprint.fit import BEHIND, OFFSET, TAU, VMAX, BoolArray, Fitted, Runs, fit_runs, is_one_of
from pipelines.derived.sprint.fit_core import quadratic_form
from pipelines.derived.sprint.motion import FloatArray, speed_at, time_at, time_slopes
from pipelines.derived.sprint.run_error import Parts, part_errors
from pipelines.derived.sprint.trust import Verdict, initial_acceleration
from schemas.normal import NORMAL_95

Columns: TypeAlias = dict[str, FloatArray]

TIMES_M = (5.0, 10.0, 20.0, 30.0)  # m, standardised times
SPEEDS_M = (5.0, 10.0)  # m, standardised speeds
NEAR_SHARE, FAR_SHARE = 0.5, 1.1  # a time is read off the curve from half the first gate to a tenth past the last
TIMES_DESPITE = ("vmax_not_identified", "wide_interval")  # poor, but a time of known zero still stands


def delta_error(slope: FloatArray, covariance: FloatArray) -> FloatArray:
    """Return the standard error of a value from its slopes (n, p) and the covariance (n, p, p): delta method."""
    return np.sqrt(np.maximum(quadratic_form(slope, covariance), 0.0))


def put_fit(columns: Columns, fitted: Fitted, runs: Runs, verdict: Verdict) -> None:
    """Write ceiling, time constant, clock offset and what follows from them alone."""
    kept = verdict.reason != "vmax_not_identified"
    a0, a0_se = initial_acceleration(fitted)
    hidden, hidden_se = _hidden_time(fitted, runs)
    has_tau = np.isfinite(fitted.tau_s)
    columns |= {
        "vmax_mps": np.where(kept, fitted.vmax_mps, np.nan),
        "vmax_mps_se": np.where(kept, fitted.standard_error(VMAX), np.nan),
        "tau_s": np.where(kept, fitted.tau_s, np.nan),
        "tau_s_se": np.where(kept, fitted.standard_error(TAU), np.nan),
        "time_offset_s": fitted.offset_s - hidden,
        "time_offset_s_se": np.where(has_tau, np.hypot(fitted.standard_error(OFFSET), hidden_se), np.nan),
        "behind_m": np.where(has_tau, fitted.behind_m, np.nan),
        "behind_m_se": np.where(has_tau, fitted.standard_error(BEHIND), np.nan),
        "a0_mps2": np.where(kept, a0, np.nan),
        "a0_mps2_se": np.where(kept, a0_se, np.nan),
        "rmse_s": fitted.rmse_s,
        "vmax_tau_correlation": np.where(has_tau & kept, fitted.correlation(), np.nan),
    }


def _hidden_time(fitted: Fitted, runs: Runs) -> tuple[FloatArray, FloatArray]:
    """Return t(d), the time between the body's start and the clock's, and its standard error; 0 where they agree."""
    behind = np.where(runs.flying, fitted.behind_m, 0.0)
    hidden = time_at(behind, fitted.vmax_mps, fitted.tau_s)
    by_vmax, by_tau = time_slopes(hidden, fitted.vmax_mps, fitted.tau_s)
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = speed_at(hidden, fitted.vmax_mps, fitted.tau_s)
        by_behind = np.where(speed > 0, 1.0 / speed, 0.0)
    slope = np.stack([by_vmax, by_tau, np.zeros(len(hidden)), by_behind], axis=1)
    slope = np.where(runs.flying[:, None], slope, 0.0)
    return hidden, delta_error(slope, fitted.covariance)


def put_times(columns: Columns, fitted: Fitted, runs: Runs, verdict: Verdict) -> None:
    """Write t_x and v_x at x metres of movement, where the fitted gates reach that far."""
    first = np.where(np.isfinite(runs.distance_m[:, 0]), runs.distance_m[:, 0], np.inf)
    last = np.where(np.isfinite(runs.distance_m), runs.distance_m, 0.0).max(axis=1)
    usable = (verdict.trust != "poor") | is_one_of(verdict.reason, TIMES_DESPITE)
    both = fitted.covariance[:, :2, :2]
    for x in sorted({*TIMES_M, *SPEEDS_M}):
        inside = usable & (x >= NEAR_SHARE * first) & (x <= FAR_SHARE * last)
        time = time_at(x, fitted.vmax_mps, fitted.tau_s)
        slope = np.stack(time_slopes(time, fitted.vmax_mps, fitted.tau_s), axis=1)
        if x in TIMES_M:
            columns[f"t_{x:.0f}_s"] = np.where(inside, time, np.nan)
            error = delta_error(slope, both)
            columns[f"t_{x:.0f}_s_se"] = np.where(inside, error, np.nan)
        if x in SPEEDS_M:
            left = np.exp(-time / fitted.tau_s)
            pull = fitted.vmax_mps * left / fitted.tau_s
            by_vmax = (1.0 - left) + pull * slope[:, 0]
            by_tau = pull * (slope[:, 1] - time / fitted.tau_s)
            slope_v = np.stack([by_vmax, by_tau], axis=1)
            columns[f"v_{x:.0f}_mps"] = np.where(inside, speed_at(time, fitted.vmax_mps, fitted.tau_s), np.nan)
            error = delta_error(slope_v, both)
            columns[f"v_{x:.0f}_mps_se"] = np.where(inside, error, np.nan)


def put_parts(columns: Columns, fitted: Fitted, parts: Parts) -> BoolArray:
    """Write the errors of ceiling, time constant and 10 m by their part; return which runs have a 10 m off the "
    "curve."""
    one, none = np.ones(len(fitted.tau_s)), np.zeros(len(fitted.tau_s))
    ten = np.stack(time_slopes(time_at(10.0, fitted.vmax_mps, fitted.tau_s), fitted.vmax_mps, fitted.tau_s), axis=1)
    for name, slope in (
        ("vmax_mps", np.stack([one, none], axis=1)),
        ("tau_s", np.stack([none, one], axis=1)),
        ("t_10_s", ten),
    ):
        stem, unit = name.rsplit("_", 1)
        shown = np.isfinite(columns[name]) & np.isfinite(fitted.tau_s)
        for part, error in part_errors(slope, parts).items():
            columns[f"{stem}_{part}_error_{unit}"] = np.where(shown, error, np.nan)
            if name == "t_10_s":
                columns[f"{stem}_{part}_half_width_{unit}"] = np.where(shown, NORMAL_95 * error, np.nan)
    return np.asarray(shown)


def put_direct_times(columns: Columns, runs: Runs, fitted: Fitted, rows: BoolArray) -> None:
    """Write the measured time less the clock's offset as t_x, for runs with too few splits to fit."""
    rows = rows & (runs.behind_m == 0) & ~runs.flying & np.isfinite(runs.offset_sd_s)
    for x in TIMES_M:
        at_gate = np.isclose(runs.distance_m, x) & rows[:, None]
        found = at_gate.any(axis=1)
        time = np.where(at_gate, runs.elapsed_s, 0.0).sum(axis=1) - runs.offset_mean_s
        error = np.hypot(runs.noise_s, np.where(np.isfinite(runs.offset_sd_s), runs.offset_sd_s, 0.0))
        columns[f"t_{x:.0f}_s"] = np.where(found, time, columns[f"t_{x:.0f}_s"])
        columns[f"t_{x:.0f}_s_se"] = np.where(found, error, columns[f"t_{x:.0f}_s_se"])


def put_free_fit(columns: Columns, runs: Runs, left_out: BoolArray) -> None:
    """Write the fit with a free clock offset: a check on the start rule, never a value to follow over time."""
    n = len(left_out)
    free = replace(
        runs, offset_mean_s=np.zeros(n), offset_sd_s=np.full(n, np.inf), offset_most_s=np.full(n, np.inf),
        behind_m=np.where(runs.flying, 0.0, runs.behind_m), flying=np.zeros(n, dtype=bool),
    )  # fmt: skip
    fitted = fit_runs(free)
    shown = fitted.ended_as("converged", "vmax_not_identified") & ~left_out
    columns |= {
        "free_vmax_mps": np.where(shown, fitted.vmax_mps, np.nan),
        "free_tau_s": np.where(shown, fitted.tau_s, np.nan),
        "free_offset_s": np.where(shown, fitted.offset_s, np.nan),
        "free_offset_s_se": np.where(shown, fitted.standard_error(OFFSET), np.nan),
    }
