"""Injuries as they stood on a day: open, back, and for how long."""

import polars as pl

from pipelines.derived.common.sentences import SIDE_WORDS


def list_injuries_on_days(days: pl.DataFrame, injury: pl.DataFrame) -> pl.DataFrame:
    """Return one row per athlete, day and injury that had begun by then.

    Columns: athlete_id, day_on, onset_on, site, side, stopped_training, dates_contradict, is_open, back_on,
    weeks_since (whole weeks since back_on), where (words: "left hamstring").

    An injury is open until its return day, unless it is said not to have stopped training; whether it did may be
    unknown, and then it counts as open. A return day before the onset cannot be right: the injury counts as open and
    ``dates_contradict`` says so. ``back_on`` is the return day once it has come, or the onset of an injury that never
    stopped training.
    """
    trained_through = pl.col("stopped_training").not_().fill_null(value=False)
    contradict = (pl.col("returned_on") < pl.col("onset_on")).fill_null(value=False)
    returned = ~contradict & (pl.col("returned_on") <= pl.col("day_on")).fill_null(value=False)
    side = pl.col("side").replace_strict(SIDE_WORDS, default="", return_dtype=pl.String)
    place = pl.when(pl.col("site") == "other").then(pl.lit("other")).otherwise("site")
    return (
        days.select("athlete_id", "day_on")
        .join(
            injury.select("athlete_id", "onset_on", "site", "side", "stopped_training", "returned_on"),
            on="athlete_id",
            how="inner",
        )
        .filter(pl.col("onset_on") <= pl.col("day_on"))
        .with_columns(
            dates_contradict=contradict,
            is_open=~returned & ~trained_through,
            back_on=pl.when(returned).then("returned_on").when(trained_through).then("onset_on"),
            where=pl.concat_str(side, place),
        )
        .with_columns(weeks_since=(pl.col("day_on") - pl.col("back_on")).dt.total_days() // 7)
        .drop("returned_on")
        .sort("athlete_id", "day_on", "onset_on", "site", "side")
    )


def keep_latest(stood: pl.DataFrame) -> pl.DataFrame:
    """Keep one entry per athlete, day, site and side: the open one begun last, else the one begun last."""
    place = ["athlete_id", "day_on", "site", "side"]
    return stood.sort(*place, "is_open", "onset_on").unique(place, keep="last", maintain_order=True)
