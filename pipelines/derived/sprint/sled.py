"""Sled runs: how speed falls with load, and the load for a wanted slow-down (``sled_profile``)."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import polars as pl
import scipy

from pipelines.derived.common.resistance import is_free_run
from pipelines.derived.sprint.body import add_body_mass
from pipelines.derived.sprint.motion import FloatArray
from pipelines.derived.sprint.time_zero import NOISE_S, REP_KEY, Gates, spread_splits
from pipelines.derived.sprint.trust import FULL_EFFORT_PERCENT
from schemas.derived.sled import SledProfile

WINDOW_DAYS = 21  # days before the last sled run whose runs on the same surface are put together
LEAST_LOADS = 3  # loads for a line, the unresisted run included; four or more are better, source: "cahill_2019"
LEAST_R_SQUARED = 0.90  # published lines have r > 0.95, source: "cahill_2019"
LEAST_STRETCH_M = 5.0  # m, shortest stretch whose mean speed counts as a top speed
STILL_RISING_SHARE = 0.03  # the unresisted run's last stretch faster than the one before by more: not at top speed
TARGETS_PERCENT = (10, 25, 50)  # %, slow-downs asked for; 50 % is where power is greatest, source: "cross_2017"
CLASS_FROM_PERCENT = (("light", 0.0), ("moderate", 10.0), ("heavy", 15.0), ("very_heavy", 30.0))  # "petrakos_2016"
GRAVITY_MPS2 = 9.81  # m/s^2, as in the worked values, source: "samozino_2016"


@dataclass(frozen=True)
class LoadSpeedLine:
    """Lines v = v0 - b L of top speed against load, one element a line."""

    v0_mps: FloatArray
    slope_mps_per_kg: FloatArray
    v0_variance: FloatArray
    slope_variance: FloatArray
    covariance: FloatArray
    r_squared: FloatArray
    degrees: FloatArray

    def load_for(self, slow_down_percent: float, level: float = 0.95) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return the load in kg for a slow-down in %, and its interval: L = (D/100) v0/b.

        Interval by the delta method with the t quantile of n - 2 degrees of freedom; NaN where there are none.
        """
        share = slow_down_percent / 100.0
        ratio = self.v0_mps / self.slope_mps_per_kg
        variance = self.v0_variance - 2.0 * ratio * self.covariance + ratio**2 * self.slope_variance
        error = share / np.abs(self.slope_mps_per_kg) * np.sqrt(np.maximum(variance, 0.0))
        with np.errstate(invalid="ignore"):
            reach = scipy.special.stdtrit(np.where(self.degrees > 0, self.degrees, np.nan), 0.5 + level / 2) * error
        return share * ratio, share * ratio - reach, share * ratio + reach


