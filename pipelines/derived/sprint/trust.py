"""How far a run's profile can be trusted, and why not further. The gravest reason is the one given."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.sprint.fit import BEHIND, OFFSET, TAU, VMAX, BoolArray, Fitted
from pipelines.derived.sprint.force_velocity import ForceVelocity
from pipelines.derived.sprint.motion import FloatArray
from pipelines.derived.sprint.time_zero import REACTION_USUAL_S, Gates, stretch_speeds

TAU_USUAL_S = (0.8, 1.6)  # s, outside, by two standard errors: suspect the start, source: "common_practice"
F0_USUAL_N_PER_KG = (4.0, 11.0)  # N/kg, source: "common_practice"
PMAX_USUAL_W_PER_KG = (8.0, 32.0)  # W/kg, source: "common_practice"
RF_MAX_USUAL = (0.35, 0.65)  # source: "common_practice"
DRF_USUAL_S_PER_M = (-0.14, -0.055)  # s/m, source: "common_practice"
GREATEST_VMAX_MPS = 12.5  # m/s, source: "common_practice"
STANDARD_ERRORS = 2.0  # by how many a value must lie outside to be doubted
FASTER_THAN_FIT_Z = 1.645  # one-sided 5 %: a stretch faster than the fitted ceiling beyond timing noise
THIN_A0_CV = 0.05  # relative standard error of V/tau from which force-velocity numbers are thin
POOR_A0_CV = 0.20  # ... from which they are poor
FEW_SPLITS = 3
FULL_EFFORT_PERCENT = 95.0  # %, below it a run says nothing about the athlete's best
NO_CURVE = ("too_few_splits", "not_increasing", "at_bound", "not_converged", "poor_fit")  # nothing of the fit is kept
STATUS_REASONS = {
    "too_few_splits": "too_few_splits",
    "not_increasing": "times_not_increasing",
    "at_bound": "fit_at_bound",
    "not_converged": "fit_not_converged",
    "poor_fit": "poor_fit",
    "vmax_not_identified": "vmax_not_identified",
}


@dataclass(frozen=True)
class Verdict:
    """Trust per run (good, thin, poor) and the caveat code of its reason, None where good."""

    trust: npt.NDArray[np.object_]
    reason: npt.NDArray[np.object_]


def initial_acceleration(fitted: Fitted) -> tuple[FloatArray, FloatArray]:
    """Return V/tau in m/s^2 and its standard error (delta method)."""
    value = fitted.vmax_mps / fitted.tau_s
    c = fitted.covariance
    relative = (
        c[:, VMAX, VMAX] / fitted.vmax_mps**2
        + c[:, TAU, TAU] / fitted.tau_s**2
        - 2.0 * c[:, VMAX, TAU] / (fitted.vmax_mps * fitted.tau_s)
    )
    return value, value * np.sqrt(np.maximum(relative, 0.0))


def is_outside(value: FloatArray, error: FloatArray, usual: tuple[float, float]) -> BoolArray:
    """Say where a value lies outside a range by more than two of its standard errors."""
    with np.errstate(invalid="ignore"):
        return np.asarray((value + STANDARD_ERRORS * error < usual[0]) | (value - STANDARD_ERRORS * error > usual[1]))


def is_faster_than_fit(fitted: Fitted, gates: Gates, noise_s: FloatArray) -> BoolArray:
    """Say where the run itself shows a mean speed over 10 m above the fitted ceiling, beyond timing noise.

    A stretch of length L takes at least L/V; it is too fast when its time falls short of that by more than 1.645
    standard deviations of a difference of two times, sqrt(2) sigma. Source: "definition".
    """
    _, length, duration = stretch_speeds(gates)
    with np.errstate(invalid="ignore"):
        short = length / fitted.vmax_mps[:, None] - duration
        return np.asarray((short > FASTER_THAN_FIT_Z * np.sqrt(2.0) * noise_s[:, None]).any(axis=1))


def is_start_doubtful(fitted: Fitted, profile: ForceVelocity, errors: ForceVelocity) -> BoolArray:
    """Say where the result is not that of a sprint start, which points at the clock's start before the athlete."""
    doubtful = is_outside(fitted.tau_s, fitted.standard_error(TAU), TAU_USUAL_S)
    for name, usual in (
        ("f0_n_per_kg", F0_USUAL_N_PER_KG),
        ("pmax_w_per_kg", PMAX_USUAL_W_PER_KG),
        ("rf_max", RF_MAX_USUAL),
        ("drf_s_per_m", DRF_USUAL_S_PER_M),
    ):
        doubtful = doubtful | is_outside(getattr(profile, name), getattr(errors, name), usual)
    return doubtful


