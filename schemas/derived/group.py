"""One event group side by side: spread between athletes against noise, and the group's load weeks."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.derived.progress import NOT_STATED, TREND_TIMINGS, measured_key

GROUP_SEXES = (*words.SEXES, NOT_STATED)


def _group() -> Any:
    return column("Event group.", source="definition", isin=words.EVENT_GROUPS, label="Group")


class GroupSpread(DerivedTable):
    """One row per event group, sex and kind of start: whether athletes differ by more than noise over 10 m.

    It compares levels of the 10 m time by the same start, the same clock and the same timing, each with its own error.
    It names nobody and ranks nobody. Minors stand among adults here: age is not taken out.
    """

    event_group: str = _group()
    sex: str = column("Sex, as in the roster.", source="definition", isin=GROUP_SEXES, label="Sex")
    start_kind: str = column("How the runs began.", source="definition", label="Start")
    clock_start: str = column("What started the clock.", source="definition", label="Clock")
    timing_kind: str = column("How it was timed.", source="definition", isin=TREND_TIMINGS, label="Timing")
    measured_by: str = measured_key()
    stands: str = column(
        "Where the first gate starts the clock, how far behind it they stand; else 'not_stated'.",
        source="definition",
        label="Stands",
    )
    athletes: int = column("Athletes with a level.", source="definition", ge=1, label="Athletes")
    spread_sd_s: float = column(
        "Standard deviation of their levels, with n - 1.",
        unit="s",
        source="definition",
        nullable=True,
        ge=0,
        label="Spread",
    )
    noise_s: float = column(
        "Root of the mean squared error of the levels: the spread that noise alone would give.",
        unit="s",
        source="definition",
        nullable=True,
        ge=0,
        label="Noise",
    )
    true_spread_s: float = column(
        "Root of spread squared less noise squared, 0 where noise is the larger.",
        unit="s",
        source="definition",
        nullable=True,
        ge=0,
        label="Spread less noise",
    )
    q_statistic: float = column(
        "Sum of squared distances from the weighted mean, each over its own error.",
        source="cochran_1954",
        nullable=True,
        ge=0,
        label="Q",
    )
    p_noise: float = column(
        "Probability of so great a Q if all had the same true level.",
        unit="1",
        source="cochran_1954",
        nullable=True,
        ge=0,
        le=1,
        label="P(noise alone)",
    )
    pairs: int = column("Pairs of athletes.", source="definition", nullable=True, ge=0, label="Pairs")
    pairs_beyond: int = column(
        "Pairs that differ by more than 1.96 errors of their difference.",
        source="definition",
        nullable=True,
        ge=0,
        label="Pairs beyond noise",
    )
    sentence: str = column("In one sentence.", source="definition", label="In words")
    reason: str = column("Why there is no answer.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {
            "key": ["event_group", "sex", "start_kind", "clock_start", "timing_kind", "measured_by", "stands"],
            "title": "Spread of a group against noise",
        }


class GroupLoad(DerivedTable):
    """One row per event group and week: how many athletes' load lay below, within or above their own range.

    Each athlete is held against their own earlier weeks only; loads of different people are not added or compared.
    """

    event_group: str = _group()
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week of")
    athletes: int = column("Athletes with a row that week.", source="definition", ge=0, label="Athletes")
    below: int = column("Below own range.", source="definition", ge=0, label="Below")
    within: int = column("Within own range.", source="definition", ge=0, label="Within")
    above: int = column("Above own range.", source="definition", ge=0, label="Above")
    no_range: int = column("Week known, own range not yet.", source="definition", ge=0, label="No range yet")
    unknown: int = column("Week not known whole.", source="definition", ge=0, label="Not known")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["event_group", "week_of"], "title": "Load of a group by week"}
