"""An injury that comes in and is open: whose it is to decide on is said where it is stored."""

from collections.abc import Mapping

import polars as pl


def note_open_injury(accepted: Mapping[str, pl.DataFrame]) -> list[str]:
    """Return a sentence where an injury without a day of return comes in, unless it did not stop training."""
    injuries = accepted.get("injury")
    if injuries is None:
        return []
    said = set(injuries.columns)  # a column that no cell fills is not there
    is_open = pl.col("returned_on").is_null() if "returned_on" in said else pl.lit(value=True)
    went_on = ~pl.col("stopped_training").fill_null(value=True) if "stopped_training" in said else pl.lit(value=False)
    if injuries.filter(is_open & ~went_on).is_empty():
        return []
    return [
        "An injury is open: a licensed professional sees it before any running; the coach does not decide this one. "
        "Until the day of return is entered, every planned session of the athlete waits."
    ]
