"""What changed since the last closed review."""

import polars as pl

from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key


class ReviewChange(DerivedTable):
    """One row per athlete and week that a closed review stands before: what is different from what was looked at then.

    The comparison is with the line kept when the review was closed, not with the sheet of that week made anew: what was
    loaded since then shows as a change. Weeks before the first closed review have no row.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week")
    review_of: pl.Date = column("Monday of the week of the last closed review before it.", source="definition")
    closed_at: pl.Datetime = column("When that review was closed.", source="definition", label="Closed")
    changed: str = column(
        "What changed: the call, families that are new, the word of progress; null when nothing did.",
        source="definition",
        nullable=True,
        label="Since last review",
    )

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Since the last review"}


class ReviewSince(DerivedTable):
    """One row per athlete and closed week in which something is different from when the review was closed.

    A closed review stays as it was; this says on top of it what has come in since.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week")
    changed: str = column("What is different now.", source="definition", label="Since closing")
    reads_injury: bool = column(
        "Yes where the words rest on the injury record: such words are for those who may read it.",
        source="definition",
        label="From injuries",
    )

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Since the review was closed"}
