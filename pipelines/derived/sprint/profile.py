"""Acceleration per run (``sprint_profile``) and per session (``sprint_session``)."""

import warnings
from dataclasses import fields

import numpy as np
import polars as pl

from pipelines.derived.common.ordering import in_order_of, number_of
from pipelines.derived.common.resistance import is_free_run
from pipelines.derived.sprint.fit import STATUSES, VMAX, BoolArray, Fitted, Runs, fit_runs
from pipelines.derived.sprint.force_velocity import ForceVelocity
from pipelines.derived.sprint.model_late import name_lateness
from pipelines.derived.sprint.motion import FloatArray
from pipelines.derived.sprint.profile_body import find_body, find_force, name_force_reason
from pipelines.derived.sprint.profile_columns import (
    Columns,
    put_direct_times,
    put_fit,
    put_free_fit,
    put_parts,
    put_times,
)
from pipelines.derived.sprint.run_error import NOISE_KEY, noise_of, put_errors, with_hidden
from pipelines.derived.sprint.time_zero import (
    REP_KEY,
    Gates,
    add_line_gate,
    cut_past_fastest,
    name_time_zero,
    set_up_runs,
    spread_splits,
    stretch_speeds,
    timing_noise,
)
from pipelines.derived.sprint.trust import NO_CURVE, Verdict, is_faster_than_fit, is_start_doubtful, judge
from schemas.settings import SquadSettings

SESSION_METRICS = (
    "t_5_s", "t_10_s", "t_20_s", "t_30_s", "v_5_mps", "v_10_mps", "vmax_mps", "a0_mps2", "f0_n_per_kg", "v0_mps",
    "pmax_w_per_kg", "rf_max",
)  # fmt: skip
DRAWN_IN = 1.5  # how far the fastest of several stretches is drawn to the whole, source: "common_practice"
MEDIAN_ERROR_FACTOR = 1.2533  # standard error of a median over that of a mean, sqrt(pi/2), source: "definition"


