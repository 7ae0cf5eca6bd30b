"""What the squad's own runs say of noise: how far repeats, days and athletes lie apart."""

from schemas.base import DerivedTable, column
from schemas.derived.progress import age_key, clock_key, measured_key, metric_key, number, start_key, timing_key

NOISE_KEY = ["metric", "start_kind", "clock_start", "timing_kind", "measured_by", "age_group"]


class StartNoise(DerivedTable):
    """One row per measure, start, clock, timing, way of measuring and age group: the noise a change is held against.

    Made from the runs of whole weeks, those before the running one. So a new run is held against what was known before
    it, and one athlete's run of today moves no other athlete's line.
    """

    metric: str = metric_key()
    start_kind: str = start_key()
    clock_start: str = clock_key()
    timing_kind: str = timing_key()
    measured_by: str = measured_key()
    age_group: str = age_key()
    athletes: int = column("Athletes with such runs.", source="definition", ge=1, label="Athletes")
    days: int = column("Days of theirs.", source="definition", ge=1, label="Days")
    typical_error: float = number("Typical error of one run, from repeats within a day.", "hopkins_2000", ge=0)
    typical_error_freedom: int = column(
        "Degrees of freedom of the typical error.", source="hopkins_2000", nullable=True, ge=1
    )
    typical_error_of: str = column(
        "What the typical error is of: such runs alone, or, where they are too few, all starts of this measure and "
        "timing.",
        source="definition",
        isin=("such_runs", "all_starts"),
        nullable=True,
    )
    fit_error: float = number("Middle error of one run's own fit; empty for measured values.", "definition", ge=0)
    neighbour_sd: float = number(
        "How far one day lies from the next, runs included, while nothing changes.", "von_neumann_1941", ge=0
    )
    day_form_sd: float = number("Of that, what lies beyond the runs: day form.", "von_neumann_1941", "Day form", ge=0)
    wave_sd: float = number(
        "Slow form that comes and goes within a month; 0 where none is likely.", "patterson_thompson_1971", "Slow form",
        ge=0,
    )  # fmt: skip
    wave_high_sd: float = number(
        "Slow form that the squad's days do not rule out: three in four that it is less. Words are held against it.",
        "patterson_thompson_1971",
        "Slow form up to",
        ge=0,
    )
    drift_sd_per_day: float = number(
        "SD of the line's drift in a day; times sqrt(days) for longer.", "durbin_koopman", "Drift a day", ge=0
    )
    swc: float = number("Smallest worthwhile change.", "hopkins_swc", "Counts from", ge=0)
    swc_basis: str = column("Source key of that change.", source="hopkins_swc", nullable=True)
    swc_reason: str = column("What is doubtful about it.", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": NOISE_KEY, "title": "Noise of the start"}
