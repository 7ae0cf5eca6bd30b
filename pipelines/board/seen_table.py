"""What progress sees and imagines on simulated squads: the table that the bench wrote, for the board and Methods."""

from pathlib import Path

import polars as pl

SEEN_TABLE = Path(__file__).with_name("seen_table.csv")
TEXTS = ("row", "made_on")


def seen_table() -> pl.DataFrame:
    """Return the table of ``tests/bench/bench_seeing.py``, one row per kind of squad, in its order."""
    frame = pl.read_csv(SEEN_TABLE, infer_schema=False)
    numbers = [name for name in frame.columns if name not in TEXTS]
    return frame.with_columns(pl.col(numbers).cast(pl.Float64)).with_row_index("position")