def sprint_profile(
    rep: pl.DataFrame,
    split: pl.DataFrame,
    session: pl.DataFrame,
    body_measure: pl.DataFrame,
    athlete: pl.DataFrame,
    sprint_noise: pl.DataFrame,
    *,
    settings: SquadSettings,
) -> pl.DataFrame:
    """Fit every run's split times with the mono-exponential model and derive times, speeds, force and power.

    Model: x(t) = V [t - tau (1 - e^(-t/tau))]; fitted to the cumulative times by weighted least squares in time, all
    runs at once. Time zero follows how the clock was started (``time_zero``): gun with reaction time known; gun with
    it unknown (own measured ones, drawn to 0.15 s, SD 0.022 s); first movement; hand or foot release (prior from Haugen
    2012); standing a known or unknown distance behind the first gate; rolling (top speed only, no time constant).
    Splits past the end of the fastest 10 m are left out and counted (``splits_left_out``).

    Derived: a0 = V/tau; t_x and v_x at x metres of movement from the body's start, so that starts with different
    clocks are on one footing (still compared only within one kind of start); with body mass (latest within 180 days
    before) and height (two years): F0, V0, Pmax, RFmax, DRF with air drag from mass, height, temperature, pressure
    and, where measured, wind.

    Errors: ``_se`` is one standard error by the delta method, of timing and time zero together; 1.96 of it hold 95 of
    100. ``_timing_error``: from the squad's noise of such times (``sprint_noise``), drawn to the session's own by 12
    degrees of freedom, times t / 1.96 for the few they are. ``_zero_error``: from when the body started to move, known
    to 10 ms for a reaction or a first movement, to 5 cm behind a gate, else by the rule's own spread. Between runs by
    one clock most of it is the same in both. ``t_10_model_late_s``: what the curve reads the 10 m late by, of blocks
    by ten championship runs (0.027, SD 0.013 s), of other starts by the squad's own gates at 10 m; null with a reason
    where neither says it. Stated, not taken off.

    Sources: "samozino_2016", "morin_2019", "haugen_2012"; limits: the model reads the first 10 m from blocks about
    1.6 % slow ("healy_2022"), knows no block push and no slowing down; three splits are the least.

    Trust. good: to be used. thin: with care, for the reason given; where that reason is too_few_splits,
    vmax_not_identified or wide_interval without force-velocity numbers, only the times count. poor: not to be used.

    Null rule. Hand-timed runs and false starts get no profile. Stopped runs keep the splits they have, and are thin.
    Resisted runs get no force-velocity numbers. Where trust is poor the force-velocity numbers are null, and so are
    t_x and v_x unless only the ceiling is unsure. t_x and v_x are null outside half the first gate to a tenth past
    the last fitted one. With too few splits for a fit, t_x is the measured time at that gate less the clock's offset.
    ``trust_reason`` and ``force_velocity_reason`` say why.
    """
    rep = rep.sort(REP_KEY)
    all_gates = spread_splits(rep, split)
    hand = (rep["timing_kind"] == "hand").fill_null(False).to_numpy()
    out = hand | (rep["outcome"] == "false_start").fill_null(False).to_numpy()
    time_zero = name_time_zero(rep)
    rolling = time_zero == "rolling"
    noise = timing_noise(rep)  # what a run is checked against stays as it is, however good the squad's times are
    gates, _ = cut_past_fastest(all_gates)
    cut = all_gates.count - gates.count
    fitted_gates = Gates(gates.distance_m, np.where((out | rolling)[:, None], np.nan, gates.elapsed_s))
    timed = set_up_runs(rep, athlete, fitted_gates, time_zero, noise_of(rep, sprint_noise))
    runs = with_hidden(timed)
    fitted = fit_runs(runs, noise="known")
    parts = put_errors(rep, fitted, runs, time_zero)
    _keep_top_speed(fitted, rep, all_gates, rolling & ~out, noise)
    at_line = (time_zero == "gate_unknown") & fitted.ended_as("at_bound")
    _blank(fitted, fitted.ended_as(*NO_CURVE) & ~at_line & ~rolling)

    body = find_body(rep, session, body_measure, settings)
    resisted = ~rep.select(is_free_run()).to_series().to_numpy()
    profile, errors = find_force(fitted, body)
    doubtful = is_start_doubtful(fitted, profile, errors) & ~resisted
    verdict = judge(rep, all_gates, time_zero, fitted, doubtful, is_faster_than_fit(fitted, fitted_gates, noise))

    columns: Columns = {}
    put_fit(columns, fitted, runs, verdict)
    put_times(columns, fitted, runs, verdict)
    lateness = name_lateness(rep, sprint_noise, put_parts(columns, fitted, parts), NOISE_KEY)
    put_direct_times(columns, timed, fitted, ~out & (verdict.reason == "too_few_splits"))
    reason = name_force_reason(profile, body, resisted, verdict)
    shown = reason.is_null().to_numpy()
    for field in fields(ForceVelocity):
        columns[field.name] = np.where(shown, getattr(profile, field.name), np.nan)
        columns[f"{field.name}_se"] = np.where(shown, getattr(errors, field.name), np.nan)
    put_free_fit(columns, runs, rolling | out)
    trust = np.where(_has_times_alone(columns, verdict), "thin", verdict.trust)
    numbers = pl.DataFrame(columns, schema=dict.fromkeys(columns, pl.Float64)).with_columns(pl.all().fill_nan(None))
    return rep.select(
        *REP_KEY, "start_kind", "clock_start", "timing_kind", "resistance_kind", is_free=is_free_run()
    ).with_columns(
        *numbers.get_columns(),
        **lateness.to_dict(),
        splits_used=pl.Series(np.where(out, 0, fitted.splits_used), dtype=pl.Int64),
        splits_left_out=pl.Series(np.where(out | rolling, 0, cut), dtype=pl.Int64),
        fitted_to_m=_last_distance(fitted_gates),
        time_zero=pl.Series(time_zero.tolist(), dtype=pl.String),
        fit_status=_name_status(fitted, out, rolling),
        trust=pl.Series(trust.tolist(), dtype=pl.String),
        trust_reason=pl.Series(verdict.reason.tolist(), dtype=pl.String),
        force_velocity_reason=reason,
        remarks=_gather_remarks(rep, body, cut > 0, out | rolling, fitted, runs),
        body_mass_kg=body["body_mass_kg"],
        height_m=body["height_m"],
    )


