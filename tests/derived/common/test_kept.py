"""What a pure function gave is kept for the same rows, and for none that differ."""

import numpy as np
import polars as pl

from pipelines.derived.common import kept as kept_room
from pipelines.derived.common.kept import kept


def test_only_what_is_asked_otherwise_is_computed_again(monkeypatch):
    called = []

    @kept
    def sums(frame: pl.DataFrame, array: np.ndarray, word: str) -> tuple[float, float, str]:
        called.append(word)
        return float(frame["x"].sum()), float(np.nansum(array)), word

    def rows(*values: float | None, who: str = "a") -> pl.DataFrame:
        return pl.DataFrame({"athlete_id": [who] * len(values), "x": values}, schema_overrides={"x": pl.Float64})

    numbers = np.array([1.0, np.nan])
    first = sums(rows(1.0, None), numbers, "one")
    for frame, array, word, again in (
        (rows(1.0, None), numbers.copy(), "one", False),
        (rows(1.0, None), numbers, "two", True),
        (rows(1.0, 2.0), numbers, "one", True),
        (rows(1.0, 2.0, who="b"), numbers, "one", True),
        (rows(1.0, 2.0), np.array([2.0, np.nan]), "one", True),
        (rows(1.0, 2.0), numbers, "one", False),
        (rows(1.0, 2.0).with_columns(pl.col("x").cast(pl.Float32)), numbers, "one", True),
        (rows(1.0, 2.0), numbers, "two", True),
    ):
        before = len(called)
        assert sums(frame, array, word) == (float(frame["x"].sum()), float(np.nansum(array)), word)
        assert len(called) - before == again, (frame, array, word)
    assert first == (1.0, 1.0, "one")

    monkeypatch.setattr(kept_room, "MOST_ROWS", 3)  # two rows and two numbers are too many by now
    before = len(called)
    sums(rows(1.0, 2.0), numbers, "one")
    sums(rows(1.0, 2.0), numbers, "one")
    assert len(called) - before == 2
