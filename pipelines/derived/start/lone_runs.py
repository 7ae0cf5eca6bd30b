"""Runs that stand alone: so far from the runs around them that a slip of the pen is likelier than a run."""

import polars as pl

from pipelines.derived.common.ordering import in_order_of, number_of
from schemas.derived.progress import SERIES_KEY

AROUND = 7  # runs of a series whose median a run is held against: itself, three before and three after
FEWEST = 4  # of them there must be; of fewer nobody can say which is the odd one
FAR_SDS, FAR_SHARE = 6.0, 0.10  # robust SDs, and share of that median, that it lies off; source: "common_practice"
MAD_TO_SD = 1.4826  # source: "leys_2013"
RUN_ORDER = ["session_date", "session_no", "rep_no"]


def add_lone(runs: pl.DataFrame) -> pl.DataFrame:
    """Add ``around`` (median of the runs around it) and ``is_alone``: whether no trend and no noise counts the run.

    Alone: more than 10 % off the median of the seven runs of the series around it (fewer at its ends), and more than
    six robust SDs (1.4826 times the median distance of the series' runs from theirs), and more than 10 % off the run
    before and the run after. Who comes back 10 % slower and stays so is not alone: the next run is like it.
    ``runs``: one row a run and measure, ``value``; where ``_series`` numbers the series they stand in its order and
    that of runs; it is added where it is not.
    """
    ordered = runs
    if "_series" not in runs.columns:  # by one number: windows over seven words take several times as long
        ordered = in_order_of(runs, [*SERIES_KEY, *RUN_ORDER])
        ordered = ordered.with_columns(_series=number_of(ordered, SERIES_KEY))
    around = pl.col("value").rolling_median(AROUND, min_samples=FEWEST, center=True).over("_series")
    off = (pl.col("value") - pl.col("around")).abs()
    usual = MAD_TO_SD * pl.col("_off").median().over("_series")
    beside = pl.min_horizontal(
        pl.when(pl.col("_series").shift(n) == pl.col("_series")).then(
            (pl.col("value") - pl.col("value").shift(n)).abs()
        )
        for n in (1, -1)
    )
    far = (
        (pl.col("_beside") > FAR_SHARE * pl.col("around").abs())
        & (pl.col("_off") > FAR_SHARE * pl.col("around").abs())
        & (pl.col("_off") > FAR_SDS * usual)
    )
    return (
        ordered.with_columns(around=around)
        .with_columns(_off=off, _beside=beside)
        .with_columns(is_alone=far.fill_null(value=False))
        .drop("_off", "_beside")
    )
