"""The weekly review as it was closed."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import athlete_key


def _said(description: str, label: str) -> str:
    text: str = column(description, source="review", nullable=True, label=label)
    return text


class ReviewLine(RecordTable):
    """One row per athlete and closed review: the line of the week's sheet as it stood when the review was closed.

    Kept because the sheet is made anew after every load: what is loaded later does not change what was looked at and
    decided on. It is written by closing a review, and taken out of force by opening it again.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week reviewed.", source="review", example="2026-11-16", label="Week of")
    day_on: pl.Date = column("Day the calls were for.", source="review", example="2026-11-22", label="Day")
    training_call: str = column(
        "Training call.", source="review", isin=words.TRAINING_CALLS, example="adapt", label="Training"
    )
    training_reason: str = _said("Its strongest reason.", "Reason")
    training_more: int = column("How many further reasons there were.", source="review", nullable=True, ge=0)
    hamstring_level: str = column(
        "How many families of hamstring evidence spoke.",
        source="review",
        isin=words.HAMSTRING_LEVELS,
        example="one_family",
        label="Hamstring",
    )
    hamstring_words: str = _said("The level in words.", "Hamstring")
    hamstring_reason: str = _said("What they said.", "Families")
    hamstring_families: str = _said("The families that spoke, parted by spaces.", "Families by name")
    training_reads_injury: bool = column(
        "Yes if the training reason rests on the injury record: such words are for those who may read it.",
        source="review",
        nullable=True,
        label="Reason from an injury",
    )
    hamstring_reads_injury: bool = column(
        "Yes if the hamstring reason does.", source="review", nullable=True, label="Families from an injury"
    )
    work_reads_injury: bool = column(
        "Yes if the work proposed rests on the injury record; unknown in reviews closed before this was kept.",
        source="review",
        nullable=True,
        label="Work from an injury",
    )
    is_coming_back: bool = column(
        "Yes while the way back from an injury was marked.", source="review", nullable=True, label="Coming back"
    )
    work_caution: str = _said("What to mind with the work proposed.", "Caution of the work")
    progress_word: str = column(
        "Progress of the main start series.",
        source="review",
        isin=words.PROGRESS_WORDS,
        nullable=True,
        example="holding",
        label="Progress",
    )
    progress_sentence: str = _said("Progress with its numbers.", "Progress in numbers")
    work_on_next: str = _said("The work proposed.", "Work on next")
    decided: str = _said("What was decided; empty where nothing was.", "Decided")
    changed: str = _said("What had changed since the review before.", "Changed")
    caution: str = _said("Caution shown with the line.", "Caution")
    lines_json: str = _said("The small lines of six weeks with their bands, as JSON.", "Lines")
    closed_by: str = column("Who closed the review.", source="sign_in", nullable=True, example="coach", label="By")
    closed_at: pl.Datetime = column(
        "When it was closed.", source="clock", example="2026-11-22T18:40:00", label="Closed"
    )

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "week_of"], "parents": ["athlete"], "title": "Closed reviews"}
