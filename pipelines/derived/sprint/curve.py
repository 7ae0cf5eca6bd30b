"""Every gate of a run against its curve (``sprint_curve``), and curves to draw: speed, and force against speed."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import polars as pl

from pipelines.derived.common.step_error import REP_KEY
from pipelines.derived.sprint.air import drag_constant
from pipelines.derived.sprint.force_velocity import SLOPE_STEP, profile_force
from pipelines.derived.sprint.motion import FloatArray, speed_at, time_at, time_slopes
from pipelines.derived.sprint.time_zero import NOISE_S, NOISE_UNKNOWN_S
from schemas.derived.curve import SprintCurve
from schemas.normal import NORMAL_95
from schemas.settings import SquadSettings

POINTS = 49
BAND = 2.0  # standard deviations of one time's noise that are drawn as its band

Row = Mapping[str, Any]


def sprint_curve(sprint_profile: pl.DataFrame, split: pl.DataFrame) -> pl.DataFrame:
    """Set every gate of a fitted run against its curve.

    fitted = t(x + d), the time since the body's first movement at the gate (x from the line, d behind it); residual =
    clock - offset - fitted, with the offset of ``sprint_profile``; also in standard deviations of the timing noise
    stated for the kind of timing (0.010 s for light gates, 0.015 s for video or where it is not said). Stretch speed =
    length / time between two gates, error sqrt(2) noise speed / time; the first stretch starts at the line, its time
    without the offset.

    Units: s, m, m/s. Source: "samozino_2016", "definition". No row for runs without a curve (hand-timed, rolling, too
    few splits). Null: the first stretch where the athlete stood behind the gate, or the splits do not begin near it.
    """
    curves = sprint_profile.filter(
        pl.col("vmax_mps").is_not_null() & pl.col("tau_s").is_not_null() & pl.col("time_offset_s").is_not_null()
    ).select(*REP_KEY, "vmax_mps", "tau_s", "time_offset_s", "behind_m", "fitted_to_m", "timing_kind")
    rows = (
        split.select(*REP_KEY, "distance_m", "elapsed_s")
        .drop_nulls(["distance_m", "elapsed_s"])
        .join(curves, on=REP_KEY, how="inner")
        .sort(*REP_KEY, "distance_m")
    )
    moved = rows["distance_m"].to_numpy() + rows["behind_m"].fill_null(0.0).to_numpy()
    fitted = time_at(moved, rows["vmax_mps"].to_numpy(), rows["tau_s"].to_numpy())
    speed = speed_at(fitted, rows["vmax_mps"].to_numpy(), rows["tau_s"].to_numpy())
    noise = pl.col("timing_kind").replace_strict(NOISE_S, default=NOISE_UNKNOWN_S, return_dtype=pl.Float64)
    at_line = pl.col("behind_m").fill_null(0.0) == 0.0
    is_first = pl.any_horizontal(pl.col(name).ne_missing(pl.col(name).shift(1)) for name in REP_KEY)  # runs together
    before_m, before_s = (pl.when(~is_first).then(pl.col(name).shift(1)) for name in ("distance_m", "elapsed_s"))
    first = pl.when(before_m.is_null() & at_line)
    rows = (
        rows.with_columns(
            fitted_s=pl.Series(fitted, dtype=pl.Float64),
            fitted_speed_mps=pl.Series(speed, dtype=pl.Float64),
            noise_s=noise,
            noise_band_s=BAND * noise,
            is_fitted=(pl.col("distance_m") <= pl.col("fitted_to_m") + 1e-9).fill_null(False),
            stretch_from_m=first.then(0.0).otherwise(before_m),
            _since=first.then("time_offset_s").otherwise(before_s),
        )
        .with_columns(
            residual_s=pl.col("elapsed_s") - pl.col("time_offset_s") - pl.col("fitted_s"),
            _took=pl.col("elapsed_s") - pl.col("_since"),
        )
        .with_columns(residual_in_noise=pl.col("residual_s") / pl.col("noise_s"))
    )
    stretch = (pl.col("distance_m") - pl.col("stretch_from_m")) / pl.col("_took")
    ends = pl.when(before_m.is_null()).then(1.0).otherwise(2.0**0.5)  # the start of a run is no timed gate
    rows = rows.with_columns(
        stretch_speed_mps=pl.when(pl.col("_took") > 0).then(stretch),
        stretch_speed_mps_se=pl.when(pl.col("_took") > 0).then(ends * noise * stretch / pl.col("_took")),
    )
    timed, reach = pl.col("stretch_speed_mps"), NORMAL_95 * pl.col("stretch_speed_mps_se")
    rows = rows.with_columns(
        stretch_speed_low_mps=timed - reach,
        stretch_speed_high_mps=timed + reach,
        stretch_middle_m=(pl.col("stretch_from_m") + pl.col("distance_m")) / 2,
    )
    columns = list(SprintCurve.to_schema().columns)
    return rows.select(columns)


def _covariance(profile: Row) -> FloatArray:
    """Return the covariance of vmax and tau of a run from its errors and their correlation."""
    v_se, t_se = profile["vmax_mps_se"] or 0.0, profile["tau_s_se"] or 0.0
    both = (profile["vmax_tau_correlation"] or 0.0) * v_se * t_se
    return np.array([[v_se**2, both], [both, t_se**2]])


def speed_curve(profile: Row) -> list[dict[str, float]]:
    """Return the speed of a run over the distance as far as it was timed, with its 95 % interval; empty without one.

    v(x) = V (1 - e^(-t(x)/tau)); error by the delta method from the covariance of V and tau. Source: "samozino_2016".
    """
    vmax, tau, until = (profile.get(name) for name in ("vmax_mps", "tau_s", "fitted_to_m"))
    if vmax is None or tau is None or until is None:
        return []
    way = np.linspace(0.0, until, POINTS) ** 2 / until  # closer points where the curve bends
    time = time_at(way, vmax, tau)
    speed = speed_at(time, vmax, tau)
    left = np.exp(-time / tau)
    by_vmax, by_tau = time_slopes(time, vmax, tau)
    pull = vmax * left / tau
    slope = np.stack([(1.0 - left) + pull * by_vmax, pull * (by_tau - time / tau)], axis=1)
    reach = NORMAL_95 * np.sqrt(np.maximum(np.einsum("ni,ij,nj->n", slope, _covariance(profile), slope), 0.0))
    names = ("distance_m", "time_s", "speed_mps", "low_mps", "high_mps")
    return [
        dict(zip(names, map(float, row), strict=True))
        for row in zip(way, time, speed, np.maximum(speed - reach, 0.0), speed + reach, strict=True)
    ]


def force_line(profile: Row, settings: SquadSettings) -> list[dict[str, float]]:
    """Return a run's force-velocity line with its 95 % band: F = F0 (1 - v/V0), N/kg; empty where trust forbids it.

    The line is that of ``sprint_profile``. The band is by the delta method: F0 and V0 hang together, so their errors
    are not simply added; air as the squad's settings have it (it hardly moves the band). Source: "samozino_2016".
    """
    if profile.get("f0_n_per_kg") is None or profile.get("v0_mps") is None or profile.get("force_velocity_reason"):
        return []
    mass, height = profile.get("body_mass_kg"), profile.get("height_m")
    if mass is None or height is None:
        return []
    drag = drag_constant(mass, height, settings.air_temperature_c, settings.air_pressure_torr)
    air = (np.full(4, mass), np.full(4, float(drag)), np.zeros(4))
    vmax, tau = profile["vmax_mps"], profile["tau_s"]
    step_v, step_t = SLOPE_STEP * vmax, SLOPE_STEP * tau
    ends = profile_force(
        np.array([vmax + step_v, vmax - step_v, vmax, vmax]), np.array([tau, tau, tau + step_t, tau - step_t]), *air
    )
    speeds = np.linspace(0.0, profile["v0_mps"], 13)
    force = ends.f0_n_per_kg[:, None] * (1.0 - speeds / ends.v0_mps[:, None])
    slope = np.stack([(force[0] - force[1]) / (2 * step_v), (force[2] - force[3]) / (2 * step_t)], axis=1)
    reach = NORMAL_95 * np.sqrt(np.maximum(np.einsum("ni,ij,nj->n", slope, _covariance(profile), slope), 0.0))
    line = profile["f0_n_per_kg"] * (1.0 - speeds / profile["v0_mps"])
    names = ("speed_mps", "force_n_per_kg", "low_n_per_kg", "high_n_per_kg")
    return [
        dict(zip(names, map(float, row), strict=True))
        for row in zip(speeds, line, line - reach, line + reach, strict=True)
    ]
