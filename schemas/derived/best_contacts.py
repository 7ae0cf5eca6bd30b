"""The contacts of an athlete's own best starts."""

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.derived.start import athlete_key


class StartBestContact(DerivedTable):
    """One row per athlete, kind of start and each of the first three contacts: its range over the own best starts.

    Best starts are the five with the shortest time to 10 m among those whose steps were marked.
    """

    athlete_id: str = athlete_key()
    start_kind: str = column("How the runs began.", source="definition", isin=words.START_KINDS, label="Start")
    clock_start: str = column("What started the clock.", source="definition", isin=words.CLOCK_STARTS, label="Clock")
    timing_kind: str = column("How the runs were timed.", source="definition", isin=words.TIMING_KINDS, label="Timing")
    step_no: int = column("Which contact after the start.", source="definition", ge=1, le=3, label="Step")
    starts: int = column("Best starts that have this contact, five at most.", source="definition", ge=1, label="Starts")
    low_s: float = column("Shortest of those contacts.", unit="s", source="definition", gt=0, label="From")
    high_s: float = column("Longest of those contacts.", unit="s", source="definition", gt=0, label="To")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {
            "key": ["athlete_id", "start_kind", "clock_start", "timing_kind", "step_no"],
            "title": "Contacts of best starts",
        }
