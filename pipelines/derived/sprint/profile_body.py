"""The body and the air of each run, and the force-velocity numbers that need them."""

from dataclasses import fields

import numpy as np
import polars as pl

from pipelines.derived.sprint.air import drag_constant
from pipelines.derived.sprint.fit import BoolArray, Fitted
from pipelines.derived.sprint.force_velocity import ForceVelocity, profile_force_errors
from pipelines.derived.sprint.time_zero import REP_KEY
from pipelines.derived.sprint.trust import Verdict
from schemas.settings import SquadSettings

MASS_WINDOW = "180d"  # body mass: the latest measured so many days or fewer before the session
HEIGHT_WINDOW = "730d"  # height: two years


def find_body(
    rep: pl.DataFrame, session: pl.DataFrame, body_measure: pl.DataFrame, settings: SquadSettings
) -> pl.DataFrame:
    """Return, in the runs' order, body mass and height as known on the day, the air, and the wind."""
    rows = rep.select(*REP_KEY, "wind_ms")  # each athlete's in the order of days, as they are joined by day
    for name, window in (("body_mass_kg", MASS_WINDOW), ("height_m", HEIGHT_WINDOW)):
        known = body_measure.select("athlete_id", "measured_on", name).drop_nulls(name).sort("measured_on")
        rows = rows.join_asof(
            known,
            left_on="session_date",
            right_on="measured_on",
            by="athlete_id",
            strategy="backward",
            tolerance=window,
            check_sortedness=False,
        ).drop("measured_on", strict=False)
    day = session.select("athlete_id", "session_date", "session_no", "air_temperature_c", "air_pressure_torr", "indoor")
    rows = rows.join(day, on=["athlete_id", "session_date", "session_no"], how="left", maintain_order="left")
    return rows.with_columns(
        is_air_assumed=pl.col("air_temperature_c").is_null() | pl.col("air_pressure_torr").is_null(),
        is_wind_unknown=pl.col("wind_ms").is_null() & ~pl.col("indoor").fill_null(False),
        air_temperature_c=pl.col("air_temperature_c").fill_null(settings.air_temperature_c),
        air_pressure_torr=pl.col("air_pressure_torr").fill_null(settings.air_pressure_torr),
    )


def find_force(fitted: Fitted, body: pl.DataFrame) -> tuple[ForceVelocity, ForceVelocity]:
    """Return the force-velocity numbers of every run and their standard errors; NaN where mass or height is unknown."""
    mass, height = (body[name].to_numpy().astype(np.float64) for name in ("body_mass_kg", "height_m"))
    drag = drag_constant(mass, height, body["air_temperature_c"].to_numpy(), body["air_pressure_torr"].to_numpy())
    wind = body["wind_ms"].fill_null(0.0).to_numpy().astype(np.float64)
    rows = np.flatnonzero(np.isfinite(fitted.vmax_mps) & np.isfinite(fitted.tau_s) & np.isfinite(drag))
    both = fitted.covariance[rows][:, :2, :2]
    found = profile_force_errors(fitted.vmax_mps[rows], fitted.tau_s[rows], both, mass[rows], drag[rows], wind[rows])
    spread: list[ForceVelocity] = []
    for part in found:
        whole = ForceVelocity(*(np.full(len(mass), np.nan) for _ in fields(ForceVelocity)))
        for field in fields(ForceVelocity):
            getattr(whole, field.name)[rows] = getattr(part, field.name)
        spread.append(whole)
    return spread[0], spread[1]


def name_force_reason(profile: ForceVelocity, body: pl.DataFrame, resisted: BoolArray, verdict: Verdict) -> pl.Series:
    """Return why a run has no force-velocity numbers, null where it has them."""
    known = np.isfinite(profile.f0_n_per_kg)
    is_told = (verdict.trust == "poor") | ((verdict.reason == "rolling_start") & ~known)
    rows = body.select(
        "body_mass_kg",
        "height_m",
        why=pl.Series(verdict.reason.tolist(), dtype=pl.String),
        is_told=pl.Series(is_told.astype(bool)),
        is_resisted=pl.Series(resisted),
    )
    return rows.select(
        pl.when("is_told").then("why")
        .when("is_resisted").then(pl.lit("resisted"))
        .when(pl.col("body_mass_kg").is_null()).then(pl.lit("no_body_mass"))
        .when(pl.col("height_m").is_null()).then(pl.lit("no_height"))
        .alias("reason")
    )["reason"]  # fmt: skip
