"""Some athletes at a time: what a table of the squad needs on the way of all of them does not fit a small machine."""

from collections.abc import Iterator

import polars as pl

ATHLETES_AT_ONCE = 100  # own choice


def in_turn(*tables: pl.DataFrame) -> Iterator[list[pl.DataFrame]]:
    """Yield the rows of so many athletes at a time, in the order of athletes; the tables as they are where all are few.

    Args:
        tables: Each with ``athlete_id``. What is yielded comes in their order; once, also where there are no rows.
    """
    known = pl.concat([table["athlete_id"].unique() for table in tables]).unique().sort()
    if known.len() <= ATHLETES_AT_ONCE:
        yield [*tables]
        return
    in_order = [table["athlete_id"].is_sorted() for table in tables]
    for start in range(0, known.len(), ATHLETES_AT_ONCE):
        some = known.slice(start, ATHLETES_AT_ONCE)
        first, last = some[0], some[-1]
        here = pl.col("athlete_id").is_between(pl.lit(first), pl.lit(last))
        yield [
            _stretch(table, first, last) if together else table.filter(here)
            for table, together in zip(tables, in_order, strict=True)
        ]


def _stretch(table: pl.DataFrame, first: str, last: str) -> pl.DataFrame:
    """Return the rows of athletes that stand together, as they lie: to pick them would copy them."""
    names = table["athlete_id"]
    return table[names.search_sorted(first, "left") : names.search_sorted(last, "right")]
