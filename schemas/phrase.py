"""Sentences made of a table's values."""

import polars as pl


def phrase(template: str, *parts: pl.Expr | pl.Series | str) -> pl.Expr:
    """Write a sentence with each ``{}`` filled by the next part: ``phrase("{} of 10", "pain")``.

    Args:
        template: The sentence, with a ``{}`` for each part; one at least.
        parts: Columns by name, expressions or series; what is no text is written as text.

    Null where a part is null. Polars has ``format`` for this, and in 2.1 it panics over a column that lies in several
    pieces of which one is empty: what a join or a filter leaves where threads are many and rows few.

    Raises:
        ValueError: There are more or fewer parts than places.
    """
    first, *others = template.split("{}")
    if not parts or len(others) != len(parts):
        raise ValueError(f"'{template}' has {len(others)} places, and {len(parts)} parts were given.")
    pieces: list[pl.Expr | pl.Series | str] = [pl.lit(first)]
    for part, after in zip(parts, others, strict=True):
        pieces += [part, pl.lit(after)]
    return pl.concat_str(pieces)
