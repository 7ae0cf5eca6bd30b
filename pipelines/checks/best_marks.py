"""Marks that nobody has run: the fastest ever, by event, below which a time is a slip and is set aside."""

import polars as pl

from pipelines.checks.faults import RECORD, SET_ASIDE
from schemas.phrase import phrase

# Event -> seconds: world records of men as known at the beginning of 2026 (World Athletics lists), from memory. A time
# below the fastest of anybody is set aside; one merely unusual for an athlete is stored and marked.
FASTEST_S = {
    "60": 6.34, "100": 9.58, "150": 14.35, "200": 19.19, "300": 30.69, "400": 43.03, "60h": 7.27, "100h": 12.12,
    "110h": 12.80, "400h": 45.94,
}  # fmt: skip
WITHOUT_GUN_S = 0.40  # s, what a clock without reaction and first movement may gain at most; common practice, no source


def too_fast_races(race: pl.DataFrame) -> pl.DataFrame:
    """Return race results faster than anybody has ever run the event, as faults."""
    limit = pl.col("event").replace_strict(FASTEST_S, default=None, return_dtype=pl.Float64)
    return _faults(race, limit, "time_s", pl.col("event"))


def too_fast_runs(split: pl.DataFrame) -> pl.DataFrame:
    """Return times at 60, 100 m and so on that no clock can show for anybody, as faults."""
    limits = {float(event): time - WITHOUT_GUN_S for event, time in FASTEST_S.items() if event.isdigit()}
    limit = pl.col("distance_m").replace_strict(limits, default=None, return_dtype=pl.Float64)
    return _faults(split, limit, "elapsed_s", pl.col("distance_m").cast(pl.String).str.strip_suffix(".0"))


def _faults(frame: pl.DataFrame, limit: pl.Expr, column: str, event: pl.Expr) -> pl.DataFrame:
    found = frame.with_columns(_limit=limit).filter(pl.col(column) < pl.col("_limit"))
    return found.select(
        "_row",
        "_part",
        column=pl.lit(column),
        value=pl.col(column).cast(pl.String),
        reason=phrase(
            "nobody has ever run {} m in {} s. {} Check the time and the distance.",
            event,
            pl.col(column),
            pl.lit(SET_ASIDE),
        ),
        holds=pl.lit(RECORD),
    )