def _keep_top_speed(fitted: Fitted, rep: pl.DataFrame, gates: Gates, rolling: BoolArray, noise: FloatArray) -> None:
    """Write the top speed of rolling runs as their ceiling: the fastest 10 m, drawn in for being the fastest of some.

    top = whole + B (fastest - whole), B = max(0, 1 - 1.5 s^2 / S^2): whole = mean speed from the first gate to the
    last, S^2 = variance of the stretches of 10 m or more, s^2 = what timing alone makes of it. Where timing explains
    how they differ, the whole counts; where they really differ, the fastest. error^2 = (B s)^2 + ((1 - B) s of the
    whole)^2, s of a stretch = sqrt(2) sigma v / time. Source: "james_stein_1961"; 1.5 by what leaves least bias over 20
    to 60 m.
    """
    at_gate = (rep["clock_start"] == "first_gate").fill_null(False).to_numpy()
    from_line = add_line_gate(gates, rolling & at_gate)
    speed, _, duration = stretch_speeds(from_line)
    best = np.where(np.isfinite(speed), speed, -np.inf).argmax(axis=1)
    rows = np.arange(len(speed))
    with np.errstate(divide="ignore", invalid="ignore"), warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # runs without a stretch: nothing to take a mean of
        length = np.nanmax(from_line.distance_m, axis=1) - np.nanmin(from_line.distance_m, axis=1)
        lasted = np.nanmax(from_line.elapsed_s, axis=1) - np.nanmin(from_line.elapsed_s, axis=1)
        fastest, whole = speed[rows, best], length / lasted
        error = np.sqrt(2.0) * noise[:, None] * speed / duration
        spread = np.nanvar(speed, axis=1, ddof=1)
        share = np.clip(1.0 - DRAWN_IN * np.nanmean(error**2, axis=1) / spread, 0.0, 1.0)
        several = np.isfinite(speed).sum(axis=1) > 1
        share = np.where(several, np.nan_to_num(share), 1.0)
        value = np.where(rolling, whole + share * (fastest - whole), np.nan)
        whole_error = np.sqrt(2.0) * noise * whole / lasted
        value_error = np.hypot(share * error[rows, best], (1.0 - share) * whole_error)
    for array in (fitted.vmax_mps, fitted.tau_s, fitted.offset_s, fitted.behind_m, fitted.rmse_s):
        array[rolling] = np.nan
    fitted.covariance[rolling] = np.nan
    known = rolling & np.isfinite(fastest)
    fitted.vmax_mps[known] = value[known]
    fitted.covariance[known, VMAX, VMAX] = value_error[known] ** 2
    fitted.splits_used[rolling] = gates.count[rolling]


def _has_times_alone(columns: Columns, verdict: Verdict) -> BoolArray:
    """Say which runs are poor in ceiling and force only, so that their times can still be followed."""
    shown = np.any([np.isfinite(columns[name]) for name in ("t_5_s", "t_10_s", "t_20_s", "t_30_s")], axis=0)
    return np.asarray(shown & (verdict.trust == "poor"))


def _blank(fitted: Fitted, rows: BoolArray) -> None:
    for name in ("vmax_mps", "tau_s", "offset_s", "behind_m", "covariance"):
        getattr(fitted, name)[rows] = np.nan


