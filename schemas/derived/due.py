"""What is still waited for from the athletes."""

import polars as pl

from schemas.base import DerivedTable, column

DUE_KINDS = ("checkin", "session")


class AnswerDue(DerivedTable):
    """One row per athlete and answer that is still waited for: today's check-in, and the last days' session efforts.

    Nobody is asked for a check-in whose consent to health data is withdrawn. Nothing is sent anywhere: the list is for
    the coach to copy.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    day_on: pl.Date = column("Day the answer is about.", source="definition", label="Day")
    kind: str = column(
        "checkin, or session: minutes and effort of a session that was planned or logged.",
        source="definition",
        isin=DUE_KINDS,
        label="Waited for",
    )
    days_late: int = column("Days since that day.", source="definition", ge=0, label="Days late")

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "day_on", "kind"], "title": "Answers waited for"}
