"""Marks that nobody has reached: times below the fastest ever, forces far above what a leg can do. Slips: set aside."""

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


# Test -> newtons of one side: far above what is published for athletes (eccentric hamstring about 300 to 500 N a leg:
# Opar and others 2015; the others: own choice). A force above is a slip: a digit too many, or both legs in one.
MOST_FORCE_N = {"eccentric_hamstring": 1200.0, "hip_adduction": 1500.0, "hip_flexor": 1500.0}


FARTHEST_APART = 3.0  # times, between two trials of one leg on one day; own choice


def too_strong(force: pl.DataFrame) -> pl.DataFrame:
    """Return forces of one side that no leg has, as faults."""
    limit = pl.col("test").replace_strict(MOST_FORCE_N, default=None, return_dtype=pl.Float64)
    found = force.with_columns(_limit=limit)
    if "side" in force.columns:
        found = found.filter(pl.col("side").is_in(["l", "r"]))
    found = found.filter(pl.col("peak_force_n") > pl.col("_limit"))
    return found.select(
        "_row", "_part", column=pl.lit("peak_force_n"), value=pl.col("peak_force_n").cast(pl.String),
        reason=phrase("no leg has {} N in this test, at most {} N. {} Check the digits.", pl.col("peak_force_n"),
                      pl.col("_limit"), pl.lit(SET_ASIDE)),
        holds=pl.lit(RECORD),
    )  # fmt: skip


def far_below_others(force: pl.DataFrame) -> pl.DataFrame:
    """Return forces under a third of the best trial of the same test and side on that day: a digit missed."""
    key = [name for name in ("athlete_id", "tested_on", "test", "side") if name in force.columns]
    best = pl.col("peak_force_n").max().over(key)
    found = force.with_columns(_best=best).filter(pl.col("peak_force_n") * FARTHEST_APART < pl.col("_best"))
    return found.select(
        "_row", "_part", column=pl.lit("peak_force_n"), value=pl.col("peak_force_n").cast(pl.String),
        reason=phrase("{} N is less than a third of another trial of that day ({} N). {} Check the digits.",
                      pl.col("peak_force_n"), pl.col("_best"), pl.lit(SET_ASIDE)),
        holds=pl.lit(RECORD),
    )  # fmt: skip


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
