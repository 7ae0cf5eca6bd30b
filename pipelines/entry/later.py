"""Rows of days that a squad frozen on an earlier one does not look at yet: kept, and said so where they come in."""

import datetime as dt
from collections.abc import Mapping

import polars as pl

from schemas.shape import table_shape

AHEAD = frozenset({"plan", "consent"})  # tables that may well speak of days to come


def note_later(accepted: Mapping[str, pl.DataFrame], looks_from: dt.date | None) -> list[str]:
    """Return a sentence where rows lie after the day a squad is frozen on (``as_of`` of its settings); none otherwise.

    A squad that looks from today has no such rows: the checks set a day in the future aside.
    """
    if looks_from is None:
        return []
    late = [
        day for name, frame in accepted.items() if name not in AHEAD for day in _days(name, frame) if day > looks_from
    ]
    if not late:
        return []
    first, last = (f"{day.day} {day:%B %Y}" for day in (min(late), max(late)))
    when = f"on {first}" if first == last else f"from {first} to {last}"
    return [
        f"Rows {when} are kept, but no page shows them yet: this squad looks from {looks_from.day} {looks_from:%B %Y} "
        "(as_of in settings.toml). Take that line out to look from today."
    ]


def _days(name: str, frame: pl.DataFrame) -> list[dt.date]:
    keys = [column for column in table_shape(name).key if frame.schema.get(column) == pl.Date]
    return [day for column in keys for day in frame[column].drop_nulls().unique()]
