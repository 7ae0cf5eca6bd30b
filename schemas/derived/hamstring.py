"""Hamstring: which families of evidence speak, and how many."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key


class HamstringFlag(DerivedTable):
    """Four families of evidence and one of opinion, each day. A flag is a reason to talk, never a prediction.

    History: earlier hamstring injury, the first weeks after a return marked. Capacity: own eccentric force fallen or
    the sides moved apart beyond noise, weeks without isolated eccentric work. Exposure: metres at 90 % and more above
    plan and own growth, or a long gap and then a maximal session. State: tightness of one side that lasts, pain
    at the hamstring. Start pattern: reaching ahead or pushing too long; a coaching opinion that never
    counts into the level. Level = how many of the four speak; 'cannot say' when none speaks and at least two of
    capacity, exposure and state lack their data. An overdue or absent test is missing data, so it cannot speak: it
    says so. Cut-offs published for other sports never flag.
    """

    athlete_id: str = athlete_key()
    day_on: pl.Date = column("Day looked from.", source="definition", label="Day")
    family: str = column("Family of evidence.", source="definition", isin=words.HAMSTRING_FAMILIES, label="Family")
    state: str = column("Whether it speaks.", source="definition", isin=words.FAMILY_STATES, label="State")
    level: str = column(
        "How many of the four families speak; the same on all rows of the athlete and day.",
        source="definition",
        isin=words.HAMSTRING_LEVELS,
        label="Level",
    )
    level_words: str = column(
        "The level in words: 'nothing seen', 'watch: strength and tightness', 'cannot say'; alike all day.",
        source="definition",
        label="Hamstring",
    )
    level_reads_injury: bool = column(
        "Yes where the words of the level rest on the injury record.", source="definition", label="From injuries"
    )
    families_speaking: int = column("How many of the four speak.", source="definition", ge=0, le=4, label="Speaking")
    sentence: str = column("What it says, or what is missing.", source="definition", label="In words")
    evidence_table: str = column(
        "Table with the strongest evidence; null when there is none.", source="definition", nullable=True, label="Table"
    )
    evidence_on: pl.Date = column(
        "Day of the strongest evidence; null when there is none.",
        source="definition",
        nullable=True,
        label="Evidence of",
    )
    source: str = column("Key of the source.", source="definition", label="Source")
    strength: str = column(
        "Strength of the evidence behind the family's rule.",
        source="definition",
        isin=words.EVIDENCE_STRENGTHS,
        label="Strength",
    )
    since_on: pl.Date = column(
        "First day of the current run of the same state; null when quiet.",
        source="definition",
        nullable=True,
        label="Since",
    )
    lapses_on: pl.Date = column(
        "First day it would no longer speak if nothing new came; null when quiet or not knowable.",
        source="definition",
        nullable=True,
        label="Lapses",
    )
    reason: str = column(
        "Coded caveat: what is missing; null when nothing is.", source="definition", nullable=True, label="Caveat"
    )
    context: str = column(
        "Published facts and age, as context; they never flag.", source="green_2020", nullable=True, label="Context"
    )
    caution: str = column(
        "Caution for an athlete under 18 on the day; null for others and where the birth date is unknown.",
        source="definition",
        nullable=True,
        label="Caution",
    )
    reads_injury: bool = column(
        "Yes where the words rest on the injury record: such words are for those who may read it.",
        source="definition",
        label="From injuries",
    )
    read_note_on: pl.Date = column(
        "Day of a note of the last week that names the hamstring and asks to be read, on the row of the state; it "
        "changes no level. Null where there is none.",
        source="common_practice",
        nullable=True,
        label="Read the note of",
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "day_on", "family"], "title": "Hamstring flags"}