def _last_distance(gates: Gates) -> pl.Series:
    reached = np.where(np.isfinite(gates.elapsed_s), gates.distance_m, -np.inf).max(axis=1)
    return pl.Series("fitted_to_m", np.where(np.isfinite(reached), reached, np.nan), dtype=pl.Float64).fill_nan(None)


def _name_status(fitted: Fitted, out: BoolArray, rolling: BoolArray) -> pl.Series:
    words = pl.Series("fit_status", [*STATUSES, "rolling", "not_fitted"], dtype=pl.String)
    return words[np.where(out, len(STATUSES) + 1, np.where(rolling, len(STATUSES), fitted.ended))]


def _gather_remarks(
    rep: pl.DataFrame, body: pl.DataFrame, cut: BoolArray, not_fitted: BoolArray, fitted: Fitted, runs: Runs
) -> pl.Series:
    """Return the further caveat codes of each run, parted by spaces; null where there are none."""
    has_curve = np.isfinite(fitted.tau_s)
    with np.errstate(invalid="ignore"):
        at_limit = np.isfinite(runs.offset_most_s) & (fitted.offset_s >= runs.offset_most_s) & has_curve
    flags = {
        "past_fastest_cut": cut & ~not_fitted,
        "resistance_not_stated": rep["resistance_kind"].is_null().to_numpy() & has_curve,
        "offset_at_limit": at_limit,
        "air_assumed": body["is_air_assumed"].to_numpy() & has_curve,
        "wind_not_measured": body["is_wind_unknown"].to_numpy() & has_curve,
    }
    words = pl.DataFrame(flags, schema=dict.fromkeys(flags, pl.Boolean)).select(
        pl.concat_str(
            [pl.when(pl.col(code)).then(pl.lit(code)) for code in flags], separator=" ", ignore_nulls=True
        ).alias("remarks")
    )["remarks"]
    return words.replace("", None)


def sprint_session(sprint_profile: pl.DataFrame) -> pl.DataFrame:
    """Best and typical value per athlete, day, kind of start, clock and timing, for each metric of the runs.

    best: the least time, or the greatest speed, force or power, with the standard error of that run. typical: the
    median of the runs; its standard error is sqrt(mean of se^2 / runs), times 1.2533 from three runs on. reps: how many
    runs count.

    Only unresisted runs of good or thin trust count, without runs below full effort. Runs whose kind of start, clock
    or timing is not recorded are kept apart from all others (null). No row where no run counts.
    Source: "definition". Limits: a best of many runs is better than a best of few by chance alone; compare typical
    values, or bests of equally many runs.
    """
    counted = sprint_profile.filter(
        (pl.col("trust") != "poor")
        & pl.col("is_free")
        & (pl.col("trust_reason").is_null() | (pl.col("trust_reason") != "submaximal_effort"))
    )
    group = ["athlete_id", "session_date", "start_kind", "clock_start", "timing_kind"]
    counted = counted.with_columns(_day=number_of(counted, group))  # by five words it takes several times as long
    parts = []
    for metric in SESSION_METRICS:
        least_is_best = metric.startswith("t_")
        value, error = pl.col(metric), pl.col(f"{metric}_se")
        order = value if least_is_best else -value
        parts.append(
            counted.select("_day", *group, metric, f"{metric}_se")
            .drop_nulls(metric)
            .group_by("_day", maintain_order=True)
            .agg(
                pl.col(group).first(),
                metric=pl.lit(metric),
                best=value.sort_by(order).first(),
                best_se=error.sort_by(order).first(),
                typical=value.median(),
                typical_se=pl.when(pl.len() > 2).then(MEDIAN_ERROR_FACTOR).otherwise(1.0)
                * ((error**2).mean() / pl.len()).sqrt(),
                reps=pl.len().cast(pl.Int64),
            )
        )
    return in_order_of(pl.concat(parts), ["_day", "metric"]).drop("_day")
