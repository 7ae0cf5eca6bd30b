"""What the curve itself misses the 10 m by: of blocks by published runs, of other starts by the squad's own gates.

A block start is pushed off before the first step, a standing one leans into it, a falling one has moved before it
pushes: none of it is in a curve with one time constant. How much that is at 10 m was published with gates for starts
from blocks alone. Where a squad has a gate at 10 m beside others, its own runs say it for its own starts.
"""

import numpy as np
import polars as pl

from pipelines.derived.sprint.fit import POOR_RMSE_S, Runs, fit_runs
from pipelines.derived.sprint.motion import FloatArray, time_at

TEN_M = 10.0
AT_GATE_M = 0.05  # m, a gate so near stands there, source: "common_practice"
KNOWN_RULES = ("gun_reaction", "first_movement", "gate_known")  # time zero known apart from its own small error
LEAST_OTHERS = 3  # gates beside the one at 10 m, for a curve that it is no part of
LEAST_RUNS, LEAST_ATHLETES = 20, 3  # from which the squad's own gates say it, source: "common_practice"
# s, from blocks: what the curve reads the 10 m later than a gate there; mean of ten championship runs with every 10 m
# and the reaction known (SD 0.013 s), computed by us. The kind of error is that of source "healy_2022".
MODEL_LATE_S = 0.027


def lateness_of_runs(runs: Runs, time_zero: np.ndarray) -> FloatArray:
    """Return how late the curve of the other gates of a run reads its gate at 10 m; NaN where there is none.

    late = curve of all gates but the one at 10 m, at 10 m, less the time there.
    """
    known = np.isin(time_zero, KNOWN_RULES)
    at_ten = np.isfinite(runs.elapsed_s) & (np.abs(runs.distance_m - TEN_M) <= AT_GATE_M)
    others = np.isfinite(runs.elapsed_s) & ~at_ten
    rows = np.flatnonzero(known & at_ten.any(axis=1) & (others.sum(axis=1) >= LEAST_OTHERS))
    late: FloatArray = np.full(len(time_zero), np.nan)
    if len(rows):
        late[rows] = _late_of(runs.rows(rows), at_ten[rows])
    return late


def own_lateness(rep: pl.DataFrame, late: FloatArray, key: list[str]) -> pl.DataFrame:
    """Return per kind of timing and start how late the curve of the other gates reads the gate at 10 m.

    Mean of the athletes' means, its error their SD / sqrt(athletes). Null under twenty runs or three athletes.
    """
    return (
        rep.select("athlete_id", *key)
        .with_columns(_late=pl.Series(late).fill_nan(None))
        .drop_nulls("_late")
        .group_by(*key, "athlete_id", maintain_order=True)
        .agg(_mean=pl.col("_late").mean(), _runs=pl.len())
        .group_by(key, maintain_order=True)
        .agg(
            late_10_s=pl.col("_mean").mean(),
            late_10_error_s=pl.col("_mean").std() / pl.len().sqrt(),
            late_10_runs=pl.col("_runs").sum().cast(pl.Int64),
            _athletes=pl.len(),
        )
        .with_columns(
            pl.when((pl.col("late_10_runs") >= LEAST_RUNS) & (pl.col("_athletes") >= LEAST_ATHLETES))
            .then(pl.col(name))
            .alias(name)
            for name in ("late_10_s", "late_10_error_s")
        )
        .drop("_athletes")
    )


def _late_of(some: Runs, at_ten: np.ndarray) -> FloatArray:
    measured = np.where(at_ten, some.elapsed_s, 0.0).sum(axis=1)
    left = Runs.of(
        some.distance_m,
        np.where(at_ten, np.nan, some.elapsed_s),
        noise_s=some.noise_s,
        offset_mean_s=some.offset_mean_s,
        offset_sd_s=some.offset_sd_s,
        offset_most_s=some.offset_most_s,
        behind_m=some.behind_m,
        flying=some.flying,
    )
    fitted = fit_runs(left, noise="known")
    behind = np.nan_to_num(fitted.behind_m)
    hidden = np.where(some.flying, time_at(behind, fitted.vmax_mps, fitted.tau_s), 0.0)
    late = fitted.offset_s + time_at(TEN_M + behind, fitted.vmax_mps, fitted.tau_s) - hidden - measured
    good = fitted.ended_as("converged", "vmax_not_identified") & (fitted.rmse_s <= POOR_RMSE_S)
    return np.where(good & (np.abs(late) <= 2 * POOR_RMSE_S), late, np.nan)


def name_lateness(rep: pl.DataFrame, sprint_noise: pl.DataFrame, shown: np.ndarray, key: list[str]) -> pl.DataFrame:
    """Return per run ``t_10_model_late_s``, what it rests on, and why it cannot be said.

    From blocks 0.027 s, by ten championship runs; else by the squad's own gates. Null, with the reason, where neither
    says it; null without a reason where the run has no time off the curve.
    """
    own = sprint_noise.select(*key, "late_10_s")
    found = rep.select(*key).join(own, on=key, how="left", nulls_equal=True, maintain_order="left")
    blocks = (pl.col("start_kind") == "blocks").fill_null(value=False)
    known = blocks | pl.col("late_10_s").is_not_null()
    return found.with_columns(_shown=pl.Series(shown)).select(
        t_10_model_late_s=pl.when("_shown").then(pl.when(blocks).then(MODEL_LATE_S).otherwise("late_10_s")),
        t_10_model_by=pl.when(pl.col("_shown") & known).then(
            pl.when(blocks).then(pl.lit("published_runs")).otherwise(pl.lit("own_gates"))
        ),
        t_10_model_reason=pl.when(pl.col("_shown") & ~known).then(pl.lit("model_not_checked")),
    )
