"""An athlete's start beside what a federation published."""

from typing import Any

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key


def _seconds(description: str, label: str, *, nullable: bool = False) -> Any:
    return column(description, unit="s", source="definition", nullable=nullable, ge=0, label=label)


class StartBesideOthers(DerivedTable):
    """One row per athlete and kind of start, clock and timing of which a federation published a norm.

    Context and no threshold: who is slower than half of others may be doing well, and who is faster may not. Nothing
    else in this tool reads it.
    """

    athlete_id: str = athlete_key()
    start_kind: str = column("How the runs began.", source="definition", isin=words.START_KINDS, label="Start")
    clock_start: str = column("What started the clock.", source="definition", isin=words.CLOCK_STARTS, label="Clock")
    timing_kind: str = column("How it was timed.", source="definition", isin=words.TIMING_KINDS, label="Timing")
    own_s: float = _seconds("Median of the own 10 m times of the last 52 weeks.", "Own usual")
    runs: int = column("Runs it is the median of.", source="definition", ge=1, label="Runs")
    quarter: str = column("Quarter for which the others' figures were published.", source="definition", label="Quarter")
    age_band: str = column("Age band they are of.", source="definition", label="Age")
    sex: str = column("Sex they are of.", source="definition", isin=words.SEXES, label="Sex")
    event_group: str = column("Event group they are of.", source="definition", label="Event group")
    low_s: float = _seconds("A quarter of them are under it.", "25 %", nullable=True)
    middle_s: float = _seconds("Half of them are under it.", "50 %")
    high_s: float = _seconds("Three quarters of them are under it.", "75 %", nullable=True)
    squads_sd_s: float = _seconds("Standard deviation between their squads.", "Between squads", nullable=True)
    people: int = column("How many they are, rounded down to fives.", source="definition", ge=10, label="People")
    squads: int = column("Of how many squads.", source="definition", ge=3, label="Squads")
    sentence: str = column("In one sentence.", source="definition", label="In words")

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {
            "key": ["athlete_id", "start_kind", "clock_start", "timing_kind"],
            "title": "Start beside others",
        }
