"""The weekly sheet: one row an athlete and week, and one a week for the squad."""

from typing import Annotated

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key


class WeekSheet(DerivedTable):
    """One row per athlete and week: the three calls with their strongest reason, and what changed.

    The calls are those of the last day of the week, or of the day looked from in the week that is running. Progress is
    known as it stands now; it is given for the running week only, and null in weeks gone by.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week")
    day_on: pl.Date = column("Day the calls are for.", source="definition", label="Day")
    training_call: str = column("Training call.", source="definition", isin=words.TRAINING_CALLS, label="Training")
    training_reason: str = column(
        "Strongest reason, or what is missing; null when there is nothing to say.",
        source="definition",
        nullable=True,
        label="Reason",
    )
    training_more: int = column("How many further reasons there are.", source="definition", ge=0, label="More")
    hamstring_level: str = column(
        "How many families of hamstring evidence speak.",
        source="definition",
        isin=words.HAMSTRING_LEVELS,
        label="Hamstring",
    )
    hamstring_words: str = column(
        "The level in words: 'nothing seen', 'watch: strength and tightness', 'cannot say'.",
        source="definition",
        nullable=True,
        label="Hamstring",
    )
    hamstring_reason: str = column(
        "What the families that speak say, or which lack their data.",
        source="definition",
        nullable=True,
        label="Families",
    )
    read_note_on: pl.Date = column(
        "Day of a note of the last week that names the hamstring and asks to be read; it changes no level.",
        source="common_practice",
        nullable=True,
        label="Read the note of",
    )
    progress_word: str = column(
        "Progress of the main start series; null in weeks gone by and without a series.",
        source="definition",
        isin=words.PROGRESS_WORDS,
        nullable=True,
        label="Progress",
    )
    progress_sentence: str = column("Progress with its numbers.", source="definition", nullable=True)
    progress_metric: str = column("Measure of the main series.", source="definition", nullable=True)
    trend_points: Annotated[pl.List, pl.Float64()] = column(
        "Level of the main series at its last session in each of six weeks, oldest first; null in weeks without one.",
        source="definition",
        nullable=True,
    )
    trend_low: Annotated[pl.List, pl.Float64()] = column(
        "Lower edge of what noise alone would give: reference level less the minimal detectable change.",
        source="definition",
        nullable=True,
    )
    trend_high: Annotated[pl.List, pl.Float64()] = column(
        "Upper edge of what noise alone would give: reference level plus the minimal detectable change.",
        source="definition",
        nullable=True,
    )
    load_points: Annotated[pl.List, pl.Float64()] = column(
        "Week load of six weeks, oldest first; null where a day is unknown.", source="definition", nullable=True
    )
    load_low: float = column("Lower end of the athlete's own range of week load.", source="definition", nullable=True)
    load_high: float = column("Upper end of the athlete's own range of week load.", source="definition", nullable=True)
    load_above: bool = column(
        "Yes if this week's load is above the own range; null when either is unknown.",
        source="definition",
        nullable=True,
    )
    load_missing: str = column(
        "What the load of the last week that is over lacks, where none of six weeks is known; else null.",
        source="definition",
        nullable=True,
        label="Load lacks",
    )
    focus_headline: str = column(
        "What to work on next; null when nothing is proposed.", source="definition", nullable=True, label="Work on next"
    )
    focus_caution: str = column(
        "What to mind with it; null where it names no work.", source="common_practice", nullable=True, label="Caution"
    )
    work_reads_injury: bool = column(
        "Yes where what to work on next rests on the injury record.", source="definition", label="From injuries"
    )
    checkin_gap_days: int = column(
        "Days since the last check-in; null when there was none yet.",
        source="definition",
        nullable=True,
        ge=0,
        unit="d",
    )
    checkin_missing: bool = column(
        "Yes where the last check-in is older than one stays good for (a setting), or there was none yet.",
        source="definition",
        label="No check-in",
    )
    loudness: int = column(
        "Order of 'exceptions first'; larger stands higher. It is no score and is not shown.", source="definition", ge=0
    )
    changed: str = column(
        "What changed since the week before; null when nothing did or no week is before.",
        source="definition",
        nullable=True,
        label="Since last week",
    )
    caution: str = column(
        "Caution for an athlete under 18 on the day; null for others.", source="definition", nullable=True
    )
    training_reads_injury: bool = column(
        "Yes where the training reason rests on the injury record.", source="definition", label="From injuries"
    )
    hamstring_reads_injury: bool = column(
        "Yes where the hamstring reason rests on the injury record.", source="definition", label="From injuries"
    )
    is_coming_back: bool = column(
        "Yes while the way back from an injury is marked; of other than the hamstring in the running week alone.",
        source="definition",
        label="Coming back",
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Week sheet"}


class SquadWeek(DerivedTable):
    """One row per week: how many athletes have which call, and the sentence over the sheet."""

    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week")
    day_on: pl.Date = column("Day the calls are for.", source="definition", label="Day")
    athletes: int = column("Athletes on the sheet.", source="definition", ge=0)
    as_planned: int = column("Athletes whose call is as planned.", source="definition", ge=0)
    adapt: int = column("Athletes whose training wants a change.", source="definition", ge=0)
    talk_first: int = column("Athletes to talk with before they run.", source="definition", ge=0)
    cannot_say: int = column("Athletes with too few own answers to compare with.", source="definition", ge=0)
    no_call: int = column("Athletes who have not reported.", source="definition", ge=0)
    by_test_alone: int = column(
        "Of the others as planned, athletes who have not checked in: a test alone stands for them.",
        source="definition",
        ge=0,
    )
    coming_back: int = column(
        "Of those as planned, athletes on the way back from an injury.", source="definition", ge=0
    )
    hamstring_watch: int = column("Athletes with a hamstring to watch.", source="definition", ge=0)
    hamstring_unknown: int = column("Athletes of whose hamstrings nothing can be said.", source="definition", ge=0)
    starts_judged: int = column("Starts of which something can be said.", source="definition", ge=0)
    improving: int = column("Starts improving beyond noise.", source="definition", ge=0)
    slipping: int = column("Starts slipping beyond noise.", source="definition", ge=0)
    lede: str = column("The sentences over the sheet.", source="definition")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["week_of"], "title": "Squad week"}
