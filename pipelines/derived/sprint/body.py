"""Body mass on a day, from the last time it was measured."""

import polars as pl

RECENT_DAYS = 180  # days a body mass stays good for, source: "common_practice"
ALLOMETRIC_EXPONENT = 0.67  # no unit, force against body mass, source: "jaric_2002"


def add_body_mass(rows: pl.DataFrame, body_measure: pl.DataFrame, day: str) -> pl.DataFrame:
    """Add body_mass_kg: the last measured on or before the day, at most 180 days old; null otherwise.

    A later measurement is never used backwards. Source: common practice. Keeps the order of no row: sort afterwards.
    """
    masses = (
        body_measure.filter(pl.col("body_mass_kg").is_not_null())
        .select("athlete_id", "measured_on", "body_mass_kg")
        .rename({"measured_on": "_weighed_on"})
        .sort("_weighed_on")
    )
    return (
        rows.sort(day)
        .join_asof(
            masses,
            left_on=day,
            right_on="_weighed_on",
            by="athlete_id",
            strategy="backward",
            tolerance=f"{RECENT_DAYS}d",
            check_sortedness=False,
        )
        .drop("_weighed_on", strict=False)
    )
