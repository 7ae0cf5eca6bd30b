"""What was looked for in starts and seen, free and under the sled."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column


def _count(description: str, label: str) -> int:
    found: int = column(description, source="definition", ge=0, label=label)
    return found


class TechniqueSeen(DerivedTable):
    """One row per athlete and thing looked for in the last 90 days: how often it was seen, free and under a load.

    Counts of what somebody wrote down, no rate of the athlete: who looks for a thing often looks because of it.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    item: str = column("What was looked for.", source="coach", isin=words.TECHNIQUE_ITEMS, label="Looked for")
    free_looked: int = _count("Free starts in which it was looked for.", "Free starts")
    free_seen: int = _count("Of them, in which it was seen.", "seen")
    sled_looked: int = _count("Starts with a sled or another load in which it was looked for.", "With a load")
    sled_seen: int = _count("Of them, in which it was seen.", "seen")
    last_seen_on: pl.Date = column(
        "Last day on which it was seen.", source="definition", nullable=True, label="Last seen"
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "item"], "title": "Technique seen"}
