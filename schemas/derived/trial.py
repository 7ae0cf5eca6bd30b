"""What trials of two ways to start found."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.derived.progress import MEASURED_BY, NOT_STATED, PROGRESS_METRICS, TREND_TIMINGS
from schemas.records.keys import athlete_key

TRIAL_WORDS = ("a_faster", "b_faster", "cannot_tell")
TRIAL_REASONS = ("no_day_with_both", "one_day_only", "too_few_ways_to_deal", "chance_not_ruled_out")


def _like(description: str, allowed: tuple[str, ...], label: str) -> Any:
    """Describe a column that says which runs are counted; empty where none are."""
    return column(description, source="definition", isin=allowed, nullable=True, label=label)


class StartTrialResult(DerivedTable):
    """One row per athlete and trial: B against A within the same days, and how often dealing alone does as much.

    Day form is in both ways alike and falls out; what is left is from one run to the next. Runs of a day are dealt anew
    to A and B in every possible way: where fewer than one in twenty of them lies as far apart as what was run, the
    difference is called one. It holds for this athlete and these days, and only if the order of the runs was by lot or
    in turn.
    """

    athlete_id: str = athlete_key()
    tried: str = column("Name of the trial.", source="coach", label="Trial")
    metric: str = _like("Measure the two are held against each other by.", PROGRESS_METRICS, "Measure")
    start_kind: str = _like("How the runs began.", (*words.START_KINDS, NOT_STATED), "Start")
    clock_start: str = _like("What started the clock.", (*words.CLOCK_STARTS, NOT_STATED), "Clock")
    timing_kind: str = _like("How it was timed; hand times are left out.", TREND_TIMINGS, "Timing")
    measured_by: str = _like("What the value was measured by.", MEASURED_BY, "Measured by")
    set_up: str = column("What else sets the runs apart.", source="definition", nullable=True, label="Set-up")
    first_on: pl.Date = column("First day with both ways.", source="definition", nullable=True, label="First")
    last_on: pl.Date = column("Last day with both ways.", source="definition", nullable=True, label="Last")
    days: int = column("Days with runs of both ways.", source="definition", ge=0, label="Days")
    runs_a: int = column("Runs of A on them.", source="definition", ge=0, label="Runs of A")
    runs_b: int = column("Runs of B on them.", source="definition", ge=0, label="Runs of B")
    runs_left_out: int = column(
        "Runs of the trial that are not counted: no such time, another set-up, or a day with one way only.",
        source="definition",
        ge=0,
        label="Not counted",
    )
    runs_by_lot: int = column(
        "Runs that a lot was drawn for beforehand.", source="definition", ge=0, label="Runs by lot"
    )
    runs_as_drawn: int = column(
        "Of them those that were run as the lot says.", source="definition", ge=0, label="As drawn"
    )
    difference_s: float = column(
        "B less A, within days.", unit="s", source="definition", nullable=True, label="Difference"
    )
    difference_s_se: float = column(
        "Its standard error, from how runs of one way differ within a day.",
        unit="s",
        source="definition",
        nullable=True,
        ge=0,
        label="±",
    )
    difference_low_s: float = column(
        "Difference less t standard errors (95 %).", unit="s", source="student_1908", nullable=True, label="From"
    )
    difference_high_s: float = column(
        "Difference plus t standard errors (95 %).", unit="s", source="student_1908", nullable=True, label="To"
    )
    p_chance: float = column(
        "Share of all ways to deal the runs of each day that lie at least as far apart, either way.",
        unit="1",
        source="fisher_1935",
        nullable=True,
        gt=0,
        le=1,
        label="By chance",
    )
    dealings: int = column(
        "Ways to deal that were looked at: all of them, or drawn by lot where there are too many.",
        source="fisher_1935",
        ge=0,
        label="Ways to deal",
    )
    run_sd_s: float = column(
        "How one run of a way differs from the next within a day.",
        unit="s",
        source="definition",
        nullable=True,
        ge=0,
        label="Run to run",
    )
    runs_to_see: int = column(
        "Runs of each way, in all, at which the change set in the settings (20 ms) is seen four times of five.",
        source="definition",
        nullable=True,
        ge=1,
        label="Runs of each to see it",
    )
    word: str = column("In one word.", source="definition", isin=TRIAL_WORDS, label="Found")
    reason: str = column("Why it cannot be told.", source="definition", isin=TRIAL_REASONS, nullable=True, label="Why")
    sentence: str = column("In one sentence.", source="definition", label="In words")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "tried"], "title": "Trials of two starts: found"}
