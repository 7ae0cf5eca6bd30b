"""A sentence is filled from a table's values, however the table lies in memory."""

import os
import subprocess
import sys
from pathlib import Path

import polars as pl
import pytest

from schemas.phrase import phrase

# Eight threads share the rows of a join: what the filter leaves begins with pieces without a row.
IN_PIECES = """
import polars as pl
from schemas.phrase import phrase
keys = [f"a{n}" for n in range(600)]
days = pl.DataFrame({"who": keys, "day": range(600)})
weeks = pl.DataFrame({"who": keys * 10, "metres": [float(n) for n in range(6000)]})
few = days.join(weeks, on="who").filter(pl.col("day").is_in([5, 100, 590]) & (pl.col("metres") > 4000))
lengths = few["metres"].chunk_lengths()
assert lengths[0] == 0 and len(lengths) > 1, lengths
print(*few.select(said=phrase("{} has {} m", "who", pl.col("metres").cast(pl.Int64)))["said"].sort(), sep="\\n")
"""


def test_each_place_is_filled_by_the_next_part_and_null_stays_null():
    frame = pl.DataFrame({"side": ["left", "right", None], "n": [1, None, 3]})
    said = frame.select(phrase("{} tight {} of {}", "side", pl.col("n") + 1, pl.lit(10)).alias("said"))["said"]
    assert said.to_list() == ["left tight 2 of 10", None, None]
    assert frame.clear().select(phrase("{}-{}", "side", "n")).height == 0


@pytest.mark.parametrize(("template", "parts"), [("{} and {}", ["side"]), ("{}", ["side", "n"]), ("none", [])])
def test_a_sentence_with_more_or_fewer_places_than_parts_is_refused(template, parts):
    with pytest.raises(ValueError, match="places"):
        phrase(template, *parts)


def test_a_column_with_an_empty_piece_is_told_like_any_other():
    child = subprocess.run(
        [sys.executable, "-c", IN_PIECES], capture_output=True, text=True, encoding="utf-8", check=False,
        cwd=Path(__file__).parents[2], env={**os.environ, "POLARS_MAX_THREADS": "8"},
    )  # fmt: skip
    assert child.returncode == 0, child.stderr
    # by hand: every 600 metres from 5, 100 and 590, beyond 4000: 3, 3 and 4 rows
    assert child.stdout.split("\n")[:3] == ["a100 has 4300 m", "a100 has 4900 m", "a100 has 5500 m"]
    assert child.stdout.count(" m\n") == 10
