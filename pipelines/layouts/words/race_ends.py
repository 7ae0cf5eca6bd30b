"""A column beside the times of races that says how each ended: 'DQ', 'no presentado'."""

import dataclasses
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.words.headings import Heading
from schemas.outcome_words import ENDED_RACE, FINISHED
from schemas.spelling import fold


def with_race_ends(headings: Sequence[Heading], rows: pl.DataFrame) -> list[Heading]:
    """Name a column how a race ended where all that stands in it says that, and another column has the times."""
    timed = [one for one in headings if "time_s" in one.names]
    names = {name for one in headings for name in one.names}
    if not timed or "event" not in names or "race_outcome" in names:
        return list(headings)
    ends = [one for one in headings if one.gate_m is None and _says_ends(rows[f"c{one.place}"])]
    if len(ends) != 1 or timed == ends:
        return list(headings)
    return [dataclasses.replace(one, names=("race_outcome",), loose=()) if one is ends[0] else one for one in headings]


def _says_ends(column: pl.Series) -> bool:
    said = {fold(text) for text in column.drop_nulls().unique()} - {""}
    return bool(said & set(ENDED_RACE)) and said <= {*ENDED_RACE, *FINISHED}