def fit_load_speed(
    load_kg: FloatArray, speed_mps: FloatArray, line: npt.NDArray[np.int64] | None = None
) -> LoadSpeedLine:
    """Return the least-squares line of top speed on load; ``line`` is the number of each point's line, from 0.

    Source: "cahill_2019" (the line), "definition" (least squares). NaN where a line has fewer than two loads.
    """
    load, speed = np.asarray(load_kg, dtype=np.float64), np.asarray(speed_mps, dtype=np.float64)
    place = np.zeros(len(load), dtype=np.int64) if line is None else line
    n = np.bincount(place).astype(np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        mean_load, mean_speed = np.bincount(place, load) / n, np.bincount(place, speed) / n
        off_load, off_speed = load - mean_load[place], speed - mean_speed[place]
        xx, xy, yy = (np.bincount(place, v) for v in (off_load**2, off_load * off_speed, off_speed**2))
        slope = -xy / xx
        misfit = np.maximum(yy - xy**2 / xx, 0.0)
        variance = np.where(n > 2, misfit / (n - 2.0), np.nan)
        return LoadSpeedLine(
            v0_mps=mean_speed + slope * mean_load,
            slope_mps_per_kg=slope,
            v0_variance=variance * (1.0 / n + mean_load**2 / xx),
            slope_variance=variance / xx,
            covariance=variance * mean_load / xx,
            r_squared=1.0 - misfit / yy,
            degrees=n - 2.0,
        )


def class_of_slow_down(slow_down_percent: float) -> str:
    """Return the class of a load by how much it slows the run: light < 10 %, moderate < 15, heavy < 30, very heavy.

    Source: "petrakos_2016". The bands are older and lie far below the load of greatest power (50 %).
    """
    return [name for name, start in CLASS_FROM_PERCENT if slow_down_percent >= start or start == 0.0][-1]


def sled_mass(
    f0_n: float, v0_mps: float, speed_mps: float, drag_kg_per_m: float, friction: float, rope_up_deg: float = 0.0
) -> float:
    """Return the sled mass in kg that holds a runner at a steady speed: [F0 (1 - v/V0) - k v^2] / (mu' g).

    mu' = mu/(1 + mu tan(rope angle)). Source: "definition" (balance of forces at the plateau). Friction differs between
    surfaces from 0.2 to 0.6, so a mass does not carry over from one surface to another.
    """
    grip = friction / (1.0 + friction * np.tan(np.radians(rope_up_deg)))
    return float((f0_n * (1.0 - speed_mps / v0_mps) - drag_kg_per_m * speed_mps**2) / (grip * GRAVITY_MPS2))


def effective_friction(force_n_per_kg: float, load_share: float) -> float:
    """Return the friction that a force per kg of body mass and a load as share of body mass imply: f/(share g)."""
    return force_n_per_kg / (load_share * GRAVITY_MPS2)


def sled_profile(
    rep: pl.DataFrame,
    split: pl.DataFrame,
    session: pl.DataFrame,
    body_measure: pl.DataFrame,
) -> pl.DataFrame:
    """Line of top speed on sled load per athlete, surface and day with a sled run, and loads for a wanted slow-down.

    v = v0 - b L by least squares through the best top speed at each load; top speed is the highest mean speed over at
    least 5 m between two gates. L(D) = (D/100) v0/b with a 95 % interval (delta method, t with n - 2 degrees); 50 %
    slow-down is the load of greatest power. Runs of the 21 days up to ``fitted_on`` on the same surface are put
    together: a line does not carry over between surfaces, sleds or ropes.

    Sources: "cahill_2019", "cross_2017", classes "petrakos_2016". Needs three loads or more, one of them none, and
    enough distance to reach top speed at each.

    Null rule: no line without a known surface, with fewer than three loads, without an unresisted run, when speed does
    not fall, or when R2 is below 0.90; ``reason`` says which. A load beyond the heaviest tested stays, and
    ``load_*_is_beyond`` says so; ``reason`` is sled_beyond_tested then. Hand-timed runs do not count.
    """
    if not ((rep["resistance_kind"] == "sled") & (rep["resistance_load_kg"] > 0)).any():  # as of most athletes
        return SledProfile.no_rows()
    speeds = _top_speeds(rep, split, session)
    days = speeds.filter(pl.col("load_kg") > 0).select("athlete_id", "surface", fitted_on="session_date").unique()
    rows = (
        add_body_mass(days, body_measure, "fitted_on").sort("athlete_id", "surface", "fitted_on").with_row_index("line")
    )
    since = pl.col("fitted_on") - pl.duration(days=WINDOW_DAYS)
    points = (
        rows.join(speeds, on=["athlete_id", "surface"], how="inner", nulls_equal=True)
        .filter((pl.col("session_date") <= pl.col("fitted_on")) & (pl.col("session_date") > since))
        .sort("speed_mps", descending=True)
        .unique(["line", "load_kg"], keep="first", maintain_order=True)
        .sort("line", "load_kg")
    )
    line = fit_load_speed(*(points[name].to_numpy() for name in ("load_kg", "speed_mps", "line")))
    found = points.group_by("line", maintain_order=True).agg(
        loads=pl.len().cast(pl.Int64),
        lightest_kg=pl.col("load_kg").first(),
        tested_to_kg=pl.col("load_kg").last(),
        is_rising=pl.col("is_rising").first(),
    )
    return _describe(rows.join(found, on="line", how="left").sort("line"), line)


def _describe(rows: pl.DataFrame, line: LoadSpeedLine) -> pl.DataFrame:
    """Return the table from the lines, with the reason where there is no line or something to mind."""
    masses, tested = rows["body_mass_kg"].to_numpy().astype(np.float64), rows["tested_to_kg"].to_numpy()
    slowed = 100.0 * line.slope_mps_per_kg * tested / line.v0_mps
    columns: dict[str, FloatArray | npt.NDArray[np.bool_]] = {
        "v0_mps": line.v0_mps,
        "v0_mps_se": np.sqrt(line.v0_variance),
        "slope_mps_per_kg": line.slope_mps_per_kg,
        "slope_mps_per_kg_se": np.sqrt(line.slope_variance),
        "zero_speed_load_kg": line.v0_mps / line.slope_mps_per_kg,
        "heaviest_slow_down_percent": slowed,
    }
    beyond = np.zeros(len(rows), dtype=bool)
    wide = beyond.copy()
    for target in TARGETS_PERCENT:
        load, low, high = line.load_for(target)
        columns[f"load_{target}_kg"], columns[f"load_{target}_high_kg"] = load, high
        columns[f"load_{target}_low_kg"] = np.maximum(low, 0.0)
        columns[f"load_{target}_share"] = load / masses
        with np.errstate(invalid="ignore"):
            columns[f"load_{target}_is_beyond"] = load > tested
            beyond, wide = beyond | (load > tested), wide | (low < 0)
    surface_unknown, has_free = rows["surface"].is_null().to_numpy(), rows["lightest_kg"].to_numpy() == 0
    with np.errstate(invalid="ignore"):
        none: list[tuple[npt.NDArray[np.bool_], str]] = [
            (surface_unknown, "sled_surface_unknown"),
            (~has_free, "sled_no_free_run"),
            (rows["loads"].to_numpy() < LEAST_LOADS, "sled_too_few_loads"),
            (~(line.slope_mps_per_kg > 0), "sled_not_slower"),
            (~(line.r_squared >= LEAST_R_SQUARED), "sled_not_straight"),
        ]
    minds = [
        (rows["is_rising"].to_numpy().astype(bool), "sled_not_at_top_speed"),
        (wide, "sled_wide_interval"),
        (beyond, "sled_beyond_tested"),
    ]
    reason = np.full(len(rows), None, dtype=object)
    for mask, code in reversed([*none, *minds]):
        reason[mask] = code
    has_line = ~np.isin(reason, [code for _, code in none])
    shown = {
        name: pl.when(pl.Series(has_line, dtype=pl.Boolean)).then(pl.Series(values)).otherwise(None)
        for name, values in columns.items()
    }
    classes = [class_of_slow_down(share) if has else None for share, has in zip(slowed, has_line, strict=True)]
    fitted_r = pl.when(pl.Series(rows["loads"].to_numpy() >= LEAST_LOADS, dtype=pl.Boolean))
    table = rows.with_columns(
        **shown,
        r_squared=fitted_r.then(pl.Series(line.r_squared, dtype=pl.Float64)).otherwise(None),
        heaviest_class=pl.Series(classes, dtype=pl.String),
        reason=pl.Series(reason.tolist(), dtype=pl.String),
    ).drop("line", "lightest_kg", "is_rising")
    return table.with_columns(pl.col(pl.Float64).fill_nan(None))


def _top_speeds(rep: pl.DataFrame, split: pl.DataFrame, session: pl.DataFrame) -> pl.DataFrame:
    """Return load, surface and highest mean speed over at least 5 m of every run with gates that has one."""
    surface = session.select("athlete_id", "session_date", "session_no", "surface")
    runs = (
        rep.filter(
            pl.col("timing_kind").is_in(list(NOISE_S))
            & (pl.col("outcome").is_null() | (pl.col("outcome") == "completed"))
            & (pl.col("effort_percent").is_null() | (pl.col("effort_percent") >= FULL_EFFORT_PERCENT))
            & (
                ((pl.col("resistance_kind") == "sled") & pl.col("resistance_load_kg").is_not_null())
                | ((pl.col("resistance_kind") == "none") & is_free_run())
            )
        )
        .join(surface, on=["athlete_id", "session_date", "session_no"], how="left")
        .sort(REP_KEY)
    )
    speed, rising = _fastest_stretch(spread_splits(runs, split))
    load = pl.when(pl.col("resistance_kind") == "sled").then(pl.col("resistance_load_kg")).otherwise(0.0)
    return runs.select(
        "athlete_id",
        "session_date",
        "surface",
        load_kg=load,
        speed_mps=pl.Series(speed, dtype=pl.Float64),
        is_rising=pl.Series(rising, dtype=pl.Boolean),
    ).filter(pl.col("speed_mps").is_finite())


def _fastest_stretch(gates: Gates) -> tuple[FloatArray, FloatArray]:
    """Return the highest mean speed between two gates at least 5 m apart, and whether the run was still rising."""
    n, width = gates.elapsed_s.shape
    speed = np.full((n, width), np.nan)
    rows = np.arange(n)
    for gate in range(1, width):
        with np.errstate(invalid="ignore"):
            far = gates.distance_m[:, :gate] <= gates.distance_m[:, gate : gate + 1] - LEAST_STRETCH_M + 1e-9
        back = far.sum(axis=1) - 1
        with np.errstate(divide="ignore", invalid="ignore"):
            mean = (gates.distance_m[:, gate] - gates.distance_m[rows, back]) / (
                gates.elapsed_s[:, gate] - gates.elapsed_s[rows, back]
            )
        speed[:, gate] = np.where((back >= 0) & (mean > 0), mean, np.nan)
    known = np.where(np.isfinite(speed), speed, -np.inf)
    best = known.argmax(axis=1)
    found = np.isfinite(known.max(axis=1)) if n else np.zeros(0, dtype=bool)
    last = np.where(np.isfinite(gates.elapsed_s), np.arange(width), -1).max(axis=1) if n else np.zeros(0, dtype=int)
    before = np.where(best >= 1, known[rows, np.maximum(best - 1, 0)], -np.inf)
    with np.errstate(invalid="ignore"):
        rising = found & (best == last) & (known[rows, best] > (1.0 + STILL_RISING_SHARE) * before)
    return np.where(found, known[rows, best], np.nan), rising
