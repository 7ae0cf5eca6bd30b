"""The squad's trends together: each athlete's own line, drawn towards the line all share."""

from typing import Any

import polars as pl

from schemas.base import DerivedTable, column
from schemas.derived.progress import NOT_STATED, SQUAD_KEY, TREND_TIMINGS, measured_key
from schemas.derived.start import athlete_key
from schemas.vocabulary import CLOCK_STARTS, START_KINDS

SQUAD_METRICS = ("t_10_s",)


def _slope(description: str, source: str = "laird_ware_1982", label: str = "", **limits: Any) -> Any:
    return column(description, unit="s/week", source=source, nullable=True, label=label, **limits)


def _seconds(description: str, source: str = "laird_ware_1982", label: str = "", **limits: Any) -> Any:
    return column(description, unit="s", source=source, nullable=True, label=label, **limits)


class SquadTrend(DerivedTable):
    """One row per athlete and series: the own line of the 10 m time over twelve weeks, alone and drawn to the squad's.

    An own line through few days is half luck. Here all athletes of one start, clock and timing are fitted together: a
    shared line, by sex and event group as far as those can be told apart, and for each athlete a level and a slope of
    their own that are drawn towards the shared ones, the more so the fewer and the noisier the days. The weight says
    how much of the athlete's own slope was kept. Below 0 is faster. Show the own line beside it, always: to say only
    the pulled one hides what was measured. With few athletes the errors are somewhat too small. Pooled values are for
    comparing within the squad; an athlete's own progress is read from the level over time.
    """

    athlete_id: str = athlete_key()
    metric: str = column("Measure followed.", source="definition", isin=SQUAD_METRICS, label="Measure")
    start_kind: str = column("How the runs began.", source="definition", isin=(*START_KINDS, NOT_STATED), label="Start")
    clock_start: str = column(
        "What started the clock.", source="definition", isin=(*CLOCK_STARTS, NOT_STATED), label="Clock"
    )
    timing_kind: str = column("How it was timed.", source="definition", isin=TREND_TIMINGS, label="Timing")
    measured_by: str = measured_key()
    window_from: pl.Date = column("First day of the twelve weeks.", source="definition", label="From")
    days: int = column("Own days in the window.", source="definition", ge=1, label="Days")
    first_on: pl.Date = column("First own day in the window.", source="definition", label="First")
    last_on: pl.Date = column("Last own day in the window.", source="definition", label="Last")
    raw_slope_s_per_week: float = _slope("Slope of the own line alone, by least squares.", "definition", "Own slope")
    raw_slope_s_per_week_se: float = _slope("Its standard error.", "definition", "±", ge=0)
    pooled_slope_s_per_week: float = _slope("Own slope drawn towards the squad's.", label="Pooled slope")
    pooled_slope_s_per_week_se: float = _slope("Its standard error.", label="±", ge=0)
    pooled_slope_low_s_per_week: float = _slope("Lower end of its 95 % interval.", label="From")
    pooled_slope_high_s_per_week: float = _slope("Upper end of its 95 % interval.", label="To")
    shrinkage_weight: float = column(
        "How much of the own slope was kept: 1 all of it, 0 none.",
        unit="1",
        source="laird_ware_1982",
        nullable=True,
        ge=-1e-9,
        le=1,
        label="Kept",
    )
    pooled_level_s: float = _seconds("Level on the day looked from, by the same model.", label="Level")
    pooled_level_s_se: float = _seconds("Its standard error.", label="±", ge=0)
    squad_slope_s_per_week: float = _slope("Slope all share.", "bates_2015", "Squad slope")
    squad_slope_s_per_week_se: float = _slope("Its standard error.", "bates_2015", "±", ge=0)
    slope_sd_s_per_week: float = _slope("SD of true slopes between athletes.", "bates_2015", "Slopes differ by", ge=0)
    level_sd_s: float = _seconds(
        "SD of true levels between athletes, beyond sex and group.", "bates_2015", "Levels differ by", ge=0
    )
    day_sd_s: float = _seconds("SD of a day about an athlete's line.", "bates_2015", "A day's spread", ge=0)
    athletes: int = column("Athletes fitted together.", source="definition", nullable=True, ge=1, label="Athletes")
    fixed_effects: str = column(
        "What else the shared level hangs on: sex, event group, both or none.",
        source="definition",
        isin=("none", "sex", "event_group", "sex_and_event_group"),
        nullable=True,
        label="Level by",
    )
    sentence: str = column("In one sentence.", source="definition", label="In words")
    reason: str = column("Why something is missing: a caveat code.", source="definition", nullable=True, label="Why")
    model_reason: str = column(
        "What is to be minded of the whole fit: a caveat code.", source="bates_2015", nullable=True, label="Of the fit"
    )

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {
            "key": SQUAD_KEY,
            "title": "The squad's trends together",
        }
