"""Some athletes at a time: what a table of the squad needs on the way of all of them does not fit a small machine."""

from collections.abc import Iterator

import polars as pl

ATHLETES_AT_ONCE = 100  # own choice


def in_turn(*tables: pl.DataFrame) -> Iterator[list[pl.DataFrame]]:
    """Yield the rows of so many athletes at a time, in the order of athletes; the tables as they are where all are few.

    Args:
        tables: Each with ``athlete_id``. What is yielded comes in their order; once, also where there are no rows.
    """
    known = pl.concat([table["athlete_id"] for table in tables]).unique().sort()
    if known.len() <= ATHLETES_AT_ONCE:
        yield [*tables]
        return
    for start in range(0, known.len(), ATHLETES_AT_ONCE):
        some = known.slice(start, ATHLETES_AT_ONCE)
        here = pl.col("athlete_id").is_between(pl.lit(some.first()), pl.lit(some.last()))
        yield [table.filter(here) for table in tables]
