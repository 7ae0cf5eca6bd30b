"""Rows in the order of several columns, told apart by one number: by their words it takes several times as long."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import polars as pl

FEW_ROWS = 5000  # up to which numbering takes longer than sorting
FEW_NUMBERED = 1000  # rows: numbered one by one sooner than the queries for their columns are made; own choice
FEW_RUNS = 4  # rows a run of one word has, from which on it pays to look up the runs
MOST_NUMBERS = 2**62  # that one column of numbers holds with room to spare


def number_of(rows: pl.DataFrame, names: Sequence[str]) -> pl.Series:
    """Number rows by some columns of theirs; the order is that of the columns, null first.

    Rows alike in all of them have the same number, others never.
    """
    if rows.height <= FEW_NUMBERED:
        told = rows.select(names).rows()
        places = {row: place for place, row in enumerate(sorted(set(told), key=_null_first))}
        return pl.Series("number", [places[row] for row in told], dtype=pl.Int64)
    whole, size = pl.Series("number", [0], dtype=pl.Int64).new_from_index(0, rows.height), 1
    for name in names:
        place, count = _places(rows[name])
        if size * count >= MOST_NUMBERS:  # the numbers that there are, without those between
            whole, size = whole.rank("dense").cast(pl.Int64), rows.height + 1
        whole, size = whole * count + place, size * count
    return whole.alias("number")


def _null_first(row: tuple[Any, ...]) -> list[tuple[bool, Any]]:
    return [(value is not None, value) for value in row]


def in_order_of(rows: pl.DataFrame, names: Sequence[str]) -> pl.DataFrame:
    """Sort rows by some columns, null first; rows alike in all of them stay in the order they had."""
    if rows.height < FEW_ROWS:
        return rows.sort(names, maintain_order=True)
    return numbered_in_order(rows, names)[0]


def numbered_in_order(rows: pl.DataFrame, names: Sequence[str]) -> tuple[pl.DataFrame, pl.Series]:
    """Return rows sorted as ``in_order_of`` does, and their numbers (``number_of``), which rise."""
    number = number_of(rows, names)
    if number.is_sorted():
        return rows, number
    place = number.to_numpy().argsort(kind="stable")
    return rows[place], number[place]


def _places(values: pl.Series) -> tuple[pl.Series, int]:
    """Return the place of each value among those there are, from 1, 0 for null; and how many places there may be."""
    if values.dtype == pl.String:
        place = _places_of_words(values)
    elif values.dtype == pl.Date or values.dtype.is_integer():
        place = values.to_physical().cast(pl.Int64)
        least = place.min()
        place = place if least is None else place - least + 1
    else:
        place = values.rank("dense").cast(pl.Int64)
    most = place.max()
    return place.fill_null(0), 1 + (most if isinstance(most, int) else 0)


def _places_of_words(words: pl.Series) -> pl.Series:
    """Return the place of each word from 1, null for null. Words that stand together are looked up once."""
    runs = words.rle().struct.unnest()
    if runs.height * FEW_RUNS > words.len():
        return _looked_up(words)
    return pl.Series(np.repeat(_looked_up(runs["value"]).fill_null(0).to_numpy(), runs["len"].to_numpy()))


def _looked_up(words: pl.Series) -> pl.Series:
    return words.cast(pl.Enum(words.unique().drop_nulls().sort())).to_physical().cast(pl.Int64) + 1
