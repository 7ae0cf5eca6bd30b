"""Every gate of a run against the run's own curve."""

import polars as pl

from schemas.base import DerivedTable, column
from schemas.records.keys import REP_KEY, athlete_key, rep_no, session_date, session_no


class SprintCurve(DerivedTable):
    """One row per gate of a run that has a curve: the time as taken, the time by the curve, and what lies between.

    The time by the curve counts from first movement; the clock's offset of the run is taken off before the two are set
    against each other. Gates past the fastest 10 m are not fitted and marked so. The speed of a stretch is its length
    over its time, so timing noise of 0.01 s at both ends is a large error over 5 m.
    """

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    distance_m: float = column("Gate, from the start line.", unit="m", source="definition", gt=0, label="Gate")
    elapsed_s: float = column("Time as the clock showed it.", unit="s", source="definition", gt=0, label="Clock")
    fitted_s: float = column("Time from first movement by the curve.", unit="s", source="samozino_2016", label="Curve")
    residual_s: float = column(
        "Clock less offset less curve; above 0 the gate was passed later than the curve says.",
        unit="s",
        source="definition",
        label="Off the curve",
    )
    noise_s: float = column(
        "Timing noise stated for this kind of timing: standard deviation of one time.",
        unit="s",
        source="earp_newton_2012",
        gt=0,
        label="Timing noise",
    )
    noise_band_s: float = column(
        "Twice that noise: about one gate in twenty lies further off the curve by noise alone.",
        unit="s",
        source="definition",
        gt=0,
        label="Twice the noise",
    )
    residual_in_noise: float = column(
        "What the gate is off the curve, in standard deviations of the timing noise.",
        source="definition",
        label="Off, in noise",
    )
    is_fitted: bool = column("Yes if the curve was fitted to this gate.", source="definition", label="Fitted")
    fitted_speed_mps: float = column("Speed at the gate by the curve.", unit="m/s", source="samozino_2016", gt=0)
    stretch_from_m: float = column(
        "Gate before; 0 for the first where the clock's offset is known.",
        unit="m",
        source="definition",
        nullable=True,
        ge=0,
        label="From",
    )
    stretch_speed_mps: float = column(
        "Mean speed from the gate before, as timed.", unit="m/s", source="definition", nullable=True, label="Speed"
    )
    stretch_speed_mps_se: float = column(
        "Its standard error from the timing noise of two gates.",
        unit="m/s",
        source="definition",
        nullable=True,
        ge=0,
        label="±",
    )
    stretch_speed_low_mps: float = column(
        "Lower end of its 95 % interval.", unit="m/s", source="definition", nullable=True, label="From"
    )
    stretch_speed_high_mps: float = column(
        "Upper end of its 95 % interval.", unit="m/s", source="definition", nullable=True, label="To"
    )
    stretch_middle_m: float = column(
        "Middle of the stretch, where its speed is drawn.", unit="m", source="definition", nullable=True, label="Middle"
    )

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": [*REP_KEY, "distance_m"], "title": "Gates against the curve"}
