"""What the squad's own runs say of noise: how far repeats, days and athletes lie apart."""

from schemas.base import DerivedTable, column
from schemas.derived.progress import clock_key, metric_key, number, start_key, timing_key

NOISE_KEY = ["metric", "timing_kind"]  # what typical error, day form and drift are pooled over
KIND_KEY = ["metric", "start_kind", "clock_start", "timing_kind"]


class StartNoise(DerivedTable):
    """One row per measure, start, clock and timing kind: the noise a change of the start is held against.

    Made from the runs of whole weeks, those before the running one. So a new run is held against what was known before
    it, and one athlete's run of today moves no other athlete's line.
    """

    metric: str = metric_key()
    start_kind: str = start_key()
    clock_start: str = clock_key()
    timing_kind: str = timing_key()
    athletes: int = column("Athletes with such runs.", source="definition", ge=1, label="Athletes")
    days: int = column("Days of theirs.", source="definition", ge=1, label="Days")
    typical_error: float = number(
        "Typical error of one run, from repeats within a day, all starts of this measure and timing.",
        "hopkins_2000",
        "Typical error",
        ge=0,
    )
    typical_error_freedom: int = column(
        "Degrees of freedom of the typical error.", source="hopkins_2000", nullable=True, ge=1
    )
    fit_error: float = number("Middle error of one run's own fit; empty for measured values.", "definition", ge=0)
    day_form_sd: float = number(
        "How far one day differs from the next beyond its runs.", "durbin_koopman", "Day form", ge=0
    )
    drift_sd_per_day: float = number(
        "SD of the level's drift in a day; times sqrt(days) for longer.", "chung_2013", "Drift a day", ge=0
    )
    swc: float = number("Smallest worthwhile change.", "hopkins_swc", "Counts from", ge=0)
    swc_basis: str = column("Source key of that change.", source="hopkins_swc", nullable=True)
    swc_reason: str = column("What is doubtful about it.", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": KIND_KEY, "title": "Noise of the start"}
