"""Race marks: corrected times and combined-events points."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key


class RaceMark(DerivedTable):
    """One row per race: the 100 m as it would be in still air at sea level, and combined-events points.

    The correction is a model of the 100 m, good to about 0.01 s within 2 m/s of wind; it holds for no other distance.
    Points are cut, not rounded. Hand times count 0.24 s slower (400 m: 0.14 s) by convention, for points only.
    """

    athlete_id: str = athlete_key()
    raced_on: pl.Date = column("Day of the race.", source="definition", label="Date")
    event: str = column("Event: distance in metres, 'h' added for hurdles.", source="definition", label="Event")
    round: str = column("Round.", source="definition", label="Round")
    race_outcome: str = column(
        "How the race ended, where the results say it.",
        source="definition",
        isin=words.RACE_OUTCOMES,
        nullable=True,
        label="Outcome",
    )
    time_s: float = column("Official time.", unit="s", source="definition", nullable=True, label="Time")
    timing_kind: str = column(
        "How the time was taken.", source="definition", isin=words.TIMING_KINDS, nullable=True, label="Timing"
    )
    wind_ms: float = column("Wind reading.", unit="m/s", source="definition", nullable=True, label="Wind")
    corrected_s: float = column(
        "100 m time in still air at sea level.", unit="s", source="mureika_2001", nullable=True, gt=0, label="Corrected"
    )
    points: int = column("Combined-events points.", source="wa_combined_tables", nullable=True, ge=0, label="Points")
    is_wind_legal: bool = column(
        "Yes if the tailwind is 2.0 m/s or less; empty where no wind was read or none is judged.",
        source="wa_technical_rules",
        nullable=True,
        label="Wind legal",
    )
    reason: str = column("Why there is no corrected time: a caveat code.", source="definition", nullable=True)
    points_reason: str = column("Why there are no points: a caveat code.", source="definition", nullable=True)
    note: str = column("Further caveat codes, parted by spaces.", source="definition", nullable=True, label="Note")

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "raced_on", "event", "round"], "title": "Race marks"}
