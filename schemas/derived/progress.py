"""Progress: the level of each measure over time, and what changed since the reference day."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.derived.start import athlete_key

NOT_STATED = "not_stated"
PROGRESS_METRICS = ("t_10_s", "t_5_s", "t_30_s", "vmax_mps", "pmax_w_per_kg", "speed_after_3_mps", "contact_1_s")
TREND_TIMINGS = ("electronic", "video")
SERIES_KEY = ["athlete_id", "metric", "start_kind", "clock_start", "timing_kind"]


def metric_key() -> Any:
    """Describe the key column that names the measure."""
    return column("Measure followed.", source="definition", isin=PROGRESS_METRICS, label="Measure")


def start_key() -> Any:
    """Describe the key column of the kind of start."""
    kinds = (*words.START_KINDS, NOT_STATED)
    return column("How the runs began; only like with like.", source="definition", isin=kinds, label="Start")


def clock_key() -> Any:
    """Describe the key column of the clock."""
    kinds = (*words.CLOCK_STARTS, NOT_STATED)
    return column("What started the clock; only like with like.", source="definition", isin=kinds, label="Clock")


def timing_key() -> Any:
    """Describe the key column of the timing."""
    return column("How it was timed; hand times are left out.", source="definition", isin=TREND_TIMINGS, label="Timing")


def number(description: str, source: str = "definition", label: str = "", **limits: Any) -> Any:
    """Describe a nullable number in the unit of its measure."""
    return column(description, unit="as the measure", source=source, nullable=True, label=label, **limits)


class StartTrend(DerivedTable):
    """One row per day a measure was taken: what the day showed and the level it speaks for.

    A run counts when it was free (no resistance, or none stated and no load), completed (or not said), at 95 % of
    effort or more (or not said), electronically or video timed, and, for measures of the acceleration curve, its fit
    is good or thin. Runs of different start, clock or timing are never one series; step measures keep to the
    frame-rate class the athlete has most of. The level is that of a local-level model: the day's error is known, the
    drift from day to day is shared by the squad, and every level uses the whole series up to today, earlier and
    later days.
    """

    athlete_id: str = athlete_key()
    metric: str = metric_key()
    start_kind: str = start_key()
    clock_start: str = clock_key()
    timing_kind: str = timing_key()
    session_date: pl.Date = column("Day of the runs.", source="definition", label="Date")
    reps: int = column("Runs of that day that count.", source="definition", ge=1, label="Runs")
    observed: float = column(
        "Mean of the day's runs, weighted by their errors.", unit="as the measure", source="definition", label="Day"
    )
    observed_se: float = number(
        "Error of the day's mean: spread between runs, error of each fit, and day form.", "hopkins_2000", "±", ge=0
    )
    level: float = number("Smoothed level on that day.", "durbin_koopman", "Level")
    level_se: float = number("Standard error of the level.", "durbin_koopman", "±", ge=0)
    lower_95: float = number("Level less 1.96 standard errors.", "durbin_koopman", "Low")
    upper_95: float = number("Level plus 1.96 standard errors.", "durbin_koopman", "High")
    typical_error: float = number("Typical error of one run, pooled over the squad.", "hopkins_2000", ge=0)
    typical_error_freedom: int = column(
        "Degrees of freedom of the typical error.", source="hopkins_2000", nullable=True, ge=1
    )
    day_form_sd: float = number(
        "How far one day differs from the next beyond its runs, pooled over the squad.", "durbin_koopman", ge=0
    )
    drift_sd_per_day: float = number(
        "SD of the level's drift in a day, pooled over the squad; times sqrt(days) for longer.", "chung_2013", ge=0
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": [*SERIES_KEY, "session_date"], "title": "Level over time"}


class StartProgress(DerivedTable):
    """One row per series: the change since the reference day, against the athlete's own noise.

    The reference is the day so many weeks (a setting, six) before today, or the first day of the series if that is
    later, at least two weeks back. 'Improving' and 'slipping' say that the change is beyond the smallest worthwhile one
    with at least the set probability (0.80), 'holding' that it is within it; else 'not clear', always with the number.
    The model's drift is a prior on change, so a lucky first day is pulled back: regression to the mean is counted.
    """

    athlete_id: str = athlete_key()
    metric: str = metric_key()
    start_kind: str = start_key()
    clock_start: str = clock_key()
    timing_kind: str = timing_key()
    is_main: bool = column(
        "The series to show first: the 10 m time with most sessions in the last weeks.", source="definition"
    )
    first_on: pl.Date = column("First day of the series.", source="definition", label="First")
    last_on: pl.Date = column("Last day of the series.", source="definition", label="Last")
    reps: int = column("Runs in the series.", source="definition", ge=1, label="Runs")
    sessions: int = column("Days in the series.", source="definition", ge=1, label="Days")
    recent_sessions: int = column("Days since the start of the window of weeks.", source="definition", ge=0)
    reference_on: pl.Date = column("Day compared with.", source="definition", label="Since")
    level_now: float = number("Level today.", "durbin_koopman", "Now")
    level_now_se: float = number("Its standard error.", "durbin_koopman", "±", ge=0)
    level_then: float = number("Level on the reference day.", "durbin_koopman", "Then")
    level_then_se: float = number("Its standard error.", "durbin_koopman", "±", ge=0)
    change: float = number("Level now less level then.", "durbin_koopman", "Change")
    change_se: float = number("Its standard error, from the joint of both levels.", "rauch_1965", "±", ge=0)
    swc: float = number("Smallest worthwhile change.", "hopkins_swc", "Counts from", ge=0)
    swc_basis: str = column("Source key of that change.", source="hopkins_swc", nullable=True)
    swc_reason: str = column("What is doubtful about it.", source="definition", nullable=True)
    mdc: float = number("Smallest difference of two single runs beyond noise: 1.96 sqrt 2 TE.", "weir_2005", ge=0)
    typical_error: float = number("Typical error of one run.", "hopkins_2000", ge=0)
    p_better: float = column(
        "Probability of a change for the better beyond the smallest worthwhile one.",
        unit="1",
        source="hopkins_probability",
        nullable=True,
        ge=0,
        le=1,
        label="Better",
    )
    p_worse: float = column(
        "Probability of a change for the worse beyond it.",
        unit="1",
        source="hopkins_probability",
        nullable=True,
        ge=0,
        le=1,
        label="Worse",
    )
    p_within: float = column(
        "Probability of no change that counts.",
        unit="1",
        source="hopkins_probability",
        nullable=True,
        ge=-1e-9,
        le=1,
        label="Within",
    )
    word: str = column("In one word.", source="definition", isin=words.PROGRESS_WORDS, label="Progress")
    sentence: str = column("In one sentence.", source="definition", label="In words")
    better_is: str = column(
        "Direction that is better; empty where neither is.",
        source="common_practice",
        isin=("lower", "higher"),
        nullable=True,
    )
    unit: str = column("Unit of the measure.", source="definition", label="Unit")
    reason: str = column("Why it is not clear, or what limits it.", source="definition", nullable=True, label="Why")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": SERIES_KEY, "title": "Progress"}
