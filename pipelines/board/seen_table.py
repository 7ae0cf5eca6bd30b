"""What progress sees and imagines on simulated squads: the table that the bench wrote, for the board and Methods."""

from pathlib import Path

import polars as pl

SEEN_TABLE = Path(__file__).with_name("seen_table.csv")
TEXTS = ("row", "made_on")
DELAY = "delay_weeks"


def seen_table() -> pl.DataFrame:
    """Return the table of ``tests/bench/bench_seeing.py``, one row per kind of squad, in its order."""
    frame = pl.read_csv(SEEN_TABLE, infer_schema=False)
    numbers = [name for name in frame.columns if name not in TEXTS]
    return frame.with_columns(pl.col(numbers).cast(pl.Float64))


def seen_rows() -> pl.DataFrame:
    """Return the same in whole numbers as texts, as the page shows it; a delay that half never reach says so."""
    frame = seen_table()
    whole = [
        pl.col(name).round(0).cast(pl.Int64, strict=False).cast(pl.String).alias(name)
        for name in frame.columns
        if name not in (*TEXTS, DELAY)
    ]
    weeks = pl.col(DELAY)
    delay = pl.when(weeks.is_infinite()).then(pl.lit("over half never"))
    return frame.with_columns(
        *whole,
        delay.otherwise(weeks.round(0).cast(pl.Int64, strict=False).cast(pl.String)).alias(DELAY),
    ).with_row_index("position")
