"""Who has not answered yet, from the record as it is this moment; for a person to copy, or a scheduler to pass on."""

import polars as pl

from pipelines.derived.readiness.due import answer_due
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.home.settings import read_settings
from pipelines.record import opening, warehouse


def answers_due(home: Home, say: Say = say_nothing) -> pl.DataFrame:
    """Return the answers waited for (``answer_due``) with each athlete's ``display_name`` and ``event_group``."""
    with opening.record(home, say, to_look=True) as con:
        frames = warehouse.record_frames(con)
    needed = ("athlete", "consent", "checkin", "plan", "session", "day_log")
    due = answer_due(
        **{name: frames[name] for name in needed}, as_of=opening.looking_from(read_settings(home.settings))
    )
    names = frames["athlete"].select("athlete_id", "display_name", "event_group")
    return due.join(names, on="athlete_id", how="left").sort("display_name", "day_on", "kind")
