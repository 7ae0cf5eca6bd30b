"""Acceleration: the profile of every run, and best and typical of every session."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.records.keys import REP_KEY, athlete_key, rep_no, session_date, session_no

TIME_ZEROS = (
    "gun_reaction", "gun_prior", "first_movement", "release_prior", "gate_known", "gate_unknown", "rolling", "unknown",
)  # fmt: skip
FIT_STATUSES = (
    "converged", "too_few_splits", "not_increasing", "at_bound", "not_converged", "poor_fit", "vmax_not_identified",
    "not_fitted", "rolling",
)  # fmt: skip


def _estimate(description: str, unit: str, source: str = "samozino_2016", label: str = "", **limits: Any) -> Any:
    return column(description, unit=unit, source=source, nullable=True, label=label, **limits)


def _error(of: str, unit: str) -> Any:
    return column(f"Standard error of {of}.", unit=unit, source="definition", nullable=True, ge=0, label="±")


def _half_width(of: str, unit: str) -> Any:
    said = f"Half the 95 % interval of {of}."
    return column(said, unit=unit, source="definition", nullable=True, ge=0, label="± 95 %")


def _word(description: str, allowed: tuple[str, ...], label: str) -> Any:
    return column(description, source="definition", isin=allowed, nullable=True, label=label)


class SprintProfile(DerivedTable):
    """One row per run: the curve through its split times, and what follows from it.

    Speed is taken to rise towards a ceiling (vmax) with one time constant (tau). The curve is fitted to the times; each
    number has its standard error, and about 95 of 100 times the true value lies within two of them if the model holds.
    vmax and tau are bound up with each other (correlation near 0.97), so short times are known far better than either.
    Compare runs with the same kind of start, clock and timing only. Trust says whether to use a row: good, thin (with
    care), poor (not at all for force and velocity); the reason is beside it.
    """

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    start_kind: str = _word("How the run began.", words.START_KINDS, "Start")
    clock_start: str = _word("What started the clock.", words.CLOCK_STARTS, "Clock")
    timing_kind: str = _word("How the times were taken.", words.TIMING_KINDS, "Timing")
    resistance_kind: str = _word("What the run was resisted by.", words.RESISTANCE_KINDS, "Resistance")
    is_free: bool = column(
        "Yes where nothing resisted the run: resistance 'none' or not said, and no load above 0 kg written down.",
        source="definition",
        label="Free",
    )
    vmax_mps: float = _estimate(
        "Speed the run tends to; for a rolling start its fastest 10 m, drawn in for being the fastest of several.",
        "m/s",
        label="Top speed",
        gt=0,
    )
    vmax_mps_se: float = _error("top speed", "m/s")
    vmax_timing_error_mps: float = _error("top speed, from the timing alone", "m/s")
    vmax_zero_error_mps: float = _error("top speed, from when the body started to move", "m/s")
    tau_s: float = _estimate("Time constant: 63 % of top speed is reached after it.", "s", label="Time constant", gt=0)
    tau_s_se: float = _error("the time constant", "s")
    tau_timing_error_s: float = _error("the time constant, from the timing alone", "s")
    tau_zero_error_s: float = _error("the time constant, from when the body started to move", "s")
    time_offset_s: float = _estimate(
        "What the clock shows as the body starts to move; below 0 where the body was first.", "s", label="Clock offset"
    )
    time_offset_s_se: float = _error("the clock offset; 0 where it is known", "s")
    behind_m: float = _estimate(
        "Distance behind the line or first gate: as recorded, or estimated.",
        "m",
        "flying_distance_2024",
        "Behind",
        ge=0,
    )
    behind_m_se: float = _error("the distance behind; 0 where it is recorded", "m")
    a0_mps2: float = _estimate("Initial acceleration: vmax / tau.", "m/s²", label="Initial acceleration", gt=0)
    a0_mps2_se: float = _error("the initial acceleration", "m/s²")
    f0_n_per_kg: float = _estimate("Force at no speed, from the force-velocity line, per kg.", "N/kg", label="F0")
    f0_n_per_kg_se: float = _error("F0", "N/kg")
    v0_mps: float = _estimate("Speed at no force, from the force-velocity line.", "m/s", label="V0")
    v0_mps_se: float = _error("V0", "m/s")
    pmax_w_per_kg: float = _estimate("Greatest forward power, F0 V0 / 4, per kg.", "W/kg", label="Pmax")
    pmax_w_per_kg_se: float = _error("Pmax", "W/kg")
    rf_max: float = _estimate("Share of the force that points forward at 0.3 s.", "1", label="RFmax")
    rf_max_se: float = _error("RFmax", "1")
    drf_s_per_m: float = _estimate("Fall of that share per m/s of speed, from 0.3 s on.", "s/m", label="DRF")
    drf_s_per_m_se: float = _error("DRF", "s/m")
    t_5_s: float = _estimate("Time from first movement to 5 m.", "s", label="5 m", gt=0)
    t_5_s_se: float = _error("the time to 5 m", "s")
    t_10_s: float = _estimate("Time from first movement to 10 m.", "s", label="10 m", gt=0)
    t_10_s_se: float = _error("the time to 10 m", "s")
    t_10_timing_error_s: float = _error("the time to 10 m, from the timing alone", "s")
    t_10_zero_error_s: float = _error("the time to 10 m, from when the body started to move", "s")
    t_10_timing_half_width_s: float = _half_width("the time to 10 m, from the timing alone", "s")
    t_10_zero_half_width_s: float = _half_width("the time to 10 m, from when the body started to move", "s")
    t_10_model_late_s: float = _estimate(
        "What the curve reads the 10 m later than a gate there, on average; below 0 earlier. Stated, not taken off.",
        "s",
        "healy_2022",
        "Model late",
    )
    t_10_model_by: str = column(
        "What that rests on: published championship runs from blocks, or the squad's own gates at 10 m.",
        source="definition",
        isin=("published_runs", "own_gates"),
        nullable=True,
        label="Late by",
    )
    t_10_model_reason: str = column(
        "Why it is not known: a caveat code.", source="definition", nullable=True, label="Not known"
    )
    t_20_s: float = _estimate("Time from first movement to 20 m.", "s", label="20 m", gt=0)
    t_20_s_se: float = _error("the time to 20 m", "s")
    t_30_s: float = _estimate("Time from first movement to 30 m.", "s", label="30 m", gt=0)
    t_30_s_se: float = _error("the time to 30 m", "s")
    v_5_mps: float = _estimate("Speed at 5 m of movement.", "m/s", label="Speed at 5 m", gt=0)
    v_5_mps_se: float = _error("the speed at 5 m", "m/s")
    v_10_mps: float = _estimate("Speed at 10 m of movement.", "m/s", label="Speed at 10 m", gt=0)
    v_10_mps_se: float = _error("the speed at 10 m", "m/s")
    rmse_s: float = _estimate(
        "Root mean square of what the curve misses the times by.", "s", "definition", "Misfit", ge=0
    )
    splits_used: int = column("Splits the curve was fitted to.", source="definition", ge=0, label="Splits")
    splits_left_out: int = column(
        "Splits past the fastest 10 m, not fitted.", source="definition", ge=0, label="Left out"
    )
    fitted_to_m: float = _estimate("Distance of the last split fitted.", "m", "definition", "Fitted to")
    vmax_tau_correlation: float = _estimate(
        "Correlation of the estimates of vmax and tau.", "1", "definition", "Correlation", ge=-1, le=1
    )
    time_zero: str = column(
        "Rule used for when the body started to move.", source="haugen_2012", isin=TIME_ZEROS, label="Time zero"
    )
    fit_status: str = column("How the fit ended.", source="definition", isin=FIT_STATUSES, label="Fit")
    trust: str = column("How far the row can be used.", source="definition", isin=words.TRUSTS, label="Trust")
    trust_reason: str = column("Why not further: a caveat code.", source="definition", nullable=True, label="Reason")
    force_velocity_reason: str = column(
        "Why there are no force-velocity numbers: a caveat code.",
        source="definition",
        nullable=True,
        label="No force-velocity",
    )
    remarks: str = column(
        "Further caveat codes, parted by spaces.", source="definition", nullable=True, label="Remarks"
    )
    body_mass_kg: float = _estimate(
        "Body mass used: the latest within 180 days before.", "kg", "common_practice", "Mass"
    )
    height_m: float = _estimate("Height used: the latest within two years before.", "m", "common_practice", "Height")
    free_vmax_mps: float = _estimate(
        "Top speed with a free clock offset: a check, not to be followed over time.",
        "m/s",
        "flying_distance_2024",
        "Top speed, free",
    )
    free_tau_s: float = _estimate(
        "Time constant with a free clock offset: a check.", "s", "flying_distance_2024", "Time constant, free"
    )
    free_offset_s: float = _estimate(
        "Clock offset the splits alone ask for: a check.", "s", "flying_distance_2024", "Offset, free"
    )
    free_offset_s_se: float = _error("the free clock offset", "s")

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": REP_KEY, "title": "Sprint profile"}


class SprintNoise(DerivedTable):
    """One row per kind of timing and start: how far one time of the squad lies off its curve.

    Made from whole weeks, those before the running one, so that a run of today moves no other athlete's errors.
    """

    timing_kind: str = _word("How the times were taken.", words.TIMING_KINDS, "Timing")
    start_kind: str = _word("How the run began.", words.START_KINDS, "Start")
    runs: int = column("Runs with a split to spare.", source="definition", ge=1, label="Runs")
    freedom: int = column("Splits to spare, in all.", source="definition", ge=1, label="To spare")
    usual_s: float = column("What is usual for the timing.", unit="s", source="earp_newton_2012", gt=0, label="Usual")
    noise_s: float = column(
        "Standard deviation of one time about its curve: timing, and what the curve misses.",
        unit="s",
        source="normal_shrinkage",
        gt=0,
        label="Noise",
    )
    late_10_s: float = _estimate(
        "What the curve of the other gates reads the gate at 10 m later by; below 0 earlier.",
        "s",
        "definition",
        "Late at 10 m",
    )
    late_10_error_s: float = _error("it, from how athletes differ", "s")
    late_10_runs: int = column(
        "Runs with a gate at 10 m, three others and a known time zero.", source="definition", ge=0, label="Runs there"
    )

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["timing_kind", "start_kind"], "title": "Noise of one time"}


class SprintSession(DerivedTable):
    """One row per athlete, day, kind of start, clock and timing, and metric: the best run and the typical one.

    Unresisted runs at full effort of good or thin trust. A best of many runs beats a best of few by chance alone:
    compare typical values, or bests of equally many runs.
    """

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    start_kind: str = _word("How the runs began.", words.START_KINDS, "Start")
    clock_start: str = _word("What started the clock.", words.CLOCK_STARTS, "Clock")
    timing_kind: str = _word("How the times were taken.", words.TIMING_KINDS, "Timing")
    metric: str = column("Column of the sprint profile.", source="definition", label="Measure")
    best: float = column("Least time, or greatest speed, force or power.", source="definition", label="Best")
    best_se: float = column("Standard error of that run's value.", source="definition", nullable=True, ge=0, label="±")
    typical: float = column("Median of the runs.", source="definition", label="Typical")
    typical_se: float = column("Standard error of the median.", source="definition", nullable=True, ge=0, label="±")
    reps: int = column("Runs that count.", source="definition", ge=1, label="Runs")

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {
            "key": ["athlete_id", "session_date", "start_kind", "clock_start", "timing_kind", "metric"],
            "title": "Sprint session",
        }
