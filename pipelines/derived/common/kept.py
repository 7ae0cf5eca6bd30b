"""What a function gave for the same few rows, kept for a while: a new row of an athlete changes few of them.

A derived function is pure, so what it gave once it would give again, to the last bit. Of one athlete's write, half of
what is computed rests on rows that the write did not touch: past weeks, families of evidence that it says nothing of.
Many rows are never kept: a whole derivation would hold them in memory and ask for none of them again.
"""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache, wraps
from typing import Any, ParamSpec, TypeVar

import numpy as np
import polars as pl

MOST_ROWS = 5000  # of all frames and arrays given together: a few athletes'; own choice
MOST_KEPT = 64  # results of each function; the one not asked for longest goes first; own choice
P = ParamSpec("P")
T = TypeVar("T")


def kept(function: Callable[P, T]) -> Callable[P, T]:
    """Return a pure function that keeps what it gave for the same small frames. Nobody may change what it gives."""

    @lru_cache(MOST_KEPT)
    def found(given: _Given) -> T:
        return function(*given.args, **given.named)

    @wraps(function)
    def asked(*args: P.args, **named: P.kwargs) -> T:
        values = (*args, *named.values())
        if sum(len(one) for one in values if isinstance(one, pl.DataFrame | np.ndarray)) > MOST_ROWS:
            return function(*args, **named)
        return found(_Given(args, named))

    return asked


@dataclass(frozen=True, eq=False)
class _Given:
    """What a function is asked with: the same as another where every value is, to be found by its outline."""

    args: tuple[Any, ...]
    named: dict[str, Any]

    @cached_property
    def _outline(self) -> int:
        return hash((tuple(self.named), *map(_outline, (*self.args, *self.named.values()))))

    def __hash__(self) -> int:
        return self._outline

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, _Given) or self.named.keys() != other.named.keys():
            return False
        pairs = [*zip(self.args, other.args, strict=False), *((self.named[k], other.named[k]) for k in self.named)]
        return len(self.args) == len(other.args) and all(_is_same(one, other) for one, other in pairs)


def _outline(value: object) -> object:
    """Return what is quick to see of a value: of a frame its size and whose its first row is."""
    if isinstance(value, pl.DataFrame):
        first = value["athlete_id"][0] if value.height and "athlete_id" in value.columns else None
        return value.shape, first
    if isinstance(value, np.ndarray):
        return value.shape, hash(value.tobytes())
    return value if isinstance(value, str | int | dt.date) else type(value)


def _is_same(one: object, other: object) -> bool:
    if one is other:
        return True
    if isinstance(one, pl.DataFrame) and isinstance(other, pl.DataFrame):
        return one.schema == other.schema and one.equals(other, null_equal=True)
    if isinstance(one, np.ndarray) and isinstance(other, np.ndarray):
        return one.dtype == other.dtype and one.tobytes() == other.tobytes()
    return type(one) is type(other) and bool(one == other)
