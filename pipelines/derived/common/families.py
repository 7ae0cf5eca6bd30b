"""The family an exercise counts in: the squad's own list, then the starter list, else unknown."""

import polars as pl

from schemas.exercise_families import FAMILY_OF


def add_family(sets: pl.DataFrame, exercise: pl.DataFrame) -> pl.DataFrame:
    """Add ``family``: what the squad's list says of the exercise, else the starter list, else null.

    Null is unknown and is asked for; it is never taken for a family or for none.
    """
    starter = pl.col("exercise").replace_strict(FAMILY_OF, default=None, return_dtype=pl.String)
    return sets.join(
        exercise.select("exercise", "family"), on="exercise", how="left", maintain_order="left"
    ).with_columns(pl.col("family").fill_null(starter))
