"""The way back to running after an injury."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column


class ReturnLadder(DerivedTable):
    """One row per injury: how far the coach-kept ladder of return to running has come, and how fast was run since.

    The ladder is common practice in our own words: walk and jog, running drills, easy runs at half speed, build-ups to
    70 and then 85 per cent, flying runs at 90, starts and bends, flying runs at 95, a whole session. This is a record
    of what was done and who signed. The tool clears nobody: a licensed professional signs, and pain goes to them.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    onset_on: pl.Date = column("Day the injury began.", source="definition", label="Injured on")
    site: str = column("Place on the body.", source="definition", isin=words.INJURY_SITES, label="Site")
    side: str = column("Side.", source="definition", isin=words.TEST_SIDES, label="Side")
    days_since_onset: int = column("Days from the onset to today.", source="definition", ge=0, label="Days since")
    is_open: bool = column(
        "Whether it is open: no return day yet, unless it never stopped training.", source="definition", label="Open"
    )
    returned_on: pl.Date = column(
        "First day of full training again, once it has come.", source="definition", nullable=True, label="Returned"
    )
    weeks_since_return: int = column(
        "Whole weeks since then.", source="definition", nullable=True, ge=0, label="Weeks since return"
    )
    is_current: bool = column(
        "Whether it is open, or back for no more weeks than are marked (a setting).",
        source="wangensteen_2016",
        label="Current",
    )
    rungs_done: int = column("Rungs with a day noted.", source="definition", ge=0, label="Rungs done")
    highest_rung: int = column(
        "Highest rung done without having to stop.", source="definition", nullable=True, ge=1, label="Highest rung"
    )
    last_rung: int = column("Rung done last.", source="definition", nullable=True, ge=1, label="Last rung")
    last_done_on: pl.Date = column("Day of it.", source="definition", nullable=True, label="On")
    last_symptoms: str = column(
        "What was felt then; empty where nobody said.",
        source="definition",
        nullable=True,
        isin=words.RETURN_SYMPTOMS,
        label="Symptoms",
    )
    days_with_symptoms: int = column(
        "Days of the ladder with slight symptoms or a stop.", source="definition", ge=0, label="Days with symptoms"
    )
    signed_rung: int = column(
        "Highest rung a licensed professional has signed.", source="definition", nullable=True, ge=1, label="Signed"
    )
    signed_by: str = column("Who signed it.", source="definition", nullable=True, label="Signed by")
    judged_runs: int = column(
        "Runs since the onset day that could be set against own best.", source="speed_timing_error", ge=0, label="Runs"
    )
    best_before_mps: float = column(
        "Own best section speed of the twelve months up to and including the onset day, by the same timing.",
        unit="m/s",
        source="definition",
        nullable=True,
        gt=0,
        label="Own best before",
    )
    fastest_mps: float = column(
        "Top speed of the fastest run since the onset day, over 20 m where it has them.",
        unit="m/s",
        source="definition",
        nullable=True,
        gt=0,
        label="Fastest",
    )
    fastest_share: float = column(
        "That over own best before it; above 1 when it was beaten.",
        source="definition",
        nullable=True,
        gt=0,
        label="Fastest share of own best before",
    )
    fastest_on: pl.Date = column("Day of it.", source="definition", nullable=True, label="On")
    reason: str = column("What is unknown or contradicts itself.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "onset_on", "site", "side"], "title": "Return to running"}
