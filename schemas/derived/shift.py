"""Steps in everybody's time at once."""

import polars as pl

from schemas.base import DerivedTable, column
from schemas.derived.progress import clock_key, measured_key, metric_key, start_key, timing_key

SHIFT_KEY = ["metric", "start_kind", "clock_start", "timing_kind", "measured_by", "shift_on"]


class StartShift(DerivedTable):
    """One row per step that all athletes' gate times made at once: a gate moved, another clock, another ground.

    Made from whole weeks. Progress does not compare days on two sides of such a step: it would call a moved gate
    improvement in everybody. Where the squad truly got faster from one day to the next, it shows again once both
    windows lie after the step.
    """

    metric: str = metric_key()
    start_kind: str = start_key()
    clock_start: str = clock_key()
    timing_kind: str = timing_key()
    measured_by: str = measured_key()
    shift_on: pl.Date = column("First day after the step.", source="definition", label="Since")
    shift_s: float = column("Size of the step.", unit="s", source="common_practice", label="Step")
    shift_s_se: float = column("Standard error of the step.", unit="s", source="definition", ge=0, label="±")
    athletes: int = column("Athletes timed on both sides.", source="definition", ge=1, label="Athletes")
    alike: int = column("Of them, those who stepped the same way by half of it or more.", source="definition", ge=0)
    sentence: str = column("In one sentence.", source="definition", label="In words")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": SHIFT_KEY, "title": "Steps in everybody's time"}
