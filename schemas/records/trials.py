"""Trials of two ways to start: which run was which."""

import polars as pl

from schemas.base import RecordTable, column
from schemas.records.keys import REP_KEY, REP_PARENTS, athlete_key, note, rep_no, session_date, session_no

WAYS = ("a", "b")


class StartTrial(RecordTable):
    """One row per run of a trial: two ways to start, A and B, run in turn or dealt by lot over several sessions."""

    athlete_id: str = athlete_key()
    session_date: pl.Date = session_date()
    session_no: int = session_no()
    rep_no: int = rep_no()
    tried: str = column(
        "Name of the trial: what is tried, the same words on all its runs.",
        source="coach",
        example="rear foot one hand back",
        label="Trial",
    )
    way: str = column(
        "Which of the two ways this run was: a as before, b as tried.",
        source="coach",
        isin=WAYS,
        example="b",
        label="Way",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": [*REP_KEY, "tried"], "parents": REP_PARENTS, "title": "Trials of two starts"}
