"""Trials of two ways to start: the lots that were drawn for it, and which run was which."""

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


class TrialLot(RecordTable):
    """One row per run of a trial before it is run: which way the lot says, and the seed it follows from.

    Each session is a block of its own with as many runs of A as of B. The order of a session's runs is that of the
    SHA-256 of 'seed|session|run', the first half of them A: anybody can draw it again.
    """

    athlete_id: str = athlete_key()
    tried: str = column(
        "Name of the trial: what is tried, the same words as on its runs.",
        source="coach",
        example="rear foot one hand back",
        label="Trial",
    )
    trial_session: int = column(
        "Which session of the trial, from 1.", source="lot", ge=1, le=40, example="2", label="Trial session"
    )
    trial_run: int = column(
        "Which run of that session, from 1.", source="lot", ge=1, le=20, example="3", label="Trial run"
    )
    way: str = column(
        "What the lot says: a as before, b as tried.", source="lot", isin=WAYS, example="b", label="Way by lot"
    )
    seed: int = column(
        "Number the lots follow from; it is kept so that they can be drawn again.",
        source="lot",
        ge=1,
        le=999_999,
        example="481516",
        label="Seed",
    )
    drawn_by: str = column("Who had them drawn.", source="sign_in", nullable=True, example="coach", label="Drawn by")
    drawn_on: pl.Date = column("Day.", source="clock", nullable=True, example="2026-11-30", label="Drawn on")

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {
            "key": ["athlete_id", "tried", "trial_session", "trial_run"],
            "parents": ["athlete"],
            "title": "Lots of trials",
        }
