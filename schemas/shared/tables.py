"""The tables a squad shares: no name, no date, no word that a person wrote; days as weeks, birth as an age band."""

import datetime as dt

from schemas import vocabulary as words
from schemas.base import Table, column
from schemas.vocabulary import BACKTEST_OUTCOMES

WEEK_ZERO = dt.date(2001, 1, 1)  # a Monday; weeks are counted from it
# First year of age of each band, by age on the day. Broad on purpose: a birth date is not to be found from them.
AGE_BANDS = {0: "under 16", 16: "16 and 17", 18: "18 and 19", 20: "20 to 22", 23: "23 and over"}
PERSON_DIGITS = 24  # hexadecimal digits of a pseudonym


def _squad() -> str:
    key: str = column("Key of the squad in its federation.", source="definition", matches="[a-z0-9-]{2,40}")
    return key


def _person() -> str:
    """Describe the pseudonym: it can be made again only with the secret that stays in the squad's home."""
    pseudonym: str = column(
        "Pseudonym: HMAC-SHA-256 of the athlete's id under the squad's own secret, shortened.",
        source="definition",
        matches=f"[0-9a-f]{{{PERSON_DIGITS}}}",
    )
    return pseudonym


def _week_no() -> int:
    number: int = column("Week, counted in whole weeks from Monday 1 January 2001.", source="definition", ge=0)
    return number


class SharedTable(Table):
    """A table that leaves a squad. Its columns are all that does."""


class SharedRun(SharedTable):
    """One row per run of somebody who shares: unresisted, at full effort, electronically or video timed.

    Runs of one day share ``day_no``, which counts within the week; which day it was is not said.
    """

    squad: str = _squad()
    person: str = _person()
    week_no: int = _week_no()
    day_no: int = column("Which of the person's days of that week with such runs.", source="definition", ge=1, le=7)
    run_no: int = column("Which of that day's runs.", source="definition", ge=1)
    sex: str = column("f, m or x.", source="definition", isin=words.SEXES, nullable=True)
    age_from: int = column(
        "First year of the age band on that day; null where no birth date is known.",
        source="definition",
        nullable=True,
        ge=0,
        le=23,
    )
    event_group: str = column("Event group.", source="definition", isin=words.EVENT_GROUPS, nullable=True)
    start_kind: str = column("How the run began.", source="definition", isin=words.START_KINDS)
    clock_start: str = column("What started the clock.", source="definition", isin=words.CLOCK_STARTS)
    timing_kind: str = column("How the times were taken.", source="definition", isin=words.TIMING_KINDS)
    t_10_s: float = column(
        "Time from first movement to 10 m, read off the run's curve, to 0.001 s.",
        unit="s",
        source="samozino_2016",
        gt=0,
    )

    class Config(SharedTable.Config):
        """Key and title."""

        metadata = {"key": ["squad", "person", "week_no", "day_no", "run_no"], "title": "Shared runs"}


class SharedFlagWeek(SharedTable):
    """One row per person who shares and past week: the hamstring flag of the evening before, and how the week counts.

    Health data: only of those whose consent on health is not withdrawn either.
    """

    squad: str = _squad()
    person: str = _person()
    week_no: int = _week_no()
    flagged: bool = column(
        "Whether the flag stood; null where that could not be said.", source="definition", nullable=True
    )
    history_flagged: bool = column("Whether an injury of the last twelve months was known.", source="green_2020")
    outcome: str = column("How the week counts.", source="definition", isin=BACKTEST_OUTCOMES)

    class Config(SharedTable.Config):
        """Key and title."""

        metadata = {"key": ["squad", "person", "week_no"], "title": "Shared flag weeks"}
