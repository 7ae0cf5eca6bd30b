"""Blocks of work that was really done, and what followed a decision."""

from typing import Any

import polars as pl

from schemas.base import DerivedTable, column
from schemas.derived.start import athlete_key

BLOCK_KINDS = ("sled", "eccentric", "hip_flexor", "ankle", "jump")
FOLLOWED_WORK = ("sled", "eccentric", "hip_flexor", "ankle", "jump", "starts")


class TrainingBlock(DerivedTable):
    """One row per run of weeks in which a kind of work was done on two days or more a week.

    From what is on record (runs, sets), not from a plan. A block is two such weeks on end or more; it ends with the
    first week that has fewer days, so it also ends where the log does. It is drawn under a trend to show what went
    with it. That two things went together does not show that one caused the other.
    """

    athlete_id: str = athlete_key()
    kind: str = column("Kind of work.", source="common_practice", isin=BLOCK_KINDS, label="Work")
    start_on: pl.Date = column("Monday of its first week.", source="definition", label="From")
    end_on: pl.Date = column(
        "Sunday of its last week, or the day looked from while that week runs.", source="definition", label="To"
    )
    is_running: bool = column("Yes if it reaches into this week or the last.", source="definition", label="Running")
    weeks: int = column("Weeks in it.", source="definition", ge=2, label="Weeks")
    days: int = column("Days of this work in it.", source="definition", ge=4, label="Days")
    amount: int = column("Runs, or sets where it is gym work.", source="definition", ge=4, label="Runs or sets")
    typical_load_kg: float = column(
        "Median load, of the runs or sets that state one.",
        unit="kg",
        source="definition",
        nullable=True,
        ge=0,
        label="Load",
    )
    sentence: str = column("In one sentence.", source="definition", label="In words")

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "kind", "start_on"], "title": "Blocks of work done"}


def _change(description: str, unit: str, label: str, **limits: Any) -> Any:
    return column(description, unit=unit, source="definition", nullable=True, label=label, **limits)


class FocusFollowup(DerivedTable):
    """One row per decision on the start: what was done of it, and how the start measured before and after.

    Done counts days of the work the decision names, found by its words (sled, eccentric, hip flexor, ankle, jumps; a
    change in how to start counts days with free starts on record), in the seven days from the first that counts: the
    Monday of its week, or the day after the decision where it was made later. Before: the four weeks up to that day.
    After: from the day after the work was first done (from that day on where nothing is counted) to four weeks after
    it, as far as today. Each is the mean of the days weighted by their errors, in the athlete's main series. What
    followed a decision did not follow from it for certain: other work went on, and an athlete picked for a weak week
    is better in the next one by luck alone.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week the decision is for.", source="definition", label="Week of")
    from_on: pl.Date = column(
        "First day that counts: the Monday of its week, or the day after the decision where it was made later.",
        source="definition",
        label="Counted from",
    )
    call: str = column("The decision.", source="definition", nullable=True, label="Decided")
    work: str = column(
        "Kind of work it names, by its words.",
        source="common_practice",
        isin=FOLLOWED_WORK,
        nullable=True,
        label="Work",
    )
    wanted_days: int = column("Days it asks for, where it says so.", source="definition", nullable=True, ge=1)
    done_days: int = column(
        "Days of that work in the first seven; empty where the log does not allow a nought.",
        source="definition",
        nullable=True,
        ge=0,
        label="Done",
    )
    is_week_over: bool = column("Yes if its first seven days are over.", source="definition")
    first_done_on: pl.Date = column("First of those days with that work.", source="definition", nullable=True)
    days_before: int = column("Days measured at 10 m before.", source="definition", ge=0, label="Days before")
    days_after: int = column("Days measured at 10 m after.", source="definition", ge=0, label="Days after")
    contact_1_change_s: float = _change("First contact, after less before.", "s", "Contact 1")
    contact_1_change_s_se: float = _change("Its standard error.", "s", "±", ge=0)
    speed_after_3_change_mps: float = _change("Speed after three steps, after less before.", "m/s", "After 3 steps")
    speed_after_3_change_mps_se: float = _change("Its standard error.", "m/s", "±", ge=0)
    t_10_change_s: float = _change("10 m time, after less before; below 0 is faster.", "s", "10 m")
    t_10_change_s_se: float = _change("Its standard error.", "s", "±", ge=0)
    done_sentence: str = column("What was done of it.", source="definition", label="Done, in words")
    change_sentence: str = column(
        "What changed since, with its 95 % error.", source="definition", nullable=True, label="Since, in words"
    )
    sentence: str = column("Decision, done and change in one.", source="definition", label="In words")
    reason: str = column("Why something is not known: a caveat code.", source="definition", nullable=True, label="Why")

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "What followed a decision"}
