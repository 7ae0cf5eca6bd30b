"""Runs that no trend of the start counts."""

import polars as pl

from schemas.base import DerivedTable, column
from schemas.derived.start import athlete_key

LEFT_OUT_REASONS = (
    "resisted", "false_start", "stopped_early", "submaximal_effort", "rolling_start", "hand_timed", "timing_unknown",
    "reaction_doubtful", "stands_alone", "no_splits", "no_gate_and_no_curve",
)  # fmt: skip


class StartLeftOut(DerivedTable):
    """One row per athlete and reason: runs of the last twelve weeks that no trend of a time counts, and why.

    So that nobody wonders where a run has gone. The first reason that holds is the one given.
    """

    athlete_id: str = athlete_key()
    reason: str = column("Why: a caveat code.", source="definition", isin=LEFT_OUT_REASONS, label="Why")
    runs: int = column("Runs left out for it.", source="definition", ge=1, label="Runs")
    last_on: pl.Date = column("Day of the last of them.", source="definition", label="Last")
    sentence: str = column("In one sentence.", source="definition", label="In words")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "reason"], "title": "Runs not in a trend"}