def judge(
    rep: pl.DataFrame,
    gates: Gates,
    time_zero: npt.NDArray[np.object_],
    fitted: Fitted,
    doubtful: BoolArray,
    faster: BoolArray,
) -> Verdict:
    """Return the trust of every run. ``doubtful`` and ``faster`` are the two checks above."""
    n = len(rep)
    a0, a0_se = initial_acceleration(fitted)
    with np.errstate(invalid="ignore"):
        cv = a0_se / a0
        vague, thin_cv = ~(cv <= POOR_A0_CV), ~(cv <= THIN_A0_CV)
        too_fast = fitted.vmax_mps - STANDARD_ERRORS * fitted.standard_error(VMAX) > GREATEST_VMAX_MPS
    rolling, unknown_line = time_zero == "rolling", time_zero == "gate_unknown"
    estimated = (fitted.covariance[:, OFFSET, OFFSET] > 0) | unknown_line
    at_line = unknown_line & fitted.ended_as("at_bound") & ~(fitted.covariance[:, BEHIND, BEHIND] > 1e-8)
    reaction = rep["reaction_s"].to_numpy().astype(np.float64)
    with np.errstate(invalid="ignore"):
        odd_reaction = (time_zero == "gun_reaction") & (
            (reaction < REACTION_USUAL_S[0]) | (reaction > REACTION_USUAL_S[1])
        )

    # Known gun and reaction leave no hidden start: the curve is late because it knows no push from the blocks.
    from_blocks = (time_zero == "gun_reaction") & ~odd_reaction

    def is_word(column: str, word: str) -> BoolArray:
        return np.asarray((rep[column] == word).fill_null(False).to_numpy())

    poor: list[tuple[BoolArray, str]] = [
        (is_word("timing_kind", "hand"), "hand_timed"),
        (is_word("outcome", "false_start"), "false_start"),
        (gates.count == 0, "no_splits"),
        (time_zero == "unknown", "clock_start_unknown"),
        (at_line, "offset_not_identified"),
    ]
    poor += [(fitted.ended_as(status) & ~rolling, reason) for status, reason in STATUS_REASONS.items()]
    poor += [
        (rolling & ~np.isfinite(fitted.vmax_mps), "too_few_splits"),
        (doubtful & ~rolling, "start_doubtful"),
        (too_fast, "vmax_implausible"),
        (faster & ~rolling & ~from_blocks, "vmax_below_run"),
        (vague & estimated & ~rolling, "offset_not_identified"),
        (vague & ~rolling, "wide_interval"),
    ]
    thin: list[tuple[BoolArray, str]] = [
        (rolling, "rolling_start"),
        (unknown_line, "gate_offset_unknown"),
        (odd_reaction, "reaction_doubtful"),
        (faster & from_blocks, "block_push_not_in_model"),
        (is_word("outcome", "stopped"), "stopped_early"),
        (np.asarray((rep["effort_percent"] < FULL_EFFORT_PERCENT).fill_null(False).to_numpy()), "submaximal_effort"),
        (np.asarray(rep["timing_kind"].is_null().to_numpy()), "timing_unknown"),
        (thin_cv, "wide_interval"),
        (fitted.splits_used <= FEW_SPLITS, "few_splits"),
    ]
    trust, reason = np.full(n, "good", dtype=object), np.full(n, None, dtype=object)
    for mask, code in reversed(thin):
        trust[mask], reason[mask] = "thin", code
    for mask, code in reversed(poor):
        trust[mask], reason[mask] = "poor", code
    return Verdict(trust, reason)
