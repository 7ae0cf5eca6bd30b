"""Raw own bests by gate: what was timed, before any model."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.derived.start import athlete_key


class GateBest(DerivedTable):
    """One row per athlete, gate and way of starting and timing: the fastest time as timed, and that of the last day.

    Times of different starts, clocks, ways of timing or run-ins are never mixed: each has a row of its own.
    """

    athlete_id: str = athlete_key()
    distance_m: float = column("Gate.", unit="m", source="definition", gt=0, label="Gate")
    start_kind: str = column("Start.", source="definition", isin=(*words.START_KINDS, "unknown"), label="Start")
    clock_start: str = column(
        "What started the clock.", source="definition", isin=(*words.CLOCK_STARTS, "unknown"), label="Clock"
    )
    timing_kind: str = column(
        "How it was timed.", source="definition", isin=(*words.TIMING_KINDS, "unknown"), label="Timing"
    )
    run_in: str = column(
        "Run-in of flying runs, in whole metres; 'unknown' where nobody said it, 'none' of other starts.",
        source="definition", example="30 m", label="Run-in",
    )  # fmt: skip
    best_s: float = column("Fastest time, as timed.", unit="s", source="definition", gt=0, label="Best")
    best_on: pl.Date = column("Day of it; the first, where it was run twice.", source="definition", label="On")
    best_wind_ms: float = column(
        "Wind of that run, tailwind positive; unknown where nobody said.", unit="m/s", source="definition",
        nullable=True, label="Wind",
    )  # fmt: skip
    last_s: float = column("Fastest time of the last day.", unit="s", source="definition", gt=0, label="Last")
    last_on: pl.Date = column("The last day.", source="definition", label="Last on")
    days: int = column("Days with such a time.", source="definition", ge=1, label="Days")
    runs: int = column("Runs with such a time.", source="definition", ge=1, label="Runs")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {
            "key": ["athlete_id", "distance_m", "start_kind", "clock_start", "timing_kind", "run_in"],
            "title": "Raw bests by gate",
        }
