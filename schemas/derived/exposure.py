"""Exposure to fast running by week."""

from typing import Any

import polars as pl

from schemas.base import DerivedTable, column


def _count(text: str, label: str) -> Any:
    return column(text, source="definition", nullable=True, ge=0, label=label)


def _metres(text: str, label: str) -> Any:
    return column(text, unit="m", source="definition", nullable=True, ge=0, label=label)


class SpeedExposure(DerivedTable):
    """Fast running of one athlete in one week, measured against that athlete's own best speed by the same timing.

    A run counts once if its fastest timed section reaches 90 % (or 95 %) of the athlete's own best speed of the twelve
    months up to and including that day; metres are the lengths of the sections that reach it. Resisted runs and false
    starts are left out. Hand times cannot tell 90 % from 100 %: such runs are counted as unclassified, nothing more.
    There is no target band here: no dose of fast running is published for sprinters. What is shown is count, metres,
    gap in days, change, and the athlete's own usual range. An athlete timed over starts only has no true top speed on
    record: the counts then read high, and the reason says so.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week of")
    timing_kind: str = column(
        "Timing the speeds are compared within: the one (electronic or video) most of the athlete's judged runs have.",
        source="speed_timing_error",
        nullable=True,
        isin=["electronic", "video"],
        label="Timing",
    )
    best_speed_mps: float = column(
        "Own best section speed by this timing in the week and the 52 before it.",
        unit="m/s",
        source="definition",
        nullable=True,
        gt=0,
        label="Own best speed",
    )
    efforts_90: int = _count("Runs whose fastest section is at 90 % of own best or more.", "Runs at 90 %")
    efforts_95: int = _count("Runs whose fastest section is at 95 % of own best or more.", "Runs at 95 %")
    metres_90: float = _metres("Length of the sections at 90 % of own best or more.", "Metres at 90 %")
    metres_95: float = _metres("Length of the sections at 95 % of own best or more.", "Metres at 95 %")
    change_metres_95: float = column(
        "metres_95 minus that of the week before; null unless both are known and the week is over.",
        unit="m",
        source="definition",
        nullable=True,
        label="Change of metres at 95 %",
    )
    unclassified_efforts: int = column(
        "Runs whose speed could not be judged: hand-timed, other timing, or no timed section.",
        source="speed_timing_error",
        ge=0,
        label="Runs not judged",
    )
    fastest_share: float = column(
        "Top of the week's fastest run over own best of that day, at most 1.",
        source="definition",
        nullable=True,
        gt=0,
        le=1,
        label="Fastest share",
    )
    first_90_on: pl.Date = column(
        "Day of the first run at 90 % or more in the week; null without one.",
        source="definition",
        nullable=True,
        label="First at 90 %",
    )
    first_95_on: pl.Date = column(
        "Day of the first run at 95 % or more in the week; null without one.",
        source="definition",
        nullable=True,
        label="First at 95 %",
    )
    last_90_on: pl.Date = column(
        "Day of the last run at 90 % or more, seen from the end of the week.",
        source="definition",
        nullable=True,
        label="Last at 90 %",
    )
    last_95_on: pl.Date = column(
        "Day of the last run at 95 % or more, seen from the end of the week.",
        source="definition",
        nullable=True,
        label="Last at 95 %",
    )
    gap_90_days: int = _count(
        "Days since then, at the end of the week or today; null if never seen.", "Days since 90 %"
    )
    gap_95_days: int = _count(
        "Days since then, at the end of the week or today; null if never seen.", "Days since 95 %"
    )
    usual_metres_95_low: float = _metres(
        "Lower end of own usual week: quantile (setting) over the earlier weeks with judged running of the last 52.",
        "Usual metres from",
    )
    usual_metres_95_high: float = _metres("Upper end of own usual week.", "Usual metres to")
    expected_metres_90: float = column(
        "Metres at 90 % that were to be expected: the plan as usually carried out, or without a plan own growth.",
        unit="m",
        source="clean_squads",
        nullable=True,
        ge=0,
        label="Expected",
    )
    above_z: float = column(
        "How far metres_90 of the week, or of two together, lie above what was to be expected, in own scatters.",
        source="clean_squads",
        nullable=True,
        label="Above expected",
    )
    longest_gap_95_days: int = _count(
        "Own longest known gap between days at 95 %, of the 26 weeks before the last of them, none over a week whose "
        "fast metres are unknown; null with under eight weeks.",
        "Longest own gap",
    )
    reason: str = column("What makes the counts doubtful or null.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Fast running by week"}
