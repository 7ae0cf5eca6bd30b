"""How what was decided for the running week stands beside the calls of now."""

import polars as pl

from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key


class DecisionState(DerivedTable):
    """One row per athlete with a decision for the running week: whether it answers what is known now.

    A decision answers what was on record when it was made. What came in since and speaks (an answer, a note, a test, an
    injury) opens it again: the call stands, whatever was decided before it. A decision made in full knowledge against
    the call is said as what it is, and takes no caution away.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week it is for.", source="definition", label="Week of")
    training: str = column(
        "What was decided on training; null where nothing was.", source="definition", nullable=True, label="Training"
    )
    decided_at: pl.Datetime = column(
        "When, the decision on training before others.", source="definition", nullable=True, label="Decided"
    )
    known_at: pl.Datetime = column(
        "When the last of what speaks now was entered; null where nothing speaks or nobody knows.",
        source="definition",
        nullable=True,
        label="Known",
    )
    is_older: bool = column(
        "Yes where what speaks now came in after it: it is to be looked at again.", source="definition", label="Older"
    )
    is_overruled: bool = column(
        "Yes where it asks for less care than the call it was made on.", source="definition", label="Overruled"
    )
    words: str = column(
        "What the coach reads beside it; null where it answers the call.",
        source="common_practice",
        nullable=True,
        label="In words",
    )
    own_words: str = column(
        "What the athlete reads beside it; null where it answers the call.",
        source="common_practice",
        nullable=True,
        label="To the athlete",
    )

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "How decisions stand"}
