"""The load of a group by week (``group_load``)."""

import polars as pl


def group_load(load_week: pl.DataFrame, athlete: pl.DataFrame) -> pl.DataFrame:
    """One row per event group and week: how many athletes lay below, within or above their own range of load.

    Own range and whole weeks as in load_week: below = load_au < own_low_au, above = load_au > own_high_au, within
    else; no_range = week known, range not; unknown = load_au null. The five add up to the athletes.
    Source: definitions. Null rule: nothing is null; an unknown week is counted as unknown, never as low.
    """
    load, low, high = pl.col("load_au"), pl.col("own_low_au"), pl.col("own_high_au")
    is_known, has_range = load.is_not_null(), low.is_not_null() & high.is_not_null()
    people = athlete.select("athlete_id", pl.col("event_group").fill_null("other"))

    def count(which: pl.Expr) -> pl.Expr:
        return which.fill_null(False).sum().cast(pl.Int64)

    return (
        load_week.join(people, on="athlete_id", how="inner")
        .group_by("event_group", "week_of", maintain_order=True)
        .agg(
            athletes=pl.len().cast(pl.Int64),
            below=count(is_known & has_range & (load < low)),
            within=count(is_known & has_range & (load >= low) & (load <= high)),
            above=count(is_known & has_range & (load > high)),
            no_range=count(is_known & ~has_range),
            unknown=count(~is_known),
        )
        .sort("event_group", "week_of")
    )
