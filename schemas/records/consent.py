"""Consent: who agreed to what, since when, and until when. Kept as a record, so that it has a history like all else."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import athlete_key, note


class Consent(RecordTable):
    """One row per athlete, topic and day on which consent was given. For a minor the guardian gives it.

    While the last consent on the topic 'health' is withdrawn, the check-in page is closed to the athlete; what was
    recorded before stays until it is erased. No row means that nothing is on record, not that consent was refused: a
    refusal is a row withdrawn on the day it was given, and marked so.
    """

    athlete_id: str = athlete_key()
    topic: str = column(
        "What was agreed to: health (check-ins, injuries), video, sharing (with others than the coaches).",
        source="consent_form",
        isin=words.CONSENT_TOPICS,
        example="health",
        label="Topic",
    )
    given_on: pl.Date = column("Day it was given.", source="consent_form", example="2026-06-01", label="Given on")
    given_by: str = column(
        "Who gave it: the athlete, or the guardian by name.",
        source="consent_form",
        nullable=True,
        example="guardian",
        label="Given by",
    )
    is_guardian: bool = column(
        "Yes if a guardian gave it.", source="consent_form", nullable=True, example="yes", label="By guardian"
    )
    withdrawn_on: pl.Date = column(
        "Day it was withdrawn; empty while in force.", source="consent_form", nullable=True, label="Withdrawn on"
    )
    is_refused: bool = column(
        "Yes where the answer was no: such a row ends on the day it begins.",
        source="consent_form",
        nullable=True,
        example="yes",
        label="Refused",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "topic", "given_on"], "parents": ["athlete"], "title": "Consent"}
