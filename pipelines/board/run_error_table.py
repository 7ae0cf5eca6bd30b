"""How often a run's 95 % interval holds the truth on simulated runs: the table that the bench wrote, for Methods."""

from pathlib import Path

import polars as pl

RUN_ERROR_TABLE = Path(__file__).with_name("run_error_table.csv")
TEXTS = ("row", "rule", "made_on")
WHOLE = ("seed", "gates")


def run_error_table() -> pl.DataFrame:
    """Return the table of ``tests/bench/bench_run_error.py``, one row per clock, noise and number of gates."""
    frame = pl.read_csv(RUN_ERROR_TABLE, infer_schema=False)
    numbers = {n: pl.Int64 if n in WHOLE else pl.Float64 for n in frame.columns if n not in TEXTS}
    return frame.cast(numbers)  # type: ignore[arg-type]


def run_error_rows() -> pl.DataFrame:
    """Return the same with its place, as the page shows it."""
    return run_error_table().with_row_index("position")
